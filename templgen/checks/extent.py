"""How far an outline reaches in a direction, exactly, arcs included."""

from __future__ import annotations

from templgen.geometry import Arc, Contour, HalfPlane, Segment, Vec

__all__ = ["lowest_over", "reach_along"]


def reach_along(contour: Contour, direction: Vec) -> float:
    """Return the largest scalar product of a point of a contour with a unit vector, mm."""
    return max(_farthest(segment, direction) for segment in contour.segments)


def lowest_over(contour: Contour, half_plane: HalfPlane) -> float:
    """Return how far the lowest point of a contour lies inside a half-plane, mm; negative where it is cut."""
    inwards = half_plane.direction.perp()
    return -reach_along(contour, -inwards) - half_plane.point.dot(inwards)


def _farthest(segment: Segment, direction: Vec) -> float:
    ends = max(segment.start.dot(direction), segment.end.dot(direction))
    if isinstance(segment, Arc) and segment.covers_angle(direction.angle):
        return max(ends, segment.centre.dot(direction) + segment.radius)
    return ends
