"""Rubber grommets by their dash numbers: AN931-A-B has a hole of A/16 and a panel hole of B/16 in."""

from __future__ import annotations

from functools import cache

from msgspec import Struct

from templgen.errors import UnitError
from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of, unknown_name
from templgen.units import format_in, inches_to_mm

__all__ = ["Grommet", "all_grommets", "find_grommet", "grommet_for"]


class Grommet(Struct, frozen=True):
    """A grommet, mm: the hole through it, the hole in the panel, the width of its groove."""

    designation: str
    inside_mm: float
    panel_hole_mm: float
    groove_mm: float
    source: Source


@cache
def all_grommets() -> tuple[Grommet, ...]:
    """All grommets, by the hole through them."""
    table, source = load_table("grommets"), sources_of("grommets")["coded"]
    groove = inches_to_mm(table["common"]["groove_in"])
    return tuple(
        Grommet(f"AN931-{a}-{b}", inches_to_mm(a / 16), inches_to_mm(b / 16), groove, source)
        for a, b in table["rows"]["dashes"]
    )


def find_grommet(designation: str) -> Grommet:
    """The grommet of a designation.

    Raises:
        UnitError: there is none; the nearest are named.

    >>> find_grommet("AN931-4-7").panel_hole_mm
    11.1125
    """
    for grommet in all_grommets():
        if grommet.designation == designation:
            return grommet
    raise unknown_name("grommet", designation, [grommet.designation for grommet in all_grommets()])


def grommet_for(diameter_mm: float) -> Grommet:
    """The smallest grommet that passes a bundle or tube of this diameter.

    Raises:
        UnitError: the largest one is too small.
    """
    for grommet in all_grommets():
        if grommet.inside_mm >= diameter_mm - 1e-9:
            return grommet
    raise UnitError(
        f"no grommet here passes {format_in(diameter_mm)}; the largest is {all_grommets()[-1].designation}"
    )
