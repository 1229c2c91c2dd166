"""The title block at the lower right: fields of ISO 7200 (from memory, confidence high), and the digest."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Item, LineMark, Meaning
from templgen.drawing.font import text_width
from templgen.geometry import Bounds, Line, Vec
from templgen.sheets.lettering import CALLOUT, LEAST, NOTE, TITLE, pitch_of, words, wrap

__all__ = ["WIDEST", "Fields", "block_height", "title_block"]

WIDEST = 180.0
"""A title block is at most this wide, in mm (ISO 7200)."""
_NARROW = 120.0
_PAD = 1.5
_WHOLE = 2 * _PAD + 0.1


class Fields(Struct, frozen=True):
    """What a title block says; what is empty stays a blank to fill in."""

    title: str
    part: str
    aircraft: str
    job: str
    digest: str
    date: str
    revision: str
    drawn_by: str
    unit: str
    material: str
    paper: str
    hand: str
    sheet: str = "99 of 99"
    scale: str = "1:1"
    printer: str = ""


class _Cell(Struct, frozen=True):
    label: str
    value: str
    share: float
    size: float = NOTE
    whole: bool = False


def _rows(fields: Fields, width: float) -> list[list[_Cell]]:
    title, part = _Cell("Title", fields.title, 112.0, TITLE), _Cell("Part", fields.part, 68.0, CALLOUT)
    material, aircraft = _Cell("Material", fields.material, 64.0), _Cell("Aircraft", fields.aircraft, 44.0)
    job, digest = _Cell("Job file", fields.job, 38.0), _Cell("Digest", fields.digest, 34.0, whole=True)
    hand, date = _Cell("Hand", fields.hand, 16.0), _Cell("Date", fields.date, 28.0)
    revision, drawn = _Cell("Revision", fields.revision, 18.0), _Cell("Drawn by", fields.drawn_by, 32.0)
    sheet, scale = _Cell("Sheet", fields.sheet, 20.0), _Cell("Scale", fields.scale, 13.0)
    unit, paper = _Cell("Unit", fields.unit, 12.0), _Cell("Paper", fields.paper, 37.0)
    printer = [_Cell("Printer", fields.printer, 44.0)] if fields.printer else []
    if width >= _NARROW:
        last = [hand, date, revision, drawn, sheet, scale, unit, paper]
        return [[title, part], [material, aircraft, job, digest, *printer], last]
    return [
        [title],
        [part],
        [material],
        [replace(aircraft, share=42.0), replace(job, share=30.0)],
        [replace(digest, share=30.0), replace(revision, share=20.0), replace(drawn, share=22.0)],
        [replace(date, share=30.0), replace(paper, share=42.0), *printer],
        [sheet, scale, unit, hand],
    ]


def _widths(row: Sequence[_Cell], width: float) -> list[float]:
    """By their shares; a value that stays `whole` has what it needs, the others share what is left."""
    total = sum(cell.share for cell in row)
    shared = [cell.share / total * width for cell in row]
    least = [text_width(cell.value, cell.size) + _WHOLE if cell.whole else 0.0 for cell in row]
    fixed = [need if need > wide else None for need, wide in zip(least, shared, strict=True)]
    left = width - sum(each for each in fixed if each is not None)
    free = sum(cell.share for cell, each in zip(row, fixed, strict=True) if each is None)
    return [cell.share / free * left if each is None else each for cell, each in zip(row, fixed, strict=True)]


def _value_lines(cell: _Cell, width: float) -> list[str]:
    return wrap(cell.value, width - 2 * _PAD, cell.size)


def _row_height(row: Sequence[_Cell], width: float) -> float:
    depth = 0.0
    for cell, wide in zip(row, _widths(row, width), strict=True):
        lines = max(1, len(_value_lines(cell, wide)))
        depth = max(depth, cell.size + (lines - 1) * pitch_of(cell.size))
    return 1.1 + LEAST + 1.4 + depth + 1.7


def block_height(fields: Fields, width: float) -> float:
    """Return how high the title block is at a width, in mm."""
    return sum(_row_height(row, width) for row in _rows(fields, width))


def title_block(fields: Fields, area: Bounds) -> list[Item]:
    """Return the title block in the lower right corner of an area that is as wide as the block."""
    items: list[Item] = []
    rows = _rows(fields, area.width)
    y = area.ymin + block_height(fields, area.width)
    items.append(_rule(Vec(area.xmin, y), Vec(area.xmax, y)))
    items.append(_rule(Vec(area.xmin, y), Vec(area.xmin, area.ymin)))
    items.append(_rule(Vec(area.xmin, area.ymin), Vec(area.xmax, area.ymin)))
    for number, row in enumerate(rows):
        height = _row_height(row, area.width)
        x = area.xmin
        for count, (cell, wide) in enumerate(zip(row, _widths(row, area.width), strict=True)):
            if count:
                items.append(_rule(Vec(x, y), Vec(x, y - height), Meaning.NOTE))
            items += _cell_marks(cell, x, y, wide)
            x += wide
        y -= height
        if number + 1 < len(rows):
            items.append(_rule(Vec(area.xmin, y), Vec(area.xmax, y), Meaning.NOTE))
    return items


def _cell_marks(cell: _Cell, x: float, top: float, width: float) -> list[Item]:
    items: list[Item] = [words(cell.label, x + _PAD, top - 1.1 - LEAST, LEAST)]
    y = top - 1.1 - LEAST - 1.4 - cell.size
    for count, line in enumerate(_value_lines(cell, width)):
        items.append(words(line, x + _PAD, y - count * pitch_of(cell.size), cell.size))
    return items


def _rule(a: Vec, b: Vec, meaning: Meaning = Meaning.FRAME) -> Item:
    return LineMark(Line(a, b), meaning)
