"""Pairs of holes that lie near each other: all of them on a small job, the near ones on a panel."""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from templgen.checks.holes import Flags, Floats, Holes, Ints
from templgen.geometry.bulk import near_pairs

__all__ = ["ALL_PAIRS_UP_TO", "Pairs", "near_pairs_of"]

ALL_PAIRS_UP_TO = 600
"""Holes of one plane up to which every pair is measured, so that the least pitch can always be named."""


class Pairs(Struct, frozen=True, eq=False):
    """Pairs (first < second) of indices into some holes, and the distances of their centres, mm.

    Pairs too far apart for any rule may be missing.
    """

    first: Ints
    second: Ints
    distance: Floats

    def where(self, chosen: Flags) -> Pairs:
        """Return the pairs for which a mask is set."""
        return Pairs(self.first[chosen], self.second[chosen], self.distance[chosen])

    def __len__(self) -> int:
        return len(self.first)


def near_pairs_of(holes: Holes, indices: Ints, reach: Floats) -> Pairs:
    """Return the pairs among some holes of one plane that lie within the larger reach of the two, and more.

    Args:
        holes: all holes.
        indices: those of the plane.
        reach: (n,) for all holes, mm.
    """
    points = holes.xy[indices]
    if len(points) <= ALL_PAIRS_UP_TO:
        first, second = np.triu_indices(len(points), 1)
    else:
        first, second = near_pairs(points, reach[indices])
    gaps = points[second] - points[first]
    return Pairs(indices[first], indices[second], np.hypot(gaps[:, 0], gaps[:, 1]))
