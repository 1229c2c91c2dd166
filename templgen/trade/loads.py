"""Drag of a mast: information for the builder, never a proof of strength."""

from __future__ import annotations

from msgspec import Struct

from templgen.errors import UnitError
from templgen.trade.source import Source
from templgen.trade.tables import load_table, sources_of
from templgen.units import mm_to_inches

__all__ = ["MastDrag", "drag_lbf", "flat_plate_drag_lbf", "mast_drag", "streamlined_drag_lbf"]


class MastDrag(Struct, frozen=True):
    """Both published drags in lbf, and the larger one, which is carried forward."""

    streamlined_lbf: float
    other_lbf: float
    streamlined_source: Source
    other_source: Source

    @property
    def carried_lbf(self) -> float:
        """The larger of the two."""
        return max(self.streamlined_lbf, self.other_lbf)


def streamlined_drag_lbf(area_ft2: float, speed_mph: float) -> float:
    """0.000327 A V^2 (AC 43.13-2A ch. 3 para 38): only a streamlined section with its chord along the flow.

    Args:
        area_ft2: frontal area, square feet.
        speed_mph: never-exceed speed, statute miles per hour.

    >>> round(streamlined_drag_lbf(0.05, 200), 3)
    0.654
    """
    _require(area_ft2, speed_mph)
    return float(load_table("loads")["drag"]["streamlined"]) * area_ft2 * speed_mph**2


def drag_lbf(area_ft2: float, speed_mph: float, drag_coefficient: float) -> float:
    """0.00256 Cd A V^2, the dynamic pressure at sea level (derived) times a drag coefficient and an area."""
    _require(area_ft2, speed_mph)
    if not 0 < drag_coefficient < 10:
        raise UnitError(f"{drag_coefficient} is no drag coefficient of a body; allowed: above 0, below 10")
    return float(load_table("loads")["drag"]["pressure"]) * drag_coefficient * area_ft2 * speed_mph**2


def flat_plate_drag_lbf(area_ft2: float, speed_mph: float) -> float:
    """The drag of a section that is not streamlined: Cd 1.28."""
    return drag_lbf(area_ft2, speed_mph, load_table("loads")["drag"]["flat_plate_cd"])


def mast_drag(frontal_area_mm2: float, speed_mph: float, drag_coefficient: float | None = None) -> MastDrag:
    """Both formulas for a mast; with a Cd of the builder's own it takes the place of the flat plate's.

    Args:
        frontal_area_mm2: frontal area in square millimetres.
        speed_mph: never-exceed speed, statute miles per hour.
        drag_coefficient: the builder's own Cd, or None.
    """
    area_ft2 = frontal_area_mm2 * mm_to_inches(1.0) ** 2 / 144
    sources = sources_of("loads")
    if drag_coefficient is None:
        other, source = flat_plate_drag_lbf(area_ft2, speed_mph), sources["flat_plate"]
    else:
        other, source = drag_lbf(area_ft2, speed_mph, drag_coefficient), sources["pressure"]
    return MastDrag(streamlined_drag_lbf(area_ft2, speed_mph), other, sources["ac4313"], source)


def _require(area_ft2: float, speed_mph: float) -> None:
    if not (0 < area_ft2 < 1000 and 0 < speed_mph < 2000):
        raise UnitError(f"no drag of {area_ft2} square feet at {speed_mph} miles per hour")
