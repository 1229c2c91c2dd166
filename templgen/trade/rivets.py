"""Rivets: solid rivets from the published tables, blind rivets from the builder's own table.

A blind rivet never takes a solid rivet's length rule, driven head or strength.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Literal

from msgspec import Struct

from templgen.errors import UnitError
from templgen.trade.drills import Drill, find_drill
from templgen.trade.source import BUILDERS_TABLE, Published, Source
from templgen.trade.tables import load_table, mm_or_none, sources_of, unknown_name
from templgen.units import MM_PER_INCH, format_in, format_number, inches_to_mm

__all__ = [
    "BUILDERS_ROW",
    "BlindRivet",
    "HeadStyle",
    "RivetHead",
    "RivetHole",
    "SolidRivet",
    "StandardLength",
    "driven_head",
    "find_solid_rivet",
    "flush_rivet_strength",
    "rivet_head",
    "rivet_shear",
    "row_pitch",
    "solid_rivet_length_mm",
    "solid_rivets",
    "standard_rivet_length",
    "stiffener_rivet",
]

HeadStyle = Literal["universal", "protruding", "flush"]
BUILDERS_ROW = Source(BUILDERS_TABLE)
HoleChoice = Literal["faa", "wartime", "nominal"]


class RivetHole(Struct, frozen=True):
    """One published hole for a rivet: the drill that makes it, where one does, and the diameter in mm."""

    choice: HoleChoice
    drill: Drill | None
    diameter_mm: float
    source: Source


class RivetHead(Struct, frozen=True):
    """A head in mm: diameter and height (None where no published height is known here)."""

    style: str
    diameter_mm: float
    height_mm: float | None
    source: Source


class SolidRivet(Struct, frozen=True):
    """A size of solid rivet. `hole` is the usual one, `holes` all published ones, the usual one first."""

    nominal: str
    dash: int
    diameter_mm: float
    holes: tuple[RivetHole, ...]

    @property
    def hole(self) -> RivetHole:
        """The usual hole (FAA-H-8083-31)."""
        return self.holes[0]

    @property
    def nominal_hole_mm(self) -> float:
        """The hole that the strength and splice tables reckon with (MIL-HDBK-5)."""
        return self.holes[-1].diameter_mm


class StandardLength(Struct, frozen=True):
    """A rivet length one can buy: mm, and its dash in sixteenths of an inch ("5"; "4.5" is a half size)."""

    mm: float
    dash: str


class BlindRivet(Struct, frozen=True):
    """A blind rivet as the builder's table gives it, mm; nothing here is ever filled in by the program.

    Attributes:
        diameter: nominal shank diameter.
        hole: hole diameter.
        grip_min, grip_max: thinnest and thickest stack it holds.
        head_diameter, head_height: the head on the builder's side.
        head_style: "protruding" or "flush".
        unset_length_behind: what stands behind the stack before it is pulled, and needs room.
        strength_lbf: single shear strength, lbf, or None.
        source: where the row comes from; the builder's own table.

    Raises:
        UnitError: a length is missing, not finite, not positive, or the grip range is empty.
    """

    diameter: float
    hole: float
    grip_min: float
    grip_max: float
    head_diameter: float
    head_height: float
    head_style: Literal["protruding", "flush"]
    unset_length_behind: float
    strength_lbf: float | None = None
    source: Source = BUILDERS_ROW

    def __post_init__(self) -> None:
        for name in ("diameter", "hole", "grip_max", "head_diameter", "head_height", "unset_length_behind"):
            if not 0 < getattr(self, name) < math.inf:
                raise UnitError(
                    f"blind rivet: {name.replace('_', ' ')} is {getattr(self, name)}, not above zero"
                )
        if not 0 <= self.grip_min < self.grip_max:
            raise UnitError(f"blind rivet: grip from {self.grip_min} to {self.grip_max} mm holds nothing")
        if self.hole < self.diameter:
            raise UnitError(f"blind rivet: a hole of {self.hole} mm for a shank of {self.diameter} mm")

    def holds(self, grip_mm: float) -> bool:
        """Whether a stack of this thickness is inside the grip range."""
        return self.grip_min - 1e-9 <= grip_mm <= self.grip_max + 1e-9


@cache
def solid_rivets() -> tuple[SolidRivet, ...]:
    """All sizes of solid rivet, by diameter."""
    return tuple(_solid_rivet(row) for row in load_table("rivets")["size"])


def find_solid_rivet(nominal: str) -> SolidRivet:
    """The solid rivet of a nominal diameter: "3/32", "1/8", "5/32", "3/16", "1/4" (" or in may follow).

    Raises:
        UnitError: there is no such size; the text names those that there are.

    >>> find_solid_rivet("1/8").hole.drill.name
    '#30'
    """
    name = nominal.strip().removesuffix('"').removesuffix("in").strip() if isinstance(nominal, str) else ""
    for rivet in solid_rivets():
        if rivet.nominal == name:
            return rivet
    raise unknown_name("solid rivet size", nominal, [rivet.nominal for rivet in solid_rivets()])


def rivet_head(rivet: SolidRivet, style: HeadStyle) -> RivetHead:
    """The manufactured head: universal (MS20470) about 2 D wide, flush 100 degree (MS20426) from its table.

    Raises:
        UnitError: a protruding head that is not universal, or a flush head in a size that has no row.
    """
    table, sources = load_table("rivets"), sources_of("rivets")
    if style == "universal":
        width = table["universal_head"]["width"] * rivet.diameter_mm
        return RivetHead(style, width, None, sources["universal_head"])
    row = next(row for row in table["size"] if row["nominal"] == rivet.nominal)
    diameter = mm_or_none(row, "flush_head_in")
    if style != "flush" or diameter is None:
        raise UnitError(f"no {style} head of a {rivet.nominal} solid rivet is known; give head_diameter")
    return RivetHead(style, diameter, mm_or_none(row, "flush_height_in"), sources["flush_head"])


def driven_head(diameter_mm: float, which: Literal["nominal", "minimum"] = "nominal") -> RivetHead:
    """The driven head of a solid rivet: nominal 1.5 D x 0.5 D, accepted from 1.3 D x 0.3 D.

    Args:
        diameter_mm: nominal shank diameter.
        which: "nominal" for clearances, "minimum" for the inspection note.
    """
    factors = load_table("rivets")["driven_head"]
    return RivetHead(
        f"driven, {which}",
        factors[f"{which}_width"] * diameter_mm,
        factors[f"{which}_height"] * diameter_mm,
        sources_of("rivets")[f"driven_{which}"],
    )


def solid_rivet_length_mm(grip_mm: float, diameter_mm: float) -> float:
    """Length of a solid rivet before driving: grip + 1.5 D (FAA-H-8083-31 Fig. 4-76; NAVEDTRA 14018).

    A flush rivet's length counts its head, and so does its grip. Never for blind rivets.
    """
    factor: float = load_table("rivets")["length"]["grip_plus_diameters"]
    return grip_mm + factor * diameter_mm


def standard_rivet_length(length_mm: float, *, half_sizes: bool = False) -> StandardLength:
    """The next length one can buy that is not shorter: steps of 1/16 in, of 1/32 in with half sizes.

    >>> standard_rivet_length(solid_rivet_length_mm(1.6256, 3.175)).dash
    '5'
    """
    if not 0 < length_mm < math.inf:
        raise UnitError(f"a rivet of {length_mm} mm has no length")
    steps = 2 if half_sizes else 1
    count = math.ceil(length_mm / MM_PER_INCH * 16 * steps - 1e-9)
    return StandardLength(inches_to_mm(count / (16 * steps)), format_number(count / steps, 1, trim=True))


def rivet_shear(nominal: str) -> Published | None:
    """Single shear strength, lbf, of a driven 2117-T3 rivet; information only. None where no row is known."""
    row = next(
        row for row in load_table("rivets")["size"] if row["nominal"] == find_solid_rivet(nominal).nominal
    )
    if "shear_lbf" not in row:
        return None
    return Published(row["shear_lbf"], "lbf", sources_of("rivets")[row["shear_source"]])


def flush_rivet_strength(sheet_in: float, seat: Literal["dimpled", "countersunk"]) -> Published | None:
    """Ultimate strength, lbf, of a 3/32 flush rivet in 2024-T3; None for a thickness that is not printed."""
    for row in load_table("rivets")["flush_strength"]:
        if abs(row["sheet_in"] - sheet_in) < 5e-4:
            return Published(row[f"{seat}_lbf"], "lbf", sources_of("rivets")["flush_strength"])
    return None


def stiffener_rivet(thickness_mm: float) -> tuple[SolidRivet, float, Source]:
    """Rivet and pitch in mm of an added stiffener of this thickness (TM 1-1520-240-BD)."""
    for row in load_table("rivets")["stiffener"]:
        if thickness_mm <= inches_to_mm(row["thickness_max_in"]) + 1e-6:
            rivet = find_solid_rivet(row["nominal"])
            return rivet, inches_to_mm(row["pitch_in"]), sources_of("rivets")["stiffener"]
    raise UnitError(f"no stiffener of {format_in(thickness_mm)} is known")


def row_pitch(length_mm: float, end_margin_mm: float, count: int) -> float:
    """Pitch of a row of rivets over a length with equal margins at both ends: (L - 2 e) / (n - 1) (derived).

    Raises:
        UnitError: fewer than two rivets, or margins that leave no row.
    """
    if count < 2 or length_mm <= 2 * end_margin_mm:
        raise UnitError(f"{count} rivets over {length_mm} mm with {end_margin_mm} mm at the ends make no row")
    return (length_mm - 2 * end_margin_mm) / (count - 1)


def _solid_rivet(row: dict[str, object]) -> SolidRivet:
    sources = sources_of("rivets")
    usual, older = find_drill(str(row["hole"])), find_drill(str(row["hole_older"]))
    holes = (
        RivetHole("faa", usual, usual.diameter_mm, sources["hole"]),
        RivetHole("wartime", older, older.diameter_mm, sources["hole_older"]),
        RivetHole("nominal", None, inches_to_mm(float(str(row["hole_nominal_in"]))), sources["hole_nominal"]),
    )
    nominal = str(row["nominal"])
    return SolidRivet(nominal, int(str(row["dash"])), find_drill(nominal).diameter_mm, holes)
