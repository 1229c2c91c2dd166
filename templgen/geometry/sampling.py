"""Many points along a contour at once, in numpy; arcs exactly."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from templgen.geometry.bulk import distinct
from templgen.geometry.contour import Contour
from templgen.geometry.segment import Arc, Segment

__all__ = ["EdgePlaces", "evenly_along", "points_along"]

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


class EdgePlaces:
    """A closed contour prepared to be asked often for few points along it."""

    def __init__(self, contour: Contour) -> None:
        segments = contour.segments
        arcs = [segment if isinstance(segment, Arc) else None for segment in segments]
        self._lengths = np.array([segment.length for segment in segments])
        self._ends = np.cumsum(self._lengths)
        starts = np.array([(segment.start.x, segment.start.y) for segment in segments])
        self._steps = np.array([(s.end.x - s.start.x, s.end.y - s.start.y) for s in segments])
        self._radii = np.array([arc.radius if arc else 0.0 for arc in arcs])
        self._turns = np.radians([(arc.start_angle, arc.sweep) if arc else (0.0, 0.0) for arc in arcs])
        # a line goes on by its step from its start, an arc by its radius from its centre
        self._from = np.array([(arc.centre.x, arc.centre.y) if arc else (0.0, 0.0) for arc in arcs])
        straight = self._radii == 0.0
        self._from[straight], self._steps[~straight] = starts[straight], 0.0

    @property
    def length(self) -> float:
        """Length all round, mm."""
        return float(self._ends[-1])

    def points(self, distances: Floats) -> Floats:
        """Return the points (n, 2) of `points_along`."""
        places = distances % self._ends[-1]
        index = np.minimum(np.searchsorted(self._ends, places, side="left"), len(self._ends) - 1)
        lengths = self._lengths[index]
        share = (places - (self._ends[index] - lengths)) / lengths
        turns, radii = self._turns[index], self._radii[index]
        angles = turns[:, 0] + share * turns[:, 1]
        points: Floats = self._from[index] + share[:, None] * self._steps[index]
        points[:, 0] += radii * np.cos(angles)
        points[:, 1] += radii * np.sin(angles)
        return points


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
