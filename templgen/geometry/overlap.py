"""How far two outlines stand apart, or how deep they lie in each other; arcs are taken exactly."""

from __future__ import annotations

import math
from collections.abc import Iterator

from templgen.geometry.contains import Side, locate
from templgen.geometry.contour import Contour
from templgen.geometry.distance import contours_apart, point_contour
from templgen.geometry.intersect import intersections
from templgen.geometry.segment import split
from templgen.geometry.tolerance import CONTACT
from templgen.geometry.vector import Vec

__all__ = ["gap_between", "gap_to_circle", "reach_beyond"]

_TOUCH = 1e-6


def gap_to_circle(outline: Contour, centre: Vec, radius: float) -> float:
    """Return how far a circle stands from a closed outline, mm; below 0 by how deep it lies over it."""
    away = point_contour(centre, outline).distance
    return (-away if locate(centre, outline) is Side.INSIDE else away) - radius


def gap_between(one: Contour, other: Contour, within: float = math.inf) -> float:
    """Return the least distance of two closed outlines, mm; below 0 by how deep one reaches into the other.

    Where they are not nearer than `within`, that is returned.
    """
    if one.bounds.overlaps(other.bounds):
        deep = max(reach_beyond(one, other, Side.INSIDE), reach_beyond(other, one, Side.INSIDE))
        if deep > 0.0:
            return -max(deep, _TOUCH)
    apart = contours_apart(one, other, within)
    return apart if apart > 0.0 else -_TOUCH


def reach_beyond(one: Contour, other: Contour, side: Side) -> float:
    """Return how far an outline reaches into (or out of) another one, mm; 0 where it does not.

    Measured at its corners and, where it crosses the other, halfway between two crossings: two outlines that
    lie crosswise have no corner in each other.
    """
    points = [*one.vertices, *_between_crossings(one, other)]
    return max((point_contour(p, other).distance for p in points if locate(p, other) is side), default=0.0)


def _between_crossings(one: Contour, other: Contour) -> Iterator[Vec]:
    near = [edge for edge in other.segments if edge.bounds.near(one.bounds, CONTACT)]
    for segment in one.segments:
        places = [p for edge in near for p in intersections(segment, edge)]
        if places:
            cuts = [segment.parameter_of(place) for place in places]
            yield from (piece.midpoint for piece in split(segment, cuts))
