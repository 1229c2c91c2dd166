"""The least distances: one place for the numbers that layout, checks and placing share.

Layout keeps to them, the checks report on them, and both read them here. A limit is a multiple of a diameter,
a thickness or a head height, or a plain length; `Limit.mm` turns it into millimetres for the case in hand.
"""

from __future__ import annotations

from functools import cache
from typing import Literal

from msgspec import Struct

from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of, unknown_name
from templgen.units import inches_to_mm

__all__ = [
    "Limit",
    "LimitSeverity",
    "LimitUnit",
    "all_limits",
    "bend_clearance",
    "least_web",
    "limit",
    "narrowest_flange",
]

LimitUnit = Literal["D", "t", "h", "mm"]
LimitSeverity = Literal["error", "warning", "information"]


class Limit(Struct, frozen=True):
    """One limit with its evidence.

    Attributes:
        name: the key by which layout, checks and placing ask for it.
        value: multiple of the unit, or millimetres.
        unit: "D" nominal diameter, "t" sheet thickness, "h" head height, "mm".
        formula_text: as it is printed to the builder.
        source: where it comes from and how well it stands.
        severity: the most that a broken limit may count for.
        plus_mm: added to the multiple.
    """

    name: str
    value: float
    unit: LimitUnit
    formula_text: str
    source: Source
    severity: LimitSeverity
    plus_mm: float = 0.0

    def mm(
        self,
        *,
        diameter: float | None = None,
        thickness: float | None = None,
        head_height: float | None = None,
    ) -> float:
        """The limit in millimetres.

        Args:
            diameter: nominal diameter in mm, for a limit in D.
            thickness: sheet thickness in mm, for a limit in t.
            head_height: height of the head in mm, for a limit in h.

        Raises:
            ValueError: the size that the unit asks for is missing (a mistake of ours, not of the builder).
        """
        if self.unit == "mm":
            return self.value + self.plus_mm
        size = {"D": diameter, "t": thickness, "h": head_height}[self.unit]
        if size is None:
            raise ValueError(f"limit {self.name} is a multiple of {self.unit}, which was not given")
        return self.value * size + self.plus_mm


def limit(name: str) -> Limit:
    """The limit of a name.

    Raises:
        UnitError: there is no such limit.

    >>> limit("edge-least").mm(diameter=3.175)
    6.35
    """
    limits = _by_name()
    if name not in limits:
        raise unknown_name("limit", name, limits)
    return limits[name]


def all_limits() -> tuple[Limit, ...]:
    """Every limit, in the order of the data file."""
    return tuple(_by_name().values())


def bend_clearance(thickness: float, bend_radius: float, head_radius: float) -> float:
    """Least distance, mm, from a hole's centre to the web's outer face so that the head stays off the bend.

    t + R + head radius (derived). `limit("head-to-bend-margin").mm()` is the shop's margin on top of it.

    Args:
        thickness: sheet thickness, mm.
        bend_radius: inside bend radius, mm.
        head_radius: radius of the head, or driven head, on the side of the web, mm.
    """
    return thickness + bend_radius + head_radius


def narrowest_flange(thickness: float, bend_radius: float, head_radius: float, diameter: float) -> float:
    """Least width, mm, of a flange (web's outer face to free edge) that holds one row of fasteners.

    Head off the bend, the shop's margin, and 2 D to the free edge.
    """
    margin = limit("head-to-bend-margin").mm()
    edge = limit("edge-least").mm(diameter=diameter)
    return bend_clearance(thickness, bend_radius, head_radius) + margin + edge


def least_web(smaller_diameter: float | None) -> float:
    """Least metal, mm, between two openings, or between an opening and a free edge.

    Args:
        smaller_diameter: diameter of the smaller round hole in mm; None where neither is a round hole.
    """
    enough = limit("web-enough").mm()
    if smaller_diameter is None:
        return enough
    return min(enough, limit("web-between-openings").mm(diameter=smaller_diameter))


@cache
def _by_name() -> dict[str, Limit]:
    sources = sources_of("limits")
    return {
        row["name"]: Limit(
            name=row["name"],
            value=row["value"],
            unit=row["unit"],
            formula_text=row["formula"],
            source=sources[row["source"]],
            severity=row["severity"],
            plus_mm=inches_to_mm(row.get("plus_in", 0.0)),
        )
        for row in load_table("limits")["limit"]
    }
