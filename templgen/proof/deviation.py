"""How far an outline that was read lies from the shape that was drawn: piece by piece, exact on arcs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from templgen.geometry import Arc, Segment, Vec
from templgen.proof.readers.model import Bezier, Bow, Outline, Piece, Point, Straight
from templgen.proof.wanted import Shape

__all__ = ["apart", "deviation", "deviation_of_any", "outline_circle", "reversed_piece"]

_INNER = (0.25, 0.5, 0.75)
_SWEEP_PER_POINT = 30.0  # degrees between the points of a bow that are looked at
_FULL = math.tau
_SLACK = math.radians(0.5)
_SAMPLES = 24


def deviation(shape: Shape, outline: Outline) -> float:
    """Return the greatest distance in mm between a shape and an outline that is built like it.

    Infinite when it is built otherwise: open or closed, other kinds or another order of pieces. An arc may
    be several pieces.
    """
    if shape.closed is not outline.closed:
        return math.inf
    if shape.circle is not None and (not shape.segments or len(outline.pieces) == 1):
        return _from_circle(*shape.circle, outline.pieces)
    return _from_chain(shape.segments, outline.pieces)


def deviation_of_any(shape: Shape, outline: Outline) -> float:
    """Return the same for an outline that may begin elsewhere or run the other way round."""
    best = deviation(shape, outline)
    if shape.circle is not None or not outline.pieces:
        return best
    for other in _other_ways(shape, outline):
        best = min(best, deviation(shape, other))
    return best


def _other_ways(shape: Shape, outline: Outline) -> Iterator[Outline]:
    start = (shape.segments[0].start.x, shape.segments[0].start.y)
    for pieces in (outline.pieces, tuple(reversed_piece(piece) for piece in reversed(outline.pieces))):
        if outline.closed:
            first = min(range(len(pieces)), key=lambda i: math.dist(pieces[i].start, start))
            pieces = (*pieces[first:], *pieces[:first])
        yield replace(outline, pieces=pieces)


def reversed_piece(piece: Piece) -> Piece:
    if isinstance(piece, Straight):
        return Straight(piece.end, piece.start)
    if isinstance(piece, Bezier):
        return Bezier(piece.end, piece.second, piece.first, piece.start)
    return replace(piece, start_angle=piece.start_angle + piece.sweep, sweep=-piece.sweep)


def _from_chain(segments: tuple[Segment, ...], pieces: tuple[Piece, ...]) -> float:
    worst, used = 0.0, 0
    for segment in segments:
        if used >= len(pieces):
            return math.inf
        if isinstance(segment, Arc):
            far, count = _from_arc(segment, pieces, used)
            used += count
        else:
            piece = pieces[used]
            if not isinstance(piece, Straight):
                return math.inf
            far = max(_far(segment.start, piece.start), _far(segment.end, piece.end))
            used += 1
        worst = max(worst, far)
    return worst if used == len(pieces) else math.inf


def _far(point: Vec, other: Point) -> float:
    return math.hypot(point.x - other[0], point.y - other[1])


def _from_arc(arc: Arc, pieces: tuple[Piece, ...], used: int) -> tuple[float, int]:
    """Return the deviation of the pieces from `used` on that make an arc, and how many they are."""
    centre, want = (arc.centre.x, arc.centre.y), math.radians(arc.sweep)
    slack = min(_SLACK, abs(want) / 4)
    worst, turned, count = _far(arc.start, pieces[used].start), 0.0, 0
    while used + count < len(pieces) and (turned - want) * math.copysign(1.0, want) < -slack:
        piece = pieces[used + count]
        if isinstance(piece, Straight):
            return math.inf, count + 1
        off, turn = _along_circle(piece, centre, arc.radius)
        worst, turned, count = max(worst, off), turned + turn, count + 1
        if turn * want <= 0.0:
            return math.inf, count
    if abs(turned - want) > slack:
        return math.inf, max(count, 1)
    return max(worst, _far(arc.end, pieces[used + count - 1].end)), count


def _from_circle(centre: Vec, radius: float, pieces: tuple[Piece, ...]) -> float:
    middle, worst, turned = (centre.x, centre.y), 0.0, 0.0
    for piece in pieces:
        if isinstance(piece, Straight):
            return math.inf
        off, turn = _along_circle(piece, middle, radius)
        worst, turned = max(worst, off), turned + turn
    return worst if abs(abs(turned) - _FULL) < _SLACK else math.inf


def _along_circle(piece: Bezier | Bow, centre: Point, radius: float) -> tuple[float, float]:
    """Return how far a curve leaves a circle, and the angle it turns about its centre, in radians."""
    if isinstance(piece, Bow):
        count = max(4, math.ceil(abs(piece.sweep) / _SWEEP_PER_POINT))
        points = [piece.at(i / count) for i in range(count + 1)]
    else:
        points = [piece.start, *(piece.at(t) for t in _INNER), piece.end]
    cx, cy = centre
    away = [(x - cx, y - cy) for x, y in points]
    off = max(abs(math.hypot(x, y) - radius) for x, y in away)
    turn = sum(math.atan2(x0 * y1 - y0 * x1, x0 * x1 + y0 * y1) for (x0, y0), (x1, y1) in pairwise(away))
    return off, turn


def outline_circle(outline: Outline, within: float = 0.02) -> tuple[Vec, float] | None:
    """Return centre and radius of an outline that is a circle within `within` mm, however it is made.

    Also of one made of many chords, by the mean of its corners; None for anything else.
    """
    if not outline.closed or not outline.pieces:
        return None
    straight = sum(isinstance(piece, Straight) for piece in outline.pieces)
    if straight == 0:
        found = outline.round(within)
        return (Vec(*found.centre), found.radius) if found else None
    if straight < len(outline.pieces) or straight < 6:
        return None
    corners = [piece.start for piece in outline.pieces]
    centre = Vec(sum(x for x, _ in corners) / straight, sum(y for _, y in corners) / straight)
    radii = [_far(centre, corner) for corner in corners]
    radius = sum(radii) / straight
    return (centre, radius) if max(radii) - min(radii) <= 2 * within else None


def apart(shape: Shape, outline: Outline) -> float:
    """Return how far a shape and an outline, built in any way, lie apart at the most, in mm.

    Each is asked about by points of the other; what was read is taken as short chords, so a curve counts
    within about a ten thousandth of its radius.
    """
    import numpy as np

    from templgen.geometry import Line
    from templgen.geometry.distance import points_to_segments

    read = np.array(outline.points(_SAMPLES))
    there, _ = points_to_segments(read, shape.edges)
    dense = [Vec(*point) for point in outline.points(2 * _SAMPLES)]
    chords = [Line(a, b) for a, b in pairwise(dense) if a.distance_to(b) > 1e-6]
    if not chords:
        return math.inf
    drawn = [edge.point_at(i / _SAMPLES) for edge in shape.edges for i in range(_SAMPLES + 1)]
    back, _ = points_to_segments(np.array([(point.x, point.y) for point in drawn]), chords)
    return float(max(there.max(), back.max()))
