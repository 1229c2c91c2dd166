"""Lengths as a person types them off a rule, and the questions that they raise.

A reading is "measured" or "measured/nominal": `239.1mm/240mm`, `9 13/32 in`, `9 13/32 in/9 1/2 in`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from msgspec import Struct

from templgen.drawing import Drawing, LineMark, Meaning
from templgen.errors import TemplgenError, UnitError
from templgen.geometry import Bounds, Vec
from templgen.proof.stretch import Reading
from templgen.units import MM_PER_INCH, Length, Unit, format_length, parse_length

__all__ = [
    "DIAGONALS",
    "NEAR",
    "Nominal",
    "Typed",
    "nominals_of",
    "parse_typed",
    "questions_of",
    "reading_of",
    "rulers_of",
]

DIAGONALS = ("A to C", "D to B")
NEAR = 0.003
"""A reading this near, as a share, to another nominal than its own is questioned."""
_IMPOSSIBLE = (0.6, 1.6)
_UNITS_SWAPPED = 0.05
_ROUND_MM = 25.0
_LEAST_EDGE = 50.0
_NUMBERED_MM = 10.0


class Typed(Struct, frozen=True):
    """What was typed: the length measured, the nominal if one was given, and the text."""

    text: str
    measured: Length
    nominal: Length | None


class Nominal(Struct, frozen=True):
    """A length that stands on a sheet: its words, its vector on the page in mm, the sheet's number."""

    what: str
    along: Vec
    sheet: int


def parse_typed(text: str, unit: Unit) -> Typed:
    """Read "measured" or "measured/nominal"; a bare number is in `unit`.

    Raises:
        UnitError: it can not be read, or it can be read in two ways.

    >>> typed = parse_typed("9 13/32 in/9 1/2 in", "mm")
    >>> typed.measured.text, typed.nominal.text
    ('9 13/32 in', '9 1/2 in')
    """
    ways = list(_ways(text, unit))
    if len(ways) > 1:
        first, second = ways[0].measured.text, ways[1]
        assert second.nominal is not None  # noqa: S101  only the first way is without a nominal
        raise UnitError(
            f'"{text}" can be read as {first}, or as {second.measured.text} measured over '
            f'{second.nominal.text}; write the unit behind both lengths: "9.4 in/9.5 in"'
        )
    if not ways:
        is_fraction = _length(text, "in") is not None
        for part in [text] if is_fraction else text.split("/"):
            parse_length(part, unit)
        raise UnitError(
            f'"{text}" is no reading; allowed: "239.1 mm", "239.1mm/240mm", "9 13/32 in/9 1/2 in"'
        )
    typed = ways[0]
    for length in (typed.measured, typed.nominal):
        if length is not None and length.mm <= 0.0:
            raise UnitError(f'"{text}": a length on a print is more than nothing')
    return typed


def _ways(text: str, unit: Unit) -> Iterator[Typed]:
    """Every way to read a text: as one length, or cut at one of its strokes."""
    whole = _length(text, unit)
    if whole is not None:
        yield Typed(text, whole, None)
    for place in (i for i, letter in enumerate(text) if letter == "/"):
        measured, nominal = _length(text[:place], unit), _length(text[place + 1 :], unit)
        if measured is not None and nominal is not None:
            yield Typed(text, measured, nominal)


def _length(text: str, unit: Unit) -> Length | None:
    try:
        return parse_length(text.strip(), unit)
    except UnitError:
        return None


def nominals_of(crosses: Bounds, sheet: int) -> tuple[Nominal, ...]:
    """The lengths that stand beside the crosses of a sheet: both sides and both diagonals."""
    width, height = crosses.width, crosses.height
    return (
        Nominal("A to B", Vec(width, 0.0), sheet),
        Nominal("A to D", Vec(0.0, height), sheet),
        Nominal(DIAGONALS[0], Vec(width, height), sheet),
        Nominal(DIAGONALS[1], Vec(width, -height), sheet),
    )


def rulers_of(drawing: Drawing, sheet: int) -> tuple[Nominal, ...]:
    """The lengths that a whole ruler of a sheet may be read over: its ends, its last 10 mm and whole inch."""
    found = []
    for item in drawing.items:
        if not isinstance(item, LineMark) or item.meaning is not Meaning.RULER:
            continue
        line, axis = item.line, "x" if item.line.start.y == item.line.end.y else "y"
        if line.length < _LEAST_EDGE:
            continue  # a division
        way = Vec(1.0, 0.0) if axis == "x" else Vec(0.0, 1.0)
        ends = (
            line.length,
            *(math.floor(line.length / step + 1e-9) * step for step in (_NUMBERED_MM, MM_PER_INCH)),
        )
        found += [Nominal(f"the ruler along {axis}", way * end, sheet) for end in ends]
    return tuple(found)


def reading_of(typed: Typed, own: Nominal, off: float) -> Reading:
    """The reading of a nominal of the sheet, or of another length in the same direction.

    Raises:
        TemplgenError: a diagonal with a nominal of its own: its direction is not known.
    """
    along, what = own.along, own.what
    if typed.nominal is not None:
        is_own = abs(typed.nominal.mm / along.length - 1.0) <= NEAR
        if not is_own and own.what in DIAGONALS:
            raise TemplgenError(
                f'"{typed.text}": a diagonal is measured from cross to cross, {own.what} is '
                f"{along.length:.2f} mm on sheet {own.sheet}"
            )
        if not is_own:
            what = f"along {'x' if along.y == 0.0 else 'y'}"
        along = along * (typed.nominal.mm / along.length)
    return Reading(what, along, typed.measured.mm, off)


def questions_of(reading: Reading, own: Nominal, others: Sequence[Nominal], unit: Unit) -> Iterator[str]:
    """Yield what must be asked before a reading is judged: it fits another length better than its own.

    Args:
        reading: the reading.
        own: the nominal it was read against by default.
        others: the lengths that stand on the sheets of the job.
        unit: the job's unit, for the words.
    """
    measured, nominal, ratio = reading.measured, reading.nominal, reading.ratio
    told = f"{reading.what}: {format_length(measured, unit)} of {format_length(nominal, unit)}"
    for factor, words in ((MM_PER_INCH, "inches"), (1.0 / MM_PER_INCH, "millimetres")):
        if abs(ratio * factor - 1.0) < _UNITS_SWAPPED:
            yield f"{told}: was this read in {words}? Write the unit behind the length."
            return
    if not _IMPOSSIBLE[0] < ratio < _IMPOSSIBLE[1]:
        yield f"{told}: no print setting does that; measure again, or name the length: MEASURED/NOMINAL."
        return
    if abs(ratio - 1.0) <= NEAR:
        return
    if _is_mixed_up(nominal, measured):
        yield (
            f"{told}: 4 in and 100 mm differ by just that much (1.6 %). Was one end read off the inch scale, "
            "the other off the millimetre scale?"
        )
    for other in _nearer(reading, own, others):
        yield (
            f"{told}: this is {other.what} of sheet {other.sheet}, "
            f"{format_length(other.along.length, unit)}. Was that measured?"
        )
        return


def _nearer(reading: Reading, own: Nominal, others: Sequence[Nominal]) -> Iterator[Nominal]:
    """Lengths of the sheet, and the same length of other sheets, that a reading fits."""
    for other in others:
        is_near = abs(reading.measured / other.along.length - 1.0) <= NEAR
        is_other = abs(reading.nominal / other.along.length - 1.0) > NEAR
        if is_near and is_other and (other.sheet == own.sheet or other.what == own.what):
            yield other


def _is_mixed_up(nominal: float, measured: float) -> bool:
    """Whether whole inches were read as as many times 25 mm, or the other way round."""
    for step, other in ((MM_PER_INCH, _ROUND_MM), (_ROUND_MM, MM_PER_INCH)):
        count = round(nominal / step)
        if count and abs(nominal - count * step) < 1e-3 and abs(measured / (count * other) - 1.0) <= NEAR:
            return True
    return False
