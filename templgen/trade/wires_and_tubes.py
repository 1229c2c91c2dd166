"""Wires, bundles and flared tubes: what must pass a hole, how far from metal, how often supported."""

from __future__ import annotations

import math
from typing import Literal

from templgen.errors import UnitError
from templgen.trade.source import Published, Source
from templgen.trade.tables import load_table, sources_of, unknown_name
from templgen.units import inches_to_mm

__all__ = [
    "bundle_bend_radius",
    "bundle_diameter",
    "flare_diameter",
    "flare_notes",
    "support_interval",
    "tube_after_bending",
    "tube_support",
    "wire_clearance",
    "wire_slack",
]


def bundle_diameter(count: int, wire_mm: float) -> Published:
    """Estimated diameter, mm, of a bundle of equal wires: 1.2 d sqrt(n); one wire is its own diameter.

    Raises:
        UnitError: no wires, or wires without a diameter.
    """
    if count < 1 or not 0 < wire_mm < math.inf:
        raise UnitError(f"{count} wires of {wire_mm} mm make no bundle")
    factor = load_table("wires_and_tubes")["wires"]["bundle_factor"] if count > 1 else 1.0
    return Published(factor * wire_mm * math.sqrt(count), "mm", _source("bundle"))


def bundle_bend_radius(largest_wire_mm: float, *, supported: bool = False) -> Published:
    """Least bend radius, mm: 10 times the largest wire, 3 times where it is supported at a breakout."""
    wires = load_table("wires_and_tubes")["wires"]
    factor = wires["supported_bend_radius_diameters" if supported else "bend_radius_diameters"]
    return Published(factor * largest_wire_mm, "mm", _source("bend"))


def wire_clearance() -> Published:
    """Least distance, mm, of wires from a penetration that has no grommet (3/8 in)."""
    return _wires_mm("clearance_in", "grommet_clearance")


def support_interval() -> Published:
    """Largest distance, mm, between supports of a wire bundle (24 in)."""
    return _wires_mm("support_interval_in", "support")


def wire_slack() -> Published:
    """Largest deflection, mm, between supports (1/2 in)."""
    return _wires_mm("slack_in", "slack")


def flare_diameter(tube: str) -> Published:
    """Outside diameter, mm, of a single aircraft flare; the nut and sleeve behind it are larger.

    Args:
        tube: nominal outside diameter: "1/8" to "1/2".

    Raises:
        UnitError: no flare of this tube is known.
    """
    return Published(_row_mm("flare_outside_in", tube), "mm", _source("flare"))


def flare_notes() -> tuple[Source, ...]:
    """What a sheet with a flared tube must say, each as the note of its source."""
    return _source("flare_angle"), _source("double_flare")


def tube_after_bending(tube: str) -> tuple[float, float, Source]:
    """Wall, and least inside diameter after bending, mm, of 6061 tube."""
    rows = load_table("wires_and_tubes")["tube_6061_in"]
    if tube not in rows:
        raise unknown_name("tube size", tube, rows)
    wall, inside = rows[tube]
    return inches_to_mm(wall), inches_to_mm(inside), _source("tube_bend")


def tube_support(tube: str, metal: Literal["aluminium", "steel"]) -> Published:
    """Largest distance, mm, between supports of a tube."""
    return Published(_row_mm(f"support_{metal}_in", tube), "mm", _source(f"support_{metal}"))


def _row_mm(table: str, tube: str) -> float:
    rows = load_table("wires_and_tubes")[table]
    if tube not in rows:
        raise unknown_name("tube size", tube, rows)
    return inches_to_mm(rows[tube])


def _wires_mm(key: str, source: str) -> Published:
    return Published(inches_to_mm(load_table("wires_and_tubes")["wires"][key]), "mm", _source(source))


def _source(key: str) -> Source:
    return sources_of("wires_and_tubes")[key]
