"""The legend: the line kinds that occur on a sheet, and only those."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from templgen.drawing import CircleMark, Item, Meaning, PathMark, Text, style_of
from templgen.geometry import Contour, Vec
from templgen.sheets.lettering import LEAST, NOTE, pitch_of, words, wrap
from templgen.sheets.marks import SAMPLE, bend_ticks, butt_ticks, centre_mark, hatch_lines
from templgen.sheets.notes import Block, Heading

__all__ = ["LegendRow", "legend_blocks", "meanings_of"]

_SAMPLE_WIDTH = 20.0
_HOLE_KINDS = (Meaning.HOLE, Meaning.LOCATING_HOLE, Meaning.REFERENCE_HOLE, Meaning.EXISTING)


def meanings_of(items: Iterable[Item]) -> tuple[Meaning, ...]:
    """Return the line kinds among some marks that a legend explains, in the order of `Meaning`."""
    found = {item.meaning for item in items if not isinstance(item, Text)}
    return tuple(meaning for meaning in Meaning if meaning in found and style_of(meaning).legend)


class LegendRow(Struct, frozen=True):
    """A sample of one line kind and its words."""

    meaning: Meaning
    keeps_with_next: bool = False

    def _lines(self, width: float) -> list[str]:
        return wrap(style_of(self.meaning).legend, width - _SAMPLE_WIDTH, NOTE)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return max(len(self._lines(width)) * pitch_of(NOTE), 4.1) + 0.6

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        y = top - 0.7 - NOTE
        middle = y + NOTE / 2
        items = _sample(self.meaning, Vec(x + 0.5, middle), Vec(x + _SAMPLE_WIDTH - 2.5, middle))
        for count, line in enumerate(self._lines(width)):
            items.append(words(line, x + _SAMPLE_WIDTH, y - count * pitch_of(NOTE), NOTE))
        return items


def _sample(meaning: Meaning, start: Vec, end: Vec) -> list[Item]:
    middle = start.towards(end, 0.5)
    if meaning in _HOLE_KINDS:
        rings = [CircleMark(middle, 1.4, meaning, name=SAMPLE)]
        if meaning is Meaning.LOCATING_HOLE:
            rings.append(CircleMark(middle, 2.0, meaning, name=SAMPLE))
        return list(rings)
    if meaning is Meaning.TRIMMED:
        box = Contour.rectangle(end.x - start.x, 3.0, centre=middle)
        return [PathMark(box, meaning, name=SAMPLE), *hatch_lines(box, SAMPLE)]
    if meaning is Meaning.CENTRE:
        return centre_mark(middle, 0.0, 1.9, SAMPLE)
    items: list[Item] = [PathMark(Contour.polyline((start, end)), meaning, name=SAMPLE)]
    if meaning is Meaning.BUTT:
        items += butt_ticks(start, end, SAMPLE, pitch=3.0, length=1.5)
    if meaning is Meaning.BEND:
        items += bend_ticks(start, end, SAMPLE)
    return items


def legend_blocks(items: Iterable[Item]) -> list[Block]:
    """Return the legend of some marks; nothing when they need none."""
    kinds = meanings_of(items)
    if not kinds:
        return []
    heading: Block = Heading("Lines on this sheet", NOTE, space=LEAST)
    return [heading, *(LegendRow(kind) for kind in kinds)]
