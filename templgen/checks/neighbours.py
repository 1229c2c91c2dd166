"""Pairs of holes that lie near each other: all of them on a small job, by a tree on a panel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from templgen.checks.holes import Floats, Holes, Ints

__all__ = ["ALL_PAIRS_UP_TO", "Pairs", "near_pairs_of"]

ALL_PAIRS_UP_TO = 600
"""Holes of one plane up to which every pair is measured; the tree costs an import of its own."""


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Pairs (first < second) of indices into some holes, and the distances of their centres, mm.

    Pairs farther apart than `reach` may be missing.
    """

    first: Ints
    second: Ints
    distance: Floats
    reach: float

    def where(self, chosen: np.ndarray) -> Pairs:
        """Return the pairs for which a mask is set."""
        return Pairs(self.first[chosen], self.second[chosen], self.distance[chosen], self.reach)

    def __len__(self) -> int:
        return len(self.first)


def near_pairs_of(holes: Holes, plane_indices: Ints, reach: float) -> Pairs:
    """Return the pairs among the holes of one plane that are at most `reach` mm apart (or more of them)."""
    points = holes.xy[plane_indices]
    if len(points) <= ALL_PAIRS_UP_TO:
        first, second = np.triu_indices(len(points), 1)
        reach = np.inf
    else:
        from templgen.geometry.planar import near_pairs  # the tree's library only for a panel

        first, second = near_pairs(points, reach)
    gaps = points[second] - points[first]
    return Pairs(plane_indices[first], plane_indices[second], np.hypot(gaps[:, 0], gaps[:, 1]), reach)
