"""Outlines at a distance: grown or shrunk, lines and arcs kept, corners rounded on the outer side.

Every point of the result lies at the asked distance from the original. Method: move each segment
sideways, bridge the corners that open with arcs about the corner, cut all these pieces where they
meet, keep those that come nowhere nearer to the original than asked, and join them. What is too near
belongs to a part of the sheet that another edge has already taken. Round a convex outline whose pieces
still follow each other none is too near, and none meets another: they are joined at once.
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
from templgen.geometry.tolerance import ANGLE_NOISE, NODE, OFFSET_SLACK, SLIVER
from templgen.geometry.vector import Vec

__all__ = ["offset_contour", "offset_region"]

_NO_TURN = math.degrees(ANGLE_NOISE)
_SHARPEST = 150.0
"""Sides that turn back more than this come near each other far from their corner, degrees."""


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
    if abs(distance) > NODE and not region.inner:
        joined = _round_convex(region.outer, distance)
        if joined is not None:
            return (Region(joined),)
    require_valid(region)
    if abs(distance) <= NODE:
        return (region,)
    raw = [piece for contour in region.contours for piece in _raw_offset(contour, distance)]
    if not raw:
        return ()
    pieces = cut_at_meetings(raw)
    kept = _far_enough(pieces, region.segments, abs(distance))
    return regions_of(merged(loop) for loop in loops_of(kept))


def _round_convex(contour: Contour, distance: float) -> Contour | None:
    """The moved pieces of a convex outline, joined; None where they do not simply follow each other.

    Outwards they always do. Inwards they do where no corner is sharp and no arc is used up: then a disc of
    that radius rolls all round inside (Blaschke's rolling theorem), and touches one place at a time.
    """
    if not _is_convex(contour):
        return None
    pieces: list[Segment] = []
    for before, segment in zip((contour.segments[-1], *contour.segments), contour.segments, strict=False):
        moved = list(_moved_aside(segment, distance))
        if not moved:
            return None
        pieces += [*_corner_arc(before, segment, distance), *moved]
    if any(b.end.distance_to(a.start) > NODE for b, a in zip((pieces[-1], *pieces), pieces, strict=False)):
        return None
    places = [pieces[0].start, *(piece.end for piece in pieces[:-1])]
    bulges = [piece.bulge if isinstance(piece, Arc) else 0.0 for piece in pieces]
    loop = Contour.from_bulges(places, bulges, closed=True)
    return merged(loop) if loop.area > SLIVER * loop.length else None


def _is_convex(contour: Contour) -> bool:
    """Whether a closed outline turns left all round, once and nowhere sharply back: then it is simple."""
    segments = contour.segments
    if any(isinstance(segment, Arc) and not segment.is_ccw for segment in segments):
        return False
    turns = [turn_at(b, a) for b, a in zip((segments[-1], *segments), segments, strict=False)]
    if not -_NO_TURN <= min(turns) <= max(turns) <= _SHARPEST:
        return False
    sweeps = math.fsum(segment.sweep for segment in segments if isinstance(segment, Arc))
    return abs(math.fsum(turns) + sweeps - 360.0) < 1.0 and contour.area > SLIVER * contour.length


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
