"""A page: paper, frame inside the printer's margins, and the areas into which a sheet is divided."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Literal

from msgspec import Struct

from templgen.drawing import Anchor, Item, LineMark, Meaning, PathMark
from templgen.drawing.font import text_width
from templgen.geometry import Bounds, Contour, Line, Vec
from templgen.sheets.cautions import SHORT_CAUTION
from templgen.sheets.crosses import CROSS_BAND
from templgen.sheets.lettering import NOTE, pitch_of, words, wrap
from templgen.sheets.rulers import LEAST_RULER, RULER_WIDTH
from templgen.sheets.title_block import WIDEST, Fields, block_height
from templgen.trade.paper import Paper

__all__ = [
    "HEADER_HEIGHT",
    "Areas",
    "Page",
    "caution_strip",
    "columns",
    "drawing_areas",
    "frame_marks",
    "header_area",
    "notes_areas",
    "page_number",
    "page_of",
    "ruled_area",
]

HEADER_HEIGHT = 22.0
_BANNER_HEIGHT = 10.4
_RULER_BAND = RULER_WIDTH + 1.8
_GAP = 3.0
_COLUMN = (58.0, 86.0)
_LEAST_NOTES = 30.0
_LEAST_BELOW = 5.0
"""Under a drawing one line has room in this, mm: where the rest stands."""
_DEEPEST_NOTES = 75.0
_LEAST_LABELS = 4.0
_GOOD_LABELS = 13.0
_NUMBER_ROOM = 22.5


class Page(Struct, frozen=True):
    """One page, upright or on its side.

    Inside the frame run the cautions along the bottom (`strip`), and how to print along the top (`banner`).
    """

    paper: Paper
    width: float
    height: float
    frame: Bounds
    strip: Bounds
    banner: Bounds

    @property
    def words(self) -> str:
        """Paper and how it lies: "Letter, on its side"."""
        if self.paper.is_roll:
            return f"{self.paper.title}, {self.paper.height_mm:.0f} mm long"
        return f"{self.paper.title}, {'on its side' if self.width > self.height else 'upright'}"


class Areas(Struct, frozen=True):
    """The areas of a drawing sheet: `zero` is the rulers' corner, `drawing` has the crosses on its border."""

    page: Page
    turn: Literal[0, 90]
    zero: Vec
    rulers: tuple[float, float]
    header: Bounds
    drawing: Bounds
    notes: tuple[Bounds, ...]
    title: Bounds


def page_of(paper: Paper, on_its_side: bool, *, banner: bool = True) -> Page:
    """Return the page of a paper, with room for a banner or without."""
    margin = paper.margin
    width, height = paper.width_mm, paper.height_mm
    if on_its_side:
        width, height = height, width
    frame = Bounds(margin, margin, width - margin, height - margin)
    depth = _strip_lines(frame.width) * pitch_of(NOTE) + 1.6
    strip = Bounds(frame.xmin, frame.ymin, frame.xmax, frame.ymin + depth)
    top = Bounds(frame.xmin, frame.ymax - (_BANNER_HEIGHT if banner else 0.0), frame.xmax, frame.ymax)
    return Page(paper, width, height, frame, strip, top)


def _caution_lines(width: float) -> list[str]:
    return wrap(SHORT_CAUTION, width - 4.0, NOTE)


def _strip_lines(width: float) -> int:
    """How many lines the strip has; a page number finds room at the right end of its last one."""
    lines = _caution_lines(width)
    return len(lines) + (width - 4.0 - text_width(lines[-1], NOTE) < _NUMBER_ROOM)


def page_number(page: Page, text: str) -> Item:
    """Return the number of a page at the right end of the strip's last line."""
    y = page.strip.ymax - 1.3 - NOTE - (_strip_lines(page.strip.width) - 1) * pitch_of(NOTE)
    return words(text, page.strip.xmax - 2.0, y, NOTE, Anchor.RIGHT)


def frame_marks(page: Page) -> list[Item]:
    """Return the frame round everything."""
    box = page.frame
    contour = Contour.rectangle(box.width, box.height, centre=box.centre)
    return [PathMark(contour, Meaning.FRAME, name="frame")]


def caution_strip(page: Page) -> list[Item]:
    """Return the short cautions along the bottom, inside the frame."""
    box = page.strip
    items: list[Item] = [LineMark(Line(Vec(box.xmin, box.ymax), Vec(box.xmax, box.ymax)), Meaning.FRAME)]
    for count, line in enumerate(_caution_lines(box.width)):
        items.append(words(line, box.xmin + 2.0, box.ymax - 1.3 - NOTE - count * pitch_of(NOTE), NOTE))
    return items


def drawing_areas(
    paper: Paper, width: float, height: float, fields: Fields, header: Callable[[int], float]
) -> Iterator[Areas]:
    """Yield the ways in which a view of `width` by `height` mm fits a paper, the best first.

    Every way has full rulers, header, crosses and title block; first those with room for labels round the
    view. `header` says how wide the header is when the view is turned by 0 or 90 degrees.
    """
    for room in (_GOOD_LABELS, _LEAST_LABELS):
        for on_its_side in (False, True):
            for turn in (0, 90):
                w, h = (width, height) if turn == 0 else (height, width)
                border = 2 * (room + 2 * CROSS_BAND)
                page = page_of(paper, on_its_side)
                yield from _ways(page, w + border, h + border, 0 if turn == 0 else 90, fields, header(turn))


def ruled_area(page: Page) -> tuple[Vec, Bounds, tuple[float, float]]:
    """Return the zero corner of both rulers, the area above and right of them, and their lengths in mm."""
    zero = Vec(page.frame.xmin + _RULER_BAND, page.strip.ymax + _RULER_BAND)
    inner = Bounds(zero.x + 1.0, zero.y + 1.0, page.frame.xmax, page.banner.ymin)
    return zero, inner, (inner.xmax - zero.x - 2.0, inner.ymax - zero.y - 2.0)


def _ways(
    page: Page, width: float, height: float, turn: Literal[0, 90], fields: Fields, head: float
) -> Iterator[Areas]:
    zero, inner, rulers = ruled_area(page)
    if min(rulers) < LEAST_RULER:
        return
    for header, drawing, notes, title in _divisions(inner, width, height, fields, head):
        yield Areas(page, turn, zero, rulers, header, drawing, notes, title)


_Division = tuple[Bounds, Bounds, tuple[Bounds, ...], Bounds]


def _divisions(
    inner: Bounds, width: float, height: float, fields: Fields, head: float
) -> Iterator[_Division]:
    """Notes in a column at the right over a wide or a narrow title block, or in columns under the drawing."""
    body = Bounds(inner.xmin, inner.ymin, inner.xmax, inner.ymax - HEADER_HEIGHT)
    column = min(body.width - width - _GAP, _COLUMN[1])
    wide = min(WIDEST, body.width)
    title = Bounds(body.xmax - wide, body.ymin, body.xmax, body.ymin + block_height(fields, wide))
    if column >= _COLUMN[0]:
        left = body.xmax - column
        # The column goes up to the frame where what is left of it is wide enough for the header.
        split = left - _GAP - inner.xmin - 3.5 >= head
        top = inner.ymax - 2.0 if split else body.ymax - 1.5
        header = header_area(inner, left - _GAP if split else inner.xmax)
        if body.height - title.height >= height:
            notes = [Bounds(left, title.ymax + 1.0, body.xmax - 2.0, top)]
            if title.xmin - body.xmin > _COLUMN[0]:
                notes.append(Bounds(body.xmin + 2.0, body.ymin, title.xmin - _GAP, title.ymax - 1.0))
            yield header, Bounds(body.xmin, title.ymax, left - _GAP, body.ymax), tuple(notes), title
        narrow = Bounds(left, body.ymin, body.xmax, body.ymin + block_height(fields, column))
        if body.height >= height and top - narrow.ymax > _LEAST_NOTES:
            area = Bounds(left, narrow.ymax + 1.0, body.xmax - 2.0, top)
            yield header, Bounds(body.xmin, body.ymin, left - _GAP, body.ymax), (area,), narrow
    rest = body.height - title.height - height
    if body.width >= width and rest >= 0.0:
        foot = body.ymax - max(height, body.height - title.height - _DEEPEST_NOTES)
        below = Bounds(body.xmin + 2.0, title.ymax + 1.0, body.xmax - 2.0, foot)
        drawing = Bounds(body.xmin, foot, body.xmax, body.ymax)
        yield (
            header_area(inner, inner.xmax),
            drawing,
            columns(below) if below.height >= _LEAST_BELOW else (),
            title,
        )


def header_area(inner: Bounds, right: float) -> Bounds:
    """Return the area of the header, up to `right`."""
    return Bounds(inner.xmin + 1.5, inner.ymax - HEADER_HEIGHT, right - 2.0, inner.ymax - 2.0)


def columns(area: Bounds) -> tuple[Bounds, ...]:
    """Return columns of 58 mm and more side by side that fill an area."""
    count = max(1, int(area.width / _COLUMN[0]))
    wide = (area.width - (count - 1) * _GAP) / count
    lefts = [area.xmin + number * (wide + _GAP) for number in range(count)]
    return tuple(Bounds(left, area.ymin, left + wide, area.ymax) for left in lefts)


def notes_areas(page: Page, fields: Fields) -> tuple[Bounds, Bounds]:
    """Return the text area and the title block's area of a page without a drawing."""
    frame = page.frame
    wide = min(WIDEST, frame.width)
    low = page.strip.ymax
    title = Bounds(frame.xmax - wide, low, frame.xmax, low + block_height(fields, wide))
    return Bounds(frame.xmin + 4.0, title.ymax + 2.0, frame.xmax - 4.0, page.banner.ymin - 4.0), title
