"""Rounding the end of a section: where two sides that are chains of arcs run out to a tail or a flat face.

A side is a chain of segments that runs from the nose to its last point at the tail, with the section to its
left
turned inwards: a left side runs from +x to -x above the axis. Other ends are mirror images.
"""

from __future__ import annotations

import math

from msgspec import Struct

from templgen.errors import ShapeError
from templgen.geometry import Arc, Contour, Line, Motion, Segment, Vec, segment_between
from templgen.geometry.distance import distances_to_segments, point_segment
from templgen.shapes.outline import MeasureError

__all__ = ["Chain", "Rounded", "closed_by_mirror", "mirrored", "round_corner", "round_tail", "turned_round"]

_STEPS, _ROUNDS = 200, 7
_LEAST_PART = 1e-7
"""A remainder of a segment shorter than this (mm) is dropped."""

_ABOUT_X = Motion.mirror(Vec(0.0, 0.0), Vec(1.0, 0.0))

Chain = tuple[Segment, ...]


class Rounded(Struct, frozen=True):
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

    told = MeasureError("a tail radius of {} does not fit between the sides", radius)
    path = Line(Vec(end.x, 0.0), Vec(nose.x, 0.0))
    centre = path.point_at(_first_fit(path, side, radius, told))
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
    inwards = (face - corner).unit().perp() * radius
    told = MeasureError("a corner radius of {} does not fit a flat end of {}", radius, length)
    share = _first_fit(Line(corner + inwards, face + inwards), side, radius, told)
    return _joined(side, corner.towards(face, share) + inwards, corner.towards(face, share))


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


def _first_fit(path: Line, side: Chain, radius: float, told: MeasureError) -> float:
    """Where on a path (as a share of it) a circle has its centre when it first only touches the side.

    The path begins where the circle would cross the side. Found on a grid that is made finer round by round.

    Raises:
        ShapeError: nowhere; `told` says what does not fit.
    """
    low, high = 0.0, 1.0
    for _ in range(_ROUNDS):
        shares = [low + (high - low) * step / _STEPS for step in range(_STEPS + 1)]
        distances = distances_to_segments([path.point_at(share) for share in shares], side)
        fits = next((place for place, distance in enumerate(distances) if distance >= radius), None)
        if fits is None:
            raise told
        if fits == 0:
            return low
        low, high = shares[fits - 1], shares[fits]
    return high
