"""Distances of very many points at once, in numpy; the formulas are those of `distance`."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templgen.errors import GeometryError
from templgen.geometry.segment import Arc, Line, Segment

__all__ = ["points_to_segments"]

Floats = NDArray[np.float64]

_BLOCK = 4096
"""Points worked on at once: the arrays of one block stay in the processor's cache."""


def points_to_segments(points: Floats, segments: Sequence[Segment]) -> tuple[Floats, NDArray[np.intp]]:
    """See `templgen.geometry.distance.points_to_segments`."""
    array = np.asarray(points, dtype=np.float64)
    if array.ndim != 2 or array.shape[1] != 2 or not np.isfinite(array).all():
        raise GeometryError(f"points must be finite numbers of shape (n, 2), not {array.shape}")
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


def _in_neighbourhoods(points: Floats) -> NDArray[np.intp]:
    """Order the points in strips so that the points of a block lie near each other."""
    if len(points) <= _BLOCK:
        return np.arange(len(points))
    strips = max(1, round(math.sqrt(len(points) / _BLOCK)))
    ranks = np.empty(len(points), dtype=np.intp)
    ranks[np.argsort(points[:, 0], kind="stable")] = np.arange(len(points))
    return np.lexsort((points[:, 1], ranks * strips // len(points)))


def _block(points: Floats, segments: Sequence[Segment], boxes: Floats) -> tuple[Floats, NDArray[np.intp]]:
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
