"""Numbers and names as a finding says them: both units, the job's first, plural only where it is due.

Which unit stands first is decided in one place: `speaking`, round a run of the rules.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar

from templgen.geometry import Vec
from templgen.layout.assembly import Fastener
from templgen.units import Unit, format_length, format_number, mm_to_inches

__all__ = [
    "at_least",
    "at_most",
    "both",
    "counted",
    "hole_name",
    "marks_words",
    "multiple",
    "point_words",
    "points_words",
    "speaking",
    "twofold",
]


_NOISE = 1e-6
"""Rounding noise, so that 0.35 is not rounded up to 0.36."""


_FIRST: ContextVar[Unit] = ContextVar("the unit that stands first", default="mm")


@contextmanager
def speaking(unit: Unit) -> Iterator[None]:
    """Within it every length in words leads with `unit`, so that no rule has to carry the unit along.

    >>> with speaking("in"):
    ...     both(6.35), at_least(0.351)
    ('0.250 in (6.35 mm)', '0.014 in (0.36 mm)')
    """
    before = _FIRST.set(unit)
    try:
        yield
    finally:
        _FIRST.reset(before)


def twofold(metric: str, inches: str) -> str:
    """Return one number in words of both units, the job's first, the other in brackets.

    >>> twofold("645.2 mm2", "1.000 in2")
    '645.2 mm2 (1.000 in2)'
    """
    return f"{inches} ({metric})" if _FIRST.get() == "in" else f"{metric} ({inches})"


def both(value: float) -> str:
    """Return a length (mm) in both units.

    >>> both(6.35)
    '6.35 mm (0.250 in)'
    """
    return format_length(value, _FIRST.get())


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
    return twofold(f"{format_number(mm, 2)} mm", f"{format_number(inches, 3)} in")


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


def marks_words(marks: Iterable[str]) -> str:
    """Return marks of holes in words, each once: numbers that follow each other as one run.

    >>> marks_words(["7", "5", "6", "R3", "9", "5"]), marks_words(["12"])
    ('holes 5 to 7, 9, R3', 'hole 12')
    """
    every = list(dict.fromkeys(marks))
    numbers = sorted(int(mark) for mark in every if mark.isdecimal())
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [f"{run[0]} to {run[-1]}" if len(run) > 1 else str(run[0]) for run in runs]
    words += sorted(mark for mark in every if not mark.isdecimal())
    return f"hole{'s' if len(every) > 1 else ''} {', '.join(words)}"


def point_words(point: Vec) -> str:
    """Return a point of a plane in both units.

    >>> point_words(Vec(1.5, -2))
    'x 1.50 mm (0.059 in), y -2.00 mm (-0.079 in)'
    """
    return f"x {both(point.x)}, y {both(point.y)}"


def points_words(points: Sequence[Vec]) -> str:
    """Return points of a plane in words: one in both units, several for short in the job's unit alone.

    >>> points_words([Vec(1.5, -2), Vec(3, 4)])
    '(x, y) = (1.50, -2.00), (3.00, 4.00) mm'
    """
    if len(points) == 1:
        return point_words(points[0])
    unit = _FIRST.get()
    pairs = (f"({_number(point.x, unit)}, {_number(point.y, unit)})" for point in points)
    return f"(x, y) = {', '.join(pairs)} {unit}"


def _number(mm: float, unit: Unit) -> str:
    return format_number(mm_to_inches(mm), 3) if unit == "in" else format_number(mm, 2)
