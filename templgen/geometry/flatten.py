"""The only place where arcs become chords."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from templgen.errors import GeometryError
from templgen.geometry.contour import Contour
from templgen.geometry.segment import Arc, Segment
from templgen.geometry.vector import Vec

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["flatten", "flattened"]

_QUARTER_TURN_SAGITTA = 1 - math.sqrt(0.5)
"""Of a circle of radius 1; no chord is longer, so that a coarse sagitta still shows an arc."""


def flatten(shape: Contour | Segment, max_sagitta: float) -> list[Vec]:
    """Return points along a contour or segment whose chords leave the arcs by at most ``max_sagitta`` mm.

    All points lie on the shape. The first point of a closed contour is not repeated at the end.
    The sagitta of a chord over the angle w is r (1 - cos(w / 2)).

    >>> len(flatten(Contour.circle(Vec(0, 0), 10), max_sagitta=0.01))
    72
    """
    _require_sagitta(max_sagitta)
    segments = shape.segments if isinstance(shape, Contour) else (shape,)
    points = [point for segment in segments for point in _starts(segment, max_sagitta)]
    if not (isinstance(shape, Contour) and shape.closed):
        points.append(segments[-1].end)
    return points


def flattened(contour: Contour, max_sagitta: float) -> NDArray[np.float64]:
    """Return the points (n, 2) of `flatten` for a closed contour: faster where arcs have many chords."""
    import numpy as np  # only where many points are asked for

    _require_sagitta(max_sagitta)
    found: list[NDArray[np.float64]] = []
    for segment in contour.segments:
        count = _chords(segment, max_sagitta)
        x, y = segment.start.x, segment.start.y
        if not isinstance(segment, Arc) or count == 1:
            found.append(np.array([(x, y)]))
            continue
        half, t = math.radians(segment.sweep) / 2, np.arange(count) / count
        across, along = segment.end.x - x, segment.end.y - y
        factor, turn = np.sin(t * half) / math.sin(half), (t - 1) * half
        cosine, sine = np.cos(turn) * factor, np.sin(turn) * factor
        xs, ys = x + cosine * across - sine * along, y + sine * across + cosine * along
        found.append(np.column_stack([xs, ys]))
    return np.concatenate(found)


def _require_sagitta(max_sagitta: float) -> None:
    if not max_sagitta > 0:
        raise GeometryError(f"flattening needs a sagitta above 0 mm, not {max_sagitta:g} mm")


def _starts(segment: Segment, max_sagitta: float) -> list[Vec]:
    count = _chords(segment, max_sagitta)
    if not isinstance(segment, Arc) or count == 1:
        return [segment.start]
    return segment.points_at(index / count for index in range(count))


def _chords(segment: Segment, max_sagitta: float) -> int:
    if not isinstance(segment, Arc):
        return 1
    step = 4 * math.asin(math.sqrt(min(max_sagitta / segment.radius, _QUARTER_TURN_SAGITTA) / 2))
    return max(1, math.ceil(math.radians(abs(segment.sweep)) / step - 1e-9))
