"""What a size can hardly be: bounds that ask whether the unit was mistaken, before anything is drawn.

They are our own defaults, no source. MIL-HDBK-5 (from memory, confidence medium) gives strengths of 6061
sheet from 0.010 to 0.249 in; what is above is plate.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from templgen.errors import UnitError
from templgen.trade.drills import parse_hole_size
from templgen.trade.rivets import find_solid_rivet
from templgen.trade.screws import find_screw
from templgen.units import Unit, format_length, format_number, inches_to_mm, mm_to_inches

__all__ = [
    "ANY_SHEET_MM",
    "MOST_HOLE",
    "USUAL_SHEET_MM",
    "in_other_unit",
    "nominal_diameter",
    "own_diameter",
    "sheet_doubt",
]

USUAL_SHEET_MM = (inches_to_mm(0.010), inches_to_mm(0.250))
"""Thickness of sheet and plate that is taken as it is written."""
ANY_SHEET_MM = (inches_to_mm(0.004), inches_to_mm(1.0))
"""Thickness that is taken where its unit is written with it."""
MOST_HOLE = 2.0
"""A hole is at most so many times as wide as the fastener that is to hold in it."""

_WHOLE = re.compile(r"-?([1-9][0-9]?)", re.ASCII)
_METRIC_SCREW = re.compile(r"[Mm]([0-9]+(?:\.[0-9]+)?)")


def nominal_diameter(kind: str, size: str, unit: Unit) -> float | None:
    """The nominal diameter of a fastener, mm, by the tables or by its own words; None if neither tells.

    >>> nominal_diameter("solid rivet", "1/8", "mm"), nominal_diameter("screw", "M4", "in")
    (3.175, 4.0)
    """
    try:
        if kind == "solid rivet":
            return find_solid_rivet(size).diameter_mm
        if kind == "screw":
            return find_screw(size).major_mm
    except UnitError:
        pass
    try:
        return own_diameter(kind, size, unit)
    except UnitError:
        return None


def own_diameter(kind: str, size: str, unit: Unit) -> float:
    """The nominal diameter, mm, of a size that no table holds: "1/8", "4 mm", "M4".

    Raises:
        UnitError: it is neither a length nor a metric screw; a bare whole number, or the name of a drill.
    """
    metric = _METRIC_SCREW.fullmatch(size.strip())
    if kind == "screw" and metric:
        return float(metric[1])
    if bare := _WHOLE.fullmatch(size.strip()):
        number = int(bare[1])
        ways = (
            (f"#{number}", f"M{number}")
            if kind == "screw"
            else (f"{Fraction(number, 32)} in", f"{number} mm")
        )
        raise UnitError(f'a {kind} "{size}": {ways[0]} or {ways[1]}? Write "{ways[0]}" or "{ways[1]}"')
    read = parse_hole_size(size, unit)
    named = read.drill is not None and read.drill.name in (size.strip(), size.strip().upper())
    if named and read.drill is not None and read.drill.series in ("number", "letter"):
        raise UnitError(f'"{size}" is a drill, not the diameter of a {kind}: write "1/8" or "3.2 mm"')
    return read.diameter_mm


def in_other_unit(value_mm: float, unit: Unit, is_sound: Callable[[float], bool]) -> str | None:
    """What the number of a length would be in the other unit, where that is sound; else None.

    >>> in_other_unit(0.31, "mm", lambda mm: mm > 3.0), in_other_unit(0.31, "mm", lambda mm: mm > 9.0)
    ('0.31 in would be 7.87 mm (0.310 in)', None)
    """
    number = mm_to_inches(value_mm) if unit == "in" else value_mm
    other = number if unit == "in" else inches_to_mm(number)
    if not is_sound(other):
        return None
    name = "mm" if unit == "in" else "in"
    return f"{format_number(number, 4, trim=True)} {name} would be {format_length(other, unit)}"


def sheet_doubt(thickness_mm: float, unit: Unit, has_unit: bool) -> str:
    """Why the thickness of a sheet is asked about; "" where it is taken.

    Args:
        thickness_mm: as it was read.
        unit: the unit of the job.
        has_unit: whether the builder wrote a unit with it, which answers the question.
    """
    least, most = ANY_SHEET_MM if has_unit else USUAL_SHEET_MM
    if least <= thickness_mm <= most:
        return ""
    bounds = f"{format_length(least, unit)} to {format_length(most, unit)}"
    told = f"{format_length(thickness_mm, unit)} is no thickness of sheet, {bounds}"
    if has_unit:
        return told
    other = in_other_unit(thickness_mm, unit, lambda mm: USUAL_SHEET_MM[0] <= mm <= USUAL_SHEET_MM[1])
    if other is not None:
        told += f"; {other}"
    number = format_number(mm_to_inches(thickness_mm) if unit == "in" else thickness_mm, 4, trim=True)
    if ANY_SHEET_MM[0] <= thickness_mm <= ANY_SHEET_MM[1]:
        told += f'; if it is so, write "{number} {unit}"'
    return told
