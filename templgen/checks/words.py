"""Numbers and names as a finding says them: both units, millimetres first, plural only where it is due."""

from __future__ import annotations

from templgen.units import format_length, format_number

__all__ = ["both", "counted", "multiple", "signed"]


def both(value: float) -> str:
    """Return a length (mm) in both units.

    >>> both(6.35)
    '6.35 mm (0.250 in)'
    """
    return format_length(value, "mm")


def signed(value: float, above: str, below: str) -> str:
    """Return the size of a length (mm) and the word for its sign.

    >>> signed(-2.54, "clear", "inside")
    '2.54 mm (0.100 in) inside'
    """
    return f"{both(abs(value))} {below if value < 0 else above}"


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
