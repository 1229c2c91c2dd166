"""The way of the saw: straight cuts from hole to hole, along the sides of a cutout and inside its waste."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from templgen.geometry import Arc, Line, Segment, Vec
from templgen.geometry.tolerance import SHORTEST
from templgen.layout.cutting.model import PlanHole

__all__ = ["MOST_OFF", "straight_cuts"]

MOST_OFF = 0.8
"""Along a side that bends outwards a straight cut leaves at most this more, mm (our own default, 1/32 in)."""

_STRAIGHT = 1e-6
_INTO_HOLE = 0.1
"""A cut ends at least this part of the radius inside its hole."""


def straight_cuts(corners: Sequence[tuple[Sequence[Segment], PlanHole]], depth: float) -> Iterator[Line]:
    """Yield the cuts round a waste.

    Args:
        corners: in order, the hole of each corner and the sides from it to the next one.
        depth: how far inside the finish edge a cut runs, mm, where the holes let it.
    """
    for number, (sides, one) in enumerate(corners):
        other = corners[(number + 1) % len(corners)][1]
        route = _straightened(_route(sides, one, other, depth))
        last = len(route) - 2
        for place, (start, end) in enumerate(pairwise(route)):
            cut = _outside(start, end, one if place == 0 else None, other if place == last else None)
            if cut is not None:
                yield cut


def _route(sides: Sequence[Segment], one: PlanHole, other: PlanHole, depth: float) -> list[Vec]:
    """Return the places from hole to hole along some sides, `depth` inside the waste."""
    if not sides:
        return [one.at, other.at]
    route = [_beside(sides[0], one, depth)]
    for number, side in enumerate(sides):
        is_last = number == len(sides) - 1
        end = _beside(side, other, depth) if is_last else _joint(side, sides[number + 1], depth)
        if isinstance(side, Arc):
            route += _chord_ends(side, route[-1], end)
        route.append(end)
    return route


def _inwards(segment: Segment, at: Vec) -> Vec:
    """Return the way from the edge into the waste beside a place."""
    if isinstance(segment, Line):
        return segment.direction.perp()
    return (segment.centre - at).unit()


def _beside(side: Segment, hole: PlanHole, depth: float) -> Vec:
    """Return the place where a cut along a side enters a hole: at the depth asked, else inside the hole."""
    inwards = _inwards(side, hole.at)
    away = (
        inwards.dot(hole.at - side.start)
        if isinstance(side, Line)
        else side.radius - hole.at.distance_to(side.centre)
    )
    radius = hole.diameter / 2
    inside = min(max(depth, away - radius * (1 - _INTO_HOLE)), away)
    return hole.at + inwards * (inside - away)


def _joint(a: Segment, b: Segment, depth: float) -> Vec:
    """Return where two sides meet that were moved into the waste."""
    one, other = a.tangent_at(1.0), b.tangent_at(0.0)
    middle = (one + other).unit()
    # the half turn between them: at a point of the metal the meeting place is farther away
    return a.end + middle.perp() * (depth / max(middle.dot(one), _INTO_HOLE))


def _chord_ends(arc: Arc, start: Vec, end: Vec) -> list[Vec]:
    """Return the places between start and end on their way round a centre, so that chords stay near."""
    one, other = start - arc.centre, end - arc.centre
    turn = math.degrees(math.atan2(one.cross(other), one.dot(other)))
    radius = max(one.length, other.length)
    if turn <= 0.0:
        return []
    step = 2 * math.degrees(math.acos(max(1 - MOST_OFF / radius, 0.0)))
    count = math.ceil(turn / step)
    lengths = [one.length + (other.length - one.length) * n / count for n in range(1, count)]
    return [arc.centre + one.unit().turned(turn * n / count) * lengths[n - 1] for n in range(1, count)]


def _straightened(route: Sequence[Vec]) -> list[Vec]:
    """Return fewer places: those left out lie towards the edge, and hardly beside the cut."""
    kept = [route[0]]
    place = 0
    while place < len(route) - 1:
        ends = range(len(route) - 1, place, -1)
        place = next(end for end in ends if end == place + 1 or _stays_near(route[place : end + 1]))
        kept.append(route[place])
    return kept


def _stays_near(places: Sequence[Vec]) -> bool:
    start, way = places[0], places[-1] - places[0]
    if way.length <= SHORTEST:
        return False
    offs = [(place - start).cross(way.unit()) for place in places[1:-1]]
    return all(-_STRAIGHT <= off <= MOST_OFF + _STRAIGHT for off in offs)


def _outside(start: Vec, end: Vec, first: PlanHole | None, last: PlanHole | None) -> Line | None:
    """Return the part of a cut outside its holes; None where they run into each other."""
    length = start.distance_to(end)
    if length <= SHORTEST:
        return None
    way = (end - start).unit()
    low = 0.0 if first is None else _exit(start, way, first)
    high = length if last is None else length - _exit(end, -way, last)
    if high - low <= SHORTEST:
        return None
    return Line(start + way * low, start + way * high)


def _exit(start: Vec, way: Vec, hole: PlanHole) -> float:
    """Return how far it is from a place inside a hole to its edge, along a way."""
    to_centre = hole.at - start
    along, off = to_centre.dot(way), to_centre.cross(way)
    return along + math.sqrt(max((hole.diameter / 2) ** 2 - off * off, 0.0))
