"""Outlines at a distance: grown or shrunk, lines and arcs kept, corners rounded on the outer side.

Every point of the result lies at the asked distance from the original. Method: move each segment
sideways, bridge the corners that open with arcs about the corner, cut all these pieces where they
meet, keep those that come nowhere nearer to the original than asked, and join them. What is too near
belongs to a part of the sheet that another edge has already taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from templgen.errors import GeometryError
from templgen.geometry.arrange import cut_at_meetings, loops_of, regions_of
from templgen.geometry.contains import require_valid
from templgen.geometry.contour import Contour
from templgen.geometry.corner import turn_at
from templgen.geometry.distance import points_to_segments
from templgen.geometry.region import Region
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.tolerance import ANGLE_NOISE, NODE, OFFSET_SLACK
from templgen.geometry.vector import Vec

__all__ = ["offset_contour", "offset_region"]


def offset_contour(contour: Contour, distance: float) -> tuple[Contour, ...]:
    """Grow (+) or shrink (-) the area inside a closed contour by ``distance`` mm.

    Returns:
        Counter-clockwise contours of what there is afterwards, largest first; a clockwise one is an
        opening that closed round itself while growing. Empty when nothing is left.

    Raises:
        GeometryError: The contour is open or crosses itself, or the distance is no number.
    """
    regions = offset_region(Region(contour), distance)
    return tuple(loop for region in regions for loop in region.contours)


def offset_region(region: Region, distance: float) -> tuple[Region, ...]:
    """Grow (+) or shrink (-) the metal of a region by ``distance`` mm; openings shrink or grow.

    Returns:
        The regions there are afterwards, largest first; empty when nothing is left.

    Raises:
        GeometryError: Contours cross themselves or each other, or the distance is no number.
    """
    if not math.isfinite(distance):
        raise GeometryError(f"an outline can not be moved by {distance:g} mm")
    require_valid(region)
    if abs(distance) <= NODE:
        return (region,)
    raw = [piece for contour in region.contours for piece in _raw_offset(contour, distance)]
    if not raw:
        return ()
    pieces = [piece for piece, _ in cut_at_meetings(raw)]
    kept = _far_enough(pieces, region.segments, abs(distance))
    return regions_of(_merged(loop) for loop in loops_of(kept))


def _raw_offset(contour: Contour, distance: float) -> Iterator[Segment]:
    """Pieces at the distance to the right of each segment and corner (metal is to the left)."""
    segments = contour.segments
    for before, segment in zip((segments[-1], *segments[:-1]), segments, strict=True):
        yield from _corner_arc(before, segment, distance)
        yield from _moved_aside(segment, distance)


def _aside(point: Vec, tangent: Vec, distance: float) -> Vec:
    return point - tangent.perp() * distance


def _moved_aside(segment: Segment, distance: float) -> Iterator[Segment]:
    start = _aside(segment.start, segment.tangent_at(0.0), distance)
    end = _aside(segment.end, segment.tangent_at(1.0), distance)
    if isinstance(segment, Line):
        yield Line(start, end)
    elif segment.radius + math.copysign(1.0, segment.bulge) * distance > NODE < start.distance_to(end):
        yield Arc(start, end, segment.bulge)


def _corner_arc(before: Segment, after: Segment, distance: float) -> Iterator[Segment]:
    turn = turn_at(before, after)
    start = _aside(before.end, before.tangent_at(1.0), distance)
    end = _aside(after.start, after.tangent_at(0.0), distance)
    if turn * distance > 0 and start.distance_to(end) > NODE:
        yield Arc(start, end, math.tan(math.radians(turn) / 4))


def _far_enough(pieces: Sequence[Segment], edges: Sequence[Segment], distance: float) -> list[Segment]:
    probes = [piece.point_at(t) for piece in pieces for t in (0.25, 0.5, 0.75)]
    found, _ = points_to_segments(np.array([(point.x, point.y) for point in probes]), edges)
    nearest = found.reshape(-1, 3).min(axis=1)
    return [p for p, near in zip(pieces, nearest, strict=True) if near >= distance - OFFSET_SLACK]


def _merged(loop: Contour) -> Contour:
    """Join pieces of one line or one circle that follow each other."""
    chain: list[Segment] = []
    segments = list(loop.segments)
    breaks = [k for k in range(len(segments)) if _joined(segments[k - 1], segments[k]) is None]
    first = breaks[0] if breaks else 0
    for segment in segments[first:] + segments[:first]:
        joined = _joined(chain[-1], segment) if chain else None
        if joined is None:
            chain.append(segment)
        else:
            chain[-1] = joined
    return Contour(tuple(chain), closed=True) if len(chain) > 1 else loop


def _joined(before: Segment, after: Segment) -> Segment | None:
    if isinstance(before, Line) and isinstance(after, Line):
        one, other = before.direction, after.direction
        alike = one.dot(other) > 0 and abs(one.cross(other)) <= ANGLE_NOISE
        return Line(before.start, after.end) if alike else None
    if not (isinstance(before, Arc) and isinstance(after, Arc)) or before.is_ccw != after.is_ccw:
        return None
    sweep = before.sweep + after.sweep
    one_circle = before.centre.distance_to(after.centre) <= NODE >= abs(before.radius - after.radius)
    if not one_circle or abs(sweep) > 270:
        return None
    return Arc(before.start, after.end, math.tan(math.radians(sweep) / 4))
