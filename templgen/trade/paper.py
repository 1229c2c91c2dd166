"""Paper sizes. A sheet's edge is no datum (ISO 216 allows 2 mm): printed marks are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of, unknown_name

__all__ = ["Paper", "edge_tolerance", "find_paper", "papers", "printer_margin"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper, upright: the name the job uses, its title, width and height in mm."""

    name: str
    width_mm: float
    height_mm: float
    title: str
    source: Source

    @property
    def area_mm2(self) -> float:
        """Area, by which the smallest paper that holds a sheet is found."""
        return self.width_mm * self.height_mm


@cache
def papers() -> Mapping[str, Paper]:
    """All papers by name, smallest first."""
    sources = sources_of("paper")
    rows = [
        Paper(name, row["width_mm"], row["height_mm"], row["title"], sources[row["source"]])
        for name, row in load_table("paper")["paper"].items()
    ]
    return MappingProxyType({paper.name: paper for paper in sorted(rows, key=lambda paper: paper.area_mm2)})


def find_paper(name: str) -> Paper:
    """The paper of a name, capitals or not.

    Raises:
        UnitError: there is none; the nearest are named.

    >>> find_paper("letter").width_mm
    215.9
    """
    found = papers().get(str(name).strip().lower())
    if found is None:
        raise unknown_name("paper", name, papers())
    return found


def printer_margin() -> tuple[float, Source]:
    """The strip along each edge, mm, that most printers leave blank: our own default, 6.35 mm."""
    return load_table("paper")["margin"]["printer_mm"], sources_of("paper")["margin"]


def edge_tolerance(length_mm: float) -> float:
    """How far, mm either way, a sheet's side may be off by ISO 216 (from memory, confidence high)."""
    table = load_table("paper")["tolerance"]
    if length_mm <= 150:
        return float(table["up_to_150_mm"])
    return float(table["up_to_600_mm"] if length_mm <= 600 else table["above_mm"])
