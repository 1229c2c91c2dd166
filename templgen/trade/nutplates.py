"""Nutplates (anchor nuts). Every dimension is from memory, or unknown and then None: the builder measures.

The two rivet holes of one nutplate are close together on purpose; a pitch rule must not count them.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from msgspec import Struct

from templgen.errors import UnitError
from templgen.trade.drills import Drill, find_drill
from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of, unknown_name
from templgen.units import inches_to_mm

__all__ = ["Nutplate", "all_nutplates", "centre_hole", "find_nutplate", "nutplate_notes"]


class Nutplate(Struct, frozen=True):
    """A kind of nutplate for one screw, mm. None is not known, and never a zero.

    Attributes:
        standard: "MS21047" and so on.
        kind: lugs, fixed or floating, steel, in words.
        screw: screw size; None where the table has a kind but no sizes.
        rivet_spacing_mm: distance of the two rivet holes.
        rivet_nominal: nominal diameter of its rivets.
        rivet_hole: drill of the rivet holes.
        overall_length_mm, width_mm: outline of the plate.
        source: standing of the rivet spacing (or of the kind, where the spacing is not known).
    """

    standard: str
    kind: str
    screw: str | None
    rivet_spacing_mm: float | None
    rivet_nominal: str
    rivet_hole: Drill
    source: Source
    overall_length_mm: float | None = None
    width_mm: float | None = None

    @property
    def rivet_from_centre_mm(self) -> float | None:
        """Distance from the screw's centre to each rivet of a two-lug plate."""
        return None if self.rivet_spacing_mm is None else self.rivet_spacing_mm / 2


@cache
def all_nutplates() -> tuple[Nutplate, ...]:
    """Every row, in the order of the data file."""
    return tuple(plate for row in load_table("nutplates")["nutplate"] for plate in _plates(row))


def find_nutplate(standard: str, screw: str) -> Nutplate:
    """The nutplate of a standard for a screw size.

    Raises:
        UnitError: no such standard, or the standard has no row for this screw; the nearest are named.

    >>> find_nutplate("MS21047", "#8").rivet_spacing_mm
    17.4498
    """
    of_standard = [plate for plate in all_nutplates() if plate.standard == standard]
    if not of_standard:
        raise unknown_name("nutplate", standard, dict.fromkeys(plate.standard for plate in all_nutplates()))
    for plate in of_standard:
        if plate.screw in (screw, None):
            return plate
    sizes = ", ".join(str(plate.screw) for plate in of_standard)
    raise UnitError(f"no {standard} nutplate for a {screw} screw is known; allowed: {sizes}")


def centre_hole(screw: str) -> tuple[Drill, Source]:
    """Drill of the screw's hole under a nutplate: a general machine clearance, confidence low.

    Raises:
        UnitError: no hole is known for this screw.
    """
    holes = load_table("nutplates")["common"]["centre_hole"]
    if screw not in holes:
        raise unknown_name("screw with a known nutplate hole", screw, holes)
    return find_drill(holes[screw]), sources_of("nutplates")["centre_hole"]


def nutplate_notes() -> tuple[Source, ...]:
    """What a sheet with nutplates must say, each as the note of its source."""
    sources = sources_of("nutplates")
    return sources["not_for_every_flight"], sources["shim"]


def _plates(row: Mapping[str, Any]) -> list[Nutplate]:
    common, sources = load_table("nutplates")["common"], sources_of("nutplates")
    spacing: Mapping[str, float] = row.get("spacing_in", {})
    screws: list[str | None] = list(spacing or row.get("screws", [])) or [None]
    return [
        Nutplate(
            standard=row["standard"],
            kind=row["kind"],
            screw=screw,
            rivet_spacing_mm=inches_to_mm(spacing[screw]) if screw is not None and screw in spacing else None,
            rivet_nominal=common["rivet"],
            rivet_hole=find_drill(common["rivet_hole"]),
            source=sources["fixed" if spacing else "unknown"],
        )
        for screw in screws
    ]
