"""Where two segments meet, by closed formulas."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

from templgen.geometry.bounds import overlapping_pairs
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.tolerance import ANGLE_NOISE, CONTACT
from templgen.geometry.vector import Vec

__all__ = ["crossing_of_chain", "intersections", "on_segment"]

_Found: TypeAlias = tuple[list[Vec], list[Vec]]
"""Ends of one segment that lie on the other, and places where the whole lines or circles meet."""


def intersections(a: Segment, b: Segment) -> tuple[Vec, ...]:
    """Return the points that two segments share, ends included, without order.

    Segments that touch, or come within 1e-8 mm of touching, share one point. Segments that run on
    top of each other share a stretch: its two ends are returned.
    """
    if not a.bounds.near(b.bounds, CONTACT):
        return ()
    if isinstance(a, Line):
        found = _line_line(a, b) if isinstance(b, Line) else _line_arc(a, b)
    else:
        found = _line_arc(b, a) if isinstance(b, Line) else _arc_arc(a, b)
    ends, others = found
    return _distinct([*ends, *(point for point in others if on_segment(point, a) and on_segment(point, b))])


def on_segment(point: Vec, segment: Segment) -> bool:
    """Whether a point lies on a segment within the contact tolerance."""
    slack = CONTACT + 1e-15 * segment.radius if isinstance(segment, Arc) else CONTACT
    if not segment.bounds.near_point(point, 2 * slack):
        return False
    if point.distance_to(segment.start) <= CONTACT or point.distance_to(segment.end) <= CONTACT:
        return True
    if not 0.0 <= segment.parameter_of(point) <= 1.0:
        return False
    if isinstance(segment, Arc):
        return abs(point.distance_to(segment.centre) - segment.radius) <= slack
    return abs(segment.direction.cross(point - segment.start)) <= CONTACT


def _distinct(points: Sequence[Vec]) -> tuple[Vec, ...]:
    if len(points) < 2:
        return tuple(points)
    kept: list[Vec] = []
    for point in points:
        if all(point.distance_to(other) > CONTACT for other in kept):
            kept.append(point)
    return tuple(kept)


def _clear(radius: float) -> float:
    """How far beside a circle nothing touches it for certain, mm: more than any slack and rounding."""
    return 2 * CONTACT + 1e-14 * radius


def _shared_ends(a: Segment, b: Segment) -> list[Vec]:
    of_b = [point for point in (b.start, b.end) if on_segment(point, a)]
    return of_b + [point for point in (a.start, a.end) if on_segment(point, b)]


def _line_line(a: Line, b: Line) -> _Found:
    along, other = a.direction, b.direction
    sides = along.cross(b.start - a.start), along.cross(b.end - a.start)
    if min(sides) > 2 * CONTACT or max(sides) < -2 * CONTACT:
        return [], []
    sine = along.cross(other)
    ends = _shared_ends(a, b)
    if ends or abs(sine) <= ANGLE_NOISE:
        # an end that lies on the other line is the shared point; two of them are a shared stretch
        return ends, []
    t = (b.start - a.start).cross(other) / sine
    return [], [a.start + along * t]


def _line_arc(line: Line, arc: Arc) -> _Found:
    along = line.direction
    to_centre = arc.centre - line.start
    foot = line.start + along * to_centre.dot(along)
    away, clear = abs(along.cross(to_centre)), _clear(arc.radius)
    if away > arc.radius + clear:
        return [], []
    if max(line.start.distance_to(arc.centre), line.end.distance_to(arc.centre)) < arc.radius - clear:
        return [], []
    ends = _shared_ends(line, arc)
    if away > arc.radius + CONTACT:
        return ends, []
    if away > arc.radius - CONTACT:
        return ends, [foot]
    half_chord = math.sqrt((arc.radius - away) * (arc.radius + away))
    return ends, [foot + along * half_chord, foot - along * half_chord]


def _arc_arc(a: Arc, b: Arc) -> _Found:
    between = b.centre - a.centre
    distance, clear = between.length, _clear(max(a.radius, b.radius))
    if distance > a.radius + b.radius + clear or abs(a.radius - b.radius) - distance > clear:
        return [], []
    ends = _shared_ends(a, b)
    if distance <= CONTACT:
        # one circle, or circles inside each other that never meet
        return ends, []
    along = between / distance
    if distance > a.radius + b.radius - CONTACT:
        touching = distance <= a.radius + b.radius + CONTACT
        return ends, [a.centre + along * a.radius] if touching else []
    inside = abs(a.radius - b.radius) - distance
    if inside > -CONTACT:
        larger = a.radius if a.radius >= b.radius else -a.radius
        return ends, [a.centre + along * larger] if inside <= CONTACT else []
    reach = (distance + (a.radius - b.radius) * (a.radius + b.radius) / distance) / 2
    half_chord = math.sqrt(max((a.radius - reach) * (a.radius + reach), 0.0))
    foot, across = a.centre + along * reach, along.perp() * half_chord
    return ends, [foot + across, foot - across]


def crossing_of_chain(segments: Sequence[Segment], closed: bool) -> Vec | None:
    """Return a place where a chain of segments crosses or touches itself, None when it does not."""
    boxes = [segment.bounds.grown(CONTACT) for segment in segments]
    for i, j in overlapping_pairs(boxes):
        place = _meeting(segments, i, j, closed)
        if place is not None:
            return place
    return None


def _meeting(segments: Sequence[Segment], i: int, j: int, closed: bool) -> Vec | None:
    joints = []
    if j == i + 1:
        joints.append(segments[j].start)
    if closed and i == 0 and j == len(segments) - 1:
        joints.append(segments[0].start)
    for point in intersections(segments[i], segments[j]):
        if all(point.distance_to(joint) > 4 * CONTACT for joint in joints):
            return point
    return None
