"""Lengths and angles as a builder writes them, and as a sheet prints them.

Inside the program every length is in millimetres and every angle in degrees. This module is the only place
where an inch becomes 25.4 mm (exact by definition). Reading never guesses: a text with two meanings is
refused with the reason and with what may be written instead.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal, NamedTuple

from msgspec import Struct

from templgen.errors import UnitError

__all__ = [
    "MM_PER_INCH",
    "Length",
    "Unit",
    "format_in",
    "format_length",
    "format_mm",
    "format_number",
    "format_thousandths",
    "inches_to_mm",
    "mm_to_inches",
    "parse_angle",
    "parse_length",
]

MM_PER_INCH = 25.4
Unit = Literal["in", "mm"]

_MM_PER: dict[str, Fraction] = {"in": Fraction(254, 10), "mm": Fraction(1)}
_UNIT_WORDS: dict[str, Unit] = {"in": "in", "inch": "in", "inches": "in", '"': "in", "mm": "mm"}
_DEGREE_WORDS = frozenset({"", "deg", "degree", "degrees", "°"})
_LONGEST_MM = 100_000.0
_LONGEST_TEXT = 40
_NOISE_ULPS = 4.0
"""Rounding noise of a printed value, in units of its last place."""

_ALLOWED = 'allowed: 1.5, "1 3/8 in", "3/16\\"", "0.032 in", "3.2 mm"'
_ALLOWED_DRILL = _ALLOWED + ', or a drill name such as "#30", "F", "1/8"'
_ALLOWED_ANGLE = 'allowed: 12.5, "12.5 deg"'

_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)
        (?: (?P<whole>[0-9]+) (?:[ ]+|-) (?P<mixed_top>[0-9]+)/(?P<mixed_bottom>[0-9]+)
          | (?P<top>[0-9]+)/(?P<bottom>[0-9]+)
          | (?P<decimal>[0-9]+(?:\.[0-9]*)?|\.[0-9]+) )
        (?P<rest>.*)""",
    re.VERBOSE | re.DOTALL,
)
_DRILL_LIKE = re.compile(r"#[0-9]+|[A-Za-z]")

_UNIT_REASONS: dict[str, str] = {
    "'": "feet are not read",
    "ft": "feet are not read",
    "feet": "feet are not read",
    "foot": "feet are not read",
    "m": "metres are not read",
    "cm": "centimetres are not read",
    "Mm": "Mm is a megametre",
    "um": "microns are not read",
    "µm": "microns are not read",
    "μm": "microns are not read",
    "micron": "microns are not read",
    "microns": "microns are not read",
    "thou": "write thousandths as a decimal of an inch",
    "mil": "write thousandths as a decimal of an inch",
    "mils": "write thousandths as a decimal of an inch",
}


class Length(Struct, frozen=True):
    """A length in millimetres together with the text and the unit it was given in.

    Attributes:
        mm: the value in millimetres.
        text: what the builder wrote, so that a complaint or a sheet can repeat it.
        unit: the unit it was written in (the default unit for a bare number).
    """

    mm: float
    text: str
    unit: Unit

    @property
    def inches(self) -> float:
        """The value in inches."""
        return mm_to_inches(self.mm)


class _Read(NamedTuple):
    number: Fraction
    word: str
    is_fraction: bool


def inches_to_mm(value_in: float) -> float:
    """Millimetres of a value in inches, rounded once: 0.1 in is 2.54 mm and not 2.5399999.

    >>> inches_to_mm(0.1)
    2.54
    """
    return float(Fraction(repr(float(value_in))) * _MM_PER["in"])


def mm_to_inches(value_mm: float) -> float:
    """Inches of a value in millimetres.

    >>> mm_to_inches(3.175)
    0.125
    """
    return value_mm / MM_PER_INCH


def parse_length(value: str | int | float, default_unit: Unit, *, allow_drill: bool = False) -> Length:
    """Read a length; a bare number is in `default_unit`.

    Args:
        value: 1.5, "1.5", "1 3/8 in", "1-3/8 in", '3/16"', ".5 in", "0.032in" or "3.2 mm".
        default_unit: the unit of a number that carries none. A bare fraction is refused where it is "mm".
        allow_drill: only words the refusal: the caller also takes drill names
            (`templgen.trade.drills.parse_hole_size` reads both).

    Raises:
        UnitError: what was given, why it can not be read, and what is allowed.

    >>> parse_length("1 3/8 in", "mm").mm
    34.925
    """
    allowed = _ALLOWED_DRILL if allow_drill else _ALLOWED
    if isinstance(value, str):
        read = _split_number(value, allowed, allow_drill)
        unit = _unit_of(value, read, default_unit, allowed)
        return Length(_in_mm(read.number, unit, value, allowed), value, unit)
    number = _exact(value, allowed)
    return Length(_in_mm(number, default_unit, repr(value), allowed), repr(value), default_unit)


def parse_angle(value: str | int | float) -> float:
    """Read an angle in degrees, counter-clockwise positive: 12.5, "12.5", "12.5 deg", "12.5°".

    Raises:
        UnitError: radians, minutes, more than one turn, or anything that is not one number.

    >>> parse_angle("-7.5 deg")
    -7.5
    """
    if isinstance(value, str):
        read = _split_number(value, _ALLOWED_ANGLE, False)
        if read.is_fraction:
            raise _refusal(value, "a fraction, write an angle as a decimal", _ALLOWED_ANGLE)
        if read.word not in _DEGREE_WORDS:
            raise _refusal(value, f"{read.word!r} is no unit of angle here", _ALLOWED_ANGLE)
        number = read.number
    else:
        number = _exact(value, _ALLOWED_ANGLE)
    if abs(number) > 360:
        raise _refusal(value, "more than one full turn", _ALLOWED_ANGLE)
    return float(number)


def format_number(value: float, places: int, *, trim: bool = False) -> str:
    """A plain decimal: leading zero, fixed places, no exponent, never "-0"; a half is rounded up.

    A builder who rounds 3.175 writes 3.18. The double nearest to it lies below it, and one out of a sum may
    lie a few last bits off: within four of them a value counts as the half.

    Args:
        value: any finite number.
        places: decimals, 0 or more.
        trim: drop zeros at the end ("1.5" and not "1.5000").

    Raises:
        UnitError: the value is not finite.

    >>> format_number(-0.00001, 3), format_number(1.5, 4, trim=True), format_number(3.175, 2)
    ('0.000', '1.5', '3.18')
    """
    if not math.isfinite(value):
        raise UnitError(f"{value} is not a number that can be printed")
    text = f"{value + math.copysign(_NOISE_ULPS * math.ulp(value), value):.{places}f}"
    if trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def format_in(value_mm: float, places: int = 3) -> str:
    """A length in inches with its unit: "0.166 in".

    >>> format_in(4.2164)
    '0.166 in'
    """
    return f"{format_number(mm_to_inches(value_mm), places)} in"


def format_mm(value_mm: float, places: int = 2) -> str:
    """A length in millimetres with its unit: "4.22 mm".

    >>> format_mm(4.2164)
    '4.22 mm'
    """
    return f"{format_number(value_mm, places)} mm"


def format_thousandths(value_mm: float) -> str:
    """The inches of a length to the nearest thousandth, without a unit, for a column that names it.

    >>> format_thousandths(4.2164)
    '0.166'
    """
    return format_number(mm_to_inches(value_mm), 3)


def format_length(value_mm: float, unit: Unit, places: int | None = None) -> str:
    """A length in both units, the job's unit first.

    Args:
        value_mm: the length in millimetres.
        unit: the unit that stands first.
        places: decimals of the first unit (default 3 for inches, 2 for millimetres).

    >>> format_length(4.2164, "in"), format_length(4.2164, "mm")
    ('0.166 in (4.22 mm)', '4.22 mm (0.166 in)')
    """
    if unit == "in":
        return f"{format_in(value_mm, 3 if places is None else places)} ({format_mm(value_mm)})"
    return f"{format_mm(value_mm, 2 if places is None else places)} ({format_in(value_mm)})"


def _refusal(value: object, reason: str, allowed: str) -> UnitError:
    shown = repr(value)
    if isinstance(value, str):
        shown = '"' + "".join(c if c.isprintable() else "?" for c in value[:_LONGEST_TEXT]) + '"'
    return UnitError(f"{shown}: {reason}; {allowed}")


def _exact(value: object, allowed: str) -> Fraction:
    """The number as written in decimal, so that 0.1 and "0.1" are the same length."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _refusal(value, "not a number", allowed)
    if isinstance(value, float) and not math.isfinite(value):
        raise _refusal(value, "not a finite number", allowed)
    if isinstance(value, int):
        return Fraction(value) if abs(value) < 10**12 else _too_long(allowed)
    return Fraction(repr(value))


def _too_long(allowed: str) -> Fraction:
    raise UnitError(f"a number of more than 12 digits is no measure of a part; {allowed}")


def _split_number(text: str, allowed: str, allow_drill: bool) -> _Read:
    """The number at the front of a text and the word behind it ("" where there is none)."""
    stripped = text.strip()
    found = _NUMBER.fullmatch(stripped) if len(stripped) <= _LONGEST_TEXT else None
    if found is None or re.match(r"[0-9./]", found["rest"].lstrip()):
        raise _refusal(text, _why_no_number(stripped, allow_drill), allowed)
    word = found["rest"].strip()
    if word.startswith((",", "-", "+", "_", "/", "'", "e")) or "," in word:
        raise _refusal(text, _why_no_number(stripped, allow_drill), allowed)
    return _Read(_number_of(found, text, allowed), word, found["decimal"] is None)


def _number_of(found: re.Match[str], text: str, allowed: str) -> Fraction:
    sign = -1 if found["sign"] == "-" else 1
    if found["decimal"] is not None:
        return sign * Fraction(found["decimal"])
    top = int(found["top"] or found["mixed_top"])
    bottom = int(found["bottom"] or found["mixed_bottom"])
    if bottom == 0:
        raise _refusal(text, "a fraction over zero", allowed)
    if found["whole"] is None:
        return Fraction(sign * top, bottom)
    if top >= bottom:
        raise _refusal(text, f"{top}/{bottom} behind a whole number is not less than one", allowed)
    return sign * (int(found["whole"]) + Fraction(top, bottom))


def _unit_of(text: str, read: _Read, default_unit: Unit, allowed: str) -> Unit:
    if read.word in _UNIT_WORDS:
        return _UNIT_WORDS[read.word]
    if read.word:
        raise _refusal(text, _why_no_unit(read.word), allowed)
    if read.is_fraction and default_unit == "mm":
        raise _refusal(text, "a fraction without a unit in a millimetre job, write the unit", allowed)
    return default_unit


def _in_mm(number: Fraction, unit: Unit, text: str, allowed: str) -> float:
    value = float(number * _MM_PER[unit])
    if abs(value) > _LONGEST_MM:
        raise _refusal(text, f"longer than {_LONGEST_MM / 1000:.0f} m is no measure of a part", allowed)
    return value


def _why_no_number(text: str, allow_drill: bool) -> str:
    if not text:
        return "empty"
    if len(text) > _LONGEST_TEXT:
        return f"longer than {_LONGEST_TEXT} characters"
    if "," in text:
        return "a comma is not read as a decimal sign, write a point"
    if "'" in text or "′" in text:
        return "feet are not read"
    if re.fullmatch(r"[+-]?[0-9.]+[eE][+-]?[0-9]+.*", text):
        return "a number with an exponent, write it out"
    if _DRILL_LIKE.fullmatch(text) and not allow_drill:
        return "a drill name is not allowed here"
    if re.search(r"[0-9./]+[ ]+[0-9./]+", text):
        return "two numbers, which can be read in more than one way"
    return "not one number with a unit"


def _why_no_unit(word: str) -> str:
    if word in _UNIT_REASONS:
        return _UNIT_REASONS[word]
    if word.lower() in _UNIT_WORDS:
        return f"unknown unit {word!r}, units are written small"
    return f"unknown unit {word!r}"
