"""Numbers in words, as lists and sheets share them."""

from __future__ import annotations

from collections.abc import Iterable

from templgen.units import Unit, format_in, format_mm

__all__ = ["in_unit", "ranges"]

_RANGE = 3


def in_unit(mm: float, unit: Unit) -> str:
    """Return a length in one unit: inches to three places, millimetres to two.

    >>> in_unit(25.4, "in"), in_unit(25.4, "mm")
    ('1.000 in', '25.40 mm')
    """
    return format_in(mm) if unit == "in" else format_mm(mm)


def ranges(found: Iterable[int]) -> str:
    """Return numbers in short; three and more in a row become a range.

    >>> ranges([1, 2, 3, 7, 8])
    '1 to 3, 7, 8'
    """
    rows: list[list[int]] = []
    for number in sorted(set(found)):
        if rows and number == rows[-1][-1] + 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    shown = []
    for row in rows:
        shown += [f"{row[0]} to {row[-1]}"] if len(row) >= _RANGE else [str(number) for number in row]
    return ", ".join(shown)
