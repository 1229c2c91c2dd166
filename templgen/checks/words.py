"""Numbers and names as a finding says them: both units, millimetres first, plural only where it is due."""

from __future__ import annotations

import math
from collections.abc import Callable

from templgen.geometry import Vec
from templgen.layout.assembly import Fastener
from templgen.units import format_length, format_number, mm_to_inches

__all__ = ["at_least", "at_most", "both", "counted", "hole_name", "multiple", "point_words"]


_NOISE = 1e-6
"""Rounding noise, so that 0.35 is not rounded up to 0.36."""


def both(value: float) -> str:
    """Return a length (mm) in both units.

    >>> both(6.35)
    '6.35 mm (0.250 in)'
    """
    return format_length(value, "mm")


def at_least(value: float) -> str:
    """Return a length (mm) rounded up in both units: what is done by either number is enough.

    >>> at_least(0.351)
    '0.36 mm (0.014 in)'
    """
    return _rounded(value, math.ceil, -_NOISE)


def at_most(value: float) -> str:
    """Return a length (mm) rounded down in both units: what is done by either number is not too much.

    >>> at_most(0.65)
    '0.65 mm (0.025 in)'
    """
    return _rounded(value, math.floor, _NOISE)


def _rounded(value: float, way: Callable[[float], int], noise: float) -> str:
    mm = way(value * 100 + noise) / 100
    inches = way(mm_to_inches(value) * 1000 + noise) / 1000
    return f"{format_number(mm, 2)} mm ({format_number(inches, 3)} in)"


def multiple(value: float, unit: float, letter: str = "D") -> str:
    """Return a length as a multiple of another.

    >>> multiple(6.35, 3.175), multiple(7.9375, 3.175)
    ('2 D', '2.5 D')
    """
    return f"{format_number(value / unit, 2, trim=True)} {letter}"


def counted(count: int, singular: str, plural: str | None = None) -> str:
    """Return a count with its noun.

    >>> counted(1, "hole"), counted(3, "hole"), counted(2, "pass", "passes")
    ('1 hole', '3 holes', '2 passes')
    """
    return f"{count} {singular if count == 1 else plural or singular + 's'}"


def hole_name(fastener: Fastener) -> str:
    """Return a hole as sheets mark it: "hole 12 of mast", "existing rivet R3"."""
    if fastener.exists:
        return f"existing rivet {fastener.name}"
    return f"hole {fastener.name}" + (f" of {fastener.feature}" if fastener.feature else "")


def point_words(point: Vec) -> str:
    """Return a point of a plane in millimetres.

    >>> point_words(Vec(1.5, -2))
    'x 1.50 mm, y -2.00 mm'
    """
    return f"x {format_number(point.x, 2)} mm, y {format_number(point.y, 2)} mm"
