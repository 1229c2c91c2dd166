"""Distances and neighbours of very many points at once, in numpy; the formulas are those of `distance`."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templgen.errors import GeometryError
from templgen.geometry.segment import Arc, Line, Segment

__all__ = ["distinct", "near_pairs", "points_to_segments"]

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

_BLOCK = 4096
"""Points worked on at once: the arrays of one block stay in the processor's cache."""

_CANDIDATES = 2_000_000
"""Pairs looked at in one go, to bound the memory."""


def points_to_segments(points: Floats, segments: Sequence[Segment]) -> tuple[Floats, Indices]:
    """See `templgen.geometry.distance.points_to_segments`."""
    array = _checked(points)
    if not segments:
        raise GeometryError("there are no segments to measure to")
    boxes = np.array([[s.bounds.xmin, s.bounds.ymin, s.bounds.xmax, s.bounds.ymax] for s in segments])
    distances = np.empty(len(array))
    indices = np.empty(len(array), dtype=np.intp)
    order = _in_neighbourhoods(array)
    for first in range(0, len(array), _BLOCK):
        chosen = order[first : first + _BLOCK]
        distances[chosen], indices[chosen] = _block(array[chosen], segments, boxes)
    return distances, indices


def distinct(values: NDArray[np.integer]) -> NDArray[np.integer]:
    """Return the different values of an array (n,), sorted, as `numpy.unique` does.

    That one loads numpy's masked arrays to see whether it was given one, longer than all it is asked here.
    """
    ordered = np.sort(values)
    first = np.ones(len(ordered), dtype=bool)
    first[1:] = ordered[1:] != ordered[:-1]
    return ordered[first]


def near_pairs(points: Floats, reach: float | Floats) -> tuple[Indices, Indices]:
    """Return all pairs of points that lie within reach of each other.

    Args:
        points: Array (n, 2) in mm, n may be 0.
        reach: In mm, one for all, or one per point (n,); a pair counts when the distance is at most
            the larger reach of the two.

    Returns:
        Two index arrays i < j of equal length, sorted by i and then j; each pair once.

    Raises:
        GeometryError: Points of another shape or with NaN, or a reach that is below 0 or no number.
    """
    array = _checked(points)
    reaches = np.broadcast_to(np.asarray(reach, dtype=np.float64), (len(array),))
    if not (np.isfinite(reaches) & (reaches >= 0)).all():
        raise GeometryError("a reach is a finite length of 0 mm or more")
    # points of like reach share a grid, so that one long reach does not coarsen it for all
    sizes = np.ceil(np.log2(np.maximum(reaches, 1e-3))).astype(np.int64)
    found = [_owned(array, reaches, np.flatnonzero(sizes == size), 2.0**size) for size in distinct(sizes)]
    pairs = np.concatenate(found, axis=1) if found else np.empty((2, 0), dtype=np.intp)
    low, high = pairs.min(axis=0), pairs.max(axis=0)
    order = np.lexsort((high, low))
    return low[order], high[order]


def _owned(points: Floats, reaches: Floats, owners: Indices, cell: float) -> Indices:
    """Pairs (2, n) of the owners with points of shorter reach, or of equal reach and a higher number.

    A grid of square cells not smaller than the reach: the neighbours of a point are in its own cell
    and the eight round it, three runs in the list of points sorted by row and column.
    """
    cells = np.floor((points - points.min(axis=0)) / cell).astype(np.int64)
    width = int(cells[:, 0].max()) + 3
    codes = cells[:, 1] * width + cells[:, 0]
    order = np.argsort(codes, kind="stable")
    listed = codes[order]
    found = [np.empty((2, 0), dtype=np.intp)]
    for row in (-width, 0, width):
        first = np.searchsorted(listed, codes[owners] + row - 1, "left")
        counts = np.searchsorted(listed, codes[owners] + row + 1, "right") - first
        for part in np.array_split(np.arange(len(owners)), 1 + int(counts.sum()) // _CANDIDATES):
            near = order[_runs(first[part], counts[part])]
            found.append(_within(points, reaches, np.repeat(owners[part], counts[part]), near))
    return np.concatenate(found, axis=1)


def _runs(first: Indices, counts: Indices) -> Indices:
    """All numbers first[k] .. first[k] + counts[k] - 1, one run after the other."""
    ends = np.cumsum(counts)
    total = int(ends[-1]) if len(ends) else 0
    numbers: Indices = np.arange(total) + np.repeat(first - (ends - counts), counts)
    return numbers


def _within(points: Floats, reaches: Floats, owners: Indices, others: Indices) -> Indices:
    own, other = reaches[owners], reaches[others]
    counts = (own > other) | ((own == other) & (owners < others))
    owners, others, own = owners[counts], others[counts], own[counts]
    between = points[owners] - points[others]
    near = np.hypot(between[:, 0], between[:, 1]) <= own
    return np.stack((owners[near], others[near]))


def _checked(points: Floats) -> Floats:
    array = np.asarray(points, dtype=np.float64)
    if array.ndim != 2 or array.shape[1] != 2 or not np.isfinite(array).all():
        raise GeometryError(f"points must be finite numbers of shape (n, 2), not {array.shape}")
    return array


def _in_neighbourhoods(points: Floats) -> Indices:
    """Order the points in strips so that the points of a block lie near each other."""
    if len(points) <= _BLOCK:
        return np.arange(len(points))
    strips = max(1, round(math.sqrt(len(points) / _BLOCK)))
    ranks = np.empty(len(points), dtype=np.intp)
    ranks[np.argsort(points[:, 0], kind="stable")] = np.arange(len(points))
    ordered: Indices = np.lexsort((points[:, 1], ranks * strips // len(points)))
    return ordered


def _block(points: Floats, segments: Sequence[Segment], boxes: Floats) -> tuple[Floats, Indices]:
    """Nearest segments first; the rest is left out once it lies farther away than anything found."""
    low, high = points.min(axis=0), points.max(axis=0)
    gaps = np.maximum(np.maximum(boxes[:, :2] - high, low - boxes[:, 2:]), 0.0)
    least = np.hypot(gaps[:, 0], gaps[:, 1])
    best = np.full(len(points), np.inf)
    index = np.zeros(len(points), dtype=np.intp)
    x, y = np.ascontiguousarray(points[:, 0]), np.ascontiguousarray(points[:, 1])
    for number in np.argsort(least, kind="stable"):
        if least[number] > best.max():
            break
        segment = segments[number]
        found = _to_line(x, y, segment) if isinstance(segment, Line) else _to_arc(x, y, segment)
        nearer = found < best
        best[nearer] = found[nearer]
        index[nearer] = number
    return best, index


def _to_line(x: Floats, y: Floats, line: Line) -> Floats:
    along, length = line.direction, line.length
    dx, dy = x - line.start.x, y - line.start.y
    forward = dx * along.x + dy * along.y
    beyond = forward - np.clip(forward, 0.0, length)
    distances: Floats = np.hypot(along.x * dy - along.y * dx, beyond)
    return distances


def _to_arc(x: Floats, y: Floats, arc: Arc) -> Floats:
    dx, dy = x - arc.centre.x, y - arc.centre.y
    away = np.hypot(dx, dy)
    middle = (arc.midpoint - arc.centre).unit()
    half = math.radians(abs(arc.sweep)) / 2
    ahead = dx * middle.x + dy * middle.y
    aside = np.abs(middle.x * dy - middle.y * dx)
    if half <= math.pi / 2:
        beside = (ahead > 0) & (aside <= away * math.sin(half))
    else:
        beside = (ahead > 0) | (aside >= away * math.sin(half))
    distances: Floats = np.abs(away - arc.radius)
    outside = ~beside
    if outside.any():
        xs, ys = x[outside], y[outside]
        to_start = np.hypot(xs - arc.start.x, ys - arc.start.y)
        distances[outside] = np.minimum(to_start, np.hypot(xs - arc.end.x, ys - arc.end.y))
    return distances
