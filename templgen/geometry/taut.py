"""The shortest line from a place inside to a place outside that goes through openings one behind the
other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from itertools import accumulate, combinations, pairwise

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.geometry.contains import Side, locate
from templgen.geometry.contour import Contour
from templgen.geometry.sampling import EdgePlaces
from templgen.geometry.segment import Line
from templgen.geometry.tolerance import ANGLE_NOISE
from templgen.geometry.vector import Vec

__all__ = ["Gate", "Point3", "TautLine", "taut_line"]

Floats = NDArray[np.float64]

Point3 = tuple[Vec, float]
"""A place in the skin plane and its depth, mm."""

_LOOKS = 120
_NEARER = 56
_AROUND = np.linspace(-1.0, 1.0, _NEARER + 1)
_STEP = 1e-4
"""Corners of the line are found along an edge to this, mm; its length is then right to far less."""


class Gate(Struct, frozen=True, dict=True):
    """An opening in the plane at a depth."""

    opening: Contour
    z: float

    @cached_property
    def edge(self) -> EdgePlaces:
        """Its edge, prepared to be asked for points."""
        return EdgePlaces(self.opening)

    @cached_property
    def looks(self) -> tuple[Floats, Floats]:
        """Distances all along its edge, and the points (n, 2) there, mm: where it is looked at first."""
        along = np.linspace(0.0, self.edge.length, _LOOKS, endpoint=False)
        return along, self.edge.points(along)

    @cached_property
    def sides(self) -> tuple[tuple[float, Line], ...]:
        """Its straight sides, each with the distance along the edge at which it begins, mm."""
        segments = self.opening.segments
        begins = accumulate((segment.length for segment in segments), initial=0.0)
        return tuple((at, each) for at, each in zip(begins, segments, strict=False) if isinstance(each, Line))


class TautLine(Struct, frozen=True):
    """Its length (mm), and its corners with both ends."""

    length: float
    corners: tuple[Point3, ...]


def taut_line(start: Point3, end: Point3, gates: Sequence[Gate]) -> TautLine:
    """Return the shortest way from start to end through gates in their order, pulled taut round their edges.

    A taut line is straight but where it bends round an edge. The straight line, or the shortest line round
    the edge of one gate that the straight line misses, is no longer than the answer, so it is the answer if
    it passes all gates. Else the answer is the shortest of the lines that bend round two edges or more and
    pass the others.
    """
    straight = _line((start, end))
    missed = [gate for gate in gates if not _passes(straight, gate)]
    if not missed:
        return straight
    for gate in missed:
        line = _over_edges(start, end, (gate,))
        if _passes_rest(line, gates, (gate,)):
            return line
    more = [touched for count in range(2, len(gates) + 1) for touched in combinations(gates, count)]
    lines = ((_over_edges(start, end, touched), touched) for touched in more)
    found = [line for line, touched in lines if _passes_rest(line, gates, touched)]
    if found:
        return min(found, key=lambda line: line.length)
    raise AssertionError("a line that touches every gate passes all of them")


def _passes_rest(line: TautLine, gates: Sequence[Gate], touched: Sequence[Gate]) -> bool:
    return all(_passes(line, gate) for gate in gates if gate not in touched)


def _passes(line: TautLine, gate: Gate) -> bool:
    """Whether a line crosses the plane of a gate within its opening."""
    for (a, za), (b, zb) in pairwise(line.corners):
        if za != zb and min(za, zb) <= gate.z <= max(za, zb):
            return locate(a.towards(b, (gate.z - za) / (zb - za)), gate.opening) is not Side.OUTSIDE
    return False


def _over_edges(start: Point3, end: Point3, gates: Sequence[Gate]) -> TautLine:
    """The shortest line that bends round the edge of each of some gates, one or more."""
    steps = [gate.edge.length / _LOOKS for gate in gates]
    best = _shortest(start, end, [(*gate.looks, gate.z) for gate in gates])
    while max(steps) > _STEP:
        # the best lies within two looks of the best look
        on_sides = _on_sides(start, end, gates, best, steps)
        if on_sides:
            best = on_sides
            break
        places = [at + 2 * step * _AROUND for at, step in zip(best, steps, strict=True)]
        steps = [4 * step / _NEARER for step in steps]
        nearer = zip(gates, places, strict=True)
        best = _shortest(start, end, [(along, gate.edge.points(along), gate.z) for gate, along in nearer])
    bends = [(gate.opening.point_at(at)[0], gate.z) for gate, at in zip(gates, best, strict=True)]
    return _line((start, *bends, end))


def _on_sides(
    start: Point3, end: Point3, gates: Sequence[Gate], best: Sequence[float], steps: Sequence[float]
) -> list[float]:
    """The places along the edges, within two looks of the best, where the line bends round straight sides.

    Round sides that run one way the planes between them unfold to one plane, in which it is straight. Nothing
    where the edges there are others, or where it bends elsewhere.
    """
    lows = [at - 2 * step for at, step in zip(best, steps, strict=True)]
    sides = [side for side in map(_on_side, gates, lows, steps) if side is not None]
    if len(sides) < len(gates) or any(way.distance_to(sides[0][1]) > ANGLE_NOISE for _, way in sides):
        return []
    way = sides[0][1]
    rows = [start, *((point, gate.z) for (point, _), gate in zip(sides, gates, strict=True)), end]
    reached = list(accumulate(math.hypot(way.cross(b[0] - a[0]), b[1] - a[1]) for a, b in pairwise(rows)))
    if not reached[-1]:
        return []
    slope = way.dot(end[0] - start[0]) / reached[-1]
    beyond = [way.dot(start[0] - row[0]) + slope * off for row, off in zip(rows[1:-1], reached, strict=False)]
    if all(0.0 <= each <= 4 * step for each, step in zip(beyond, steps, strict=True)):
        return [low + each for low, each in zip(lows, beyond, strict=True)]
    return []


def _on_side(gate: Gate, low: float, step: float) -> tuple[Vec, Vec] | None:
    """The point at a distance along an edge, and the direction of the straight side that has it and the next
    four steps; None where no side has."""
    first = low % gate.edge.length
    for begins, side in gate.sides:
        if begins <= first and first + 4 * step <= begins + side.length:
            return side.start + side.direction * (first - begins), side.direction
    return None


def _line(corners: tuple[Point3, ...]) -> TautLine:
    return TautLine(math.fsum(_apart(a, b) for a, b in pairwise(corners)), corners)


def _shortest(start: Point3, end: Point3, gates: Sequence[tuple[Floats, Floats, float]]) -> list[float]:
    """For each gate the place along its edge on the shortest chain from start to end, gate by gate.

    A gate is given by distances (n,) along its edge, the points (n, 2) there, and its depth.
    """
    reached, depth, sofar = _flat(start), start[1], np.zeros(1)
    back: list[NDArray[np.intp]] = []
    for _, points, z in gates:
        ways = sofar[:, None] + _lengths(reached, points, z - depth)
        before = ways.argmin(axis=0)
        back.append(before)
        reached, depth, sofar = points, z, ways[before, np.arange(len(points))]
    index = int((sofar + _lengths(reached, _flat(end), end[1] - depth)[:, 0]).argmin())
    chosen: list[float] = []
    for (along, _, _), before in zip(reversed(gates), reversed(back), strict=True):
        chosen.append(float(along[index]))
        index = int(before[index])
    return chosen[::-1]


def _lengths(ones: Floats, others: Floats, deep: float) -> Floats:
    """Distances (n, m) of points (n, 2) in one plane and points (m, 2) in another one, mm."""
    x, y = ones[:, :1] - others[:, 0], ones[:, 1:] - others[:, 1]
    lengths: Floats = np.sqrt(x * x + y * y + deep * deep)
    return lengths


def _flat(place: Point3) -> Floats:
    return np.array([(place[0].x, place[0].y)])


def _apart(a: Point3, b: Point3) -> float:
    return math.hypot(a[0].distance_to(b[0]), a[1] - b[1])
