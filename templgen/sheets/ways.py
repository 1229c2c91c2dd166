"""Straight pieces, boxes and points on a page: which meet which."""

from __future__ import annotations

import math
from collections.abc import Iterator

from templgen.geometry import Bounds, Line, Vec

__all__ = ["cells", "crosses", "distance_to", "passes", "span_in"]


def cells(box: Bounds, size: float) -> Iterator[tuple[int, int]]:
    """Yield the cells of a square grid (mm) that a box covers."""
    for i in range(math.floor(box.xmin / size), math.floor(box.xmax / size) + 1):
        for j in range(math.floor(box.ymin / size), math.floor(box.ymax / size) + 1):
            yield i, j


def span_in(line: Line, box: Bounds) -> tuple[float, float] | None:
    """Return the fractions of a line's length between which it is in a box; None when it is not."""
    low, high = 0.0, 1.0
    start, end = line.start, line.end
    for at, along, least, most in (
        (start.x, end.x - start.x, box.xmin, box.xmax),
        (start.y, end.y - start.y, box.ymin, box.ymax),
    ):
        if along == 0.0:
            if at < least or at > most:
                return None
            continue
        near, far = (least - at) / along, (most - at) / along
        if near > far:
            near, far = far, near
        low, high = max(low, near), min(high, far)
        if low > high:
            return None
    return low, high


def passes(line: Line, box: Bounds) -> bool:
    """Whether a line meets a box."""
    return span_in(line, box) is not None


def crosses(a: Line, b: Line) -> bool:
    """Whether two lines cross or touch; lines along each other do not cross."""
    ab, cd = a.end - a.start, b.end - b.start
    one, two = ab.cross(b.start - a.start), ab.cross(b.end - a.start)
    if one * two > 0.0 or one == two == 0.0:
        return False
    return cd.cross(a.start - b.start) * cd.cross(a.end - b.start) <= 0.0


def distance_to(point: Vec, line: Line) -> float:
    """Return how far a point is from a line between its ends, in mm."""
    t = min(max(line.parameter_of(point), 0.0), 1.0)
    return point.distance_to(line.point_at(t))
