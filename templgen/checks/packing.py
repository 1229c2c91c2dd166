"""The smallest circle that holds round things side by side, where a closed formula is known.

Two circles: d1 + d2. Equal circles of diameter d: three d (1 + 2 / sqrt 3), four d (1 + sqrt 2), five
d (1 + sqrt(2 (1 + 1 / sqrt 5))), six and seven 3 d; proved optimal (Graham 1968; from memory, confidence
high).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

__all__ = ["holding_circle", "least_possible"]

_EQUAL = {
    1: 1.0,
    2: 2.0,
    3: 1 + 2 / math.sqrt(3),
    4: 1 + math.sqrt(2),
    5: 1 + math.sqrt(2 * (1 + 1 / math.sqrt(5))),
    6: 3.0,
    7: 3.0,
}
_SAME = 1e-6


def holding_circle(diameters: Sequence[float]) -> tuple[float, float]:
    """Return bounds of the diameter of the smallest circle that holds circles of these diameters.

    The first is never too large, the second is enough for certain (infinite where no formula is known).
    Where they
    are equal the value is exact.

    >>> holding_circle([3.0, 5.0])
    (8.0, 8.0)
    """
    ordered = sorted(diameters, reverse=True)
    largest, smallest = ordered[0], ordered[-1]
    enough = _EQUAL[len(ordered)] * largest if len(ordered) in _EQUAL else math.inf
    if len(ordered) == 2:
        return sum(ordered), sum(ordered)
    if largest - smallest <= _SAME:
        return (enough, enough) if len(ordered) in _EQUAL else (least_possible(ordered), math.inf)
    return least_possible(ordered), enough


def least_possible(ordered: Sequence[float]) -> float:
    """Return a diameter below which the circles never fit: the two largest, their area, and the
    equal-circle bound.

    Args:
        ordered: diameters, the largest first.
    """
    area = math.sqrt(sum(diameter**2 for diameter in ordered))
    alike = [_EQUAL[n] * ordered[n - 1] for n in range(1, len(ordered) + 1) if n in _EQUAL]
    return max(sum(ordered[:2]), area, *alike)
