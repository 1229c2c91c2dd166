"""Blocks of the packet: steps with boxes to tick, and lines to sign on."""

from __future__ import annotations

from msgspec import Struct

from templgen.drawing import Anchor, Item, LineMark, Meaning, PathMark
from templgen.drawing.font import text_width
from templgen.geometry import Contour, Line, Vec
from templgen.sheets.lettering import CALLOUT, LEAST, NOTE, TITLE, pitch_of, words, wrap

__all__ = ["Blank", "SignLine", "StepHead", "StepText", "Tick"]

_HANG = 12.0
_BOX = 3.6
_SIGN, _DATE, _GAP = 46.0, 26.0, 4.0


class StepHead(Struct, frozen=True):
    """Number and title of a step, a thin line over it, and the access it needs at the right."""

    number: str
    title: str
    access: str
    keeps_with_next: bool = True

    def _lines(self, width: float) -> list[str]:
        room = width - _HANG - text_width(self.access, NOTE) - 4.0
        return wrap(self.title, room, CALLOUT, bold=True)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return 5.2 + max(TITLE, len(self._lines(width)) * pitch_of(CALLOUT)) + 0.8

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        rule = top - 2.4
        y = rule - 2.0 - TITLE
        items: list[Item] = [
            LineMark(Line(Vec(x, rule), Vec(x + width, rule)), Meaning.NOTE),
            words(self.number, x, y, TITLE, bold=True),
        ]
        if self.access:
            items.append(words(self.access, x + width, y + TITLE - CALLOUT, NOTE, Anchor.RIGHT))
        for count, line in enumerate(self._lines(width)):
            place = y + TITLE - CALLOUT - count * pitch_of(CALLOUT)
            items.append(words(line, x + _HANG, place, CALLOUT, bold=True))
        return items


class StepText(Struct, frozen=True):
    """Words of a step, beside its number; `lead` stands before them in bold."""

    text: str
    lead: str = ""
    keeps_with_next: bool = True

    def _indent(self) -> float:
        return text_width(self.lead, NOTE, True) + 1.4 if self.lead else 0.0

    def _lines(self, width: float) -> list[str]:
        return wrap(self.text, width - _HANG - self._indent(), NOTE)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return 1.0 + len(self._lines(width)) * pitch_of(NOTE)

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        y = top - 1.0 - NOTE
        items: list[Item] = [words(self.lead, x + _HANG, y, NOTE, bold=True)] if self.lead else []
        for count, line in enumerate(self._lines(width)):
            items.append(words(line, x + _HANG + self._indent(), y - count * pitch_of(NOTE), NOTE))
        return items


class Tick(Struct, frozen=True):
    """A box to tick, and what is ticked off."""

    text: str
    keeps_with_next: bool = False

    def _lines(self, width: float) -> list[str]:
        return wrap(self.text, width - _HANG - _BOX - 2.4, NOTE)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return 1.2 + max(_BOX, len(self._lines(width)) * pitch_of(NOTE))

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        left, y = x + _HANG, top - 1.2 - _BOX
        box = Contour.rectangle(_BOX, _BOX, centre=Vec(left + _BOX / 2, y + _BOX / 2))
        items: list[Item] = [PathMark(box, Meaning.HOLE, name="tick box")]
        first = y + (_BOX - NOTE) / 2
        for count, line in enumerate(self._lines(width)):
            items.append(words(line, left + _BOX + 2.4, first - count * pitch_of(NOTE), NOTE))
        return items


class SignLine(Struct, frozen=True):
    """What is signed for, a line for the name and a line for the date."""

    text: str
    keeps_with_next: bool = False

    def _lines(self, width: float) -> list[str]:
        return wrap(self.text, width - _SIGN - _DATE - 3 * _GAP, NOTE)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return max(13.0, 7.0 + len(self._lines(width)) * pitch_of(NOTE))

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        foot = top - self.height(width)
        rule = foot + pitch_of(LEAST) + 1.2
        date = x + width - _DATE
        name = date - _GAP - _SIGN
        items: list[Item] = []
        for left, wide, label in ((name, _SIGN, "name"), (date, _DATE, "date")):
            items.append(LineMark(Line(Vec(left, rule), Vec(left + wide, rule)), Meaning.NOTE))
            items.append(words(label, left, rule - 1.0 - LEAST, LEAST))
        lines = self._lines(width)
        for count, line in enumerate(lines):
            y = rule + 0.4 + (len(lines) - 1 - count) * pitch_of(NOTE)
            items.append(words(line, x, y, NOTE))
        return items


class Blank(Struct, frozen=True):
    """An empty line to write on."""

    keeps_with_next: bool = False

    def height(self, width: float) -> float:
        """Return its height in mm."""
        return 9.0

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        y = top - self.height(width)
        return [LineMark(Line(Vec(x, y), Vec(x + width, y)), Meaning.NOTE)]
