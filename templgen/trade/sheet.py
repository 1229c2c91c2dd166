"""Sheet: materials and the thicknesses they are sold in. Strengths are information, never a promise."""

from __future__ import annotations

from functools import cache

from msgspec import Struct

from templgen.errors import UnitError
from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of, unknown_name
from templgen.units import format_in, inches_to_mm

__all__ = [
    "Material",
    "all_materials",
    "find_material",
    "gauge_thickness",
    "next_heavier_thickness",
    "standard_thicknesses",
]

_KG_M3_PER_LB_IN3 = 27679.9
_SAME_MM = 0.03


class Material(Struct, frozen=True):
    """A sheet material. Strengths in ksi, None where none is known here; density in lb per cubic inch.

    Attributes:
        name: as a job writes it: "2024-T3 clad".
        alloy: the name under which bend radii are tabulated: "2024-T3".
        ftu_ksi, fty_ksi, fsu_ksi: ultimate and yield tension, ultimate shear.
        fbru_15_ksi, fbru_20_ksi: ultimate bearing at e/D 1.5 and 2.0.
    """

    name: str
    alloy: str
    density_lb_in3: float
    source: Source
    ftu_ksi: float | None = None
    fty_ksi: float | None = None
    fsu_ksi: float | None = None
    fbru_15_ksi: float | None = None
    fbru_20_ksi: float | None = None

    @property
    def density_kg_m3(self) -> float:
        """Density in kg per cubic metre."""
        return self.density_lb_in3 * _KG_M3_PER_LB_IN3

    def mass_g(self, area_mm2: float, thickness_mm: float) -> float:
        """Mass in grams of a flat part."""
        return self.density_kg_m3 * area_mm2 * thickness_mm * 1e-6


@cache
def all_materials() -> tuple[Material, ...]:
    """Every material, in the order of the data file."""
    sources = sources_of("sheet")
    return tuple(
        Material(source=sources[row["source"]], **{k: v for k, v in row.items() if k != "source"})
        for row in load_table("sheet")["material"]
    )


def find_material(name: str) -> Material:
    """The material of a name.

    Raises:
        UnitError: there is none; the nearest are named.

    >>> find_material("2024-T3 clad").alloy
    '2024-T3'
    """
    for material in all_materials():
        if material.name == name:
            return material
    raise unknown_name("material", name, [material.name for material in all_materials()])


def standard_thicknesses() -> tuple[float, ...]:
    """Thicknesses in mm in which aircraft sheet is commonly sold (common practice, no source)."""
    return tuple(inches_to_mm(size) for size in load_table("sheet")["thickness"]["standard_in"])


def next_heavier_thickness(thickness_mm: float) -> float:
    """The next heavier standard thickness, mm: a doubler is generally one gauge heavier than the skin.

    Raises:
        UnitError: there is no heavier one.
    """
    for size in standard_thicknesses():
        if size > thickness_mm + _SAME_MM:
            return size
    raise UnitError(f"no standard sheet is heavier than {format_in(thickness_mm)}")


def gauge_thickness(gauge: int) -> float:
    """Thickness in mm of a wire gauge number, also used for sheet: 0.005 in x 92 ^ ((36 - n) / 39).

    >>> round(gauge_thickness(20) / 25.4, 4)
    0.032
    """
    if not 0 <= gauge <= 36:
        raise UnitError(f"{gauge} is no sheet gauge; allowed: 0 to 36")
    return inches_to_mm(0.005 * 92 ** ((36 - gauge) / 39))
