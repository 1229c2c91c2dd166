"""How two segments that share an end turn into each other."""

from __future__ import annotations

import math

from templgen.geometry.segment import Arc, Segment

__all__ = ["bend", "turn_at"]

_ALIKE = 5e-6
"""Directions this near (radians) count as one, so that noise does not decide where bends should."""


def bend(segment: Segment) -> float:
    """Return the curvature in 1/mm, positive when it bends to the left, 0 for a line."""
    return math.copysign(1 / segment.radius, segment.bulge) if isinstance(segment, Arc) else 0.0


def turn_at(before: Segment, after: Segment) -> float:
    """Return the turn from the end of one segment to the start of the next, in degrees, left positive.

    A turn straight back is +180 when the way on lies to the left of the way that was come, as its
    bend shows, else -180.
    """
    heading, ahead = before.tangent_at(1.0), after.tangent_at(0.0)
    sine, cosine = heading.cross(ahead), heading.dot(ahead)
    if cosine < 0 and abs(sine) <= _ALIKE:
        return 180.0 if bend(after) < -bend(before) else -180.0
    return math.degrees(math.atan2(sine, cosine))
