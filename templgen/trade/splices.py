"""How many rivets a splice needs: AC 43.13-1B Tables 4-10 and 4-11, and the closed form behind them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from typing import Any

from msgspec import Struct

from templgen.errors import UnitError
from templgen.trade.rivets import find_solid_rivet
from templgen.trade.source import Published, Source
from templgen.trade.tables import load_table, sources_of, unknown_name
from templgen.units import mm_to_inches

__all__ = [
    "SpliceTable",
    "rivets_per_inch",
    "rivets_per_inch_by_formula",
    "splice_rivet_count",
    "splice_share",
    "splice_table",
    "splice_tables",
]


class SpliceTable(Struct, frozen=True):
    """One printed table: rivets per inch of width by thickness in inches and nominal diameter."""

    name: str
    title: str
    alloys: tuple[str, ...]
    entries: Mapping[float, Mapping[str, float]]
    shear_factor: float
    bearing_factor: float
    source: Source


@cache
def splice_tables() -> tuple[SpliceTable, ...]:
    """All tables, read once."""
    return tuple(_table(row) for row in load_table("rivets")["splice_table"])


def splice_table(alloy: str) -> SpliceTable:
    """The table of an alloy: "2024-T3 clad", "2017", "2017 clad", "5052", "5052-H32".

    Raises:
        UnitError: no table is for this alloy.
    """
    for table in splice_tables():
        if alloy in table.alloys:
            return table
    raise unknown_name("alloy of a splice table", alloy, [name for t in splice_tables() for name in t.alloys])


def rivets_per_inch(alloy: str, thickness_in: float, nominal: str) -> Published:
    """The printed number of 2117-T4 protruding rivets per inch of width.

    Raises:
        UnitError: the table prints nothing for this alloy, thickness or diameter; never interpolated.

    >>> rivets_per_inch("2024-T3 clad", 0.032, "1/8").value
    4.9
    """
    table = splice_table(alloy)
    nearest = min(table.entries, key=lambda printed: abs(printed - thickness_in))
    if abs(nearest - thickness_in) > 5e-4:
        printed = ", ".join(f"{value:.3f}" for value in table.entries)
        raise UnitError(f"{thickness_in} in is no thickness of Table {table.name}; printed: {printed}")
    row = table.entries[nearest]
    if nominal not in row:
        raise UnitError(
            f"Table {table.name} prints nothing for {nominal} in {nearest:.3f} in; it has {', '.join(row)}"
        )
    return Published(row[nominal], "rivets per inch", table.source)


def rivets_per_inch_by_formula(alloy: str, thickness_in: float, nominal: str) -> float:
    """The closed form max(t / (f A), 1 / (b h)) that reproduces the tables (derived from their entries).

    A is the area of the nominal hole h; f and b are the shares of sheet strength in shear and bearing.
    """
    table = splice_table(alloy)
    hole_in = mm_to_inches(find_solid_rivet(nominal).nominal_hole_mm)
    area = math.pi * hole_in**2 / 4
    return max(thickness_in / (table.shear_factor * area), 1 / (table.bearing_factor * hole_in))


def splice_share(joint: str) -> Published:
    """The share of the table's number that a joint needs: "single lap sheet joint" 0.75, and so on."""
    shares = load_table("rivets")["splice_share"]
    if joint not in shares:
        raise unknown_name("joint", joint, shares)
    return Published(shares[joint], "share", sources_of("rivets")["splice_factor"])


def splice_rivet_count(per_inch: float, share: float, width_in: float) -> int:
    """Rivets for a joint: per inch x share, rounded up to a tenth, times the width, rounded up.

    >>> splice_rivet_count(4.9, 0.75, 10.0)
    37
    """
    tenths = math.ceil(per_inch * share * 10 - 1e-9)
    return math.ceil(tenths * width_in / 10 - 1e-9)


def _table(row: Mapping[str, Any]) -> SpliceTable:
    entries = {
        line["t_in"]: {
            nominal: count
            for nominal, count in zip(row["columns"], line["per_inch"], strict=True)
            if count > 0
        }
        for line in row["rows"]
    }
    source = sources_of("rivets")[row["source"]]
    form = row["form"]
    return SpliceTable(
        row["name"], row["title"], tuple(row["alloys"]), entries, form["shear"], form["bearing"], source
    )
