"""How far an outline reaches in a direction, exactly, arcs included."""

from __future__ import annotations

from templgen.geometry.contour import Contour
from templgen.geometry.segment import Arc, Segment
from templgen.geometry.vector import Vec

__all__ = ["extent_along", "reach_along"]


def reach_along(contour: Contour, direction: Vec) -> float:
    """Return the largest scalar product of a point of a contour with a unit vector, mm."""
    return max(_farthest(segment, direction) for segment in contour.segments)


def extent_along(contour: Contour, direction: Vec) -> tuple[float, float]:
    """Return the least and the largest scalar product of a point of a contour with a unit vector, mm.

    >>> extent_along(Contour.circle(Vec(10, 0), 3), Vec(1, 0))
    (7.0, 13.0)
    """
    return -reach_along(contour, -direction), reach_along(contour, direction)


def _farthest(segment: Segment, direction: Vec) -> float:
    ends = max(segment.start.dot(direction), segment.end.dot(direction))
    if isinstance(segment, Arc) and segment.covers_angle(direction.angle):
        return max(ends, segment.centre.dot(direction) + segment.radius)
    return ends
