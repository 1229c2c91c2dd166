"""Stacks: which face lies on which, and which faces a hole or a cutout passes.

The side of a part and the order in which the job lists parts ("outside first") decide; where neither does,
plates lie on the skin in the order of the file, structure flanges on them, bracket legs on the flanges.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from templgen.errors import JobError, Location
from templgen.job.model import HoleSet, Job
from templgen.job.names import BASE_PLATE, PAPER, SKIN
from templgen.layout.assembly import SKIN_PLANE, Face
from templgen.layout.draft import Draft, base_plate_name
from templgen.layout.faults import SkippedError
from templgen.shapes.names import unknown

__all__ = ["default_stack", "order_faces", "stack_of", "through_faces"]

_RANK = {"base plate": 0, "flat part": 0, "structure": 1, "bracket": 2}


class _Listed(Struct, frozen=True):
    """One `through` list of the job: the parts as written, and where."""

    parts: tuple[str, ...]
    plane: str
    own: str
    at: Location


def order_faces(draft: Draft) -> None:
    """Give every face its place in the stack: outside negative, skin 0, inside positive.

    Lists that contradict each other are faults; the faces concerned keep the default order.
    """
    listed = [each for each in _lists(draft.job) if each.plane == SKIN_PLANE]
    for side, sign in (("inside", 1), ("outside", -1)):
        faces = [face for face in _by_default(draft) if draft.parts[face.part].side == side]
        chains = [(_chain(draft, each, side), each.at) for each in listed]
        ranked = _sorted_by(draft, [face.name for face in faces], chains)
        draft.reorder({name: sign * (rank + 1) for rank, name in enumerate(ranked)})
    _order_webs(draft)


def _by_default(draft: Draft) -> list[Face]:
    """Return the faces in the skin plane, nearest to the skin first, where no list says otherwise."""
    faces = [face for face in draft.skin_faces if face.part != SKIN]
    return sorted(faces, key=lambda face: (_RANK[draft.parts[face.part].kind], face.at))


def _chain(draft: Draft, listed: _Listed, side: str) -> list[str]:
    """Return the faces of one list that lie on one side, nearest to the skin first."""
    names = [_alias(draft, name, listed.own) for name in listed.parts]
    faces = [draft.face_in(name, SKIN_PLANE) for name in names if name in draft.parts]
    chain = [face.name for face in faces if face is not None and draft.parts[face.part].side == side]
    once = list(dict.fromkeys(chain))
    return once if side == "inside" else once[::-1]


def _sorted_by(draft: Draft, names: list[str], chains: list[tuple[list[str], Location]]) -> list[str]:
    """Sort faces so that every chain holds, else by their default order (a stable topological sort)."""
    before: dict[str, set[str]] = {name: set() for name in names}
    for chain, _ in chains:
        for nearer, farther in pairwise(chain):
            before[farther].add(nearer)
    done: list[str] = []
    while len(done) < len(names):
        free = next((name for name in names if name not in done and before[name] <= set(done)), None)
        if free is None:
            left = [name for name in names if name not in done]
            at = next(at for chain, at in chains if len(set(chain) & set(left)) > 1)
            message = "the stacks contradict each other: " + ", ".join(left)
            draft.faults.add(message, at, "outside first, in every list")
            return names
        done.append(free)
    return done


def _order_webs(draft: Draft) -> None:
    """Web planes are seen from the left of their line: legs on the left come before the web, others after."""
    legs = [face for face in draft.faces.values() if draft.parts[face.part].kind == "bracket"]
    counts: dict[tuple[str, int], int] = {}
    for leg in legs:
        if leg.plane == SKIN_PLANE:
            continue
        side = -1 if leg.order < 0 else 1
        counts[leg.plane, side] = counts.get((leg.plane, side), 0) + 1
        draft.reorder({leg.name: side * counts[leg.plane, side]})


def _lists(job: Job) -> Iterator[_Listed]:
    """Yield every `through` list of the job."""
    for mast in job.mast:
        yield from _of_sets(mast.flange.holes, SKIN_PLANE, base_plate_name(job, mast))
    for hole in job.hole:
        if hole.through is not None:
            yield _Listed(tuple(hole.through), SKIN_PLANE, "", hole.where("through"))
    for pattern in job.pattern:
        yield from _of_sets([pattern.holes], SKIN_PLANE, "")
    for part in job.part:
        yield from _of_sets(part.holes, SKIN_PLANE, part.name)
    for bracket in job.bracket:
        yield from _of_sets(bracket.skin_holes, SKIN_PLANE, bracket.name)
        yield from _of_sets(bracket.web_holes, f"{bracket.structure} web", bracket.name)
    for cutout in job.cutout:
        if cutout.through is not None:
            yield _Listed(tuple(cutout.through), SKIN_PLANE, "", cutout.where("through"))


def _of_sets(sets: Sequence[HoleSet], plane: str, own: str) -> Iterator[_Listed]:
    for each in sets:
        if each.through is not None:
            yield _Listed(tuple(each.through), plane, own, each.where("through"))


def _alias(draft: Draft, name: str, own: str) -> str:
    """Return the part that a name means: "base plate" is a mast's own plate inside its table."""
    return own if name == BASE_PLATE and own.startswith(BASE_PLATE) else name


def through_faces(draft: Draft, names: Sequence[str], plane: str, own: str, at: Location) -> list[Face]:
    """Return the faces that named parts have in a plane, in the order written.

    Raises:
        JobError: unknown part, a part twice, the paper, or a part that has no face in this plane.
    """
    faces = [_face_of(draft, _alias(draft, name, own), plane, at) for name in names]
    if not faces:
        raise JobError("through names no part", at=at, hint=_parts_hint(draft, "", plane))
    twice = next((face.part for place, face in enumerate(faces) if face in faces[:place]), None)
    if twice is not None:
        raise JobError(f'through names "{twice}" twice', at=at)
    return faces


def stack_of(draft: Draft, names: Sequence[str], plane: str, own: str, at: Location) -> tuple[str, ...]:
    """Return the stack of faces, outside first (in a web plane: from the head side).

    Raises:
        JobError: as `through_faces`, or an order that can not be.
    """
    faces = through_faces(draft, names, plane, own, at)
    orders = [face.order for face in faces]
    right = sorted(faces, key=lambda face: face.order)
    if orders != sorted(orders) and (plane == SKIN_PLANE or orders != sorted(orders, reverse=True)):
        raise JobError(
            "through lists the parts in an order that can not be",
            at=at,
            hint="outside first: " + ", ".join(face.part for face in right),
        )
    return tuple(face.name for face in faces)


def default_stack(draft: Draft, names: Sequence[str], plane: str, at: Location) -> tuple[str, ...]:
    """Return the stack of parts the job did not list: sorted in the skin plane, as given in a web plane."""
    faces = through_faces(draft, names, plane, "", at)
    if plane == SKIN_PLANE:
        faces = sorted(faces, key=lambda face: face.order)
    return tuple(face.name for face in faces)


def _face_of(draft: Draft, name: str, plane: str, at: Location) -> Face:
    if name == PAPER:
        raise JobError("paper is not part of a stack", at=at, hint=_parts_hint(draft, name, plane))
    if name in draft.failed:
        raise SkippedError(name)
    if name not in draft.parts:
        raise JobError(f'no part is called "{name}"', at=at, hint=_parts_hint(draft, name, plane))
    face = draft.face_in(name, plane)
    if face is None:
        raise JobError(
            f'"{name}" has no face in the plane of {plane}', at=at, hint=_parts_hint(draft, name, plane)
        )
    return face


def _parts_hint(draft: Draft, name: str, plane: str) -> str:
    in_plane = [
        part.name for part in draft.parts.values() if part.kind != "paper" and draft.face_in(part.name, plane)
    ]
    return unknown(name, in_plane)
