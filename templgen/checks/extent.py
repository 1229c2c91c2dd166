"""How deep an outline reaches into a half-plane, exactly, arcs included."""

from __future__ import annotations

from templgen.geometry import Contour, HalfPlane
from templgen.geometry.extent import reach_along

__all__ = ["lowest_over", "reach_along"]


def lowest_over(contour: Contour, half_plane: HalfPlane) -> float:
    """Return how far the lowest point of a contour lies inside a half-plane, mm; negative where it is cut."""
    inwards = half_plane.direction.perp()
    return -reach_along(contour, -inwards) - half_plane.point.dot(inwards)
