"""Hole sets and single holes become fasteners: numbered, placed, with their stack and their doubt."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from templgen.errors import JobError, Location
from templgen.geometry import Motion, Vec
from templgen.job.airframe import MadeKind
from templgen.job.model import HoleSet, Job, SingleHole
from templgen.job.names import PAPER, SKIN
from templgen.layout.assembly import SKIN_PLANE, Fastener, FastenerSpec
from templgen.layout.draft import Draft
from templgen.layout.frames import vec
from templgen.layout.places import place
from templgen.layout.prefixes import RIVET
from templgen.layout.stacks import default_stack, stack_of
from templgen.layout.structures import existing_rivet_points, structure_doubt

__all__ = [
    "Maker",
    "add_existing_rivets",
    "add_hole_set",
    "add_single_hole",
    "drilled_to",
    "next_number",
    "way_of_marking",
]

NUTPLATE = "a nutplate"
_KIND_KEY: dict[str, MadeKind] = {
    "solid rivet": "rivet",
    "blind rivet": "rivet",
    "screw": "screw",
    "hole": "hole",
}


def drilled_to(job: Job, spec: FastenerSpec, locating: bool) -> float:
    """Return how well a hole of this kind will be made, mm either way."""
    return job.drilled_to.of("locating" if locating else _KIND_KEY[spec.kind])


class Maker:
    """Where a set of holes stands: the feature, its plane, the parts it joins by default.

    Args:
        feature: what the builder named.
        plane: plane of the holes.
        own: part that owns the set ("" for none); "base plate" in its lists means this one.
        default: parts joined where the job does not say.
        to_plane: from the set's own frame to the plane.
        made_from: how the holes are marked where the job does not say.
    """

    __slots__ = ("default", "feature", "made_from", "own", "plane", "to_plane")

    def __init__(
        self,
        feature: str,
        plane: str,
        own: str,
        default: Sequence[str],
        to_plane: Callable[[Vec], Vec],
        made_from: str = PAPER,
    ) -> None:
        self.feature = feature
        self.plane = plane
        self.own = own
        self.default = tuple(default)
        self.to_plane = to_plane
        self.made_from = made_from

    @classmethod
    def in_skin(cls, feature: str, own: str, default: Sequence[str], placement: Motion) -> Maker:
        """Return the maker of holes in the skin plane."""
        return cls(feature, SKIN_PLANE, own, default, _mover(placement))


def _mover(motion: Motion) -> Callable[[Vec], Vec]:
    """Return `motion.apply` in one step: a panel has a hundred thousand holes."""
    cosine, sine, shift = motion.cos, motion.sin, motion.shift
    sine_y, cosine_y = (-sine, -cosine) if motion.is_mirrored else (sine, cosine)
    return lambda at: Vec(
        cosine * at.x - sine_y * at.y + shift.x,
        sine * at.x + cosine_y * at.y + shift.y,
    )


def add_hole_set(draft: Draft, holes: HoleSet, maker: Maker, group: str) -> None:
    """Add the fasteners of one set, numbered on from those that stand.

    Raises:
        JobError: neither or both of points and pattern, unknown fastener or part, a locating number that is
        none.
    """
    spec = draft.specs.spec_of(holes.fastener, holes.diameter, holes.where("fastener"))
    points = _points(draft, holes)
    locating = _locating(holes, len(points))
    at = holes.where("through")
    if holes.through is None:
        stack = default_stack(draft, maker.default, maker.plane, at)
    else:
        stack = stack_of(draft, holes.through, maker.plane, maker.own, at)
    made_from = way_of_marking(draft, holes.made_from, maker.made_from, holes.where("made_from"))
    doubts = {is_locating: drilled_to(draft.job, spec, is_locating) for is_locating in set(locating)}
    where = holes.where("points" if holes.pattern is None else "pattern")
    first, row, access = next_number(draft), holes.row or "", holes.access or ""
    to_plane, plane, feature, head = maker.to_plane, maker.plane, maker.feature, holes.head
    draft.fasteners.extend(
        Fastener(
            str(number),
            number,
            plane,
            to_plane(point),
            spec,
            stack,
            head,
            feature,
            group,
            made_from,
            doubts[is_locating],
            is_locating,
            False,
            row,
            where,
            access=access,
        )
        for number, point, is_locating in zip(
            range(first, first + len(points)), points, locating, strict=True
        )
    )


def add_single_hole(draft: Draft, hole: SingleHole) -> None:
    """Add one hole with a name of its own; errors as for `add_hole_set`."""
    spec = draft.specs.spec_of(hole.fastener, hole.diameter, hole.where("fastener"))
    stack = stack_of(draft, hole.through or [SKIN], SKIN_PLANE, "", hole.where("through"))
    number = next_number(draft)
    draft.fasteners.append(
        Fastener(
            str(number),
            number,
            SKIN_PLANE,
            draft.to_skin(place(draft, hole.at)),
            spec,
            stack,
            hole.head,
            hole.name,
            hole.name,
            way_of_marking(draft, hole.made_from, PAPER, hole.where("made_from")),
            drilled_to(draft.job, spec, hole.locating),
            locating=hole.locating,
            where=hole.where(),
            access=hole.access or "",
        )
    )


def add_existing_rivets(draft: Draft) -> None:
    """Add the rivets that are there already, numbered R1, R2, ... through skin and structure."""
    for structure in draft.job.structure:
        for rivets in structure.rivets:
            with draft.faults.guard(rivets.where(), structure.name):
                draft.structure(structure.name, structure.where())
                spec = draft.specs.named(rivets.fastener, rivets.where("fastener"))
                flange = draft.face_in(structure.name, SKIN_PLANE)
                stack = (SKIN,) if flange is None else (SKIN, flange.name)
                doubt = structure_doubt(draft.job, structure)
                first = sum(each.exists for each in draft.fasteners) + 1
                for number, point in enumerate(existing_rivet_points(draft, structure, rivets), first):
                    draft.fasteners.append(
                        Fastener(
                            f"{RIVET}{number}",
                            number,
                            SKIN_PLANE,
                            point,
                            spec,
                            stack,
                            "outside",
                            structure.name,
                            f"{structure.name} rivets",
                            "",
                            doubt,
                            exists=True,
                            where=rivets.where(),
                        )
                    )


def next_number(draft: Draft) -> int:
    """Return the number of the next hole to be drilled."""
    return next((each.number for each in reversed(draft.fasteners) if not each.exists), 0) + 1


def _points(draft: Draft, holes: HoleSet) -> Sequence[Vec]:
    if (holes.points is None) == (holes.pattern is None):
        given = "both are given" if holes.points is not None else "neither is given"
        raise JobError(f"a hole set has points or a pattern; {given}", at=holes.where())
    if holes.pattern is not None:
        return draft.shapes.points(holes.pattern)
    if not holes.points:
        raise JobError("a hole set without points", at=holes.where("points"))
    return [vec(point) for point in holes.points]


def _locating(holes: HoleSet, count: int) -> list[bool]:
    wrong = [number for number in holes.locating if not 1 <= number <= count]
    if wrong:
        raise JobError(
            f"locating names hole {wrong[0]}",
            at=holes.where("locating"),
            hint=f"the set has holes 1 to {count}",
        )
    chosen = set(holes.locating)
    return [number in chosen for number in range(1, count + 1)]


def way_of_marking(draft: Draft, given: str | None, default: str, at: Location) -> str:
    """Return how a hole is marked: from the paper, or through a part that has it already.

    Raises:
        JobError: a way that there is none, or a part that there is none.
    """
    if given is None or given == PAPER:
        return given or default
    way, _, part = given.partition(" ")
    parts = [name for name, each in draft.parts.items() if each.kind != "paper"]
    if way != "through" or part not in (*parts, NUTPLATE):
        known = ", ".join(f'"through {name}"' for name in [*parts, NUTPLATE])
        raise JobError(f'"{given}" is no way to mark a hole', at=at, hint=f'allowed: "paper", {known}')
    return given
