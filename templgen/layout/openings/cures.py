"""What makes room for nutplates that no turn lets hold, and for a cut: numbers tried, not guessed.

The opening is planned again with its ring cut elsewhere, with a wider ring, with fewer screws, and with
screws farther from the clear hole; the first number with which all limits hold is told.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import islice
from typing import TYPE_CHECKING, Protocol

from templgen.job.openings import Opening
from templgen.units import Unit, format_length, inches_to_mm

if TYPE_CHECKING:
    from templgen.layout.openings.plan import Plan

__all__ = ["cure_of"]

STEPS: dict[Unit, float] = {"mm": 1.0, "in": inches_to_mm(1 / 16)}
"""Numbers are tried in steps that a builder would write, mm."""

MOST_TRIES = 40
"""So many screws fewer are tried one by one: an odd count may hold where an even one does not."""

MOST_ANGLES = 180
"""Whole degrees that are tried for a cut, half of them to either side."""

FARTHEST = 30.0
"""A ring is made wider, and screws are moved, by no more than this, mm."""


class Planner(Protocol):
    """Plans an opening; a `roomy` plan keeps its rivets off everything as one without numbers does."""

    def __call__(self, changed: Opening, roomy: bool = False) -> Plan | None:
        """Return the plan, None where its limits do not all hold."""


def cure_of(opening: Opening, width: float, inner: float, plan: Planner, unit: Unit) -> str | None:
    """Return in words what makes all nutplates hold, None where nothing that was tried does.

    Args:
        opening: what the job says.
        width: how wide its ring is where the job does not say, mm.
        inner: from the clear hole to the screw line as it is planned, mm.
        plan: plans an opening. A width is told only if nothing else comes too near by it.
        unit: the job's.
    """
    return (
        _first(_cut_beside(opening), partial(plan, roomy=True), MOST_ANGLES)
        or _first(_cut_elsewhere(opening, plan), plan)
        or _least(list(_wider(opening, width, unit)), partial(plan, roomy=True))
        or _first(_fewer(opening, unit), plan)
        or _least(list(_farther(opening, inner, unit)), plan)
    )


def _first(
    way: Iterator[tuple[Opening, str]], plan: Callable[[Opening], Plan | None], most: int = MOST_TRIES
) -> str | None:
    return next((words for changed, words in islice(way, most) if plan(changed) is not None), None)


def _least(way: Sequence[tuple[Opening, str]], plan: Callable[[Opening], Plan | None]) -> str | None:
    """The first number of a way that holds where the last one does; found by halving what is between."""
    if not way or plan(way[-1][0]) is None:
        return None
    first = bisect_left(way, True, key=lambda each: plan(each[0]) is not None)
    return way[first][1]


def _cut_beside(opening: Opening) -> Iterator[tuple[Opening, str]]:
    """Whole degrees, the nearest to where the job has the ring cut first."""
    cut_at = opening.ring.cut_at
    if cut_at is None:
        return
    for aside in range(1, MOST_ANGLES // 2 + 1):
        for degrees in (round(cut_at + aside) % 360, round(cut_at - aside) % 360):
            yield (
                _with(opening, "ring", cut_at=degrees),
                f"cut_at = {degrees} in [opening.ring] clears all holes",
            )


def _cut_elsewhere(opening: Opening, plan: Callable[[Opening], Plan | None]) -> Iterator[tuple[Opening, str]]:
    """The whole degree nearest to where the ring would be cut if the job did not say."""
    if opening.ring.cut_at is None:
        return
    free = plan(_with(opening, "ring", cut_at=None))
    if free is not None and free.ring.cuts and not free.ring.short:
        degrees = round((free.ring.cuts[0].end - free.ring.middle).angle % 360.0)
        yield _with(opening, "ring", cut_at=degrees), f"cut_at = {degrees} in [opening.ring] lets them hold"


def _lengths(start: float, unit: Unit, usual: float = 0.0) -> Iterator[float]:
    step = STEPS[unit]
    first, last = math.floor(start / step + 1e-6) + 1, (max(start, usual) + FARTHEST) / step
    yield from (number * step for number in range(first, math.floor(last + 1e-6) + 1))


def _wider(opening: Opening, width: float, unit: Unit) -> Iterator[tuple[Opening, str]]:
    if opening.ring.outline is None:
        start = width if opening.ring.width is None else opening.ring.width
        for length in _lengths(start, unit, width):
            words = f"a ring {format_length(length, unit)} wide has room for all: width in [opening.ring]"
            yield _with(opening, "ring", width=length), words


def _farther(opening: Opening, inner: float, unit: Unit) -> Iterator[tuple[Opening, str]]:
    for length in _lengths(inner, unit):
        words = f"screws {format_length(length, unit)} from the clear hole let them hold: from_opening"
        yield _with(opening, "screws", from_opening=length), f"{words} in [opening.screws]"


def _fewer(opening: Opening, unit: Unit) -> Iterator[tuple[Opening, str]]:
    screws = opening.screws
    if screws.count is not None:
        for count in range(screws.count - 1, 1, -1):
            yield (
                _with(opening, "screws", count=count),
                f"{count} screws let them hold: count in [opening.screws]",
            )
    elif screws.pitch is not None:
        for length in _lengths(screws.pitch, unit):
            words = f"a pitch of {format_length(length, unit)} lets them hold: pitch in [opening.screws]"
            yield _with(opening, "screws", pitch=length), words


def _with(opening: Opening, table: str, **keys: float | None) -> Opening:
    node = getattr(opening, table)
    return opening.model_copy(update={table: node.model_copy(update=keys)})
