"""Where a long way is joined: fewest pieces, equal overlap, and no join near the centre of a hole.

All of it is worked out along one axis; a grid of tiles has its joins along x and along y.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

__all__ = ["CENTRE_KEEP", "OVERLAP", "count_of", "joins"]

OVERLAP = 12.0
"""Two neighbouring tiles show this strip both, mm; the join is in its middle, and the targets fit in it."""
CENTRE_KEEP = 4.0
"""The centre of a hole keeps this far from a join, mm, where it can."""

_NOISE = 1e-6
Interval = tuple[float, float]


def count_of(length: float, span: float) -> int:
    """Return the fewest pieces of `span` mm that cover `length` mm with the overlap between neighbours.

    >>> count_of(100.0, 100.0), count_of(188.0, 100.0), count_of(188.1, 100.0)
    (1, 2, 3)
    """
    return max(1, math.ceil((length - OVERLAP) / (span - OVERLAP) - _NOISE))


def joins(low: float, high: float, span: float, holes: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """Return the places of all joins between `low` and `high`, rising.

    Args:
        low, high: the ends of the way, mm.
        span: the longest piece, its share of both overlaps included, mm.
        holes: place of each hole's centre along the way, and the half width of all that is drawn of it, mm.

    As near to even pieces as they can be while every hole stays whole; else while every centre keeps
    `CENTRE_KEEP`; else as much of it as can be kept.
    """
    count = count_of(high - low, span)
    if count == 1:
        return ()
    for kept in _wishes(holes):
        found = _joins(low, high, span, count, kept)
        if found:
            return found
    return _joins(low, high, span, count, [])


def _wishes(holes: Sequence[tuple[float, float]]) -> Iterator[list[Interval]]:
    """What no join may meet, the most first."""
    yield [_round(at, max(half, CENTRE_KEEP)) for at, half in holes]
    for keep in (CENTRE_KEEP, CENTRE_KEEP / 2, CENTRE_KEEP / 8):
        yield [_round(at, keep) for at, _ in holes]


def _round(at: float, half: float) -> Interval:
    return at - half, at + half


def _joins(low: float, high: float, span: float, count: int, kept: list[Interval]) -> tuple[float, ...]:
    """Joins outside all that is kept; none where there are none.

    From the last join back: where may each be so that the next one has a place; then from the first one on.
    """
    half, most = OVERLAP / 2, span - OVERLAP
    free = _free(low, high, kept)
    reach = [_both(free, [(high - (span - half), high)])]
    for _ in range(count - 2):
        reach.append(_both(free, [(a - most, b - OVERLAP) for a, b in reach[-1]]))
    even = (high - low + (count - 1) * OVERLAP) / count
    found: list[float] = []
    for number, places in enumerate(reversed(reach), 1):
        wanted = low + number * even - (number - 0.5) * OVERLAP
        window = (found[-1] + OVERLAP, found[-1] + most) if found else (low, low + span - half)
        spots = [min(max(wanted, a), b) for a, b in _both(places, [window])]
        if not spots:
            return ()
        found.append(min(spots, key=lambda spot: abs(spot - wanted)))
    return tuple(found)


def _free(low: float, high: float, kept: Iterable[Interval]) -> list[Interval]:
    """What is left of a way beside all that is kept."""
    free, at = [], low
    for start, end in sorted(kept):
        if start > at:
            free.append((at, min(start, high)))
        at = max(at, end)
    return [*free, (at, high)] if at < high else free


def _both(some: Sequence[Interval], others: Sequence[Interval]) -> list[Interval]:
    """What lies in one of some intervals and in one of others."""
    found = [(max(a, c), min(b, d)) for a, b in some for c, d in others if max(a, c) <= min(b, d) + _NOISE]
    merged: list[Interval] = []
    for start, end in sorted(found):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        else:
            merged.append((start, max(start, end)))
    return merged
