"""Half turns and mirrors that leave the half-planes of an opening as they are.

Half-planes are rows of normals (n, 2), counter-clockwise, and their limits (n,): normal . p <= limit, mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templgen.geometry.vector import Vec

__all__ = ["Mirror", "half_turn_centre", "mirror_of"]

Floats = NDArray[np.float64]

_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Mirror:
    """A line through the centre of an opening at an angle, `twice` that (degrees). It mirrors half-plane i
    into half-plane `first` - i."""

    centre: Vec
    twice: float
    first: int


def half_turn_centre(normals: Floats, limits: Floats) -> Vec | None:
    """Return the place about which half a turn leaves ordered half-planes as they are, None without one."""
    half, odd = divmod(len(limits), 2)
    if odd or not half or np.abs(normals[:half] + normals[half:]).max() > _SLACK:
        return None
    # n . c lies amid the limits of two that stand opposite; two of them say where c is, the others agree
    middles = (limits[:half] - limits[half:]) / 2
    sines = normals[0, 0] * normals[:half, 1] - normals[0, 1] * normals[:half, 0]
    second = int(np.abs(sines).argmax())
    (ax, ay), (bx, by), m, n = normals[0], normals[second], middles[0], middles[second]
    centre = np.array([m * by - n * ay, n * ax - m * bx]) / sines[second]
    if np.abs(normals[:half] @ centre - middles).max() > _SLACK:
        return None
    return Vec(float(centre[0]), float(centre[1]))


def mirror_of(normals: Floats, limits: Floats, centre: Vec) -> Mirror | None:
    """Return a line through the centre that mirrors ordered half-planes into themselves, None without one.

    What is mirrored in it keeps its moments, so it lies along or square to the longer way.
    """
    x, y = normals.T
    heights = limits - x * centre.x - y * centre.y
    cosine, sine = (heights**2 * (x * x - y * y)).sum(), (heights**2 * 2 * x * y).sum()
    size = math.hypot(cosine, sine)
    if size <= _SLACK * float((heights**2).sum()):
        return None
    c, s = cosine / size, sine / size
    mirrored = np.column_stack([c * x + s * y, s * x - c * y])
    first = int((normals @ mirrored[0]).argmax())
    order = (first - np.arange(len(limits))) % len(limits)
    if np.abs(normals[order] - mirrored).max() > _SLACK or np.abs(heights[order] - heights).max() > _SLACK:
        return None
    return Mirror(centre, round(math.degrees(math.atan2(s, c)), 9), first)
