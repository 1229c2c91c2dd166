"""Bends: allowance, setback, flat length, least radius, relief holes. Lengths in mm, angles in degrees.

The bend angle N is what the metal is bent through: 180 minus the included angle.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from templgen.errors import UnitError
from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of
from templgen.units import inches_to_mm, mm_to_inches

__all__ = [
    "bend_allowance",
    "bend_deduction",
    "developed_width",
    "flat_length",
    "lowest_bend_radius",
    "minimum_bend_radius",
    "relief_hole_diameter",
    "relief_hole_minimum",
    "setback",
    "setback_factor",
    "shop_bend_radius",
    "sight_line",
]

_SAME_IN = 0.002
"""A sheet within this of a table's thickness is that thickness: 0.032 is the row of 1/32."""


def bend_allowance(angle: float, radius: float, thickness: float) -> float:
    """Length of the bent metal: N (0.01743 R + 0.0078 T) (AC 43.13-1B para 4-56; FAA-H-8083-31 ch. 4).

    Args:
        angle: degrees bent, 1 to 180.
        radius: inside radius.
        thickness: sheet thickness, the same unit.

    Raises:
        UnitError: an angle, radius or thickness that makes no bend.
    """
    _require_bend(angle, radius, thickness)
    return angle * (0.01743 * radius + 0.0078 * thickness)


def setback_factor(angle: float) -> float:
    """K of the K chart: tan(N / 2) (AC 43.13-1B Table 4-7; its 176 degrees, 26.63, is a misprint for 28.64).

    >>> round(setback_factor(90), 4)
    1.0
    """
    if not 0 < angle < 180:
        raise UnitError(f"no setback for a bend of {angle} degrees; allowed: above 0, below 180")
    return math.tan(math.radians(angle / 2))


def setback(angle: float, radius: float, thickness: float) -> float:
    """From the mold line to the bend tangent line: K (R + T)."""
    _require_bend(angle, radius, thickness)
    return setback_factor(angle) * (radius + thickness)


def bend_deduction(angle: float, radius: float, thickness: float) -> float:
    """What a bend takes off the sum of the mold-line dimensions: 2 SB - BA."""
    return 2 * setback(angle, radius, thickness) - bend_allowance(angle, radius, thickness)


def flat_length(mold_line: float, setbacks: Sequence[float]) -> float:
    """Flat part of a leg: mold-line dimension less the setback of the bend at one or both ends.

    Raises:
        UnitError: the leg is shorter than its bends.
    """
    flat = mold_line - sum(setbacks)
    if flat < -1e-9:
        raise UnitError(f"a leg of {mold_line:.3f} mm is shorter than its bend: {sum(setbacks):.3f} mm")
    return max(flat, 0.0)


def developed_width(legs: Sequence[float], bends: Sequence[tuple[float, float]], thickness: float) -> float:
    """Width of the flat blank: the sum of all flats and bend allowances.

    Args:
        legs: mold-line dimensions in order.
        bends: (angle, inside radius) between each leg and the next.
        thickness: sheet thickness.

    Raises:
        UnitError: bends do not stand between legs, or a leg is shorter than its bends.
    """
    if len(bends) != len(legs) - 1:
        raise UnitError(f"{len(legs)} legs need {len(legs) - 1} bends between them, not {len(bends)}")
    backs = [setback(angle, radius, thickness) for angle, radius in bends]
    flats = [flat_length(leg, backs[max(0, i - 1) : i + 1]) for i, leg in enumerate(legs)]
    return sum(flats) + sum(bend_allowance(angle, radius, thickness) for angle, radius in bends)


def sight_line(radius: float) -> float:
    """Where the brake's nose stands: one inside radius in from the tangent line that goes under it."""
    return radius


def minimum_bend_radius(alloy: str, thickness_mm: float) -> tuple[float, Source] | None:
    """The largest published least inside radius of a 90 degree bend, mm; a smaller one warns.

    From tables of radii (FAA-H-8083-31 Fig. 4-125) and of multiples of t (Aluminum Association); between two
    rows the thicker sheet's row counts.

    Args:
        alloy: "2024-T3", "6061-T6", "5052-H32" (see `Material.alloy`).
        thickness_mm: sheet thickness.

    Returns:
        None where nothing is published here for this alloy and thickness.
    """
    return max(_published_radii(alloy, thickness_mm), key=lambda found: found[0], default=None)


def lowest_bend_radius(alloy: str, thickness_mm: float) -> tuple[float, Source] | None:
    """The lowest published inside radius, mm: below it every source agrees that the metal cracks.

    Counts the low ends of AC 43.13-1B Table 4-6 too; between two rows the thinner sheet's row counts. The
    source is the best one that asks for this much or more; its note names the document of the lowest value.
    """
    found = [*_published_radii(alloy, thickness_mm, thinner=True), *_range_ends(alloy, thickness_mm)]
    if not found:
        return None
    lowest, lowest_source = min(found, key=lambda pair: pair[0])
    strongest = next((source for _, source in found if source.may_fail), lowest_source)
    return lowest, replace(strongest, note=f"the lowest published value stands in {lowest_source.citation}")


def shop_bend_radius(alloy: str, thickness_mm: float) -> tuple[float, Source] | None:
    """A usual shop radius, mm, for this or the next thicker sheet; a comfortable choice and no limit."""
    for table in _tables("shop", alloy):
        row = _row_at_or_above(table["rows"], mm_to_inches(thickness_mm))
        if row is not None:
            return inches_to_mm(row[1]), sources_of("bending")[table["source"]]
    return None


def relief_hole_minimum(thickness_mm: float) -> float | None:
    """Least diameter, mm, of a relief hole where two bends meet (FAA-H-8083-31); None above 0.128 in."""
    for row in load_table("bending")["relief"]["rows"]:
        if thickness_mm <= inches_to_mm(row["thickness_max_in"]) + 1e-6:
            return inches_to_mm(row["least_in"])
    return None


def relief_hole_diameter(radius: float, thickness_mm: float) -> tuple[float, float] | None:
    """Both published diameters of a relief hole, mm: twice the radius (our default), and the radius itself.

    Neither is below the minimum for the thickness. None where no minimum is published.
    """
    least = relief_hole_minimum(thickness_mm)
    return None if least is None else (max(2 * radius, least), max(radius, least))


def _require_bend(angle: float, radius: float, thickness: float) -> None:
    if not (0 < angle <= 180 and radius >= 0 and thickness > 0 and math.isfinite(radius + thickness)):
        raise UnitError(f"no bend of {angle} degrees at radius {radius} in {thickness} thick sheet")


def _tables(kind: str, alloy: str) -> Iterable[Mapping[str, Any]]:
    return [table for table in load_table("bending")[kind] if table["alloy"] == alloy]


def _published_radii(alloy: str, thickness_mm: float, *, thinner: bool = False) -> list[tuple[float, Source]]:
    """Radius and source of every table of minima; `thinner`: between two rows the thinner one."""
    row_of = _row_at_or_below if thinner else _row_at_or_above
    thickness_in, sources = mm_to_inches(thickness_mm), sources_of("bending")
    found = []
    for table in _tables("radius", alloy):
        row = row_of(table["rows"], thickness_in)
        if row is not None:
            found.append((inches_to_mm(row[1]), sources[row[2]]))
    for table in _tables("multiple", alloy):
        row = row_of(table["rows"], thickness_in)
        if row is not None:
            found.append((row[1] * thickness_mm, sources[table["source"]]))
    return found


def _range_ends(alloy: str, thickness_mm: float) -> list[tuple[float, Source]]:
    """The low ends of the ranges, always from the thinner sheet's row."""
    found = []
    for table in _tables("range", alloy):
        row = _row_at_or_below(table["rows"], mm_to_inches(thickness_mm))
        if row is not None:
            found.append((row[1] * thickness_mm, sources_of("bending")[row[3]]))
    return found


def _row_at_or_above(rows: Sequence[Sequence[Any]], thickness_in: float) -> Sequence[Any] | None:
    """The row of this or the next thicker sheet; None for a sheet thicker than the table."""
    return next((row for row in rows if row[0] >= thickness_in - _SAME_IN), None)


def _row_at_or_below(rows: Sequence[Sequence[Any]], thickness_in: float) -> Sequence[Any] | None:
    """The row of this or the next thinner sheet; None for a sheet outside the table."""
    if thickness_in > rows[-1][0] + _SAME_IN:
        return None
    return next((row for row in reversed(rows) if row[0] <= thickness_in + _SAME_IN), None)
