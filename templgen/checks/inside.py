"""Which of very many points lie inside a closed contour; the winding rule of `geometry.locate`, in numpy."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from templgen.geometry import Arc, Contour, Region, Segment

__all__ = ["points_in_contour", "points_in_region"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def points_in_region(points: Floats, region: Region) -> Flags:
    """Return for each of many points (n, 2) whether it lies on the metal of a region."""
    inside = points_in_contour(points, region.outer)
    for opening in region.inner:
        inside &= ~points_in_contour(points, opening)
    return inside


def points_in_contour(points: Floats, contour: Contour) -> Flags:
    """Return for each of many points (n, 2) whether it lies inside a closed contour.

    Winding number of the polygon of chords, corrected for points between an arc and its chord. A point on the
    line itself falls on either side; callers also look at the distance.
    """
    box = contour.bounds
    x, y = points[:, 0], points[:, 1]
    near = (x >= box.xmin) & (x <= box.xmax) & (y >= box.ymin) & (y <= box.ymax)
    inside: Flags = np.zeros(len(points), dtype=bool)
    if near.any():
        px, py = x[near], y[near]
        winding = np.zeros(len(px), dtype=np.int64)
        for segment in contour.segments:
            winding += _turns(px, py, segment)
        inside[near] = winding != 0
    return inside


def _turns(x: Floats, y: Floats, segment: Segment) -> NDArray[np.int64]:
    """What one segment adds to the winding number of each point."""
    start, end = segment.start, segment.end
    along = end - start
    turn = along.x * (y - start.y) - along.y * (x - start.x)
    upwards = (start.y <= y) & (y < end.y) & (turn > 0)
    downwards = (end.y <= y) & (y < start.y) & (turn < 0)
    turns = upwards.astype(np.int64) - downwards
    if isinstance(segment, Arc):
        # a point on the chord counts as right of it and above it, as in the crossings above
        turn = np.where(turn == 0.0, -along.y if along.y else along.x, turn)
        within = np.hypot(x - segment.centre.x, y - segment.centre.y) < segment.radius
        in_cap = within & ((turn < 0) == (segment.bulge > 0))
        turns += in_cap * (1 if segment.bulge > 0 else -1)
    return turns
