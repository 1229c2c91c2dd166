"""Cubic splines through measured values."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

__all__ = ["Spline"]


class Spline(Struct, frozen=True):
    """A cubic spline: nodes (rising), values there, and second derivatives there.

    Made by `Spline.through`. Source of the equations: any text on numerical analysis; they follow from equal
    slopes on both sides of every node.
    """

    nodes: tuple[float, ...]
    values: tuple[float, ...]
    bends: tuple[float, ...]

    @classmethod
    def through(
        cls,
        nodes: Sequence[float],
        values: Sequence[float],
        first_slope: float | None = None,
        last_slope: float | None = None,
    ) -> Spline:
        """The spline through values at nodes.

        Args:
            nodes: at least two, rising.
            values: one per node.
            first_slope, last_slope: slope at an end; None: the end stretch bends evenly (parabolic run-out).

        >>> Spline.through([0, 1, 2, 3], [0, 1, 4, 9])(1.5)
        2.25
        """
        count = len(nodes)
        steps = np.diff(np.asarray(nodes, dtype=float))
        slopes = np.diff(np.asarray(values, dtype=float)) / steps
        matrix, right = np.zeros((count, count)), np.zeros(count)
        for i in range(1, count - 1):
            matrix[i, i - 1 : i + 2] = steps[i - 1], 2 * (steps[i - 1] + steps[i]), steps[i]
            right[i] = 6 * (slopes[i] - slopes[i - 1])
        matrix[0, :2] = (1.0, -1.0) if first_slope is None else (2 * steps[0], steps[0])
        right[0] = 0.0 if first_slope is None else 6 * (slopes[0] - first_slope)
        matrix[-1, -2:] = (-1.0, 1.0) if last_slope is None else (steps[-1], 2 * steps[-1])
        right[-1] = 0.0 if last_slope is None else 6 * (last_slope - slopes[-1])
        if count == 2 and first_slope is None and last_slope is None:
            matrix, right = np.eye(2), np.zeros(2)
        bends = np.linalg.solve(matrix, right)
        return cls(tuple(map(float, nodes)), tuple(map(float, values)), tuple(map(float, bends)))

    def __call__(self, place: float) -> float:
        """The value at a place; beyond the ends the end stretch goes on."""
        i, step, a, b = self._stretch(place)
        curve = (a**3 - a) * self.bends[i] + (b**3 - b) * self.bends[i + 1]
        return a * self.values[i] + b * self.values[i + 1] + curve * step * step / 6

    def slope(self, place: float) -> float:
        """The slope at a place.

        >>> Spline.through([0, 1, 2, 3], [0, 1, 4, 9]).slope(1.5)
        3.0
        """
        i, step, a, b = self._stretch(place)
        curve = (3 * b * b - 1) * self.bends[i + 1] - (3 * a * a - 1) * self.bends[i]
        return (self.values[i + 1] - self.values[i]) / step + curve * step / 6

    def _stretch(self, place: float) -> tuple[int, float, float, float]:
        """Number and length of the stretch of a place, and the shares of its two ends there."""
        i = min(max(bisect_right(self.nodes, place) - 1, 0), len(self.nodes) - 2)
        left, right = self.nodes[i], self.nodes[i + 1]
        step = right - left
        return i, step, (right - place) / step, (place - left) / step
