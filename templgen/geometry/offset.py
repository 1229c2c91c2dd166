"""Outlines at a distance: grown or shrunk, lines and arcs kept, corners rounded on the outer side.

Every point of the result lies at the asked distance from the original. Method: move each segment
sideways, bridge the corners that open with arcs about the corner, cut all these pieces where they
meet, keep those that come nowhere nearer to the original than asked, and join them. What is too near
belongs to a part of the sheet that another edge has already taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from templgen.errors import GeometryError
from templgen.geometry.arrange import cut_at_meetings, loops_of, regions_of
from templgen.geometry.contains import require_valid
from templgen.geometry.contour import Contour
from templgen.geometry.corner import turn_at
from templgen.geometry.distance import distances_to_segments
from templgen.geometry.merge import merged
from templgen.geometry.region import Region
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.tolerance import NODE, OFFSET_SLACK
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
    pieces = cut_at_meetings(raw)
    kept = _far_enough(pieces, region.segments, abs(distance))
    return regions_of(merged(loop) for loop in loops_of(kept))


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
    found = distances_to_segments(probes, edges)
    nearest = (min(found[k : k + 3]) for k in range(0, len(found), 3))
    return [p for p, near in zip(pieces, nearest, strict=True) if near >= distance - OFFSET_SLACK]
