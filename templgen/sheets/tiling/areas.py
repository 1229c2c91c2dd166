"""How the page of a tile is divided: as much of it as can be for the drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from templgen.geometry import Bounds, Vec
from templgen.sheets.crosses import CROSS_BAND, corner_crosses
from templgen.sheets.notes import Block, pour
from templgen.sheets.page import HEADER_HEIGHT, Areas, Page, columns, header_area, page_of, ruled_area
from templgen.sheets.rulers import LEAST_RULER
from templgen.sheets.title_block import WIDEST, Fields, block_height
from templgen.trade.paper import Paper
from templgen.units import Unit

__all__ = ["tile_areas", "zone_of"]

_COLUMN = 60.0
_GAP = 3.0
_LEAST_ZONE = 50.0
_DEPTHS = range(12, 121, 2)


def tile_areas(paper: Paper, fields: Fields, notes: Sequence[Block], unit: Unit) -> Iterator[Areas]:
    """Yield the ways to divide a page for tiles: on its side or upright, notes under or beside the drawing.

    There is room for `notes` on every one, and the drawing is not smaller than 50 by 50 mm.
    """
    for on_its_side in (False, True):
        page = page_of(paper, on_its_side)
        zero, inner, rulers = ruled_area(page)
        if min(rulers) < LEAST_RULER:
            continue
        own = replace(fields, paper=page.words)
        for areas in (*_below(page, zero, inner, own, notes), *_beside(page, zero, inner, own, notes)):
            zone = zone_of(areas, unit)
            if min(zone.width, zone.height) >= _LEAST_ZONE:
                yield areas


def zone_of(areas: Areas, unit: Unit) -> Bounds:
    """Return where the drawing may be: inside the corner crosses."""
    return corner_crosses(areas.drawing, unit).centres.grown(-CROSS_BAND)


def _below(page: Page, zero: Vec, inner: Bounds, fields: Fields, notes: Sequence[Block]) -> Iterator[Areas]:
    """A wide title block right across the foot, columns of notes over it."""
    wide = min(WIDEST, inner.width)
    title = Bounds(inner.xmax - wide, inner.ymin, inner.xmax, inner.ymin + block_height(fields, wide))
    top = inner.ymax - HEADER_HEIGHT
    for depth in _DEPTHS:
        foot = title.ymax + 1.0 + depth
        below = columns(Bounds(inner.xmin + 2.0, title.ymax + 1.0, inner.xmax - 2.0, foot))
        if foot + 4 * CROSS_BAND + _LEAST_ZONE > top:
            return
        if not pour(notes, below).rest:
            drawing = Bounds(inner.xmin, foot, inner.xmax, top)
            yield Areas(
                page, 0, zero, _rulers(inner, zero), header_area(inner, inner.xmax), drawing, below, title
            )
            return


def _beside(page: Page, zero: Vec, inner: Bounds, fields: Fields, notes: Sequence[Block]) -> Iterator[Areas]:
    """A column at the right with notes over a narrow title block."""
    left, top = inner.xmax - _COLUMN, inner.ymax - HEADER_HEIGHT
    title = Bounds(left, inner.ymin, inner.xmax, inner.ymin + block_height(fields, _COLUMN))
    column = Bounds(left, title.ymax + 1.0, inner.xmax - 2.0, top - 1.5)
    if column.height > 0.0 and not pour(notes, [column]).rest:
        drawing = Bounds(inner.xmin, inner.ymin, left - _GAP, top)
        header = header_area(inner, inner.xmax)
        yield Areas(page, 0, zero, _rulers(inner, zero), header, drawing, (column,), title)


def _rulers(inner: Bounds, zero: Vec) -> tuple[float, float]:
    return inner.xmax - zero.x - 2.0, inner.ymax - zero.y - 2.0
