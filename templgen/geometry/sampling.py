"""Many points along a contour at once, in numpy; arcs exactly."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from templgen.geometry.bulk import distinct
from templgen.geometry.contour import Contour
from templgen.geometry.segment import Arc, Segment

__all__ = ["evenly_along", "points_along"]

Floats = NDArray[np.float64]


def points_along(contour: Contour, distances: Floats) -> tuple[Floats, Floats]:
    """Return points and unit tangents (n, 2) at distances (n,) along a closed contour, mm; it goes round
    again."""
    lengths = np.array([segment.length for segment in contour.segments])
    ends = np.cumsum(lengths)
    places = distances % ends[-1]
    index = np.minimum(np.searchsorted(ends, places, side="left"), len(ends) - 1)
    share = (places - (ends - lengths)[index]) / lengths[index]
    points, tangents = np.empty((len(places), 2)), np.empty((len(places), 2))
    for number in distinct(index):
        chosen = index == number
        points[chosen], tangents[chosen] = _on(contour.segments[number], share[chosen])
    return points, tangents


def evenly_along(contour: Contour, step: float) -> tuple[Floats, Floats]:
    """Return points and unit tangents (n, 2) evenly spaced along a closed contour, at most a step apart,
    mm."""
    length = contour.length
    count = math.ceil(length / step)
    places = np.linspace(0.0, length, count, endpoint=False)
    return points_along(contour, places)


def _on(segment: Segment, t: Floats) -> tuple[Floats, Floats]:
    """Points and tangents at fractions of a segment's length."""
    start = np.array([segment.start.x, segment.start.y])
    if not isinstance(segment, Arc):
        step = np.array([segment.end.x, segment.end.y]) - start
        return start + t[:, None] * step, np.broadcast_to(step / segment.length, (len(t), 2))
    centre = np.array([segment.centre.x, segment.centre.y])
    angle = np.radians(segment.start_angle + t * segment.sweep)
    outwards = np.column_stack([np.cos(angle), np.sin(angle)])
    sense = math.copysign(1.0, segment.sweep)
    return centre + segment.radius * outwards, sense * np.column_stack([-outwards[:, 1], outwards[:, 0]])
