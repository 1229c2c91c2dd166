"""Attitudes in which a flat plate may pass an opening, and its best places there, the roomiest first.

An attitude is the direction in the plate's plane that goes first (`turn`) and how it leans (`tilt`, 90: on
edge). It is looked at only when it may have more room than all that was found so far.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from heapq import heapify, heappop, heappush
from typing import TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from templgen.geometry.holding import Held, HoleSpace, clearance_held, hold, hold_round
from templgen.geometry.plate import Bay, Plate, slot_of
from templgen.geometry.vector import Vec

__all__ = ["Entry", "entries_of", "is_crowded", "tilts_of"]

Floats = NDArray[np.float64]
_Rank: TypeAlias = tuple[float, int, int, int]

_DIRECTIONS = 36
_HEADINGS = tuple(10.0 * number for number in range(36))
_MARGINS = (0.05, 0.5, 1.5, 4.0)
"""Room left to the far skin while a plate that is wider than the room is deep goes in, mm on either side."""

_LEANING = (90.0, 62.0, 40.0)
"""Attitudes tried where there is depth for all of them."""

_SAME = 0.001
"""Rooms that differ by less count as the same, mm: the attitude that was thought of first goes first."""

_FINE = 1e-3
"""The narrowest ways are known to this, degrees: some micrometres over a ring."""

_MOST_ATTITUDES = 10
_MOST_NARROW = 3
_MOST_PLACES = 4


class Entry(Struct, frozen=True):
    """An attitude, and its place in the opening."""

    turn: float
    tilt: float
    held: Held
    slot: tuple[Vec, ...]
    clearance: float
    depth_left: float

    @property
    def least(self) -> float:
        """Room to the opening or to the far skin, the less, mm."""
        return min(self.clearance, self.depth_left)


def entries_of(plate: Plate, opening: HoleSpace, bay: Bay, skin: float) -> Iterator[Entry]:
    """Yield attitudes with their best places in the opening, the one with most room first; where things
    stand behind, after the best place of an attitude also the one from which it needs no turning.

    An attitude is looked at only when it may have more room than all that was found: what is above it in the
    heap bounds its room.
    """
    seek = _Seek(plate, opening, bay, skin)
    heap: list[tuple[_Rank, _Attitude | Entry]] = [(each.rank, each) for each in seek.attitudes()]
    heapify(heap)
    while heap:
        _, first = heappop(heap)
        if isinstance(first, Entry):
            yield seek.measured(first) if opening.is_whole else first
            continue
        for rank, found in seek.looked_at(first):
            heappush(heap, (rank, found))


class _Attitude(Struct, frozen=True):
    """An attitude that is not yet looked at: the number of its turn and of its tilt among those of the turn,
    and a bound of the room in the opening and to the far skin, mm."""

    turn: float
    number: int
    tilts: tuple[tuple[float, float], ...]
    tilt: int
    most: float

    @property
    def rank(self) -> _Rank:
        """Before its own places, and before those of others with no more room."""
        left = max(left for _, left in self.tilts[self.tilt :])
        return (-_level(min(self.most, left)), self.number, self.tilt, -1)


class _Seek(Struct, frozen=True):
    """What is fed in, and through what."""

    plate: Plate
    opening: HoleSpace
    bay: Bay
    skin: float

    def attitudes(self) -> Iterator[_Attitude]:
        """The first attitude of every turn that is not wider than the opening anywhere, and of the first
        turn."""
        crowded, widest = is_crowded(self.bay), self.opening.widest
        turns = _turns(self.plate, crowded)
        both = self.plate.across_all([*turns, *(turn - 90.0 for turn in turns)])
        sizes = zip(turns, both[: len(turns)], both[len(turns) :], strict=True)
        for number, (turn, across, long) in enumerate(sizes):
            # what is held with room all round is by twice that much narrower than the opening
            most = (widest - across) / 2 if number else math.inf
            tilts = tuple(tilts_of(long, self.plate.depth, self.bay, crowded)) if most >= 0.0 else ()
            if tilts:
                yield _Attitude(turn, number, tilts, 0, most)

    def looked_at(self, attitude: _Attitude) -> Iterator[tuple[_Rank, _Attitude | Entry]]:
        """The places of an attitude, and the next flatter one: its slot is deeper, it has no more room."""
        tilt, left = attitude.tilts[attitude.tilt]
        figure = slot_of(self.plate, attitude.turn, tilt, self.skin)
        count = _MOST_PLACES if is_crowded(self.bay) else 1
        found = hold_round(self.opening, figure, _HEADINGS, count)
        entries = [_entry(figure, attitude.turn, tilt, held, left) for held in found.places]
        if not self.opening.is_whole:
            # there may be far more room than in the convex part of it
            entries = [self.measured(entry) for entry in entries]
        entries.sort(key=lambda entry: (-_level(entry.clearance), entry.held.angle % 360.0))
        for number, entry in enumerate(entries):
            yield (-_level(entry.least), attitude.number, attitude.tilt, 2 * number), entry
        unturned = self._unturned(figure, attitude.turn, tilt, left)
        if unturned is not None and found.places[0].clearance >= 0.0:
            yield (-_level(entries[0].least), attitude.number, attitude.tilt, 1), unturned
        if found.places[0].clearance >= 0.0 and attitude.tilt + 1 < len(attitude.tilts):
            flatter = replace(attitude, tilt=attitude.tilt + 1, most=min(attitude.most, found.most))
            yield flatter.rank, flatter

    def _unturned(self, figure: Floats, turn: float, tilt: float, left: float) -> Entry | None:
        """The place from which a plate needs no turning in its own plane, with less room in the opening and
        more behind it. None where it does not pass there, or nothing stands behind."""
        if not is_crowded(self.bay):
            return None
        entry = _entry(figure, turn, tilt, hold(self.opening, figure, turn), left)
        if not self.opening.is_whole:
            entry = self.measured(entry)
        return entry if entry.least >= 0.0 else None

    def measured(self, entry: Entry) -> Entry:
        """An entry with its clearance to the opening itself: half-planes leave out what its chords do."""
        return replace(entry, clearance=clearance_held(self.opening, entry.held, entry.slot))


def _level(room: float) -> float:
    """Room in steps of `_SAME`; what is lacking is not rounded."""
    return room if room < 0.0 else math.floor(room / _SAME) * _SAME


def _turns(plate: Plate, crowded: bool) -> list[float]:
    """Directions in the plate's plane that may go first: across the narrow ways, narrowest first, then
    others."""
    step = 180.0 / _DIRECTIONS
    widths = plate.widths(_DIRECTIONS)
    narrow: list[float] = []
    least = [
        number
        for number in sorted(range(_DIRECTIONS), key=lambda each: widths[each])
        if widths[number] <= min(widths[number - 1], widths[(number + 1) % _DIRECTIONS])
    ]
    for turn in _narrowest(plate, [step * number for number in least], step):
        if len(narrow) < _MOST_NARROW and all(_apart(turn, other) > 1.0 for other in narrow):
            narrow.append(turn)
    widths_there = [round(across, 6) for across in plate.across_all(narrow)]
    narrow = [turn for _, turn in sorted(zip(widths_there, narrow, strict=True))]
    square = [45.0 * n for n in range(4) if all(_apart(45.0 * n, turn) > 5.0 for turn in narrow)]
    across = dict(zip(square, plate.across_all(square), strict=True)) if crowded and square else {}
    others = sorted(across, key=across.__getitem__)
    one_way = [*narrow, *others][: _MOST_ATTITUDES // 2]
    return [turn + back for turn in one_way for back in (0.0, 180.0)]


def _apart(turn: float, other: float) -> float:
    """Degrees between two directions that may be run either way."""
    return abs((turn - other + 90.0) % 180.0 - 90.0)


def _narrowest(plate: Plate, turns: Sequence[float], step: float) -> list[float]:
    """The narrowest way within a step of each of some, looked for nearer and nearer."""
    best = list(zip(plate.across_all(turns), turns, strict=True))
    while step > _FINE:
        step /= 2
        tries = [turn + way for _, turn in best for way in (-step, step)]
        found = list(zip(plate.across_all(tries), tries, strict=True))
        best = [min(each, *pair) for each, *pair in zip(best, found[::2], found[1::2], strict=True)]
    return [turn for _, turn in best]


def tilts_of(long: float, thick: float, bay: Bay, crowded: bool) -> Iterator[tuple[float, float]]:
    """Yield the attitudes that the depth allows, steep first, each with the room left on either side, mm.

    The plate is `long` along the direction that goes first, with its lumps it is `thick`, mm.

    On edge and leaning by `tilt` a slab w x t is w sin(tilt) + t cos(tilt) high, and less the flatter it
    lies.
    """
    diagonal = math.hypot(long, thick)
    if bay.depth >= diagonal:
        yield from ((tilt, (bay.depth - diagonal) / 2) for tilt in (_LEANING if crowded else _LEANING[:1]))
        return
    for margin in sorted({min(margin, (bay.depth - thick) / 4) for margin in _MARGINS}):
        height = bay.depth - 2 * margin
        if height > thick:
            yield math.degrees(math.asin(height / diagonal) - math.atan2(thick, long)), margin


def _entry(figure: Floats, turn: float, tilt: float, held: Held, left: float) -> Entry:
    f = Vec.polar(1.0, held.angle)
    slot = tuple(held.at + f * float(x) + f.perp() * float(y) for x, y in figure)
    return Entry(turn, tilt, held, slot, held.clearance, left)


def is_crowded(bay: Bay) -> bool:
    """Whether walls or things stand in a room."""
    return bay.area is not None or bool(bay.solids)
