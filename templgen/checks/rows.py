"""Rows of holes, found in a set of them: straight, parallel to the way most neighbours follow each other."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from templgen.checks.holes import Flags, Floats, Holes, Ints
from templgen.checks.neighbours import ALL_PAIRS_UP_TO

__all__ = ["Row", "along_with", "rows_of", "runs_of", "sets_of"]

LEAST_HOLES = 3
"""Two holes are always in line; three make a row."""

_ONE_ROW = 0.5
"""Holes out of line by less than this many diameters still make one row (measured, or drilled by hand)."""

_MOST_PITCH = 12.0
"""The largest pitch of a row that anybody prints, in diameters (older practice; from memory)."""

_ANGLE_STEP = 0.5
"""Directions are gathered in steps of this many degrees."""


class Row(Struct, frozen=True, eq=False):
    """A straight row of holes.

    Attributes:
        indices: the holes, along the row, as indices of all holes.
        direction: unit vector along the row, (2,).
        offset: how far the row lies to the left of the origin's parallel, mm.
        low, high: where it begins and ends along its direction, mm.
        diameter, doubt: the largest of its holes, mm.
    """

    indices: Ints
    direction: Floats
    offset: float
    low: float
    high: float
    diameter: float
    doubt: float

    def overlaps(self, other: Row) -> bool:
        """Whether two rows of one direction run beside each other."""
        return self.low <= other.high and other.low <= self.high


def sets_of(holes: Holes, chosen: Flags) -> Iterator[Ints]:
    """Yield the indices of each set of chosen holes, in the order in which they were laid out."""
    indices = np.flatnonzero(chosen)
    order = indices[np.argsort(holes.group[indices], kind="stable")]
    breaks = np.flatnonzero(np.diff(holes.group[order])) + 1
    yield from (part for part in np.split(order, breaks) if len(part))


def rows_of(holes: Holes, indices: Ints) -> list[Row]:
    """Return the straight rows of one set; holes that are in no row of three are in none of them."""
    if len(indices) < LEAST_HOLES:
        return []
    points = holes.xy[indices]
    direction = _main_direction(points)
    if direction is None:
        return []
    offsets = points @ np.array([-direction[1], direction[0]])
    order = np.argsort(offsets, kind="stable")
    gap = _ONE_ROW * float(holes.diameter[indices].min())
    parts = np.split(order, np.flatnonzero(np.diff(offsets[order]) > gap) + 1)
    return [
        _row(holes, indices[part], direction, offsets[part])
        for part in parts
        if len(part) >= LEAST_HOLES and np.ptp(offsets[part]) <= gap
    ]


def runs_of(holes: Holes, row: Row, indices: Ints) -> list[Row]:
    """Return the stretches of a row of a set in which each hole follows the one before.

    Holes on two sides of an opening lie in line as well, and make no row. A row goes on over gaps of
    `_MOST_PITCH`, a sparse one over three times the distance to the nearest hole of its set.
    """
    gaps = np.diff(holes.xy[row.indices] @ row.direction)
    most = _MOST_PITCH * row.diameter
    if gaps.max() > most:
        most = max(most, 3.0 * _nearest(holes, row.indices, indices))
    parts = np.split(row.indices, np.flatnonzero(gaps > most) + 1)
    if len(parts) == 1:
        return [row]
    across = np.array([-row.direction[1], row.direction[0]])
    return [
        _row(holes, run, row.direction, holes.xy[run] @ across) for run in parts if len(run) >= LEAST_HOLES
    ]


def along_with(holes: Holes, row: Row, other: Row) -> Row:
    """Return a row as it is seen along another one that is parallel but for a little.

    Far from the origin offsets square to two directions can not be compared, however little they differ.
    """
    across = np.array([-other.direction[1], other.direction[0]])
    return _row(holes, row.indices, other.direction, holes.xy[row.indices] @ across)


def _nearest(holes: Holes, some: Ints, indices: Ints) -> float:
    """The least distance of some holes to another one of their set, mm; of a large set to each other."""
    others = indices if len(indices) <= ALL_PAIRS_UP_TO else some
    away = holes.xy[some][:, None, :] - holes.xy[others][None, :, :]
    apart = np.hypot(away[..., 0], away[..., 1])
    return float(apart[some[:, None] != others[None, :]].min())


def _row(holes: Holes, indices: Ints, direction: Floats, offsets: Floats) -> Row:
    along = holes.xy[indices] @ direction
    order = np.argsort(along, kind="stable")
    return Row(
        indices[order],
        direction,
        _median(offsets),
        float(along.min()),
        float(along.max()),
        float(holes.diameter[indices].max()),
        float(holes.doubt[indices].max()),
    )


def _median(values: Floats) -> float:
    """The median, without numpy's own, which loads the masked arrays to look for them."""
    ordered = np.sort(values)
    last = len(ordered) - 1
    return float((ordered[last // 2] + ordered[last - last // 2]) / 2)


def _main_direction(points: Floats) -> Floats | None:
    """The direction in which most holes follow the one before, turned so that x (or y) grows."""
    steps = np.diff(points, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    steps = steps[lengths > 0] / lengths[lengths > 0, None]
    if not len(steps):
        return None
    angles = np.degrees(np.arctan2(steps[:, 1], steps[:, 0])) % 180.0
    bins = np.round(angles / _ANGLE_STEP).astype(int) % round(180.0 / _ANGLE_STEP)
    fullest = np.argmax(np.bincount(bins))
    middle = np.radians(fullest * _ANGLE_STEP)
    axis = np.array([np.cos(middle), np.sin(middle)])
    like = steps[bins == fullest]
    mean = (like * np.sign(like @ axis)[:, None]).sum(axis=0)
    direction: Floats = mean / np.hypot(*mean)
    return -direction if (direction[0], direction[1]) < (0.0, 0.0) else direction
