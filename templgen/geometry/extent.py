"""How far an outline reaches in a direction, exactly, arcs included."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from templgen.geometry.contour import Contour
from templgen.geometry.segment import Arc
from templgen.geometry.vector import Vec

__all__ = ["Reach", "extent_along", "reach_along"]

Floats = NDArray[np.float64]


def reach_along(contour: Contour, direction: Vec) -> float:
    """Return the largest scalar product of a point of a contour with a unit vector, mm."""
    x, y, segments = direction.x, direction.y, contour.segments
    farthest = max([segment.start.x * x + segment.start.y * y for segment in segments])
    if not contour.closed:
        farthest = max(farthest, segments[-1].end.dot(direction))
    for segment in segments:
        if isinstance(segment, Arc):
            top = segment.centre.dot(direction) + segment.radius
            if top > farthest and segment.covers_angle(direction.angle):
                farthest = top
    return farthest


def extent_along(contour: Contour, direction: Vec) -> tuple[float, float]:
    """Return the least and the largest scalar product of a point of a contour with a unit vector, mm.

    >>> extent_along(Contour.circle(Vec(10, 0), 3), Vec(1, 0))
    (7.0, 13.0)
    """
    return -reach_along(contour, -direction), reach_along(contour, direction)


class Reach:
    """Some contours prepared to be asked in many directions."""

    def __init__(self, contours: Iterable[Contour]) -> None:
        outlines = tuple(contours)
        arcs = [each for outline in outlines for each in outline.segments if isinstance(each, Arc)]
        ends = [(point.x, point.y) for outline in outlines for point in outline.vertices]
        turned = [(a.start_angle, a.sweep) if a.is_ccw else (a.end_angle, -a.sweep) for a in arcs]
        centres = [(arc.centre.x, arc.centre.y) for arc in arcs]
        self._count = len(arcs)
        self._x, self._y = np.array([*centres, *ends]).reshape(-1, 2).T[:, :, None]
        self._radii = np.array([arc.radius for arc in arcs])[:, None]
        self._first, self._sweep = np.array(turned).reshape(-1, 2).T[:, :, None]

    def along(self, directions: Sequence[Vec]) -> Floats:
        """Return the largest scalar product of a point with each of some unit vectors (n,), mm.

        Without any contour it is minus infinity.
        """
        x = np.array([direction.x for direction in directions])
        y = np.array([direction.y for direction in directions])
        reached = self._x * x
        reached += self._y * y
        if self._count:
            beyond = np.degrees(np.arctan2(y, x)) - self._first
            beyond %= 360.0
            tops = reached[: self._count]
            tops += self._radii
            tops[beyond > self._sweep] = -np.inf
        farthest: Floats = np.maximum.reduce(reached, axis=0, initial=-np.inf)
        return farthest
