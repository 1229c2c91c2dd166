"""The inside corners of an opening: where its edge turns tighter than a given radius."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from templgen.geometry import Arc, Contour, Segment, Vec
from templgen.geometry.corner import turn_at

__all__ = ["Corner", "corners_below", "least_radius"]

LEAST_TURN = 5.0
"""A turn of less than this many degrees between two pieces is smoothed by the file and is no corner."""

HALF_TURN = 180.0 - 1e-6


class Corner(Struct, frozen=True):
    """A tight place of an opening: least radius (0: a point), turn in degrees, its tip, and the way into
    the opening.

    `is_round_end` is True where the edge turns half round in one radius: nothing rounder fits that width.
    """

    radius: float
    turn: float
    tip: Vec
    inwards: Vec
    is_round_end: bool


def corners_below(contour: Contour, radius: float) -> list[Corner]:
    """Return the corners of an opening that are tighter than a radius, mm; not those of the metal."""
    segments = contour.as_ccw().segments
    tight = [isinstance(s, Arc) and s.bulge > 0 and s.radius < radius for s in segments]
    corners = [
        _sharp(segments, n)
        for n in range(len(segments))
        if turn_at(segments[n - 1], segments[n]) >= LEAST_TURN
    ]
    corners.extend(
        corner for run in _runs(tight) if (corner := _rounded([segments[n] for n in run])) is not None
    )
    return corners


def least_radius(contour: Contour) -> float | None:
    """Return the least radius to which the edge of an opening is rounded, mm; None where it has no arc."""
    arcs = (s for s in contour.as_ccw().segments if isinstance(s, Arc) and s.bulge > 0)
    return min((arc.radius for arc in arcs), default=None)


def _runs(flags: list[bool]) -> Iterator[list[int]]:
    """Yield the cyclic runs of set flags."""
    count = len(flags)
    if all(flags):
        yield list(range(count))
        return
    starts = [n for n in range(count) if flags[n] and not flags[n - 1]]
    for start in starts:
        run = [start]
        while flags[(run[-1] + 1) % count]:
            run.append((run[-1] + 1) % count)
        yield run


def _sharp(segments: tuple[Segment, ...], number: int) -> Corner:
    before, after = segments[number - 1], segments[number]
    into = (after.tangent_at(0.0) - before.tangent_at(1.0)).unit()
    return Corner(0.0, turn_at(before, after), after.start, into, False)


def _rounded(arcs: list[Segment]) -> Corner | None:
    turn = sum(arc.sweep for arc in arcs if isinstance(arc, Arc))
    tightest = min((arc for arc in arcs if isinstance(arc, Arc)), key=lambda arc: arc.radius)
    if turn < LEAST_TURN:
        return None
    one_radius = all(isinstance(arc, Arc) and abs(arc.radius - tightest.radius) < 1e-6 for arc in arcs)
    into = (tightest.centre - tightest.midpoint).unit()
    return Corner(tightest.radius, turn, tightest.midpoint, into, one_radius and turn >= HALF_TURN)
