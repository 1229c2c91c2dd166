"""Sense: what is right in form, key by key, and still can not be.

One function for each kind of table yields the faults of that table alone or of what it mentions. A table
whose form is wrong is left out here: its own fault is enough.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from templgen.errors import JobError, JobFaults, ShapeError
from templgen.job.around import Around, Faults, access_faults, made_from_faults, mention
from templgen.job.cutting import CUTTING_CHECKS
from templgen.job.fields import Node, Place, ShapeUse
from templgen.job.made import made_faults
from templgen.job.model import (
    Bracket,
    Cutout,
    FastenerDef,
    Forward,
    HoleSet,
    Job,
    Mast,
    SingleHole,
    Structure,
    StructureRivets,
    Trim,
    TrimLine,
)
from templgen.job.names import BASE_PLATE, ORIGIN, PAPER
from templgen.job.sense_airframe import fastener_faults, rivets_faults, structure_faults
from templgen.job.shape_values import shape_parameters
from templgen.job.wording import shown
from templgen.shapes import ShapeLibrary

__all__ = ["sense_faults"]

LOCATING_HOLES = 2
_LATE = ("templgen.job.openings", "templgen.job.behind")


def sense_faults(nodes: Iterable[Node], around: Around) -> list[JobError]:
    """Every fault of sense in the tables whose form is right.

    Args:
        nodes: all tables that could be read, in any order.
        around: names, shapes and unit of the job.
    """
    nodes = list(nodes)
    faults, wrong = _wrong_kinds(nodes, around)
    checks = _checks_of(nodes)
    for node in nodes:
        check = checks.get(type(node))
        if check is not None and id(node) not in wrong:
            faults += check(node, around)
    holes = {node.name: node for node in nodes if isinstance(node, SingleHole)}
    made = [fault for node in nodes if isinstance(node, Job) for fault in made_faults(node, nodes)]
    return [*faults, *_rings(holes), *made]


def _checks_of(nodes: Iterable[Node]) -> dict[type[Node], Callable[[Any, Around], Faults]]:
    """The check of each kind of table; those of openings are loaded where there is such a table."""
    if all(type(node) in _CHECKS or type(node).__module__ not in _LATE for node in nodes):
        return _CHECKS
    from templgen.job.sense_openings import OPENING_CHECKS

    return {**_CHECKS, **OPENING_CHECKS}


def _job(job: Job, around: Around) -> Faults:
    if not (job.mast or job.hole or job.pattern or job.cutout or job.part or job.bracket or job.opening):
        hint = "give a [[mast]], [[hole]], [[pattern]], [[cutout]], [[part]], [[bracket]] or [[opening]]"
        yield JobError("the job makes nothing", at=job.where(), hint=hint)
    for name in job.fastener:
        if not name.strip() or not name.isprintable():
            yield JobError(f"a fastener needs a name, not {shown(name)}", at=job.fastener[name].where())
    if job.existing or job.distance:
        from templgen.job.alignment import alignment_faults

        yield from alignment_faults(job)


def _place(place: Place, around: Around) -> Faults:
    structures, holes = around.names.structure, around.names.hole
    on_line = place.reference in structures
    yield from mention(
        "structure or hole", place.reference, (ORIGIN, *structures, *holes), place.where("from")
    )
    if place.reference not in (ORIGIN, *structures, *holes):
        return
    wanted, others = (("along", "off"), ("x", "y")) if on_line else (("x", "y"), ("along", "off"))
    base = f"a place from {shown(place.reference)}"
    for key in others:
        if getattr(place, key) is not None:
            is_line = "a structure line" if on_line else "a point"
            hint = f"{' and '.join(wanted)} are allowed, because {shown(place.reference)} is {is_line}"
            yield JobError(f"{base} takes no {key}", at=place.where(key), hint=hint)
    for key in wanted:
        if getattr(place, key) is None:
            yield JobError(f"{base} needs {key}", at=place.where(), hint=f"write {key} = 0 if it is nothing")


def _forward(forward: Forward, around: Around) -> Faults:
    if forward.line is not None:
        yield from mention("structure", forward.line, around.names.structure, forward.where("line"))


def _one_size(node: HoleSet | SingleHole, around: Around, words: str) -> Faults:
    """Exactly one of fastener and diameter; the fastener exists."""
    if node.fastener is not None and node.diameter is not None:
        message = f"{words}: fastener and diameter are both given; the fastener has its own hole"
        yield JobError(message, at=node.where("diameter"), hint="delete one of them")
    if node.fastener is None and node.diameter is None:
        message = f"{words}: fastener or diameter is needed"
        yield JobError(
            message, at=node.where(), hint="a name from [fastener], or the diameter of a plain hole"
        )
    if node.fastener is not None:
        yield from mention("fastener", node.fastener, around.names.fastener, node.where("fastener"))
    yield from made_from_faults(node, around)
    if node.access is not None:
        yield from access_faults(node.access, around, node.where("access"))


def _through(node: HoleSet | SingleHole | Cutout, around: Around) -> Faults:
    """Every part that is passed exists, and stands in the list once."""
    at = node.where("through")
    known = around.names.stackable
    if isinstance(node, HoleSet) and around.names.masts:
        known = (*known, BASE_PLATE)
    names = node.through or []
    for place, name in enumerate(names):
        if name == PAPER:
            yield JobError("through names the paper, which is no metal", at=at)
        elif name in names[:place]:
            yield JobError(f"through names {shown(name)} twice", at=at)
        else:
            yield from mention("part", name, known, at)


def _hole_set(holes: HoleSet, around: Around) -> Faults:
    yield from _one_size(holes, around, "holes")
    if holes.points is not None and holes.pattern is not None:
        message = "holes: points and pattern are both given"
        yield JobError(message, at=holes.where("pattern"), hint="give them in two sets of holes")
    if holes.points is None and holes.pattern is None:
        yield JobError(
            "holes: points or a pattern is needed", at=holes.where(), hint="points = [[1.0, 0.5], ...]"
        )
    yield from _through(holes, around)
    count = len(holes.points) if holes.points is not None else _pattern_count(holes.pattern, around)
    yield from _locating(holes, count)


def _locating(holes: HoleSet, count: int | None) -> Faults:
    at = holes.where("locating")
    for place, number in enumerate(holes.locating):
        if number in holes.locating[:place]:
            yield JobError(f"locating names hole {shown(number)} twice", at=at)
        elif number < 1 or (count is not None and number > count):
            upto = f"1 to {count}" if count is not None else "1 and more"
            yield JobError(
                f"locating = {shown(holes.locating)}: there is no hole {shown(number)}", at=at, hint=upto
            )


def _pattern_count(use: ShapeUse | None, around: Around) -> int | None:
    """How many holes a pattern has; None where it can not be set out (its own fault says why)."""
    if use is None or use.shape not in around.library:
        return None
    try:
        shape = around.library.get(use.shape)
        return len(shape.points(**shape_parameters(use, around.library, around.unit)))
    except (ShapeError, JobFaults):
        return None


def _shapes_of(node: Node) -> list[tuple[Any, str]]:
    """The shapes that a table uses, and whether each has to be an outline or a hole pattern."""
    if isinstance(node, HoleSet):
        return [(node.pattern, "pattern")]
    if isinstance(node, Mast):
        return [(node.section, "outline"), (node.widest, "outline")]
    return [(node.outline, "outline")] if "outline" in type(node).model_fields else []  # type: ignore[attr-defined]


def _wrong_kinds(nodes: Iterable[Node], around: Around) -> tuple[list[JobError], set[int]]:
    """Outlines where holes are wanted and the other way round, and which uses they are."""
    words = {"pattern": "a hole pattern", "outline": "an outline"}
    faults, wrong = [], set()
    for use, kind in (each for node in nodes for each in _shapes_of(node)):
        given = _kind_of(use.shape, around.library) if isinstance(use, ShapeUse) else None
        if given is not None and given != kind:
            alike = [name for name in around.library.names() if _kind_of(name, around.library) == kind]
            message = f"shape = {shown(use.shape)} is {words[given]}; {words[kind]} is needed"
            faults.append(JobError(message, at=use.where("shape"), hint=f"allowed: {', '.join(alike)}"))
            wrong.add(id(use))
    return faults, wrong


def _kind_of(name: str, library: ShapeLibrary) -> str | None:
    try:
        return library.get(name).kind
    except ShapeError:
        return None


def _shape_use(use: ShapeUse, around: Around) -> Faults:
    try:
        shape_parameters(use, around.library, around.unit)
    except JobFaults as faults:
        yield from faults.faults


def _mast(mast: Mast, around: Around) -> Faults:
    located = sum(len(set(holes.locating)) for holes in mast.flange.holes)
    if located != LOCATING_HOLES:
        last = mast.flange.holes[-1] if mast.flange.holes else None
        at = mast.flange.where("holes") if last is None else last.where("locating")
        message = f"mast {shown(mast.name)} needs two locating holes in its base plate, here are {located}"
        yield JobError(
            message, at=at, hint="the paper is pinned on them: locating = [1, 4] names holes by number"
        )


def _single_hole(hole: SingleHole, around: Around) -> Faults:
    yield from _one_size(hole, around, f"hole {shown(hole.name)}")
    yield from _through(hole, around)


def _cutout(cutout: Cutout, around: Around) -> Faults:
    yield from _through(cutout, around)


def _bracket(bracket: Bracket, around: Around) -> Faults:
    at = bracket.where("structure")
    yield from mention("structure", bracket.structure, around.names.structure, at)
    kind = around.names.kinds.get(bracket.structure)
    if kind in ("seam", "skin edge"):
        message = (
            f"bracket {shown(bracket.name)} needs a web to stand on; {shown(bracket.structure)} is a {kind}"
        )
        yield JobError(message, at=at)


def _trim_line(line: TrimLine, around: Around) -> Faults:
    yield from mention("structure", line.structure, around.names.structure, line.where("structure"))


def _trim(trim: Trim, around: Around) -> Faults:
    for place, name in enumerate(trim.parts):
        if name in trim.parts[:place]:
            yield JobError(f"parts names {shown(name)} twice", at=trim.where("parts"))
        else:
            yield from mention("part to trim", name, around.names.trimmable, trim.where("parts"))
    if trim.of is not None:
        yield from mention("mast", trim.of, around.names.mast, trim.where("of"))


def _rings(holes: dict[str, SingleHole]) -> Faults:
    """Holes that are placed from each other in a ring stand nowhere."""
    for name, hole in holes.items():
        chain, at = [name], hole.at
        while at.reference in holes and at.reference not in chain:
            chain.append(at.reference)
            at = holes[at.reference].at
        if at.reference == name:
            message = f"hole {shown(name)} is placed from itself: {' from '.join(map(shown, [*chain, name]))}"
            yield JobError(message, at=hole.at.where("from"))


_CHECKS: dict[type[Node], Callable[[Any, Around], Faults]] = {
    Job: _job,
    FastenerDef: fastener_faults,
    Structure: structure_faults,
    StructureRivets: rivets_faults,
    Place: _place,
    Forward: _forward,
    HoleSet: _hole_set,
    ShapeUse: _shape_use,
    Mast: _mast,
    SingleHole: _single_hole,
    Cutout: _cutout,
    Bracket: _bracket,
    TrimLine: _trim_line,
    Trim: _trim,
    **CUTTING_CHECKS,
}
