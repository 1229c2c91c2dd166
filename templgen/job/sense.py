"""Sense: what is right in form, key by key, and still can not be.

One function for each kind of table yields the faults of that table alone or of what it mentions. A table
whose form is wrong is left out here: its own fault is enough.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from templgen.errors import JobError, JobFaults, Location, ShapeError, UnitError
from templgen.job.complaints import nearest_drills
from templgen.job.fields import Node, Place, ShapeUse
from templgen.job.model import (
    Bracket,
    Cutout,
    FastenerDef,
    FlatPart,
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
from templgen.job.names import BASE_PLATE, ORIGIN, PAPER, Names
from templgen.job.shape_values import shape_parameters
from templgen.job.wording import shown
from templgen.shapes import ShapeLibrary
from templgen.shapes.names import unknown
from templgen.trade.drills import parse_hole_size
from templgen.units import Unit

__all__ = ["Around", "sense_faults"]

Faults = Iterator[JobError]
WEBBED = ("rib", "spar", "stringer")
LOCATING_HOLES = 2

_SECTION = {
    "line_is": "what the two points were measured on",
    "thickness": "the web's inner face and the bend follow from it",
    "flange_width": "from the heel to the free flange edge: what lies on the skin",
    "flange_side": "on which side of the line, from the first point to the second, the flange lies",
    "bend_radius": "no hole and no head may stand in the bend",
}
_BLIND = {
    "hole": "drill of the final hole",
    "grip_min": "least metal it may join",
    "grip_max": "most metal it may join",
    "head_diameter": "room that its head takes",
    "unset_length": "what stands behind the sheet before pulling",
}


@dataclass(frozen=True, slots=True)
class Around:
    """What a table is judged against: the names of the job, the shapes, the unit."""

    names: Names
    library: ShapeLibrary
    unit: Unit


def sense_faults(nodes: Iterable[Node], around: Around) -> list[JobError]:
    """Every fault of sense in the tables whose form is right.

    Args:
        nodes: all tables that could be read, in any order.
        around: names, shapes and unit of the job.
    """
    nodes = list(nodes)
    faults: list[JobError] = []
    for node in nodes:
        check = _CHECKS.get(type(node))
        if check is not None:
            faults += check(node, around)
    holes = {node.name: node for node in nodes if isinstance(node, SingleHole)}
    return faults + list(_rings(holes))


def _needs(table: Node, words: str, key: str, why: str, example: bool = True) -> JobError:
    field = type(table).model_fields[key]
    hint = f"for example {key} = {field.examples[0]}" if example and field.examples else None
    return JobError(f"{words} needs {key}: {why}", at=table.where(), hint=hint)


def _mention(what: str, name: str, known: Iterable[str], at: Location) -> Faults:
    """A fault where a name is mentioned that nothing has."""
    if name not in known:
        yield JobError(f"no {what} is called {shown(name)}", at=at, hint=unknown(name, known))


def _job(job: Job, around: Around) -> Faults:
    if not (job.mast or job.hole or job.pattern or job.cutout or job.part or job.bracket):
        hint = "give a [[mast]], [[hole]], [[pattern]], [[cutout]], [[part]] or [[bracket]]"
        yield JobError("the job makes nothing", at=job.where(), hint=hint)
    for name in job.fastener:
        if not name.strip() or not name.isprintable():
            yield JobError(f"a fastener needs a name, not {shown(name)}", at=job.fastener[name].where())


def _fastener(kind: FastenerDef, around: Around) -> Faults:
    a_kind = f"a {kind.kind}"
    if kind.kind == "blind rivet":
        for key, why in _BLIND.items():
            if getattr(kind, key) is None:
                yield _needs(kind, "a blind rivet", key, f"{why}; no table stands in for the maker's")
    else:
        for key in ("grip_min", "grip_max", "unset_length"):
            if getattr(kind, key) is not None:
                yield JobError(f"{a_kind} has no {key}: that is a blind rivet's", at=kind.where(key))
    yield from _head(kind, a_kind)
    if kind.grip_min is not None and kind.grip_max is not None and kind.grip_min >= kind.grip_max:
        yield JobError("grip_min is not less than grip_max", at=kind.where("grip_min"))
    yield from _drills(kind, around.unit)


def _head(kind: FastenerDef, a_kind: str) -> Faults:
    if (kind.head == "universal") != (kind.kind == "solid rivet") and kind.head != "flush":
        allowed = '"universal", "flush"' if kind.kind == "solid rivet" else '"protruding", "flush"'
        yield JobError(f"head = {shown(kind.head)}: {a_kind} has {allowed}", at=kind.where("head"))
    if kind.head == "flush" and kind.seat is None:
        yield _needs(kind, "a flush head", "seat", "how it is let in, countersunk or dimpled")
    if kind.head != "flush" and kind.seat is not None:
        yield JobError(f'seat = {shown(kind.seat)}: only head = "flush" is let in', at=kind.where("seat"))


def _drills(kind: FastenerDef, unit: Unit) -> Faults:
    sizes: dict[str, float] = {}
    for key in ("hole", "pilot"):
        text = getattr(kind, key)
        if text is None:
            continue
        try:
            sizes[key] = parse_hole_size(text, unit).diameter_mm
        except UnitError as error:
            yield JobError(f"{key} = {error}", at=kind.where(key), hint=nearest_drills(text, str(error)))
    if len(sizes) == 2 and sizes["pilot"] >= sizes["hole"]:
        message = f"pilot = {shown(kind.pilot)} is not smaller than hole = {shown(kind.hole)}"
        yield JobError(message, at=kind.where("pilot"))


def _structure(item: Structure, around: Around) -> Faults:
    words = f"{item.kind} {shown(item.name)}"
    if item.start == item.end:
        yield JobError(
            f"{words}: from and to are the same point", at=item.where("to"), hint="a line needs two"
        )
    if item.kind in WEBBED:
        yield from _section(item, words)
    else:
        yield from _bare_line(item, words)
    if item.kind == "skin edge" and item.skin_side is None:
        yield _needs(
            item, words, "skin_side", "on which side of the line, from first to second point, the metal lies"
        )
    if item.kind != "skin edge" and item.skin_side is not None:
        yield JobError(f"{words} has no skin_side: that is a skin edge's", at=item.where("skin_side"))


def _section(item: Structure, words: str) -> Faults:
    flange = ("flange_width", "flange_side", "bend_radius")
    for key, why in _SECTION.items():
        given = getattr(item, key) is not None
        if not given and (item.flange or key not in flange):
            left_out = "; without a flange write flange = false" if key in flange else ""
            yield _needs(item, words, key, why + left_out)
        elif given and not item.flange and key in flange:
            yield JobError(f"{words} has flange = false, and so no {key}", at=item.where(key))
    if not item.flange and item.line_is in ("free flange edge", "rivet row"):
        message = f"{words} has flange = false, and so no {item.line_is}"
        yield JobError(message, at=item.where("line_is"), hint='allowed: "heel", "web face"')


def _bare_line(item: Structure, words: str) -> Faults:
    for key in ("flange_width", "flange_side", "bend_radius", "web_height"):
        if getattr(item, key) is not None:
            yield JobError(
                f"a {item.kind} is a line without a section: {words} has no {key}", at=item.where(key)
            )
    own = "rivet row" if item.kind == "seam" else None
    if item.line_is not in (None, own):
        message = f"a {item.kind} is a line without a section: {words} has no {item.line_is}"
        yield JobError(message, at=item.where("line_is"), hint="leave line_is away")


def _rivets(rivets: StructureRivets, around: Around) -> Faults:
    yield from _mention("fastener", rivets.fastener, around.names.fastener, rivets.where("fastener"))
    row = [key for key in ("first", "pitch", "count") if getattr(rivets, key) is not None]
    if rivets.points is not None:
        for key in [*row, *(["off"] if rivets.off is not None else [])]:
            message = f"rivets are given by points and by {key}"
            yield JobError(message, at=rivets.where(key), hint="give points, or first, pitch and count")
    elif not row:
        message = "rivets need their places: points, or first, pitch and count along the line"
        yield JobError(message, at=rivets.where())
    else:
        for key in ("first", "pitch", "count"):
            if key not in row:
                yield _needs(rivets, "a row of rivets", key, str(type(rivets).model_fields[key].description))


def _place(place: Place, around: Around) -> Faults:
    structures, holes = around.names.structure, around.names.hole
    on_line = place.reference in structures
    yield from _mention(
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
        yield from _mention("structure", forward.line, around.names.structure, forward.where("line"))


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
        yield from _mention("fastener", node.fastener, around.names.fastener, node.where("fastener"))
    yield from _made_from(node, around)


def _made_from(node: HoleSet | SingleHole, around: Around) -> Faults:
    text = node.made_from
    if text is None or text in (PAPER, "through a nutplate"):
        return
    at = node.where("made_from")
    if not text.startswith("through "):
        allowed = '"paper", "through a nutplate", or "through " and the name of a part'
        yield JobError(f"made_from = {shown(text)}: allowed: {allowed}", at=at)
    else:
        yield from _mention("part", text.removeprefix("through ").strip(), around.names.stackable, at)


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
            yield from _mention("part", name, known, at)


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
    if holes.pattern is not None:
        yield from _is_kind(holes.pattern, "pattern", around)


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


def _is_kind(use: ShapeUse, kind: str, around: Around) -> Faults:
    """A hole pattern where holes are wanted, an outline where an edge is."""
    given = _kind_of(use.shape, around.library)
    if given is None or given == kind:
        return
    words = {"pattern": "a hole pattern", "outline": "an outline"}
    alike = [name for name in around.library.names() if _kind_of(name, around.library) == kind]
    message = f"shape = {shown(use.shape)} is {words[given]}; {words[kind]} is needed"
    yield JobError(message, at=use.where("shape"), hint=f"allowed: {', '.join(alike)}")


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
    for use in (mast.section, mast.widest, mast.flange.outline):
        if isinstance(use, ShapeUse):
            yield from _is_kind(use, "outline", around)


def _single_hole(hole: SingleHole, around: Around) -> Faults:
    yield from _one_size(hole, around, f"hole {shown(hole.name)}")
    yield from _through(hole, around)


def _cutout(cutout: Cutout, around: Around) -> Faults:
    yield from _through(cutout, around)
    yield from _is_kind(cutout.outline, "outline", around)


def _flat_part(part: FlatPart, around: Around) -> Faults:
    yield from _is_kind(part.outline, "outline", around)


def _bracket(bracket: Bracket, around: Around) -> Faults:
    at = bracket.where("structure")
    yield from _mention("structure", bracket.structure, around.names.structure, at)
    kind = around.names.kinds.get(bracket.structure)
    if kind in ("seam", "skin edge"):
        message = (
            f"bracket {shown(bracket.name)} needs a web to stand on; {shown(bracket.structure)} is a {kind}"
        )
        yield JobError(message, at=at)


def _trim_line(line: TrimLine, around: Around) -> Faults:
    yield from _mention("structure", line.structure, around.names.structure, line.where("structure"))


def _trim(trim: Trim, around: Around) -> Faults:
    for place, name in enumerate(trim.parts):
        if name in trim.parts[:place]:
            yield JobError(f"parts names {shown(name)} twice", at=trim.where("parts"))
        else:
            yield from _mention("part to trim", name, around.names.trimmable, trim.where("parts"))
    if trim.of is not None:
        yield from _mention("mast", trim.of, around.names.mast, trim.where("of"))


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
    FastenerDef: _fastener,
    Structure: _structure,
    StructureRivets: _rivets,
    Place: _place,
    Forward: _forward,
    HoleSet: _hole_set,
    ShapeUse: _shape_use,
    Mast: _mast,
    SingleHole: _single_hole,
    Cutout: _cutout,
    FlatPart: _flat_part,
    Bracket: _bracket,
    TrimLine: _trim_line,
    Trim: _trim,
}
