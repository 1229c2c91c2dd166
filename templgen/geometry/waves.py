"""Bounds of the room that a turned figure has in an opening, at all angles at once.

Three half-planes in balance leave no more room than their limits and one point of the figure each allow:
the sum of their shares of limit - n . p (weak duality). What holds the figure best at one angle is such a
bound, tight there; turning the figure turns its points, so that at any other angle the same bound is
m + a cos(angle) + b sin(angle), a wave.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

__all__ = ["Lowest", "Wave", "highest_between", "wave_of"]

Floats = NDArray[np.float64]
Wave: TypeAlias = tuple[float, float, float]
Plane: TypeAlias = tuple[float, float, float]
"""A half-plane: x and y of its normal, and its limit, mm."""


def wave_of(planes: tuple[Plane, Plane, Plane], points: Sequence[Sequence[float]], angle: float) -> Wave:
    """Return the bound that three half-planes in balance give, from what they hold at an angle.

    Args:
        planes: their normals surround the origin.
        points: of the figure, not turned, mm.
        angle: at which the points are looked for that lie farthest along the normals, degrees.
    """
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    (ax, ay, _), (bx, by, _), (cx, cy, _) = planes
    weights = (bx * cy - by * cx, cx * ay - cy * ax, ax * by - ay * bx)
    total = sum(weights)
    middle = cosine = sine = 0.0
    for (nx, ny, limit), weight in zip(planes, weights, strict=True):
        share = weight / total
        back_x, back_y = nx * c + ny * s, ny * c - nx * s
        x, y = max(points, key=lambda p: p[0] * back_x + p[1] * back_y)
        middle += share * limit
        cosine -= share * (nx * x + ny * y)
        sine -= share * (ny * x - nx * y)
    return middle, cosine, sine


class Lowest:
    """The lowest of some waves over a stretch of angles (degrees), as far as it may be higher than wanted.

    It is highest at an end, at the top of a wave, or where two of them cross.
    """

    def __init__(self, low: float, high: float) -> None:
        self._low, self._high = low, high
        self._waves: list[Wave] = []
        self._peaks: list[tuple[float, float]] = [(math.inf, low), (math.inf, high)]

    def add(self, wave: Wave, least: float) -> None:
        """Add a wave; what is no higher than `least` is forgotten."""
        m, a, b = wave
        near = math.radians((self._low + self._high) / 2)
        angles = [self._low + (math.degrees(math.atan2(b, a)) - self._low) % 360.0]
        for n, c, d in self._waves:
            angles += _crossings(m - n, a - c, b - d, near)
        self._waves.append(wave)
        peaks = [(min(height, _height(wave, angle)), angle) for height, angle in self._peaks]
        for angle in angles:
            if self._low <= angle <= self._high:
                peaks.append((min(_height(each, angle) for each in self._waves), angle))
        self._peaks = [peak for peak in peaks if peak[0] > least]

    def highest(self) -> float | None:
        """Return the angle where the lowest wave is highest; None where it is nowhere higher than wanted."""
        return max(self._peaks)[1] if self._peaks else None


def _height(wave: Wave, angle: float) -> float:
    radians = math.radians(angle)
    return wave[0] + wave[1] * math.cos(radians) + wave[2] * math.sin(radians)


def highest_between(waves: Sequence[Wave], angles: Sequence[float]) -> Floats:
    """Return for each stretch between neighbours of n angles (degrees) the most that both their waves allow.

    Args:
        waves: one for each angle.
        angles: rising, less than half a turn apart.

    Returns:
        (n - 1,) mm.
    """
    table, turns = np.array(waves), np.radians(np.array(angles))
    low, high, one, other = turns[:-1], turns[1:], table[:-1], table[1:]
    m, a, b = (one - other).T
    size = np.hypot(a, b)
    top = np.arctan2(b, a)
    half = np.arccos(np.clip(-m / np.where(size > 0.0, size, 1.0), -1.0, 1.0))
    tops = (np.arctan2(wave[:, 2], wave[:, 1]) for wave in (one, other))
    looks = np.stack([low, high, *tops, top + half, top - half])
    looks = low + np.minimum((looks - low) % math.tau, high - low)
    c, s = np.cos(looks), np.sin(looks)
    heights = np.minimum(*(wave[:, 0] + wave[:, 1] * c + wave[:, 2] * s for wave in (one, other)))
    most: Floats = heights.max(axis=0)
    return most


def _crossings(m: float, a: float, b: float, near: float) -> list[float]:
    """Angles (degrees) where m + a cos + b sin is 0, within half a turn of an angle (radians)."""
    size = math.hypot(a, b)
    if size <= abs(m):
        return []
    top, half = math.atan2(b, a), math.acos(-m / size)
    both = (top + half, top - half)
    return [math.degrees(near + (each - near + math.pi) % math.tau - math.pi) for each in both]
