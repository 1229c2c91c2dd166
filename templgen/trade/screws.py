"""Machine screws with 100 degree flat heads: sizes, clearance holes, countersinks.

Countersink checks use the theoretical SHARP diameter of the head and the screw's major diameter; the largest
head diameter of the table is for seating only and would pass a sheet that is too thin.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Literal

from msgspec import Struct

from templgen.errors import UnitError
from templgen.trade.drills import Drill, find_drill
from templgen.trade.source import Source
from templgen.trade.tables import load_table, mm_or_none, sources_of, unknown_name
from templgen.units import inches_to_mm, mm_to_inches

__all__ = [
    "Clearance",
    "Fit",
    "Screw",
    "all_screws",
    "clearance_hole",
    "clearance_holes",
    "cone_diameter",
    "countersink_depth",
    "countersink_under_dimples",
    "dimple_stands_out",
    "find_screw",
    "leaves_knife_edge",
    "standard_screw_length",
]

Fit = Literal["close", "normal", "loose", "shop", "bolt"]


class Screw(Struct, frozen=True):
    """A screw size, mm. `sharp_mm` is None where no theoretical sharp head diameter is known here."""

    size: str
    major_mm: float
    threads_per_inch: int
    head_max_mm: float
    head_min_mm: float
    head_height_mm: float
    sharp_mm: float | None
    source: Source
    sharp_source: Source

    @property
    def pitch_mm(self) -> float:
        """From one thread to the next, mm."""
        return inches_to_mm(1.0 / self.threads_per_inch)

    @property
    def countersink_depth_mm(self) -> float | None:
        """How deep a 100 degree countersink cuts for this screw; None where the sharp diameter is unknown."""
        return None if self.sharp_mm is None else countersink_depth(self.sharp_mm, self.major_mm)


class Clearance(Struct, frozen=True):
    """A clearance hole: the fit, the drill that makes it, and its source."""

    fit: Fit
    drill: Drill
    source: Source

    @property
    def hole_mm(self) -> float:
        """Diameter of the hole in mm."""
        return self.drill.diameter_mm


@cache
def all_screws() -> tuple[Screw, ...]:
    """All screw sizes, by diameter."""
    sources = sources_of("screws")
    return tuple(
        Screw(
            size=row["size"],
            major_mm=inches_to_mm(row["major_in"]),
            threads_per_inch=row["threads_per_inch"],
            head_max_mm=inches_to_mm(row["head_max_in"]),
            head_min_mm=inches_to_mm(row["head_min_in"]),
            head_height_mm=inches_to_mm(row["head_height_in"]),
            sharp_mm=mm_or_none(row, "sharp_in"),
            source=sources["head"],
            sharp_source=sources["sharp"],
        )
        for row in load_table("screws")["screw"]
    )


def find_screw(size: str) -> Screw:
    """The screw of a size: "#4", "#6", "#8", "#10", "1/4" (also "8-32", "#8-32").

    Raises:
        UnitError: there is no such size, or its thread is another one.

    >>> find_screw("#8").major_mm
    4.1656
    """
    name, _, thread = size.strip().partition("-") if isinstance(size, str) else ("", "", "")
    wanted = f"#{name}" if name.isdigit() and thread else name
    for screw in all_screws():
        if screw.size == wanted and thread in ("", str(screw.threads_per_inch)):
            return screw
    raise unknown_name("screw size", size, [screw.size for screw in all_screws()])


def clearance_holes(size: str, fit: Fit) -> tuple[Clearance, ...]:
    """All published drills of a fit for a screw, the default first.

    Raises:
        UnitError: unknown size or fit, or the fit has no drill for this size.
    """
    screw, fits = find_screw(size), load_table("screws")["clearance"]
    if fit not in fits:
        raise unknown_name("fit", fit, fits)
    if screw.size not in fits[fit]:
        raise UnitError(
            f"no {fit} clearance hole of a {screw.size} screw; allowed: {', '.join(_fits(screw))}"
        )
    source = sources_of("screws")[_source_key(fit, screw.size)]
    return tuple(Clearance(fit, find_drill(name), source) for name in fits[fit][screw.size])


def clearance_hole(size: str, fit: Fit = "close") -> Clearance:
    """The default clearance hole of a fit.

    >>> clearance_hole("#8", "close").drill.name
    '#15'
    """
    return clearance_holes(size, fit)[0]


def countersink_depth(sharp: float, major: float, included_angle: float = 100.0) -> float:
    """Depth of a countersink from the sheet's face to where its cone meets the hole (derived from the cone).

    (sharp - major) / 2 / tan(angle / 2); lengths in one unit, angle in degrees.

    Args:
        sharp: theoretical sharp diameter of the head, at the face.
        major: diameter of the hole or the screw's major diameter.
        included_angle: of the cone; 100 for aircraft screws and rivets, 82 for others, never mixed.

    Raises:
        UnitError: the head is not wider than the hole, or the angle is none.
    """
    if not 0 < major < sharp or not 0 < included_angle < 180:
        raise UnitError(f"no cone from {sharp} to {major} with {included_angle} degrees")
    return (sharp - major) / 2 / math.tan(math.radians(included_angle / 2))


def cone_diameter(hole: float, depth: float, included_angle: float = 100.0) -> float:
    """Diameter at the face of a countersink of this depth: hole + 2 depth tan(angle / 2) (derived)."""
    return hole + 2 * depth * math.tan(math.radians(included_angle / 2))


def dimple_stands_out(cone_depth: float, sheets: float, included_angle: float = 100.0) -> float:
    """How far the dimples of nested sheets stand out behind the last of them (derived from the cone).

    The wall of a dimple is its sheet, turned: it stands out by cone_depth + sheets sin(angle / 2) behind the
    first face, and the sheets themselves take `sheets` of that. Lengths in one unit, angle in degrees.

    Args:
        cone_depth: depth of the head's cone, from its face to where it meets the shank.
        sheets: thickness of all sheets that are dimpled together.
        included_angle: of the cone.

    >>> round(dimple_stands_out(0.0705, 0.032), 4)
    0.063
    """
    turned = math.sin(math.radians(included_angle / 2))
    return max(0.0, cone_depth - sheets * (1.0 - turned))


def countersink_under_dimples(cone_depth: float, sheets: float, included_angle: float = 100.0) -> float:
    """Depth of the countersink in a sheet that takes the dimples of those on it (derived from the cone).

    The outside of a dimple is the head's cone, moved square to itself by the sheets: straight down by
    sheets / sin(angle / 2), of which the sheets themselves take `sheets`. Down to where it is as wide as the
    head's cone is at `cone_depth`. Lengths in one unit, angle in degrees.

    Args:
        cone_depth: depth of the head's cone, from its face to where it meets the shank.
        sheets: thickness of all sheets that are dimpled together.
        included_angle: of the cone.

    >>> round(countersink_under_dimples(0.0705, 0.032), 4)
    0.0803
    """
    return cone_depth + sheets * (1.0 / math.sin(math.radians(included_angle / 2)) - 1.0)


def leaves_knife_edge(sheet_thickness: float, depth: float) -> bool:
    """Whether a countersink goes through the sheet and leaves its hole with a knife edge."""
    return depth >= sheet_thickness - 1e-9


def standard_screw_length(length_mm: float) -> float:
    """The next length in mm one can buy that is not shorter (common practice, no source).

    Raises:
        UnitError: there is no such length.

    >>> round(standard_screw_length(9.6) / 25.4, 4)
    0.4375
    """
    if not 0 < length_mm < math.inf:
        raise UnitError(f"a screw of {length_mm} mm has no length")
    row = load_table("screws")["length"]
    step = row["step_in"] if length_mm <= inches_to_mm(row["up_to_in"]) + 1e-9 else row["longer_step_in"]
    return inches_to_mm(math.ceil(mm_to_inches(length_mm) / step - 1e-9) * step)


def _fits(screw: Screw) -> list[str]:
    return [fit for fit, rows in load_table("screws")["clearance"].items() if screw.size in rows]


def _source_key(fit: Fit, size: str) -> str:
    if fit == "bolt":
        return "bolt_an3" if size == "#10" else "bolt"
    return "shop" if fit == "shop" else "clearance"
