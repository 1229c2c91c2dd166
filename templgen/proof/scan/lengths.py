"""Lengths that are known for sure in a picture: marks of a steel rule, and a card of known size.

A card of the size ID-1 is 85.60 x 53.98 mm and 0.76 mm thick (ISO/IEC 7810, from memory, confidence high);
unused cards are 85.47 to 85.72 mm by 53.92 to 54.03 mm (from memory, confidence medium).
"""

from __future__ import annotations

import re

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.errors import UnitError
from templgen.units import Unit, parse_length

__all__ = ["CARD_THICKNESS", "Card", "Rule", "parse_card", "parse_rule"]

CARD_THICKNESS = 0.76
_ID_1 = (85.60, 53.98)
_ID_1_OFF = (0.13, 0.06)
_CALIPERS = 0.03
"""How far calipers may be off on a card, mm either way (common practice, no source)."""
_CARD_SIDES = (30.0, 300.0)
_LARGEST = 2000.0
_PLACE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*,\s*(\d+(?:\.\d+)?)\s*")


class Rule(Struct, frozen=True):
    """Two marks of a steel rule in a picture.

    Attributes:
        length: between the marks, mm.
        ends: the marks in pixels of the picture, y down; shape (2, 2).
        text: as it was given.
    """

    length: float
    ends: NDArray[np.float64]
    text: str


class Card(Struct, frozen=True):
    """A card that lies in the picture: long and short side, and how far either may be off, mm."""

    sides: tuple[float, float]
    off: tuple[float, float]
    text: str


def parse_rule(text: str, unit: Unit = "mm") -> Rule:
    """Read "LENGTH:X,Y:X,Y": a length on a steel rule and the pixels of its two marks.

    Raises:
        UnitError: it can not be read.

    >>> parse_rule("150mm:118,240:1890,243").length
    150.0
    """
    length, *places = text.split(":")
    found = [_PLACE.fullmatch(place) for place in places]
    if len(found) != 2 or not all(found):
        raise UnitError(
            f'"{text}" is no rule in a picture; allowed: LENGTH:X,Y:X,Y with the pixels of two marks of the '
            'rule, such as "150mm:118,240:1890,243" (an image viewer shows the pixel under the pointer)'
        )
    size = parse_length(length.strip(), unit).mm
    ends = np.array([[float(number) for number in place.groups()] for place in found if place])
    if not 0.0 < size <= _LARGEST:
        raise UnitError(f'"{text}": a rule of {size:g} mm; allowed: up to {_LARGEST:.0f} mm')
    if np.linalg.norm(ends[1] - ends[0]) < 50.0:
        raise UnitError(
            f'"{text}": its marks are less than 50 pixels apart; take marks as far apart as there are'
        )
    return Rule(size, ends, text)


def parse_card(text: str, unit: Unit = "mm") -> Card:
    """Read "id-1", or the size of a card that was measured with calipers: "85.57x53.96mm".

    Raises:
        UnitError: it can not be read, or it is no card.

    >>> parse_card("id-1").sides
    (85.6, 53.98)
    """
    if text.strip().lower() in ("id-1", "id1"):
        return Card(_ID_1, _ID_1_OFF, text)
    parts = re.split(r"\s*[x×]\s*", text.strip())
    if len(parts) != 2:
        raise UnitError(
            f'"{text}" is no card; allowed: id-1 (a bank card), or its sides as measured: "85.57x53.96mm"'
        )
    last = re.sub(r"[\d.\s/]", "", parts[1]) or unit
    sizes = [parse_length(part if re.search(r"[a-z\"]", part) else part + last, unit).mm for part in parts]
    long, short = sorted(sizes, reverse=True)
    if short < _CARD_SIDES[0] or long > _CARD_SIDES[1]:
        raise UnitError(f'"{text}": sides of {long:g} x {short:g} mm; allowed: 30 to 300 mm')
    return Card((long, short), (_CALIPERS, _CALIPERS), text)
