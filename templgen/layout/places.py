"""Places: from the origin, from a structure line, or from a hole that has a name."""

from __future__ import annotations

from templgen.errors import JobError
from templgen.geometry import Motion, Vec
from templgen.job.fields import Place
from templgen.job.model import SingleHole
from templgen.job.names import ORIGIN
from templgen.layout.draft import Draft
from templgen.layout.faults import SkippedError
from templgen.shapes.names import unknown

__all__ = ["place", "placement"]


def place(draft: Draft, given: Place, _chain: tuple[str, ...] = ()) -> Vec:
    """Return a place in the measured frame, mm.

    Raises:
        JobError: unknown reference, missing numbers, or holes placed from each other in a ring.
    """
    if given.reference in draft.measured_lines:
        return _from_line(draft, given)
    hole = next((each for each in draft.job.hole if each.name == given.reference), None)
    if given.reference != ORIGIN and hole is None:
        _refuse_reference(draft, given)
    base = Vec(0.0, 0.0) if hole is None else _hole_place(draft, hole, given, _chain)
    if given.along is not None or given.off is not None:
        key = "along" if given.along is not None else "off"
        raise JobError(
            f'{key} counts along a structure line, "{given.reference}" is none',
            at=given.where(key),
            hint="give x and y, or a structure line to place from",
        )
    if given.x is None or given.y is None:
        raise JobError(f'a place from "{given.reference}" needs x and y', at=given.where())
    return base + Vec(given.x, given.y)


def placement(draft: Draft, at: Vec, angle: float) -> Motion:
    """Return the motion from a feature's own frame to the skin plane.

    Args:
        at: its place in the measured frame.
        angle: its turn in the measured frame, degrees.
    """
    return Motion.rotation(angle).then(Motion.translation(at)).then(draft.view)


def _from_line(draft: Draft, given: Place) -> Vec:
    if given.x is not None or given.y is not None:
        key = "x" if given.x is not None else "y"
        raise JobError(
            f'{key} counts from the origin or a hole, "{given.reference}" is a structure line',
            at=given.where(key),
            hint="give along and off",
        )
    if given.along is None or given.off is None:
        raise JobError(f'a place from "{given.reference}" needs along and off', at=given.where())
    line = draft.measured_lines[given.reference]
    return line.start + line.direction * given.along + line.direction.perp() * given.off


def _hole_place(draft: Draft, hole: SingleHole, given: Place, chain: tuple[str, ...]) -> Vec:
    if hole.name in chain:
        raise JobError(
            "holes are placed from each other in a ring: " + ", ".join([*chain, hole.name]),
            at=given.where("from"),
        )
    return place(draft, hole.at, (*chain, hole.name))


def _refuse_reference(draft: Draft, given: Place) -> None:
    structures = [each.name for each in draft.job.structure]
    known = [ORIGIN, *structures, *(each.name for each in draft.job.hole)]
    if given.reference in structures:
        raise SkippedError(given.reference)
    raise JobError(
        f'"{given.reference}" is no place to measure from',
        at=given.where("from"),
        hint=unknown(given.reference, known),
    )
