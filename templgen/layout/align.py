"""From [[existing]] and [[distance]] to the alignment of the template."""

from __future__ import annotations

import re

from templgen.errors import JobError
from templgen.geometry import Bounds, Vec
from templgen.job.alignment import ExistingHole
from templgen.layout.alignment import Alignment, DistanceBetween, MeasuredHole, align
from templgen.layout.assembly import SKIN_PLANE, Fastener
from templgen.layout.draft import Draft
from templgen.layout.frames import vec
from templgen.layout.places import place
from templgen.shapes.names import unknown

__all__ = ["alignment_of"]

_OPEN_RADIUS = 2.0
"""Drawn round a target that is a bare place, mm."""


def alignment_of(draft: Draft) -> Alignment | None:
    """Return how the template lies on the holes that exist; None where the job names none.

    Raises:
        JobError: a target that there is none; two holes with one target.
    """
    job = draft.job
    if not job.existing:
        return None
    holes = [_hole(draft, each) for each in job.existing]
    _refuse_doubles(draft, holes)
    distances = [
        DistanceBetween(
            each.start,
            each.end,
            each.length,
            job.measured_to if each.measured_to is None else each.measured_to,
            where=each.where(),
        )
        for each in job.distance
    ]
    return align(holes, distances, _corners(draft), _candidates(draft, holes))


def _hole(draft: Draft, given: ExistingHole) -> MeasuredHole:
    doubt = draft.job.measured_to if given.measured_to is None else given.measured_to
    at = None if given.at is None else draft.to_skin(vec(given.at))
    where = given.where()
    if given.place is not None:
        spot = draft.to_skin(place(draft, given.place))
        line = draft.structures.get(given.place.reference)
        own = 0.0 if line is None else line.doubt
        return MeasuredHole(given.name, spot, at, doubt, own, "", _OPEN_RADIUS, where)
    target = _target(draft, given)
    own = target.doubt if target.exists else 0.0
    return MeasuredHole(given.name, target.at, at, doubt, own, target.name, target.spec.hole / 2, where)


def _target(draft: Draft, given: ExistingHole) -> Fastener:
    """The rivet by its mark ("R3", or "rib 7 R3"), or the hole by its number or its own name."""
    text = given.target or ""
    in_skin = [each for each in draft.fasteners if each.plane == SKIN_PLANE]
    found = re.fullmatch(r"(?:(?P<of>.+) )?(?P<mark>R?\d+)", text)
    alike = [each for each in in_skin if found and each.name == found["mark"]]
    if alike and found and found["of"] in (None, alike[0].feature):
        return alike[0]
    named = [each for each in in_skin if each.feature == text]
    if len(named) == 1:
        return named[0]
    hint = unknown(text, [_words(each) for each in in_skin if each.exists] or [each.name for each in in_skin])
    if alike and found and any(each.feature == found["of"] for each in in_skin):
        hint = f"{found['mark']} is of {alike[0].feature}"
    elif named:
        hint = f"it has several: {', '.join(each.name for each in named[:12])}"
    raise JobError(f'no rivet or hole in the skin is called "{text}"', at=given.where("target"), hint=hint)


def _words(fastener: Fastener) -> str:
    return f"{fastener.feature} {fastener.name}"


def _refuse_doubles(draft: Draft, holes: list[MeasuredHole]) -> None:
    taken: dict[str, str] = {}
    for hole, given in zip(holes, draft.job.existing, strict=True):
        if hole.mark and hole.mark in taken:
            raise JobError(
                f'"{hole.name}" and "{taken[hole.mark]}" have the same target', at=given.where("target")
            )
        taken[hole.mark] = hole.name


def _candidates(draft: Draft, holes: list[MeasuredHole]) -> dict[str, Vec]:
    """The rivets that are there already and were not measured."""
    taken = {hole.mark for hole in holes}
    return {
        _words(each): each.at
        for each in draft.fasteners
        if each.exists and each.plane == SKIN_PLANE and each.name not in taken
    }


def _corners(draft: Draft) -> tuple[Vec, ...]:
    """The corners of the box round all that is made in the skin."""
    cutouts = [cutout.contour.bounds for cutout in draft.cutouts if cutout.plane == SKIN_PLANE]
    points = [corner for box in cutouts for corner in box.corners]
    points += [each.at for each in draft.fasteners if each.plane == SKIN_PLANE and not each.exists]
    box = Bounds.of(points) if points else None
    return () if box is None else tuple(box.corners)
