"""A table as blocks of a column: one block per row, so that it can go on on the next page."""

from __future__ import annotations

from collections import Counter

from msgspec import Struct

from templgen.drawing import Item, LineMark, Meaning, Table
from templgen.drawing.font import text_width
from templgen.geometry import Line, Vec
from templgen.sheets.lettering import LEAST, pitch_of, words, wrap
from templgen.sheets.notes import Block, Heading, Paragraph

__all__ = ["TableRow", "table_blocks"]

_GAP = 2.4
_LEAST_COLUMN = 7.0


class TableRow(Struct, frozen=True):
    """One row; `head` is the row of column names, set again where the table goes on on another page."""

    cells: tuple[str, ...]
    widths: tuple[float, ...]
    bold: bool = False
    keeps_with_next: bool = False
    head: TableRow | None = None

    def _lines(self) -> list[list[str]]:
        return [
            wrap(cell, width, LEAST, bold=self.bold)
            for cell, width in zip(self.cells, self.widths, strict=True)
        ]

    def height(self, width: float) -> float:
        """Return its height in mm."""
        return max(1, *(len(lines) for lines in self._lines())) * pitch_of(LEAST) + 1.5

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top); a thin line closes it below."""
        items: list[Item] = []
        left = x
        for lines, wide in zip(self._lines(), self.widths, strict=True):
            for count, line in enumerate(lines):
                items.append(
                    words(line, left, top - 1.0 - LEAST - count * pitch_of(LEAST), LEAST, bold=self.bold)
                )
            left += wide + _GAP
        y = top - self.height(width)
        items.append(LineMark(Line(Vec(x, y), Vec(x + width, y)), Meaning.NOTE))
        return items


def table_blocks(table: Table, width: float) -> list[Block]:
    """Return a table as heading, notes, column names and rows; letters 2.2 mm, long words break."""
    widths = _widths(table, width)
    blocks: list[Block] = [Heading(table.title, 3.5, space=4.0)]
    blocks += [Paragraph(note, LEAST, space=0.4, keeps_with_next=True) for note in table.notes]
    head = TableRow(table.columns, widths, bold=True, keeps_with_next=True)
    return [*blocks, head, *(TableRow(row, widths, head=head) for row in table.rows)]


def _widths(table: Table, width: float) -> tuple[float, ...]:
    """Each column as wide as its words where there is room; else those shrink whose cells break the least."""
    free = width - _GAP * (len(table.columns) - 1)
    cells = [Counter(row[column] for row in table.rows) for column in range(len(table.columns))]
    wanted, least = [], []
    for head, words_of in zip(table.columns, cells, strict=True):
        whole = [text_width(head, LEAST, True), *(text_width(cell, LEAST) for cell in words_of)]
        parts = [_longest_word(head, True), *(_longest_word(cell, False) for cell in words_of)]
        wanted.append(max(_LEAST_COLUMN, *whole) + 0.3)
        least.append(max(_LEAST_COLUMN, *parts) + 0.3)
    while sum(wanted) > free:
        costs = [
            (_breaks(cells[column], wide - 1.0) - _breaks(cells[column], wide), -wide, column)
            for column, wide in enumerate(wanted)
            if wide - 1.0 >= least[column]
        ]
        if not costs:
            break
        wanted[min(costs)[2]] -= 1.0
    return tuple(wanted)


def _breaks(cells: Counter[str], width: float) -> int:
    """How many lines the cells of a column take."""
    return sum(count * len(wrap(cell, width, LEAST)) for cell, count in cells.items())


def _longest_word(text: str, bold: bool) -> float:
    return max((text_width(word, LEAST, bold) for word in text.split()), default=0.0)
