"""Can a flat plate be fed through an opening, edge first, and turned flat in the room behind?

The plate keeps one attitude and goes along its own plane, straight, until all of it is inside; then it is
turned flat, moved and turned over its place, and raised against the skin. While it passes, all its points go
along one direction, so what must fit in the opening is its shadow along that direction on both faces of the
skin: a slot as long as the plate is wide across its way, and thickness / sin(tilt) + skin x cot(tilt) deep. A
hull stands for the slot and for the plate in the room, so that what is said to pass does pass; other moves
are not looked for.

Example: 104 mm of plate through a racecourse 74 mm wide: the corners of the slot stand t / 2 from its axis,
where the round ends have already come in, so the length is 104 + 74 - sqrt(74^2 - t^2).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import chain, islice, pairwise, takewhile
from typing import Literal

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from templgen.geometry.attitudes import Entry, entries_of, is_crowded, tilts_of
from templgen.geometry.contour import Contour
from templgen.geometry.convex import widest_of
from templgen.geometry.distance import point_contour
from templgen.geometry.extent import extent_along
from templgen.geometry.holding import HoleSpace, hold, hold_turned
from templgen.geometry.offset import offset_contour
from templgen.geometry.plate import Bay, Plate, body_of, slot_of
from templgen.geometry.poses import Body, Clearing, Pose, clearing_of, is_turned
from templgen.geometry.vector import Vec
from templgen.geometry.ways import Passage, ways_in

__all__ = [
    "FAR_SKIN",
    "OPENING",
    "Bound",
    "Feeding",
    "Way",
    "feed",
    "to_grow",
    "to_slip_past",
    "to_take_off",
    "why_impossible",
]

Floats = NDArray[np.float64]

OPENING, FAR_SKIN = "the opening", "the far skin"

_TOUCH = 1e-9
_DIRECTIONS = 36
_MOST_TRIES = 4
_MOST_WAYS = 90
"""So many ways are looked at before it is given up."""

_MOST_ENTRIES = 6
_MORE_OFF, _NEARER_OFF = 2.0, 2
"""How a smaller plate is looked for: so many times more off, then so often halfway between."""

_ROOM_ENOUGH = 1.0
"""A way with this much room all along is good enough, mm; a better one is not looked for."""

_TOLD_LESS = 0.15
"""A way ends in its place, and its gap there may be told by this much less than it is, mm: none is better."""


class Way(Struct, frozen=True):
    """How a plate goes in: key poses (see `pose_between`), and its slot in the skin plane while it passes."""

    poses: tuple[Pose, ...]
    slot: tuple[Vec, ...]


class Feeding(Struct, frozen=True):
    """The answer.

    `clearance` is the least gap on the way (mm, never more than it is). Where no way was found it is below 0:
    by how much the opening hinders on every side, or how deep the plate touches on the best way. `tightest`
    says what is nearest, or hinders. `turn` and `tilt` are the attitude of the best try.
    """

    passes: bool
    clearance: float
    tightest: str
    turn: float = 0.0
    tilt: float = 90.0
    heading: float = 0.0
    way: Way | None = None


class Bound(Struct, frozen=True):
    """A proof that no motion at all brings the plate in: it needs `needed` mm where there are only
    `given`."""

    kind: Literal["opening", "depth"]
    needed: float
    given: float


def feed(plate: Plate, opening: HoleSpace, bay: Bay, skin: float, most_ways: int = _MOST_WAYS) -> Feeding:
    """Look for a way in.

    Args:
        plate: the plate where it will lie.
        opening: the opening in the skin.
        bay: the room behind.
        skin: thickness of the skin, mm.
        most_ways: so many are looked at before it is given up.
    """
    if plate.depth >= bay.depth:
        return Feeding(False, min(bay.depth - plate.depth, -_TOUCH), FAR_SKIN)
    entries = entries_of(plate, opening, bay, skin)
    best = next(entries)
    hindered = Feeding(
        False,
        best.least,
        OPENING if best.clearance <= best.depth_left else FAR_SKIN,
        best.turn,
        best.tilt,
        best.held.angle,
    )
    if best.least < 0.0:
        return hindered
    body = body_of(plate)
    home = Pose(best.turn, best.turn, 0.0, Vec(0.0, 0.0), 0.0)
    at_home = clearing_of(body, home, home, bay.standing, bay.area, 0.0)
    if at_home.gap <= 0.0:
        gap = min(at_home.gap, -_TOUCH)
        return Feeding(False, gap, at_home.nearest, best.turn, best.tilt, best.held.angle)
    others = takewhile(lambda entry: entry.least >= 0.0, entries)
    ways = islice(_in_turn(plate, body, islice(chain([best], others), _MOST_ENTRIES), bay, skin), most_ways)
    return _best_way(body, ways, bay, at_home.gap)


def _best_way(
    body: Body, ways: Iterator[tuple[Entry, tuple[Pose, ...]]], bay: Bay, at_home: float
) -> Feeding:
    """The first way with room enough, or the best of those looked at.

    All ways end in the plate's place, which they reach without turning: none has more room than `at_home`.
    """
    enough = min(_ROOM_ENOUGH, at_home - _TOLD_LESS)
    answers: list[Feeding] = []
    for entry, poses in ways:
        wanted = min(entry.least, enough) if enough < _ROOM_ENOUGH else entry.least
        answer = _answer(entry, poses, _cleared(body, poses, bay, wanted, min(entry.least, at_home)))
        answers.append(answer)
        if answer.passes and answer.clearance >= min(entry.least, enough):
            break
    return max(answers, key=lambda answer: (answer.passes, answer.clearance))


def _in_turn(
    plate: Plate, body: Body, entries: Iterator[Entry], bay: Bay, skin: float
) -> Iterator[tuple[Entry, tuple[Pose, ...]]]:
    """The first way of every entry, then the second of every one, and so on; each only when it is asked
    for."""
    crowded = is_crowded(bay)
    begun: list[tuple[Entry, Iterator[tuple[Pose, ...]]]] = []
    for entry in entries:
        height = plate.height(entry.turn, entry.tilt)
        passage = Passage(entry.turn, entry.held.angle, entry.tilt, entry.held.at, height, skin)
        begun.append((entry, ways_in(body, passage, bay.depth, crowded)))
        yield entry, next(begun[-1][1])
    for row in zip(*(ways for _, ways in begun), strict=True):
        yield from ((entry, poses) for (entry, _), poses in zip(begun, row, strict=True))


def why_impossible(plate: Plate, opening: Contour, bay: Bay | None) -> Bound | None:
    """Return a proof that a closed ring can not be brought in by any motion; None where there is none.

    Take the largest circle inside the ring's outer edge, radius r. On the way in its middle passes the skin.
    At that moment the skin plane cuts the ring's plane in a line through that middle, and the line meets the
    outer edge on both sides, at least r away; at the ring's two faces the cut runs on, and two of its points
    are 2 sqrt(r^2 + (t / 2)^2) apart - unless the ring lies so flat that its cut holds a circle of radius r.
    Both must lie in the opening, so it must be that wide somewhere, or hold that circle. The skin counts as
    flat, without thickness and without end; lumps are left out; all this only helps the ring.
    """
    if bay is not None and plate.depth > bay.depth:
        return Bound("depth", plate.depth, bay.depth)
    middle = hold(HoleSpace.of(plate.outline), np.zeros((1, 2)), 0.0).at
    radius = point_contour(middle, plate.outline).distance - plate.taken_off
    across = min(_width(opening, Vec.polar(1.0, 5.0 * number)) for number in range(_DIRECTIONS))
    widest = widest_of(opening)
    if across < 2 * radius and widest < 2 * math.hypot(radius, plate.thickness / 2):
        return Bound("opening", 2 * math.hypot(radius, plate.thickness / 2), widest)
    return None


def to_take_off(
    plate: Plate, opening: HoleSpace, bay: Bay, skin: float, best: Feeding, most: float
) -> float | None:
    """Return how much smaller all round (mm, at most `most`) a plate must be to pass; None where none is
    known.

    Found in the attitude of the `best` try and rounded up to 0.01 mm; the plate so made was fed in again.
    Where the room hinders it is not looked for.
    """
    if best.tightest not in (OPENING, FAR_SKIN) or plate.depth >= bay.depth:
        return None
    low, high = 0.0, most
    if _clearance_at(replace(plate, taken_off=most), opening, bay, skin, best) < 0.0:
        return None
    while high - low > 0.005:
        middle = (low + high) / 2
        fits = _clearance_at(replace(plate, taken_off=middle), opening, bay, skin, best) >= 0.0
        low, high = (low, middle) if fits else (middle, high)
    off = min(math.ceil(high * 100) / 100, most)
    return off if feed(replace(plate, taken_off=off), opening, bay, skin).passes else None


def to_slip_past(
    plate: Plate, opening: HoleSpace, bay: Bay, skin: float, best: Feeding, most: float
) -> float | None:
    """Return how much smaller all round (mm, at most `most`) a plate passes what hinders it in the room.

    From the `best` try, which must fail; the plate was fed in again so much smaller, by one way for each
    attitude. A larger one may pass by others. None where none was found.
    """
    low, high = 0.0, _rounded_up(-best.clearance + _TOUCH)
    while not _passes_smaller(plate, opening, bay, skin, high):
        low, high = high, min(high * _MORE_OFF, most)
        if high <= low:
            return None
    for _ in range(_NEARER_OFF):
        middle = (low + high) / 2
        low, high = (low, middle) if _passes_smaller(plate, opening, bay, skin, middle) else (middle, high)
    off = _rounded_up(high)
    return off if off <= most and _passes_smaller(plate, opening, bay, skin, off) else None


def _rounded_up(off: float) -> float:
    return math.ceil(off * 10) / 10


def _passes_smaller(plate: Plate, opening: HoleSpace, bay: Bay, skin: float, off: float) -> bool:
    return feed(replace(plate, taken_off=off), opening, bay, skin, _MOST_ENTRIES).passes


def to_grow(plate: Plate, opening: Contour, bay: Bay, skin: float, best: Feeding) -> float | None:
    """Return how much larger all round (mm) an opening must be for a plate to pass; None where none is known.

    From the `best` try, which must fail; the plate was fed in again through the opening so made.
    """
    grow = -best.clearance
    for _ in range(_MOST_TRIES if best.tightest == OPENING else 0):
        grow = math.ceil(grow * 100) / 100
        larger = offset_contour(opening, grow)
        fed = feed(plate, HoleSpace.of(larger[0]), bay, skin)
        if fed.passes:
            return grow
        if fed.tightest != OPENING:
            return None
        grow += max(-fed.clearance, 0.01)
    return None


def _width(contour: Contour, direction: Vec) -> float:
    low, high = extent_along(contour, direction)
    return high - low


def _clearance_at(plate: Plate, opening: HoleSpace, bay: Bay, skin: float, best: Feeding) -> float:
    """Room in the opening in the attitude of an earlier try, for a plate made smaller."""
    (long,) = plate.across_all([best.turn - 90.0])
    tilt = next(tilts_of(long, plate.depth, bay, False), (best.tilt, 0.0))[0]
    around = [best.heading + 4.0 * number for number in range(-3, 4)]
    figure = slot_of(plate, best.turn, tilt, skin)
    held = max((hold(opening, figure, angle) for angle in around), key=lambda each: each.clearance)
    refined = hold_turned(opening, figure, [held.angle - 2.0, held.angle, held.angle + 2.0])
    return max([held, *refined], key=lambda each: each.clearance).clearance


def _cleared(body: Body, poses: Sequence[Pose], bay: Bay, wanted: float, most: float) -> Clearing:
    """The least gap on a way, measured up to `most`. Walls count from where the plate is inside: before, it
    stays between the opening and its place inside, and both lie between the walls."""
    least = Clearing(math.inf, "")
    # where it only moves one look is enough: whatever touches there need not be looked for where it turns
    for number, (start, end) in sorted(enumerate(pairwise(poses)), key=lambda step: is_turned(*step[1])):
        area = bay.area if number else None
        wanted, most = min(wanted, least.gap), min(most, least.gap)
        step = clearing_of(body, start, end, bay.standing, area, wanted, most)
        least = min(least, step, key=lambda each: each.gap)
        if least.gap <= 0.0:
            break
    return least


def _answer(entry: Entry, poses: tuple[Pose, ...], cleared: Clearing) -> Feeding:
    clearance, tightest = min(
        (entry.clearance, OPENING), (entry.depth_left, FAR_SKIN), (cleared.gap, cleared.nearest)
    )
    passes = clearance >= 0.0 and cleared.gap > 0.0
    way = Way(poses, entry.slot) if passes else None
    return Feeding(
        passes,
        clearance if passes else min(clearance, -_TOUCH),
        tightest,
        entry.turn,
        entry.tilt,
        entry.held.angle,
        way,
    )
