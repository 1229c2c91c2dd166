"""Rounding the end of a section: where two sides that are chains of arcs run out to a tail or a flat face.

A side is a chain of segments that runs from the nose to its last point at the tail, with the section to its
left
turned inwards: a left side runs from +x to -x above the axis. Other ends are mirror images.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from templgen.errors import ShapeError
from templgen.geometry import Arc, Contour, Line, Motion, Segment, Vec, segment_between
from templgen.geometry.distance import point_segment

__all__ = ["Chain", "Rounded", "closed_by_mirror", "mirrored", "round_corner", "round_tail", "turned_round"]

_BISECTIONS = 80
_LEAST_PART = 1e-7
"""A remainder of a segment shorter than this (mm) is dropped."""

_ABOUT_X = Motion.mirror(Vec(0.0, 0.0), Vec(1.0, 0.0))

Chain = tuple[Segment, ...]


@dataclass(frozen=True, slots=True)
class Rounded:
    """A side cut short where an arc takes over, and that arc."""

    side: Chain
    arc: Arc

    @property
    def chain(self) -> Chain:
        """The side with the arc behind it."""
        return (*self.side, self.arc)


def closed_by_mirror(side: Chain) -> Contour:
    """The closed outline of a left side and its mirror image about the x axis; a gap at the tail is a
    straight face.

    Args:
        side: from a point on the axis at the nose, above the axis, to the tail.
    """
    image = mirrored(side)
    face = (
        (Line(side[-1].end, image[0].start),)
        if side[-1].end.distance_to(image[0].start) > _LEAST_PART
        else ()
    )
    return Contour((*side, *face, *image), closed=True)


def mirrored(side: Chain) -> Chain:
    """The right side that belongs to a left one: mirrored about the x axis and run from tail to nose."""
    return Contour(side, closed=False).moved(_ABOUT_X).reversed().segments


def turned_round(side: Chain) -> Chain:
    """A left side with nose and tail changed over (x to -x), again run from +x to -x."""
    return Contour(side, closed=False).moved(Motion.mirror_x()).reversed().segments


def round_tail(side: Chain, radius: float) -> Rounded:
    """Round a symmetric tail by the circle about the axis that touches both sides from within.

    Args:
        side: a left side that ends at the tail, on the axis or at most `radius` above it.
        radius: of the tail, mm.

    Returns:
        The left side, and the arc from it to the foremost cut of the axis at the tail.

    Raises:
        ShapeError: the radius does not fit anywhere near the tail.
    """
    end, nose = side[-1].end, side[0].start

    def gap(inwards: float) -> float:
        return _distance(Vec(end.x + inwards, 0.0), side) - radius

    inwards = _first_root(
        gap, nose.x - end.x, f"a tail radius of {radius:g} mm does not fit between the sides"
    )
    centre = Vec(end.x + inwards, 0.0)
    return _joined(side, centre, Vec(centre.x - radius, 0.0))


def round_corner(side: Chain, face: Vec, radius: float) -> Rounded:
    """Round the corner between a side and the flat face behind its last point.

    Args:
        side: a left side that ends at the corner.
        face: the far end of the flat face, straight below the corner.
        radius: of the corner, mm.

    Returns:
        The side, and the arc from it to the face.

    Raises:
        ShapeError: the radius is too large for the face.
    """
    corner = side[-1].end
    length = corner.distance_to(face)
    along = (face - corner).unit()

    def centre(down: float) -> Vec:
        return corner + along * down + along.perp() * radius

    def gap(down: float) -> float:
        return _distance(centre(down), side) - radius

    told = f"a corner radius of {radius:g} mm does not fit a flat end of {length:.4g} mm"
    down = _first_root(gap, length, told)
    return _joined(side, centre(down), corner + along * down)


def _joined(side: Chain, centre: Vec, end: Vec) -> Rounded:
    """Cut the side where it touches the circle about a centre, and go on along the circle to `end`."""
    index = min(range(len(side)), key=lambda place: point_segment(centre, side[place]).distance)
    segment = side[index]
    touch = point_segment(centre, segment).on_b
    t = min(1.0, max(0.0, segment.parameter_of(touch)))
    kept = list(side[:index])
    if t * segment.length > _LEAST_PART:
        kept.append(segment.between(0.0, t) if t < 1.0 else segment)
    if not kept:
        raise ShapeError("the radius takes the whole side")
    start = kept[-1].end
    first, last = start - centre, end - centre
    sweep = math.atan2(first.cross(last), first.dot(last))
    arc = segment_between(start, end, math.tan(sweep / 4))
    if not isinstance(arc, Arc):
        raise ShapeError("the end is too flat to be rounded")
    return Rounded(tuple(kept), arc)


def _distance(point: Vec, side: Sequence[Segment]) -> float:
    return min(point_segment(point, segment).distance for segment in side)


def _first_root(function: Callable[[float], float], limit: float, told: str) -> float:
    """The smallest root in 0..limit of a function that is below zero at 0, found on a grid and by halving.

    Raises:
        ShapeError: there is none; `told` says what does not fit.
    """
    if function(0.0) >= 0:
        return 0.0
    steps = 200
    for step in range(1, steps + 1):
        if function(limit * step / steps) >= 0:
            low, high = limit * (step - 1) / steps, limit * step / steps
            for _ in range(_BISECTIONS):
                middle = (low + high) / 2
                low, high = (middle, high) if function(middle) < 0 else (low, middle)
            return high
    raise ShapeError(told)
