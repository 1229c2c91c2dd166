"""Convex figures: hulls, tangents, and a convex part of an outline that is not convex itself."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.geometry.contains import Side, locate
from templgen.geometry.contour import Contour
from templgen.geometry.distance import point_contour
from templgen.geometry.flatten import flatten, flattened
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.vector import Vec

__all__ = ["convex_half_planes", "convex_hull", "lines_of", "tangent_polygon", "widest_of"]

Floats = NDArray[np.float64]

SAGITTA = 0.0005
"""Chords stand for arcs of the opening up to this, mm; they lie inside it, so that nothing is made larger."""

_COARSE = 0.2
_CUT_DIRECTIONS = 24
_TURNS = 2 * np.pi * np.arange(_CUT_DIRECTIONS) / _CUT_DIRECTIONS
_DIRECTIONS = np.round(np.column_stack([np.cos(_TURNS), np.sin(_TURNS)]), 12)
"""Whole quarter turns are exact, so that a cut along an edge leaves all of it."""

_MOST_CUTS = 60
_DEEP = 1e-6
_SLACK = 1e-9


def convex_hull(points: Floats) -> Floats:
    """Return the corners (m, 2) of the convex hull of points (n, 2), counter-clockwise (Andrew's chain)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered)
    lower, upper = _chain(ordered), _chain(reversed(ordered))
    return np.array(lower[:-1] + upper[:-1])


def tangent_polygon(normals: Floats, farthest: Floats) -> Floats:
    """Return the corners (n, 2) of the polygon round a convex figure whose sides are tangents to it.

    What others keep farther inside already has no side: of what only holds a figure, not all need touch it.

    Args:
        normals: (n, 2) unit vectors all round, counter-clockwise, less than 180 degrees from one to the next.
        farthest: (n,) how far the figure reaches along each, mm.
    """
    while True:
        corners = _meetings(normals, farthest)
        steps = np.roll(corners, -1, axis=0) - corners
        lengths = normals[:, 0] * steps[:, 1] - normals[:, 1] * steps[:, 0]
        least = lengths.min()
        if least > _SLACK:
            return corners
        kept = lengths > _SLACK if least >= -_SLACK else np.arange(len(lengths)) != lengths.argmin()
        normals, farthest = normals[kept], farthest[kept]


def _meetings(normals: Floats, farthest: Floats) -> Floats:
    """Where each line meets the one before."""
    n, m = np.roll(normals, 1, axis=0), normals
    reach, other = np.roll(farthest, 1), farthest
    det = n[:, 0] * m[:, 1] - n[:, 1] * m[:, 0]
    x, y = (reach * m[:, 1] - other * n[:, 1]) / det, (n[:, 0] * other - m[:, 0] * reach) / det
    return np.column_stack([x, y])


@lru_cache(maxsize=64)
def convex_half_planes(contour: Contour) -> tuple[Contour, Floats, Floats, bool]:
    """Return a contour counter-clockwise, half-planes of a convex part of it, and whether that is all of it.

    Half-planes are rows of normals (n, 2) and limits (n,): normal . p <= limit, mm.
    """
    ring = contour.as_ccw()
    if any(bulge < 0.0 for bulge in ring.bulges):
        points = np.array([(p.x, p.y) for s in ring.segments for p in _inner_points(s)])
    else:
        points = flattened(ring, SAGITTA)
    if _is_convex(points):
        return ring, *_half_planes(points), True
    normals, limits = _half_planes(convex_hull(points))
    more, farther = lines_of(_cuts_to_convex(ring, points))
    return ring, np.concatenate([normals, more]), np.concatenate([limits, farther]), False


def lines_of(cuts: Sequence[tuple[Vec, Vec]]) -> tuple[Floats, Floats]:
    """Return lines (point, outward normal) as half-planes."""
    units = [(point, normal.unit()) for point, normal in cuts]
    normals = np.array([(n.x, n.y) for _, n in units]).reshape(-1, 2)
    return normals, np.array([p.dot(n) for p, n in units])


def widest_of(contour: Contour) -> float:
    """Return a bound of how far two points of a contour stand apart, mm: that of chords and two sagittas."""
    sagitta = 0.001
    points = flattened(contour, sagitta)
    # one product of matrices says which two stand farthest apart, their difference how far
    points -= points.mean(axis=0)
    squares = (points**2).sum(axis=1)
    # no pair stands farther apart than both lie from the middle: some need not be looked at
    away, far = np.sqrt(squares), points[squares.argmax()]
    least = np.hypot(points[:, 0] - far[0], points[:, 1] - far[1]).max() - _SLACK
    kept = away + away.max() >= least
    points, squares = points[kept], squares[kept]
    one, other = divmod(int((squares[:, None] + squares - 2 * points @ points.T).argmax()), len(points))
    return float(np.hypot(*(points[one] - points[other]))) + 2 * sagitta


def _chain(points: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    kept: list[tuple[float, float]] = []
    for point in points:
        while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0.0:
            kept.pop()
        kept.append(point)
    return kept


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _inner_points(segment: Segment, sagitta: float = SAGITTA) -> list[Vec]:
    """Points whose polygon stays inside the opening: on outward arcs, round inward ones by tangents."""
    if isinstance(segment, Line):
        return [segment.start]
    points = flatten(segment, sagitta)
    if segment.bulge > 0:
        return points[:-1]
    half = math.radians(abs(segment.sweep)) / (len(points) - 1) / 2
    if half >= math.pi / 4:
        points = [segment.point_at(t / 8) for t in range(9)]
        half = math.radians(abs(segment.sweep)) / 16
    middles = segment.points_at((i + 0.5) / (len(points) - 1) for i in range(len(points) - 1))
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


def _cuts_to_convex(ring: Contour, points: Floats) -> list[tuple[Vec, Vec]]:
    """Lines (point, outward normal) that leave a large convex part of an opening of the hull of its points.

    Each goes through the edge point that lies deepest in what is left, and keeps the larger rest; the first
    one is tried in several directions, on a hull with fewer corners.
    """
    edge = np.array([(p.x, p.y) for s in ring.segments for p in _along(s)])
    coarse = convex_hull(np.array([(p.x, p.y) for p in flatten(ring, _COARSE)]))
    tries = [_cut_on(coarse, edge, ring, first) for first in (None, *_DIRECTIONS[::3])]
    best = max(tries, key=lambda each: each.area)
    part = convex_hull(points)
    for point, normal in best.lines:
        part = _clipped(part, normal, point)
    rest = _cut_on(part, edge, ring, None)
    if best.area <= 0.0 or rest.area <= 0.0:
        middle, radius = _open_place(ring)
        return [(middle + n * radius, n) for n in (Vec(float(x), float(y)) for x, y in _DIRECTIONS)]
    lines = (*best.lines, *rest.lines)
    return [(Vec(float(p[0]), float(p[1])), Vec(float(n[0]), float(n[1]))) for p, n in lines]


class _Cuts(Struct, frozen=True):
    """What cutting left, mm2 (0: nothing inside the opening), and the lines."""

    area: float
    lines: tuple[tuple[Floats, Floats], ...]


def _cut_on(part: Floats, edge: Floats, ring: Contour, first: Floats | None) -> _Cuts:
    """Cut until no edge point lies inside; the first cut may have a given direction."""
    lines: list[tuple[Floats, Floats]] = []
    while len(lines) < _MOST_CUTS and len(part) > 2:
        normals, limits = _half_planes(part)
        depths = limits - edge @ normals.T
        deepest = int(depths.min(axis=1).argmax())
        if depths[deepest].min() <= _DEEP:
            x, y = part.mean(axis=0)
            inside = locate(Vec(float(x), float(y)), ring) is Side.INSIDE
            return _Cuts(_area(part) if inside else 0.0, tuple(lines))
        # along the side that bridges the notch, or in one of the directions all round
        bridging = normals[int(depths[deepest].argmin())]
        ways = [first] if first is not None and not lines else [bridging, *_DIRECTIONS]
        rests = [(_clipped(part, way, edge[deepest]), way) for way in ways]
        part, way = max(rests, key=lambda each: _area(each[0]))
        lines.append((edge[deepest], way))
    return _Cuts(0.0, ())


def _open_place(ring: Contour) -> tuple[Vec, float]:
    """The roomiest of some places in an opening, and how far its edge is: a polygon with room, small but
    sure.

    The tangents of the circle reach out of it at their corners, so its radius is taken that much less.
    """
    box = ring.bounds
    places = [
        Vec(box.xmin + box.width * (i + 0.5) / 16, box.ymin + box.height * (j + 0.5) / 16)
        for i in range(16)
        for j in range(16)
    ]
    inside = [place for place in places if locate(place, ring) is Side.INSIDE] or [ring.segments[0].midpoint]
    middle = max(inside, key=lambda place: point_contour(place, ring).distance)
    return middle, point_contour(middle, ring).distance * math.cos(math.pi / _CUT_DIRECTIONS)


def _along(segment: Segment) -> list[Vec]:
    # edges are looked at every 2 mm; what is found is measured exactly afterwards
    count = max(1, math.ceil(segment.length / 2.0))
    points = [segment.point_at(i / count) for i in range(count)]
    inwards = isinstance(segment, Arc) and segment.bulge < 0
    return [*points, *_inner_points(segment, _COARSE / 10)] if inwards else points


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
