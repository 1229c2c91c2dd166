"""Which side of an outline something lies on; arcs are taken exactly."""

from __future__ import annotations

import math
from enum import Enum

from templgen.errors import GeometryError
from templgen.geometry.bounds import overlapping_pairs
from templgen.geometry.contour import Contour
from templgen.geometry.distance import point_segment
from templgen.geometry.intersect import intersections
from templgen.geometry.region import Region
from templgen.geometry.segment import Arc, Segment, split
from templgen.geometry.tolerance import CONTACT
from templgen.geometry.vector import Vec

__all__ = ["Side", "contour_inside", "contours_meet", "locate", "region_contains", "require_valid"]


class Side(Enum):
    """Where a point lies relative to a closed contour."""

    INSIDE = "inside"
    ON = "on"
    OUTSIDE = "outside"


def locate(point: Vec, contour: Contour) -> Side:
    """Return on which side of a closed contour a point lies; within 1e-8 mm it is ON.

    The winding number of the polygon of chords, corrected for every arc whose circular segment
    holds the point (inscribed angle theorem). GeometryError when the contour is open.
    """
    if not contour.closed:
        raise GeometryError("an open contour has no inside")
    if not contour.bounds.near_point(point, CONTACT):
        return Side.OUTSIDE
    # only a segment whose box is near can be touched
    near = [segment for segment in contour.segments if segment.bounds.near_point(point, CONTACT)]
    if any(point_segment(point, segment).distance <= CONTACT for segment in near):
        return Side.ON
    # what lies between an arc and its chord lies in the arc's box
    winding = sum(_chord_turns(point, s) for s in contour.segments) + sum(_cap_turns(point, s) for s in near)
    return Side.INSIDE if winding else Side.OUTSIDE


def region_contains(region: Region, point: Vec) -> bool:
    """Whether a point lies on the metal of a region; its edges belong to it."""
    if locate(point, region.outer) is Side.OUTSIDE:
        return False
    return all(locate(point, opening) is not Side.INSIDE for opening in region.inner)


def contour_inside(inner: Contour, outer: Contour) -> bool:
    """Whether every point of ``inner`` (open or closed) lies inside a closed contour or on it."""
    if not outer.bounds.grown(CONTACT).overlaps(inner.bounds):
        return False
    for segment in inner.segments:
        meetings = [p for other in outer.segments for p in intersections(segment, other)]
        pieces = split(segment, [segment.parameter_of(point) for point in meetings])
        if any(locate(piece.midpoint, outer) is Side.OUTSIDE for piece in pieces):
            return False
    return True


def contours_meet(a: Contour, b: Contour) -> bool:
    """Whether the lines of two contours cross or touch."""
    near = [other for other in b.segments if other.bounds.near(a.bounds, CONTACT)]
    return any(intersections(one, other) for one in a.segments for other in near)


def require_valid(region: Region) -> Region:
    """Return the region itself when all contours are simple, apart, and the openings lie in the outer one.

    Raises:
        GeometryError: With the place of the first fault.
    """
    for contour in region.contours:
        contour.require_simple()
    for opening in region.inner:
        _require_apart(opening, region.outer)
        if not contour_inside(opening, region.outer):
            raise GeometryError(f"the opening round {opening.bounds.centre} lies outside the part")
    for i, j in overlapping_pairs([opening.bounds.grown(CONTACT) for opening in region.inner]):
        one, other = region.inner[i], region.inner[j]
        _require_apart(one, other)
        if contour_inside(one, other) or contour_inside(other, one):
            raise GeometryError(f"two openings round {one.bounds.centre} lie in each other")
    return region


def _require_apart(a: Contour, b: Contour) -> None:
    for one in a.segments:
        for other in b.segments:
            for place in intersections(one, other):
                raise GeometryError(f"two outlines meet at {place}")


def _turn_of(point: Vec, segment: Segment) -> float:
    return (segment.end - segment.start).cross(point - segment.start)


def _chord_turns(point: Vec, segment: Segment) -> int:
    """Crossing of the ray to +x with the chord: +1 upwards, -1 downwards."""
    start, end = segment.start, segment.end
    if start.y <= point.y < end.y:
        return 1 if _turn_of(point, segment) > 0 else 0
    if end.y <= point.y < start.y:
        return -1 if _turn_of(point, segment) < 0 else 0
    return 0


def _cap_turns(point: Vec, segment: Segment) -> int:
    """+1 or -1 when the point lies between an arc and its chord."""
    if not isinstance(segment, Arc):
        return 0
    turn = _turn_of(point, segment)
    if turn == 0.0:
        # a point on the chord counts as right of it and above it, as in _chord_turns
        chord = segment.end - segment.start
        turn = -chord.y if chord.y else chord.x
    if (turn < 0) != (segment.bulge > 0):
        return 0
    to_start, to_end = segment.start - point, segment.end - point
    seen = abs(math.atan2(to_start.cross(to_end), to_start.dot(to_end)))
    if seen <= math.pi - math.radians(abs(segment.sweep)) / 2:
        return 0
    return 1 if segment.bulge > 0 else -1
