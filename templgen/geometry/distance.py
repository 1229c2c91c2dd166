"""Shortest distances between points, segments and outlines, by closed formulas; nothing is flattened.

A shortest connection runs along a common normal or ends at an end: a finite list of candidates.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from operator import itemgetter
from typing import TYPE_CHECKING

from msgspec import Struct

from templgen.geometry.contour import Contour
from templgen.geometry.intersect import intersections
from templgen.geometry.region import Region
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.vector import Vec

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "Nearest",
    "contour_contour",
    "contours_apart",
    "distances_to_segments",
    "point_contour",
    "point_region_edge",
    "point_segment",
    "points_to_segments",
    "segment_segment",
]


class Nearest(Struct, frozen=True):
    """The shortest connection of two things: its length in mm and its two ends."""

    distance: float
    on_a: Vec
    on_b: Vec

    @classmethod
    def between(cls, a: Vec, b: Vec) -> Nearest:
        """Return the connection of two points."""
        return cls(a.distance_to(b), a, b)

    def reversed(self) -> Nearest:
        """Return the same connection seen from the other thing."""
        return Nearest(self.distance, self.on_b, self.on_a)


def point_segment(point: Vec, segment: Segment) -> Nearest:
    """Return the shortest connection of a point (a) and a segment (b)."""
    t = segment.parameter_of(point)
    if isinstance(segment, Line):
        if not 0.0 < t < 1.0:
            return Nearest.between(point, segment.start if t <= 0.0 else segment.end)
        start, end, length = segment.start, segment.end, segment.length
        x, y = (end.x - start.x) / length, (end.y - start.y) / length
        return Nearest(abs(x * (point.y - start.y) - y * (point.x - start.x)), point, segment.point_at(t))
    away = point - segment.centre
    distance = away.length
    if distance == 0.0 or not 0.0 < t < 1.0:
        ends = Nearest.between(point, segment.start), Nearest.between(point, segment.end)
        return min(ends, key=_length)
    foot = segment.centre + away * (segment.radius / distance)
    return Nearest(abs(distance - segment.radius), point, foot)


def segment_segment(a: Segment, b: Segment) -> Nearest:
    """Return the shortest connection of two segments; 0 where they meet."""
    found = _nearer(a, b, math.inf)
    assert found is not None  # noqa: S101 - ends have a distance
    return found


def point_contour(point: Vec, contour: Contour) -> Nearest:
    """Return the shortest connection of a point (a) and the line of a contour (b)."""
    best = point_segment(point, contour.segments[0])
    for segment in contour.segments[1:]:
        if segment.bounds.near_point(point, best.distance):
            best = min(best, point_segment(point, segment), key=_length)
    return best


def contour_contour(a: Contour, b: Contour) -> Nearest:
    """Return the shortest connection of the lines of two contours; one may lie inside the other."""
    found = _nearest_of(a.segments, b.segments, math.inf)
    assert found is not None  # noqa: S101 - contours have segments
    return found


def contours_apart(a: Contour, b: Contour, within: float) -> float:
    """Return the least distance of the lines of two contours, mm; `within` where it is not less than that."""
    box = a.bounds
    others = sorted(((box.distance_to(other.bounds), other) for other in b.segments), key=itemgetter(0))
    for least, other in others:
        if least >= within:
            break
        for one in a.segments:
            if one.bounds.distance_to(other.bounds) < within:
                found = _nearer(one, other, within)
                within = within if found is None else found.distance
    return within


def point_region_edge(point: Vec, region: Region) -> Nearest:
    """Return the shortest connection of a point (a) and any edge of a region (b), outer or opening."""
    return min((point_segment(point, segment) for segment in region.segments), key=_length)


def points_to_segments(
    points: NDArray[np.float64], segments: Sequence[Segment]
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return for each of many points the distance to the nearest segment and that segment's index.

    Args:
        points: Array (n, 2) in mm.
        segments: At least one; lines and arcs are taken exactly.

    Returns:
        Distances (n,) in mm and indices (n,) into ``segments``.

    Raises:
        GeometryError: No segments, or points of another shape or with NaN.
    """
    from templgen.geometry import bulk  # numpy only where many points are asked for

    return bulk.points_to_segments(points, segments)


def distances_to_segments(points: Sequence[Vec], segments: Sequence[Segment]) -> list[float]:
    """Return for each of some points the distance to the nearest of some segments in mm."""
    import numpy as np  # only where many points are asked for

    found, _ = points_to_segments(np.array([(point.x, point.y) for point in points]), segments)
    return [float(value) for value in found]


def _length(nearest: Nearest) -> float:
    return nearest.distance


def _normal_feet(segment: Segment, other: Segment) -> list[Vec]:
    """Inner points of ``segment`` where a common normal with ``other`` can stand."""
    if isinstance(segment, Line):
        if isinstance(other, Line):
            return []
        feet: Iterable[Vec] = [segment.point_at(segment.parameter_of(other.centre))]
    else:
        along = _normal_direction(segment, other)
        if along is None:
            return []
        feet = [segment.centre + along * segment.radius, segment.centre - along * segment.radius]
    return [foot for foot in feet if 0.0 < segment.parameter_of(foot) < 1.0]


def _normal_direction(arc: Arc, other: Segment) -> Vec | None:
    if isinstance(other, Line):
        return other.direction.perp()
    between = other.centre - arc.centre
    # about one centre every radius is a common normal, and the ends find the distance
    return between.unit() if between.length > 0.0 else None


def _nearest_of(a: Sequence[Segment], b: Sequence[Segment], within: float) -> Nearest | None:
    """The shortest connection that is shorter than `within`; those whose boxes are nearest come first."""
    boxes = [other.bounds for other in b]
    pairs = [
        (least, i, j)
        for i, one in enumerate(a)
        for j, least in enumerate(map(one.bounds.distance_to, boxes))
        if least < within
    ]
    best: Nearest | None = None
    for least, i, j in sorted(pairs):
        if least >= within:
            break
        found = _nearer(a[i], b[j], within)
        if found is not None:
            best, within = found, found.distance
    return best


def _nearer(a: Segment, b: Segment, within: float) -> Nearest | None:
    """The shortest connection of two segments, None where it is not shorter than `within`.

    An end is measured only to a segment whose box comes as near as that.
    """
    for place in intersections(a, b):
        return Nearest(0.0, place, place) if within > 0.0 else None
    best: Nearest | None = None
    for point, segment in ((a.start, b), (a.end, b), (b.start, a), (b.end, a)):
        if segment.bounds.near_point(point, within):
            found = point_segment(point, segment)
            if found.distance < within:
                best, within = found if segment is b else found.reversed(), found.distance
    if isinstance(a, Line) and isinstance(b, Line):
        return best
    for on_a, on_b in ((one, other) for one in _normal_feet(a, b) for other in _normal_feet(b, a)):
        found = Nearest.between(on_a, on_b)
        if found.distance < within:
            best, within = found, found.distance
    return best
