"""How large an opening a hand needs: published openings for bare hands, hands round a tool, both hands."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from msgspec import Struct

from templgen.trade.source import Source
from templgen.trade.tables import load_table, mm_or_none, sources_of, unknown_name
from templgen.units import inches_to_mm

__all__ = ["HandOpening", "hand_opening", "hand_openings"]


class HandOpening(Struct, frozen=True):
    """The smallest opening for one need, mm: a rectangle, or (where given) a circle instead.

    Attributes:
        need: as a job names it: "bare hand", "hand with tool", "two hands".
        words: what the table says goes through.
        width_mm, height_mm: sides of the rectangle.
        round_mm: diameter of the circle, None where the table has none.
        source: where it stands.
    """

    need: str
    words: str
    width_mm: float
    height_mm: float
    round_mm: float | None
    source: Source


@cache
def hand_openings() -> tuple[HandOpening, ...]:
    """All openings, in the order of the data file."""
    return tuple(_opening(row) for row in load_table("hands")["opening"])


def hand_opening(need: str) -> HandOpening:
    """The opening for a need.

    Raises:
        UnitError: there is no such need.

    >>> hand_opening("bare hand").height_mm
    57.15
    """
    by_need = {opening.need: opening for opening in hand_openings()}
    if need not in by_need:
        raise unknown_name("need of a hand", need, by_need)
    return by_need[need]


def _opening(row: Mapping[str, Any]) -> HandOpening:
    return HandOpening(
        need=row["need"],
        words=row["words"],
        width_mm=inches_to_mm(row["width_in"]),
        height_mm=inches_to_mm(row["height_in"]),
        round_mm=mm_or_none(row, "round_in"),
        source=sources_of("hands")["openings"],
    )
