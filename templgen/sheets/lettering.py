"""Letters on a sheet: their heights (ISO 3098, from memory, confidence high), line breaks, boxes."""

from __future__ import annotations

from functools import cache

from templgen.drawing import Anchor, Meaning, Text
from templgen.drawing.font import text_bounds, text_width
from templgen.geometry import Bounds, Vec

__all__ = [
    "CALLOUT",
    "LEADING",
    "LEAST",
    "NOTE",
    "TITLE",
    "WARNING",
    "bounds_of",
    "pitch_of",
    "words",
    "wrap",
]

LEAST = 2.2
"""No letter on a sheet is lower than this, in mm."""
NOTE = 2.5
CALLOUT = 3.5
TITLE = 5.0
WARNING = 7.0
LEADING = 1.56
"""Distance of base lines over the height of a capital."""


def pitch_of(height: float) -> float:
    """Return the distance of two base lines in mm for letters of this height."""
    return height * LEADING


def bounds_of(text: Text) -> Bounds:
    """Return the box along the axes round a text, in mm."""
    box = Bounds.of(text_bounds(text))
    assert box is not None  # noqa: S101  four corners always have a box
    return box


def words(
    text: str,
    x: float,
    y: float,
    height: float = NOTE,
    anchor: Anchor = Anchor.LEFT,
    *,
    bold: bool = False,
    angle: float = 0.0,
    meaning: Meaning = Meaning.NOTE,
) -> Text:
    """Return a text whose base line passes (x, y)."""
    return Text(text, Vec(x, y), height, anchor, angle, bold, meaning)


def wrap(text: str, width: float, height: float = NOTE, *, bold: bool = False) -> list[str]:
    """Break a text into lines that are at most `width` mm wide; a word that is wider is broken too.

    An empty text has no lines.
    """
    return list(_broken(text, width, height, bold))


@cache
def _broken(text: str, width: float, height: float, bold: bool) -> tuple[str, ...]:
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if text_width(longer, height, bold) <= width:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, width, height, bold)
        lines.extend(full)
    return (*lines, line) if line else tuple(lines)


def wrapped(text: str, *widths: float, height: float = NOTE) -> tuple[tuple[str, ...], ...]:
    """Return a text broken at several widths in mm, each once: the variants of a label.

    >>> wrapped("set back", 80.0, 60.0, 8.0)
    (('set back',), ('set', 'back'))
    """
    return tuple(dict.fromkeys(tuple(wrap(text, width, height)) for width in widths))


def _pieces(word: str, width: float, height: float, bold: bool) -> list[str]:
    """A word cut so that every piece fits; at least one character each."""
    pieces = [""]
    for character in word:
        if pieces[-1] and text_width(pieces[-1] + character, height, bold) > width:
            pieces.append("")
        pieces[-1] += character
    return pieces
