"""Put pieces of one line or one circle that follow each other back together."""

from __future__ import annotations

import math

from templgen.geometry.contour import Contour
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.tolerance import ANGLE_NOISE, NODE

__all__ = ["merged"]

_GREATEST_SWEEP = 180.0 + 1e-9


def merged(contour: Contour) -> Contour:
    """Return the contour with as few segments as say the same; arcs stay within half a turn."""
    segments = list(contour.segments)
    if contour.closed:
        breaks = [k for k in range(len(segments)) if _joined(segments[k - 1], segments[k]) is None]
        first = breaks[0] if breaks else 0
        segments = segments[first:] + segments[:first]
    chain = segments[:1]
    for segment in segments[1:]:
        joined = _joined(chain[-1], segment)
        chain[-1:] = [chain[-1], segment] if joined is None else [joined]
    return contour if len(chain) == len(segments) else Contour(tuple(chain), contour.closed)


def _joined(before: Segment, after: Segment) -> Segment | None:
    if isinstance(before, Line) and isinstance(after, Line):
        one, other = before.direction, after.direction
        alike = one.dot(other) > 0 and abs(one.cross(other)) <= ANGLE_NOISE
        return Line(before.start, after.end) if alike else None
    if not (isinstance(before, Arc) and isinstance(after, Arc)) or before.is_ccw != after.is_ccw:
        return None
    sweep = before.sweep + after.sweep
    one_circle = before.centre.distance_to(after.centre) <= NODE >= abs(before.radius - after.radius)
    if not one_circle or abs(sweep) > _GREATEST_SWEEP:
        return None
    return Arc(before.start, after.end, math.tan(math.radians(sweep) / 4))
