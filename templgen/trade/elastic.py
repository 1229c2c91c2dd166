"""How sheet gives: Young's modulus, the sag of a strip under pressure, the strain at which it stays bent."""

from __future__ import annotations

from templgen.errors import UnitError
from templgen.trade.sheet import find_material
from templgen.trade.source import Published, Source
from templgen.trade.tables import load_table, sources_of

__all__ = ["strip_deflection_in", "strip_source", "yield_strain", "youngs_modulus"]


def youngs_modulus(material: str) -> Published | None:
    """Young's modulus of a sheet material in 1000 lbf per square inch (ksi); None where none is known here.

    >>> youngs_modulus("2024-T3 clad").value
    10500
    """
    try:
        alloy = find_material(material).alloy
    except UnitError:
        return None
    value = load_table("elastic")["modulus_ksi"].get(alloy)
    return None if value is None else Published(value, "ksi", sources_of("elastic")["modulus"])


def yield_strain(material: str) -> float | None:
    """The strain (no unit) at which a sheet stays bent: yield strength over modulus; None where unknown."""
    modulus = youngs_modulus(material)
    strength = None if modulus is None else find_material(material).fty_ksi
    return None if modulus is None or strength is None else strength / modulus.value


def strip_deflection_in(
    pressure_psi: float, span_in: float, thickness_in: float, modulus_ksi: float
) -> float:
    """The sag (in) in the middle of a strip hinged at both ends: 5 p l^4 / (384 E I), I = t^3 / 12 per width.

    >>> round(strip_deflection_in(1.0, 2.0, 0.032, 10500), 5)
    0.00727
    """
    inertia = thickness_in**3 / 12
    return 5 * pressure_psi * span_in**4 / (384 * modulus_ksi * 1000 * inertia)


def strip_source() -> Source:
    """Where the formula of the strip comes from."""
    return sources_of("elastic")["strip"]
