"""The only place where arcs become chords."""

from __future__ import annotations

import math

from templgen.errors import GeometryError
from templgen.geometry.contour import Contour
from templgen.geometry.segment import Arc, Segment
from templgen.geometry.vector import Vec

__all__ = ["flatten"]

_QUARTER_TURN_SAGITTA = 1 - math.sqrt(0.5)
"""Of a circle of radius 1; no chord is longer, so that a coarse sagitta still shows an arc."""


def flatten(shape: Contour | Segment, max_sagitta: float) -> list[Vec]:
    """Return points along a contour or segment whose chords leave the arcs by at most ``max_sagitta`` mm.

    All points lie on the shape. The first point of a closed contour is not repeated at the end.
    The sagitta of a chord over the angle w is r (1 - cos(w / 2)).

    >>> len(flatten(Contour.circle(Vec(0, 0), 10), max_sagitta=0.01))
    72
    """
    if not max_sagitta > 0:
        raise GeometryError(f"flattening needs a sagitta above 0 mm, not {max_sagitta:g} mm")
    segments = shape.segments if isinstance(shape, Contour) else (shape,)
    points = [point for segment in segments for point in _starts(segment, max_sagitta)]
    if not (isinstance(shape, Contour) and shape.closed):
        points.append(segments[-1].end)
    return points


def _starts(segment: Segment, max_sagitta: float) -> list[Vec]:
    if not isinstance(segment, Arc):
        return [segment.start]
    step = 4 * math.asin(math.sqrt(min(max_sagitta / segment.radius, _QUARTER_TURN_SAGITTA) / 2))
    count = max(1, math.ceil(math.radians(abs(segment.sweep)) / step - 1e-9))
    return segment.points_at(index / count for index in range(count))
