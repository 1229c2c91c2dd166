"""Boxes along the axes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from templgen.geometry.vector import Vec

__all__ = ["Bounds", "overlapping_pairs"]


class Bounds(Struct, frozen=True):
    """The smallest box along the axes round something, in mm.

    There is no empty box: what has no points has no bounds, and says so with None.
    """

    xmin: float
    ymin: float
    xmax: float
    ymax: float

    @classmethod
    def of(cls, points: Iterable[Vec]) -> Bounds | None:
        """Return the bounds of some points, None when there are none.

        >>> Bounds.of([Vec(0, 2), Vec(3, 1)])
        Bounds(xmin=0, ymin=1, xmax=3, ymax=2)
        >>> Bounds.of([]) is None
        True
        """
        kept = tuple(points)
        if not kept:
            return None
        xs = [point.x for point in kept]
        ys = [point.y for point in kept]
        return cls(min(xs), min(ys), max(xs), max(ys))

    @property
    def width(self) -> float:
        """Extent along x in mm."""
        return self.xmax - self.xmin

    @property
    def height(self) -> float:
        """Extent along y in mm."""
        return self.ymax - self.ymin

    @property
    def centre(self) -> Vec:
        """Middle of the box."""
        return Vec((self.xmin + self.xmax) / 2, (self.ymin + self.ymax) / 2)

    @property
    def corners(self) -> tuple[Vec, Vec, Vec, Vec]:
        """The four corners, counter-clockwise from the lower left one."""
        return (
            Vec(self.xmin, self.ymin),
            Vec(self.xmax, self.ymin),
            Vec(self.xmax, self.ymax),
            Vec(self.xmin, self.ymax),
        )

    def union(self, other: Bounds) -> Bounds:
        """Return the smallest box round both."""
        return Bounds(
            min(self.xmin, other.xmin),
            min(self.ymin, other.ymin),
            max(self.xmax, other.xmax),
            max(self.ymax, other.ymax),
        )

    def grown(self, distance: float) -> Bounds:
        """Return the box moved out by ``distance`` mm on every side."""
        return Bounds(self.xmin - distance, self.ymin - distance, self.xmax + distance, self.ymax + distance)

    def overlaps(self, other: Bounds) -> bool:
        """Whether the two boxes share at least one point."""
        return (
            self.xmin <= other.xmax
            and other.xmin <= self.xmax
            and self.ymin <= other.ymax
            and other.ymin <= self.ymax
        )

    def near(self, other: Bounds, distance: float) -> bool:
        """Whether the box moved out by ``distance`` mm shares a point with another one."""
        return (
            self.xmin - distance <= other.xmax
            and other.xmin <= self.xmax + distance
            and self.ymin - distance <= other.ymax
            and other.ymin <= self.ymax + distance
        )

    def near_point(self, point: Vec, distance: float) -> bool:
        """Whether a point lies in the box moved out by ``distance`` mm, or on its border."""
        return (
            self.xmin - distance <= point.x <= self.xmax + distance
            and self.ymin - distance <= point.y <= self.ymax + distance
        )

    def contains(self, point: Vec) -> bool:
        """Whether the point lies in the box or on its border."""
        return self.xmin <= point.x <= self.xmax and self.ymin <= point.y <= self.ymax

    def distance_to(self, other: Bounds) -> float:
        """Return the gap between two boxes in mm, 0 when they overlap."""
        across, back = self.xmin - other.xmax, other.xmin - self.xmax
        along, down = self.ymin - other.ymax, other.ymin - self.ymax
        across = across if across > back else back
        along = along if along > down else down
        # beside each other or above each other in most cases
        if along <= 0.0:
            return across if across > 0.0 else 0.0
        return math.hypot(across, along) if across > 0.0 else along


def overlapping_pairs(boxes: Sequence[Bounds]) -> Iterator[tuple[int, int]]:
    """Yield the numbers (i < j) of all pairs of boxes that share a point; a sweep along x."""
    order = sorted(range(len(boxes)), key=lambda number: boxes[number].xmin)
    for rank, i in enumerate(order):
        for j in order[rank + 1 :]:
            if boxes[j].xmin > boxes[i].xmax:
                break
            if boxes[i].overlaps(boxes[j]):
                yield min(i, j), max(i, j)
