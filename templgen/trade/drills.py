"""Twist drills: number, letter, fraction and metric sizes, by name and by diameter.

Source: ASME B94.11M; fractions are exact arithmetic; metric steps are ISO 235 from memory. A hole above
1/4 in in thin sheet wants a step drill or a hole saw from a pilot hole (common practice, no source).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from typing import Literal

from msgspec import Struct

from templgen.errors import UnitError, near_names
from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of
from templgen.units import (
    Length,
    Unit,
    format_in,
    format_number,
    inches_to_mm,
    parse_length,
)

__all__ = [
    "LARGE_DRILL_MM",
    "Drill",
    "DrillSeries",
    "HoleSize",
    "all_drills",
    "drill_at_least",
    "drill_label",
    "find_drill",
    "nearest_drill_names",
    "parse_hole_size",
]

DrillSeries = Literal["number", "letter", "fraction", "metric"]
INCH_SERIES: tuple[DrillSeries, ...] = ("number", "fraction", "letter")

LARGE_DRILL_MM = inches_to_mm(0.25)
"""Above this a twist drill grabs in thin sheet and leaves a three-lobed hole (common practice, no source)."""

_ALLOWED = 'allowed: "#80" to "#1", "A" to "Z", "1/64" to "1/2", "0.5 mm" to "14.0 mm"'
_LAST_NUMBER = 80
_SAME_MM = 1e-6
_ROUNDED_MM = inches_to_mm(0.00005) + _SAME_MM
_NAME = re.compile(r"#[0-9]{1,2}|[A-Za-z]")
_FRACTION = re.compile(r'([0-9]{1,2}/[0-9]{1,2}) ?(in|")?')
_METRIC = re.compile(r"([0-9]{1,2}(?:\.[0-9]{1,2})?) ?mm")


class Drill(Struct, frozen=True):
    """A twist drill one can buy by its name."""

    name: str
    series: DrillSeries
    diameter_mm: float
    source: Source


class HoleSize(Struct, frozen=True):
    """The size of a hole as a job gives it: a drill where the text names one, otherwise a plain diameter.

    Attributes:
        diameter_mm: the diameter of the hole.
        text: what the builder wrote.
        drill: the drill that makes it, None where no drill of any series has this diameter.
    """

    diameter_mm: float
    text: str
    drill: Drill | None


@cache
def all_drills() -> tuple[Drill, ...]:
    """Every drill of the four series, by diameter; at equal diameter number, fraction, letter, metric."""
    order: dict[DrillSeries, int] = {"number": 0, "fraction": 1, "letter": 2, "metric": 3}
    drills = [*_decimal_series("number"), *_decimal_series("letter"), *_fractions(), *_metric()]
    return tuple(sorted(drills, key=lambda drill: (round(drill.diameter_mm, 6), order[drill.series])))


def find_drill(name: str) -> Drill:
    """The drill of a name: "#30", "F", "1/8" (also '1/8"', "1/8 in") or "3.3 mm".

    Raises:
        UnitError: no drill has this name; the text gives the nearest ones with their diameters.

    >>> find_drill("#30").diameter_mm
    3.2639
    """
    drill = _by_name().get(_normal_name(name)) if isinstance(name, str) else None
    if drill is None:
        near = ", ".join(drill_label(_by_name()[other]) for other in nearest_drill_names(str(name)))
        raise UnitError(f'"{name}" is no drill; {f"nearest: {near}; " if near else ""}{_ALLOWED}')
    return drill


def drill_at_least(diameter_mm: float, series: tuple[DrillSeries, ...] = INCH_SERIES) -> Drill:
    """The smallest drill that is not smaller than a diameter, all the given series searched together.

    Args:
        diameter_mm: least diameter of the hole.
        series: the builder's drills; number, fraction and letter unless given.

    Raises:
        UnitError: the diameter is not positive, or larger than the largest drill of these series.

    >>> drill_at_least(3.2).name
    '#30'
    """
    if not diameter_mm > 0:
        raise UnitError(f"a hole of {diameter_mm} mm has no drill")
    usable = [drill for drill in all_drills() if drill.series in series]
    for drill in usable:
        if drill.diameter_mm >= diameter_mm - _SAME_MM:
            return drill
    raise UnitError(
        f"no drill of {format_in(diameter_mm, 4)} or more; the largest is {drill_label(usable[-1])}: "
        "step drill, hole saw or file"
    )


def nearest_drill_names(text: str, count: int = 3) -> list[str]:
    """The names of the drills nearest to a text, nearest first: by diameter if it has one, else by spelling.

    >>> nearest_drill_names("#300")
    ['#30', '#3', '#80']
    """
    plain = text.strip()
    if re.fullmatch(r"#?[0-9]+", plain):
        digits = plain.lstrip("#")
        return near_names(f"#{digits}", (f"#{number}" for number in range(1, 81)), count, likeness=0.1)
    try:
        wanted = parse_length(plain, "in").mm
    except UnitError:
        return near_names(plain, (drill.name for drill in all_drills()), count)
    by_size = sorted(all_drills(), key=lambda drill: abs(drill.diameter_mm - wanted))
    return [drill.name for drill in by_size[:count]]


def drill_label(drill: Drill) -> str:
    """Name and diameter in inches to four places.

    >>> drill_label(find_drill("3/32"))
    '3/32 (0.0938 in)'
    """
    return f"{drill.name} ({format_in(drill.diameter_mm, 4)})"


def parse_hole_size(value: str | int | float, default_unit: Unit) -> HoleSize:
    """Read the size of a hole: a drill name, or a length; "1/8" is the 1/8 in drill in any job's unit.

    Raises:
        UnitError: neither a drill name nor a length, not positive, or a bare number that may be a drill's.

    >>> parse_hole_size("#30", "mm").diameter_mm
    3.2639
    """
    if isinstance(value, str) and (_NAME.fullmatch(value.strip()) or _normal_name(value) in _by_name()):
        drill = find_drill(value)
        return HoleSize(drill.diameter_mm, value, drill)
    if number := _drill_number(value, default_unit):
        given = f'"{value}"' if isinstance(value, str) else str(value)
        drill_or_length = f'"#{number}" for the drill, or "{number} {default_unit}"'
        raise UnitError(f"{given}: drill #{number} or {number} {default_unit}? Write {drill_or_length}")
    length: Length = parse_length(value, default_unit, allow_drill=True)
    if length.mm <= 0:
        raise UnitError(f'"{length.text}": a hole needs a diameter above zero')
    return HoleSize(length.mm, length.text, _of_diameter(length.mm))


def _drill_number(value: str | int | float, unit: Unit) -> int:
    """The drill that a whole number without # and unit may mean, 0 for none.

    A number in a millimetre job is a diameter: 4 mm is a common hole, 4 in is none.
    """
    text = value.strip() if isinstance(value, str) else str(value).removesuffix(".0")
    if not re.fullmatch(r"0?[0-9]{1,2}", text, re.ASCII) or (unit == "mm" and not isinstance(value, str)):
        return 0
    return int(text) if 1 <= int(text) <= _LAST_NUMBER else 0


def _normal_name(text: str) -> str:
    name = text.strip()
    if _NAME.fullmatch(name):
        return name.upper()
    if found := _FRACTION.fullmatch(name):
        return found[1]
    if found := _METRIC.fullmatch(name):
        return _metric_name(Fraction(found[1]))
    return name


@cache
def _by_name() -> dict[str, Drill]:
    return {drill.name: drill for drill in all_drills()}


def _of_diameter(diameter_mm: float) -> Drill | None:
    """The drill of this size; a decimal inch rounded to four places counts as the drill's own."""
    nearest = min(all_drills(), key=lambda drill: abs(drill.diameter_mm - diameter_mm))
    return nearest if abs(nearest.diameter_mm - diameter_mm) <= _ROUNDED_MM else None


def _decimal_series(series: Literal["number", "letter"]) -> list[Drill]:
    rows, sources = load_table("drills")["rows"], sources_of("drills")
    source = dict.fromkeys(rows["fourth_decimal_from_memory"], sources["fourth_decimal"])
    return [
        Drill(name, series, inches_to_mm(size), source.get(name, sources["standard"]))
        for name, size in rows[series]
    ]


def _fractions() -> list[Drill]:
    source = sources_of("drills")["fraction"]
    sizes = [Fraction(number, 64) for number in range(1, 33)]
    return [Drill(str(size), "fraction", inches_to_mm(float(size)), source) for size in sizes]


def _metric() -> list[Drill]:
    source = sources_of("drills")["metric"]
    hundredths = {*range(50, 300, 5), *range(300, 1401, 10), *range(325, 1400, 50)}
    sizes = [Fraction(size, 100) for size in sorted(hundredths)]
    return [Drill(_metric_name(size), "metric", float(size), source) for size in sizes]


def _metric_name(size_mm: Fraction) -> str:
    digits = 1 if (size_mm * 10).denominator == 1 else 2
    return f"{format_number(float(size_mm), digits)} mm"
