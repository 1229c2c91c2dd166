"""What opens a hole in thin sheet: twist drills, step drills, hole saws, and which of them the builder has.

Above 1/4 in a twist drill grabs in thin sheet and leaves a three-lobed hole; there only step drills and hole
saws are used, backed up, from a pilot (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache
from typing import Any, Literal

from msgspec import Struct

from templgen.errors import UnitError
from templgen.trade.drills import (
    INCH_SERIES,
    LARGE_DRILL_MM,
    DrillSeries,
    all_drills,
    find_drill,
    parse_hole_size,
)
from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of
from templgen.units import Unit, inches_to_mm, mm_to_inches

__all__ = [
    "Cutter",
    "CutterTool",
    "builders_cutters",
    "chain_drills",
    "chain_web",
    "common_cutters",
    "corner_web",
    "cutter_source",
    "cutters_at_most",
    "file_allowance",
    "read_cutters",
    "sharp_corner_diameter",
    "usual_pilot",
]

CutterTool = Literal["drill", "step drill", "hole saw"]

_ORDER: Mapping[CutterTool, int] = {"drill": 0, "step drill": 1, "hole saw": 2}
_SAME_MM = 1e-6
_SIXTEENTHS = 64


class Cutter(Struct, frozen=True):
    """One tool that makes a round hole.

    Attributes:
        tool: twist drill, step drill (one step of it) or hole saw.
        name: its size as it is called: "#30", "15/16", "24 mm".
        diameter_mm: of the hole.
        pilot: the drill that goes first; "" where none does.
    """

    tool: CutterTool
    name: str
    diameter_mm: float
    pilot: str

    @property
    def words(self) -> str:
        """As a callout says it: "drill #30", "step drill 15/16", "hole saw 1-1/2"."""
        return f"{self.tool} {self.name}"

    @property
    def is_backed_up(self) -> bool:
        """Whether the sheet is held on wood while it cuts."""
        return self.tool != "drill"


@cache
def common_cutters(unit: Unit = "in") -> tuple[Cutter, ...]:
    """The tools that most builders have, smallest first: twist drills to 1/4 in, step drills, hole saws.

    Args:
        unit: of the job; in millimetre jobs the metric twist drills count too.

    At equal diameters a step drill stands before a hole saw: its hole is the cleaner one.

    >>> [cutter.words for cutter in common_cutters()][-3:]
    ['hole saw 1-3/8', 'hole saw 1-7/16', 'hole saw 1-1/2']
    """
    series: tuple[DrillSeries, ...] = INCH_SERIES if unit == "in" else (*INCH_SERIES, "metric")
    twist = load_table("cutters")["twist"]
    least, most = inches_to_mm(twist["least_in"]), inches_to_mm(twist["most_in"])
    found = [
        _drill(drill.name)
        for drill in all_drills()
        if drill.series in series and least - _SAME_MM <= drill.diameter_mm <= most + _SAME_MM
    ]
    for row in load_table("cutters")["sets"]:
        found += _set(row)
    return _sorted(found)


def builders_cutters(
    drills: Iterable[str] | None,
    step_drills: Iterable[str] | None,
    hole_saws: Iterable[str] | None,
    unit: Unit,
) -> tuple[Cutter, ...]:
    """The builder's own tools, smallest first; a kind that is not given (None) is the common set of it.

    Raises:
        UnitError: a size that can not be read, or a twist drill above 1/4 in.
    """
    given: dict[CutterTool, Iterable[str] | None] = {
        "drill": drills,
        "step drill": step_drills,
        "hole saw": hole_saws,
    }
    found: list[Cutter] = []
    for tool, sizes in given.items():
        if sizes is None:
            found += [cutter for cutter in common_cutters(unit) if cutter.tool == tool]
        else:
            found += read_cutters(tool, sizes, unit)
    return _sorted(found)


def read_cutters(tool: CutterTool, sizes: Iterable[str], unit: Unit) -> tuple[Cutter, ...]:
    """The builder's tools of one kind.

    Args:
        tool: what they are.
        sizes: drill names or lengths, as in a job: "#30", "1/2 in", "24 mm".
        unit: of a size without one.

    Raises:
        UnitError: a size that can not be read, or a twist drill above 1/4 in.
    """
    return tuple(_own(tool, size, unit) for size in sizes)


def cutters_at_most(cutters: Sequence[Cutter], diameter_mm: float) -> tuple[Cutter, ...]:
    """The tools whose hole is not larger than a diameter, the largest first; of equals the cleaner first."""
    usable = [cutter for cutter in cutters if cutter.diameter_mm <= diameter_mm + _SAME_MM]
    return tuple(sorted(usable, key=lambda cutter: (-round(cutter.diameter_mm, 6), _ORDER[cutter.tool])))


def file_allowance() -> float:
    """What a drilled corner leaves for the file, mm; a pilot may be off by as much (our own default)."""
    return float(load_table("cutters")["corner"]["allowance_mm"])


def sharp_corner_diameter() -> float:
    """Diameter of the bit, mm, for a corner that is sharper than any bit (our own default)."""
    return inches_to_mm(load_table("cutters")["corner"]["sharp_in"])


def corner_web() -> float:
    """Least metal between two drilled corners, mm: a bit wanders through less (common practice)."""
    return inches_to_mm(load_table("cutters")["corner"]["least_web_in"])


def chain_drills() -> tuple[Cutter, ...]:
    """The drills for a chain of holes, the usual one first, smaller ones for narrow waste."""
    return tuple(_drill(name) for name in load_table("cutters")["chain"]["drills"])


def chain_web() -> tuple[float, float]:
    """Metal left between two holes of a chain, mm: as it is set out, and the least (our own defaults)."""
    chain = load_table("cutters")["chain"]
    return float(chain["web_mm"]), float(chain["least_web_mm"])


def usual_pilot(diameter_mm: float) -> str:
    """The drill that goes before a hole for which the job names none; "" for a small hole (common practice).

    Above the largest twist drill it is that of the tool that makes such a hole: step drill, then hole saw.

    >>> usual_pilot(2.4892), usual_pilot(3.2639), usual_pilot(8.0), usual_pilot(36.0)
    ('', '#40', '1/8', '1/4')
    """
    table = load_table("cutters")
    twist, sets = table["twist"], table["sets"]
    inches = mm_to_inches(diameter_mm - _SAME_MM)
    if inches <= twist["plain_to_in"]:
        return ""
    reach = [(twist["most_in"], twist["pilot"]), *((row["last_in"], row["pilot"]) for row in sets)]
    return str(next((pilot for most, pilot in reach if inches <= most), sets[-1]["pilot"]))


def cutter_source(key: Literal["large", "sizes", "pilot", "allowance", "web", "chain"]) -> Source:
    """Where one of these numbers comes from."""
    return sources_of("cutters")[key]


def _drill(name: str, diameter_mm: float | None = None) -> Cutter:
    diameter = find_drill(name).diameter_mm if diameter_mm is None else diameter_mm
    return Cutter("drill", name, diameter, usual_pilot(diameter))


def _set(row: Mapping[str, Any]) -> list[Cutter]:
    first, last, step = (Fraction(row[key]) for key in ("first_in", "last_in", "step_in"))
    count = int((last - first) / step) + 1
    sizes = [first + step * number for number in range(count)]
    return [Cutter(row["tool"], _inches(size), inches_to_mm(float(size)), row["pilot"]) for size in sizes]


def _inches(size: Fraction) -> str:
    """A size as the trade writes it.

    >>> _inches(Fraction(23, 16)), _inches(Fraction(1, 2)), _inches(Fraction(1))
    ('1-7/16', '1/2', '1')
    """
    whole, rest = divmod(size, 1)
    if not rest:
        return str(whole)
    return f"{whole}-{rest}" if whole else str(rest)


def _own(tool: CutterTool, size: str, unit: Unit) -> Cutter:
    read = parse_hole_size(size, unit)
    name = read.drill.name if read.drill is not None else read.text.strip()
    if tool == "drill":
        if read.diameter_mm > LARGE_DRILL_MM + _SAME_MM:
            raise UnitError(
                f'"{size}" is a twist drill above 1/4 in: it grabs in thin sheet; '
                "give it among the step drills or the hole saws"
            )
        return _drill(name, read.diameter_mm)
    in_inches = Fraction(mm_to_inches(read.diameter_mm)).limit_denominator(_SIXTEENTHS)
    if abs(inches_to_mm(float(in_inches)) - read.diameter_mm) <= _SAME_MM and "mm" not in name:
        name = _inches(in_inches)
    pilot = next(row["pilot"] for row in load_table("cutters")["sets"] if row["tool"] == tool)
    return Cutter(
        tool, name, read.diameter_mm, pilot if find_drill(pilot).diameter_mm < read.diameter_mm else ""
    )


def _sorted(cutters: Iterable[Cutter]) -> tuple[Cutter, ...]:
    return tuple(sorted(cutters, key=lambda cutter: (round(cutter.diameter_mm, 6), _ORDER[cutter.tool])))
