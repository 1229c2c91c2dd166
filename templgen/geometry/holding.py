"""Where a convex figure lies in an opening so that most room is left all round: the best place, and the room.

For one angle this is a small linear programme. The opening is the meet of half-planes n . x <= h; the figure
at x keeps c from each of them when n . x + c <= h - max(n . p) over its points p. The largest c is found by
exchanging one of three half-planes at a time, as in the simplex method; it needs no start and no solver.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from templgen.errors import GeometryError
from templgen.geometry.contains import Side, contour_inside, locate
from templgen.geometry.contour import Contour
from templgen.geometry.distance import contour_contour, point_contour, point_segment
from templgen.geometry.flatten import flatten
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.vector import Vec

__all__ = [
    "Held",
    "HoleSpace",
    "clearance_in",
    "convex_hull",
    "hold",
    "hold_turned",
    "nearest_normal",
    "tangent_polygon",
]

Floats = NDArray[np.float64]
Basis: TypeAlias = tuple[int, int, int]
Rows: TypeAlias = tuple[tuple[float, float], ...]

SAGITTA = 0.0005
"""Chords stand for arcs of the opening up to this, mm; they lie inside it, so that nothing is made larger."""

_FAR_NORMALS = np.array([(0.0, 1.0), (math.sqrt(0.75), -0.5), (-math.sqrt(0.75), -0.5)])
_FAR_LIMITS = np.full(3, 1e5)
"""Three half-planes so far away that they count for nothing, to begin with."""

_SLACK = 1e-9
_MOST_STEPS = 400
_COARSE = 0.2
_CUT_DIRECTIONS = 24
_TURNS = 2 * np.pi * np.arange(_CUT_DIRECTIONS) / _CUT_DIRECTIONS
_DIRECTIONS = np.round(np.column_stack([np.cos(_TURNS), np.sin(_TURNS)]), 12)
"""Whole quarter turns are exact, so that a cut along an edge leaves all of it."""

_MOST_CUTS = 60
_ZOOMS = 16


@dataclass(frozen=True, slots=True, eq=False)
class HoleSpace:
    """A convex part of an opening as half-planes: rows of `normals` (n, 2) and their `limits` (n,), mm.

    `is_convex` says that the opening itself is convex, so that all of it but what was cut off counts.
    """

    contour: Contour
    normals: Floats
    limits: Floats
    is_convex: bool
    balanced: Floats = field(init=False, repr=False, compare=False)
    rows: Rows = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        balanced = np.concatenate([self.normals, _FAR_NORMALS])
        object.__setattr__(self, "balanced", balanced)
        object.__setattr__(self, "rows", tuple((float(x), float(y)) for x, y in balanced))

    @classmethod
    def of(cls, contour: Contour, keep_off: Iterable[tuple[Vec, Vec]] = ()) -> HoleSpace:
        """Return the space of a closed contour; each (point, normal) of `keep_off` cuts off what lies beyond.

        Of an opening that is not convex a large convex part is kept, so that a place found in it is one.
        """
        ring = contour.as_ccw()
        points = np.array([(p.x, p.y) for s in ring.segments for p in _inner_points(s)])
        convex = _is_convex(points)
        normals, limits = _half_planes(points if convex else convex_hull(points))
        cuts = [*keep_off, *(() if convex else _cuts_to_convex(ring))]
        if cuts:
            more = np.array([(n.unit().x, n.unit().y) for _, n in cuts])
            normals = np.concatenate([normals, more])
            limits = np.concatenate([limits, [p.dot(n.unit()) for p, n in cuts]])
        return cls(ring, normals, limits, convex)


@dataclass(frozen=True, slots=True)
class Held:
    """A place of a figure: its origin at `at`, turned by `angle` degrees, `clearance` (mm) left all round.

    A clearance below 0 says by how much the opening would have to grow on every side.
    """

    at: Vec
    angle: float
    clearance: float
    basis: Basis | None = field(default=None, repr=False, compare=False)


def hold(space: HoleSpace, figure: Floats, angle: float, like: Held | None = None) -> Held:
    """Return the best place of a convex figure, points (n, 2), turned by an angle in degrees.

    `like` is the place of a like figure in the same opening; it only saves time.
    """
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    turned = figure @ np.array([[c, s], [-s, c]])
    limits = space.limits - (space.normals @ turned.T).max(axis=1)
    x, y, clearance, basis = _deepest(space, limits, like.basis if like else None)
    return Held(Vec(x, y), angle, clearance, basis)


def hold_turned(space: HoleSpace, figure: Floats, angles: Sequence[float], best_of: int = 1) -> list[Held]:
    """Return the best places over all angles, the best first.

    Args:
        space: the opening.
        figure: points (n, 2) of a convex figure, mm.
        angles: evenly spaced angles at which to look; the best are refined between their neighbours.
        best_of: how many different places are wanted.
    """
    found: list[Held] = []
    for angle in angles:
        found.append(hold(space, figure, angle, found[-1] if found else None))
    peaks = [
        held
        for before, held, after in zip([found[-1], *found[:-1]], found, [*found[1:], found[0]], strict=True)
        if held.clearance >= before.clearance and held.clearance >= after.clearance
    ]
    peaks.sort(key=lambda held: -held.clearance)
    step = angles[1] - angles[0] if len(angles) > 1 else 0.0
    refined = [_refined(space, figure, held, step) for held in peaks[:best_of]]
    return sorted(refined, key=lambda held: -held.clearance)


def clearance_in(contour: Contour, figure: Sequence[Vec]) -> float:
    """Return the least distance from a convex figure to an opening that holds it, exactly; below 0 outside.

    Args:
        contour: the opening, closed.
        figure: corners of the figure, in order; one or two are a point or a stretch.

    Returns:
        mm; for a figure that is not held, less the farthest distance of a corner outside (at most -1e-9).
    """
    corners = _without_repeats(figure)
    outside = [point_contour(p, contour).distance for p in corners if locate(p, contour) is Side.OUTSIDE]
    if outside:
        return -max(*outside, _SLACK)
    if len(corners) == 1:
        return point_contour(corners[0], contour).distance
    edges = Contour.polygon(corners) if len(corners) > 2 else Contour.polyline(corners)
    if not contour_inside(edges, contour):
        return -_SLACK
    return contour_contour(edges, contour).distance


def convex_hull(points: Floats) -> Floats:
    """Return the corners (m, 2) of the convex hull of points (n, 2), counter-clockwise (Andrew's chain)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered)
    lower, upper = _chain(ordered), _chain(reversed(ordered))
    return np.array(lower[:-1] + upper[:-1])


def tangent_polygon(normals: Floats, farthest: Floats) -> Floats:
    """Return the corners (n, 2) of the polygon round a convex figure whose sides are tangents to it.

    Args:
        normals: (n, 2) unit vectors all round, counter-clockwise, less than 180 degrees from one to the next.
        farthest: (n,) how far the figure reaches along each, mm.
    """
    n, m = np.roll(normals, 1, axis=0), normals
    reach, other = np.roll(farthest, 1), farthest
    det = n[:, 0] * m[:, 1] - n[:, 1] * m[:, 0]
    x, y = (reach * m[:, 1] - other * n[:, 1]) / det, (n[:, 0] * other - m[:, 0] * reach) / det
    return np.column_stack([x, y])


def _chain(points: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    kept: list[tuple[float, float]] = []
    for point in points:
        while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0.0:
            kept.pop()
        kept.append(point)
    return kept


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _without_repeats(points: Sequence[Vec]) -> list[Vec]:
    kept: list[Vec] = []
    for point in points:
        if all(point.distance_to(other) > _SLACK for other in (*kept[-1:], *kept[:1])):
            kept.append(point)
    return kept


def _inner_points(segment: Segment) -> list[Vec]:
    """Points whose polygon stays inside the opening: on outward arcs, round inward ones by tangents."""
    if isinstance(segment, Line):
        return [segment.start]
    points = flatten(segment, SAGITTA)
    if segment.bulge > 0:
        return points[:-1]
    half = math.radians(abs(segment.sweep)) / (len(points) - 1) / 2
    if half >= math.pi / 4:
        points = [segment.point_at(t / 8) for t in range(9)]
        half = math.radians(abs(segment.sweep)) / 16
    middles = [segment.point_at((i + 0.5) / (len(points) - 1)) for i in range(len(points) - 1)]
    outwards = [segment.centre + (m - segment.centre) / math.cos(half) for m in middles]
    return [segment.start, *outwards]


def _is_convex(points: Floats) -> bool:
    steps = np.diff(np.vstack([points, points[:1]]), axis=0)
    following = np.roll(steps, -1, axis=0)
    turns = steps[:, 0] * following[:, 1] - steps[:, 1] * following[:, 0]
    return bool((turns >= -_SLACK).all())


def _half_planes(corners: Floats) -> tuple[Floats, Floats]:
    steps = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    kept = lengths > _SLACK
    normals = np.column_stack([steps[kept, 1], -steps[kept, 0]]) / lengths[kept, None]
    limits: Floats = (normals * corners[kept]).sum(axis=1)
    return normals, limits


def _cuts_to_convex(ring: Contour) -> list[tuple[Vec, Vec]]:
    """Lines (point, outward normal) that leave a large convex part of an opening of its hull.

    Each goes through the edge point that lies deepest in what is left, and keeps the larger rest; the first
    one is tried in all directions.
    """
    edge = np.array([(p.x, p.y) for s in ring.segments for p in _along(s)])
    coarse = convex_hull(np.array([(p.x, p.y) for p in flatten(ring, _COARSE)]))
    tries = [_cut_on(coarse, edge, ring, direction) for direction in range(_CUT_DIRECTIONS)]
    done = [(area, cuts) for area, cuts in tries if cuts]
    if not done:
        raise GeometryError("the opening has too many notches to find room in it")
    _, best = max(done, key=lambda each: each[0])
    return [(Vec(float(p[0]), float(p[1])), Vec(float(n[0]), float(n[1]))) for p, n in best]


def _cut_on(
    part: Floats, edge: Floats, ring: Contour, first: int
) -> tuple[float, list[tuple[Floats, Floats]]]:
    """Cut until no edge point lies inside; the first cut has a given direction. No cuts: there is no end to
    it."""
    cuts: list[tuple[Floats, Floats]] = []
    while len(cuts) < _MOST_CUTS:
        normals, limits = _half_planes(part)
        depth = (limits - edge @ normals.T).min(axis=1)
        point = edge[int(depth.argmax())]
        if depth.max() <= 1e-6:
            x, y = part.mean(axis=0)
            inside = locate(Vec(float(x), float(y)), ring) is Side.INSIDE
            return (_area(part), cuts) if inside else (0.0, [])
        directions = range(_CUT_DIRECTIONS) if cuts else (first,)
        rests = [(_clipped(part, _DIRECTIONS[number], point), number) for number in directions]
        part, number = max(rests, key=lambda each: _area(each[0]))
        if len(part) < 3:
            break
        cuts.append((point, _DIRECTIONS[number]))
    return 0.0, []


def _along(segment: Segment) -> list[Vec]:
    # edges are looked at every 2 mm; what is found is measured exactly afterwards
    count = max(1, math.ceil(segment.length / 2.0))
    points = [segment.point_at(i / count) for i in range(count)]
    return [*points, *_inner_points(segment)] if isinstance(segment, Arc) else points


def _clipped(polygon: Floats, normal: Floats, point: Floats) -> Floats:
    """What of a convex polygon lies below a line; fewer than three corners are nothing."""
    heights = (polygon - point) @ normal
    after = np.roll(heights, -1)
    crosses = heights * after < 0
    share = np.where(crosses, heights / np.where(crosses, heights - after, 1.0), 0.0)
    meets = polygon + (np.roll(polygon, -1, axis=0) - polygon) * share[:, None]
    both = np.stack([polygon, meets], axis=1).reshape(-1, 2)
    return both[np.stack([heights <= 0, crosses], axis=1).reshape(-1)]


def _area(polygon: Floats) -> float:
    if len(polygon) < 3:
        return 0.0
    following = np.roll(polygon, -1, axis=0)
    return float(np.sum(polygon[:, 0] * following[:, 1] - polygon[:, 1] * following[:, 0])) / 2


def _refined(space: HoleSpace, figure: Floats, held: Held, step: float) -> Held:
    """Look nearer and nearer round an angle; the clearance has one peak between two looks."""
    best = held
    for _ in range(_ZOOMS if step else 0):
        nearer = [hold(space, figure, best.angle + step * part, best) for part in (-0.5, 0.5)]
        best = max(best, *nearer, key=lambda each: each.clearance)
        step *= 0.5 if best.angle in {each.angle for each in nearer} else 0.45
    return best


def _deepest(space: HoleSpace, limits: Floats, start: Basis | None) -> tuple[float, float, float, Basis]:
    """Return x, y, the largest c with normals . (x, y) + c <= limits, and the three half-planes that hold it.

    Three that balance each other do so whatever their limits, so those of a like figure are a good start.
    """
    m = np.concatenate([limits, _FAR_LIMITS])
    n, rows, last = space.balanced, space.rows, len(m) - 1
    basis = start or (last - 2, last - 1, last)
    for _ in range(_MOST_STEPS):
        x, y, height = _meet(rows, m, basis)
        heights = m - n @ (x, y)
        worst = int(heights.argmin())
        if worst in basis or heights[worst] >= height - _SLACK:
            break
        exchanged = _exchange(rows, m, basis, worst)
        if exchanged is None:
            break
        basis = exchanged
    return x, y, float(heights.min()), basis


def _meet(rows: Rows, m: Floats, basis: Basis) -> tuple[float, float, float]:
    """The point at one distance from three half-planes, and that distance."""
    i, j, k = basis
    (ax, ay), (bx, by), (cx, cy) = rows[i], rows[j], rows[k]
    third = float(m[k])
    ux, uy, vx, vy = ax - cx, ay - cy, bx - cx, by - cy
    p, q = float(m[i]) - third, float(m[j]) - third
    det = ux * vy - uy * vx
    x, y = (p * vy - q * uy) / det, (q * ux - p * vx) / det
    return x, y, third - cx * x - cy * y


def _exchange(rows: Rows, m: Floats, basis: Basis, new: int) -> Basis | None:
    """The three of four half-planes that hold each other in balance at the least height."""
    best: Basis | None = None
    least = math.inf
    cx, cy = rows[new]
    for i, j in ((basis[0], basis[1]), (basis[0], basis[2]), (basis[1], basis[2])):
        (ax, ay), (bx, by) = rows[i], rows[j]
        p, q, r = bx * cy - by * cx, cx * ay - cy * ax, ax * by - ay * bx
        total = p + q + r
        if abs(total) < 1e-12 or p / total < -1e-9 or q / total < -1e-9 or r / total < -1e-9:
            continue
        value = (p * float(m[i]) + q * float(m[j]) + r * float(m[new])) / total
        if value < least:
            best, least = (i, j, new), value
    return best


def nearest_normal(point: Vec, contour: Contour) -> Vec:
    """Return the outward unit normal of a counter-clockwise contour at the place nearest to a point."""
    segment = min(contour.segments, key=lambda s: point_segment(point, s).distance)
    t = min(max(segment.parameter_of(point), 0.0), 1.0)
    return -segment.tangent_at(t).perp()
