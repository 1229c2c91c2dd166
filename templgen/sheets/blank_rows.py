"""Blanks to fill in by hand: a key of the job file, how it is measured, a line to write on."""

from __future__ import annotations

from msgspec import Struct

from templgen.drawing import Item, LineMark, Meaning
from templgen.geometry import Line, Vec
from templgen.sheets.lettering import LEAST, NOTE, words, wrap

__all__ = ["BlankCells", "BlankRow"]

_KEY = 0.23
_HOW = 0.49
_ROW = 6.3
_PITCH = 3.6
_CELL = 8.0
_NAME = 20.0


class BlankRow(Struct, frozen=True):
    """One blank: the key in bold, how to measure it, and a line with the unit behind it."""

    key: str
    how: str
    unit: str
    keeps_with_next: bool = False

    def _lines(self, width: float) -> list[str]:
        return wrap(self.how, width * _HOW - 2.0, NOTE)

    def height(self, width: float) -> float:
        """Return its height in mm."""
        return max(_ROW, 2.6 + _PITCH * len(self._lines(width)))

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        y = top - 2.2 - NOTE
        items: list[Item] = [words(self.key, x, y, NOTE, bold=True)]
        for count, line in enumerate(self._lines(width)):
            items.append(words(line, x + width * _KEY, y - count * _PITCH, NOTE))
        start = x + width * (_KEY + _HOW)
        end = x + width - (8.0 if self.unit else 0.0)
        items.append(LineMark(Line(Vec(start, y - 0.8), Vec(end, y - 0.8)), Meaning.NOTE))
        if self.unit:
            items.append(words(self.unit, end + 1.5, y, NOTE))
        return items


class BlankCells(Struct, frozen=True):
    """A row of boxes to write in, each with a small word at its head ("" for none)."""

    key: str
    heads: tuple[str, ...]
    keeps_with_next: bool = True

    def height(self, width: float) -> float:
        """Return its height in mm."""
        return _CELL

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        wide = (width - _NAME) / len(self.heads)
        low = top - _CELL
        items: list[Item] = [words(self.key, x, low + (_CELL - NOTE) / 2, NOTE, bold=True)]
        for y in (top, low):
            items.append(LineMark(Line(Vec(x + _NAME, y), Vec(x + width, y)), Meaning.NOTE))
        for count in range(len(self.heads) + 1):
            left = x + _NAME + count * wide
            items.append(LineMark(Line(Vec(left, top), Vec(left, low)), Meaning.NOTE))
        for count, head in enumerate(self.heads):
            if head:
                items.append(words(head, x + _NAME + count * wide + 1.2, top - 1.0 - LEAST, LEAST))
        return items
