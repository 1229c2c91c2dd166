"""The shortest line from a place inside to a place outside that goes through openings one behind the
other."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from templgen.geometry.contains import Side, locate
from templgen.geometry.contour import Contour
from templgen.geometry.segment import Segment
from templgen.geometry.vector import Vec

__all__ = ["Gate", "Point3", "TautLine", "taut_line"]

Point3 = tuple[Vec, float]
"""A place in the skin plane and its depth, mm."""

_ROUNDS = 60
_LOOKS = 8
_GOLDEN = (math.sqrt(5) - 1) / 2


@dataclass(frozen=True, slots=True)
class Gate:
    """An opening in the plane at a depth."""

    opening: Contour
    z: float


@dataclass(frozen=True, slots=True)
class TautLine:
    """Its length (mm), and its corners with both ends."""

    length: float
    corners: tuple[Point3, ...]


def taut_line(start: Point3, end: Point3, gates: Sequence[Gate]) -> TautLine:
    """Return the shortest way from start to end through gates in their order, pulled taut round their edges.

    Each crossing in turn is moved to its best place until nothing changes; for convex openings that is the
    shortest of all, for others it is one that can not be made shorter by small moves.
    """
    way: list[Point3] = [start, *((gate.opening.bounds.centre, gate.z) for gate in gates), end]
    before = math.inf
    for _ in range(_ROUNDS):
        for number, gate in enumerate(gates, 1):
            way[number] = (_crossing(way[number - 1], way[number + 1], gate), gate.z)
        length = _length(way)
        if before - length < 1e-9:
            break
        before = length
    return TautLine(length, tuple(way))


def _length(way: Sequence[Point3]) -> float:
    return math.fsum(_apart(a, b) for a, b in pairwise(way))


def _apart(a: Point3, b: Point3) -> float:
    return math.hypot(a[0].distance_to(b[0]), a[1] - b[1])


def _crossing(before: Point3, after: Point3, gate: Gate) -> Vec:
    """Where the way crosses a gate so that both its parts together are shortest."""
    fall = after[1] - before[1]
    if fall != 0.0:
        straight = before[0].towards(after[0], (gate.z - before[1]) / fall)
        if 0.0 <= (gate.z - before[1]) / fall <= 1.0 and locate(straight, gate.opening) is not Side.OUTSIDE:
            return straight

    def both(place: Vec) -> float:
        return _apart(before, (place, gate.z)) + _apart((place, gate.z), after)

    return min((_best_on(segment, both) for segment in gate.opening.segments), key=both)


def _best_on(segment: Segment, cost: Callable[[Vec], float]) -> Vec:
    """The best place on a segment: looks along it, then golden sections about the best look."""
    looks = [number / _LOOKS for number in range(_LOOKS + 1)]
    best = min(looks, key=lambda t: cost(segment.point_at(t)))
    low, high = max(best - 1 / _LOOKS, 0.0), min(best + 1 / _LOOKS, 1.0)
    while (high - low) * segment.length > 1e-7:
        a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        if cost(segment.point_at(a)) < cost(segment.point_at(b)):
            high = b
        else:
            low = a
    return segment.point_at((low + high) / 2)
