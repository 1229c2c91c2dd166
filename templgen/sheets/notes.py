"""Words in columns: headings and paragraphs that flow from one area to the next, or to another page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from msgspec import Struct

from templgen.drawing import CircleMark, Item, Meaning
from templgen.drawing.font import text_width
from templgen.geometry import Bounds, Vec
from templgen.sheets.lettering import NOTE, pitch_of, words, wrap

__all__ = ["Block", "Heading", "Paragraph", "Poured", "pour"]

_RING = 2.3
_HANG = 6.2


class Block(Protocol):
    """Something that stands in a column: it knows its height at a width, and draws itself from its top."""

    @property
    def keeps_with_next(self) -> bool:
        """Whether it may not stand alone at the foot of a column."""
        ...

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        ...

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        ...


class Paragraph(Struct, frozen=True):
    """Words that break at the width of their column.

    `number` stands in a ring before them (the number of a finding), `lead` stands before them plainly ("1.");
    both make the lines hang.
    """

    text: str
    size: float = NOTE
    bold: bool = False
    number: str = ""
    lead: str = ""
    space: float = 1.2
    keeps_with_next: bool = False

    def _hang(self) -> float:
        if self.number:
            return max(_HANG, text_width(self.number, self.size, True) + 3.2)
        return text_width(self.lead, self.size, True) + 1.4 if self.lead else 0.0

    def _lines(self, width: float) -> list[str]:
        return wrap(self.text, width - self._hang(), self.size, bold=self.bold)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        extra = 0.8 if self.number else 0.0
        return self.space + extra + max(1, len(self._lines(width))) * pitch_of(self.size)

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        y = top - self.space - self.size
        items: list[Item] = []
        if self.number:
            y -= 0.8
            ring = Vec(x + _RING + 0.1, y + self.size / 2)
            radius = max(_RING, text_width(self.number, self.size, True) / 2 + 0.8)
            ring = Vec(x + radius, ring.y)
            half = text_width(self.number, self.size, True) / 2
            items.append(CircleMark(ring, radius, Meaning.NOTE, name="finding"))
            items.append(words(self.number, ring.x - half, y, self.size, bold=True))
        elif self.lead:
            items.append(words(self.lead, x, y, self.size, bold=True))
        for count, line in enumerate(self._lines(width)):
            place = y - count * pitch_of(self.size)
            items.append(words(line, x + self._hang(), place, self.size, bold=self.bold))
        return items


class Heading(Struct, frozen=True):
    """A bold line over what follows; it never stands alone at the foot of a column."""

    text: str
    size: float = NOTE
    space: float = 3.0
    keeps_with_next: bool = True

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return Paragraph(self.text, self.size, True, space=self.space).height(width)

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        return Paragraph(self.text, self.size, True, space=self.space).draw(x, top, width)


class Poured(Struct, frozen=True):
    """What was set, what is left for another page, and how far down the last column is used."""

    items: tuple[Item, ...]
    rest: tuple[Block, ...]
    foot: float


def pour(blocks: Sequence[Block], areas: Iterable[Bounds], parting: bool = False) -> Poured:
    """Set blocks into areas one after the other, from the top of each; what finds no room is the rest.

    A block that is higher than an empty area is left over together with everything behind it; with `parting`,
    blocks that belong together and are higher than an area are parted in it.
    """
    items: list[Item] = []
    left = list(blocks)
    foot = 0.0
    for area in areas:
        y = area.ymax
        while left and y - _needed(left, area, parting) >= area.ymin - 1e-9:
            block = left.pop(0)
            items += block.draw(area.xmin, y, area.width)
            y -= block.height(area.width)
        foot = y
    return Poured(tuple(items), tuple(left), foot)


def _needed(blocks: Sequence[Block], area: Bounds, parting: bool) -> float:
    """Height of the first block, with those that it may not be parted from."""
    height = 0.0
    for block in blocks:
        height += block.height(area.width)
        if not block.keeps_with_next:
            break
    return blocks[0].height(area.width) if parting and height > area.height else height
