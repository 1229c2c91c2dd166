"""The measuring sheet: where calipers and rule go, with blanks that are called like the keys of a job file.

Its figures are not to scale; its rulers are, so that the printer is proved on the same day.
"""

from __future__ import annotations

from collections.abc import Sequence

from templgen.drawing import Item, PageInfo
from templgen.errors import PaperTooSmallError
from templgen.geometry import Bounds, Motion, Vec
from templgen.sheets.blank_rows import BlankCells, BlankRow
from templgen.sheets.compose import Composed, Sheet, finished
from templgen.sheets.header import Head, header_marks
from templgen.sheets.lettering import CALLOUT
from templgen.sheets.measuring_figures import (
    FIGURE_HEIGHT,
    FIGURE_WIDTH,
    STATIONS,
    place_figure,
    section_figure,
)
from templgen.sheets.notes import Block, Heading, Paragraph, pour
from templgen.sheets.page import HEADER_HEIGHT, caution_strip, frame_marks, page_of, ruled_area
from templgen.sheets.rulers import ruler_pair
from templgen.sheets.title_block import WIDEST, Fields, block_height
from templgen.sheets.view import moved_with_words
from templgen.trade.paper import Paper
from templgen.units import Unit

__all__ = ["measuring_sheet"]

_SECTION = (
    ("length", "calipers, nose to tail, where it passes the skin", True),
    ("width", "calipers across, wherever it is widest there", True),
    ("nose_radius", "radius gauge on the nose", True),
    ("tail_radius", "radius gauge on the tail", True),
    ("widest", 'fattest section that must pass the skin; or "same"', False),
    ("gap", "air you want between mast and skin on every side", True),
    ("fillet", "leg of the weld bead or radius at the root; 0 if it is sharp", True),
    ("bore diameter", "smallest bore: the largest drill shank that goes through", True),
    ("passes", "largest section of each thing that must pass the bore", True),
    ("measured_to", "measure one width five times: half the spread", True),
)
_PLACE = (
    ("origin", "a place you can put the end of the rule on", False),
    ("x, y", "where they grow to: aft, outboard ...", False),
    ("measured_on, hand", "outside or inside; left or right", False),
    ("skin thickness", "micrometer on a bare edge; its material", True),
    ("from: x, y", "a point of the rib's or spar's line", True),
    ("to: x, y", "another one, far away", True),
    ("line_is", "heel, free flange edge, web face or rivet row", False),
    ("thickness, bend_radius", "of the rib; inside radius by drill shank", True),
    ("flange_width, _side", "heel to free edge; left or right of from-to", True),
    ("rivets", "first along the line, pitch, count", True),
    ("at: along, off", "middle of the mast: along the line, square to it", True),
    ("forward angle", "from the line to the nose, counter-clockwise", False),
    ("room_behind", "skin's inner face to whatever comes first", True),
    ("measured_to", "one rivet, three times: the largest difference", True),
)


_DETAIL = "Fill in the blanks, then write them into the job file. The figure is not to scale."


def measuring_sheet(paper: Paper, unit: Unit) -> tuple[Sheet, ...]:
    """Return the measuring sheet of a mast job: the section, then where it goes.

    Raises:
        PaperTooSmallError: the paper does not hold it.
    """
    pages = [
        _page(
            "measuring-section",
            "Measuring sheet: section",
            section_figure(),
            _SECTION,
            _stations(),
            paper,
            unit,
        ),
        _page("measuring-place", "Measuring sheet: place", place_figure(), _PLACE, [], paper, unit),
    ]
    facts = (("unit", unit), ("figures", "not to scale"))
    return tuple(
        finished(page, number, len(pages), PageInfo(page.title, "", page.kind, facts))
        for number, page in enumerate(pages, 1)
    )


def _stations() -> list[Block]:
    """Boxes for stations and half-widths."""
    none = ("",) * STATIONS
    return [
        Heading("Stations from the nose (shape mast-stations)", CALLOUT, space=4.0),
        Paragraph("Station 1 is the nose (0), the last one the tail end; as many as you like."),
        BlankCells("stations", tuple(str(number) for number in range(1, STATIONS + 1))),
        BlankCells("left", none),
        BlankCells("right", none, keeps_with_next=False),
    ]


def _page(
    name: str,
    title: str,
    figure: Sequence[Item],
    keys: Sequence[tuple[str, str, bool]],
    more: Sequence[Block],
    paper: Paper,
    unit: Unit,
) -> Composed:
    page = page_of(paper, on_its_side=False, banner=False)
    zero, inner, rulers = ruled_area(page)
    fields = _fields(title.split(": ")[1], unit, page.words)
    title_area = _title_area(inner, fields)
    header_area = Bounds(inner.xmin + 1.5, inner.ymax - HEADER_HEIGHT, inner.xmax - 2.0, inner.ymax - 2.0)
    header, _ = header_marks(Head(("MEASURE", "THE PART"), title, _DETAIL), (), header_area)
    foot = header_area.ymin - FIGURE_HEIGHT
    shift = Motion.translation(Vec(inner.centre.x - FIGURE_WIDTH / 2, foot))
    notes = Bounds(inner.xmin + 2.0, title_area.ymax + 1.0, inner.xmax - 4.0, foot - 2.0)
    poured = pour(_blocks(keys, more, unit), [notes])
    if poured.rest or inner.width < FIGURE_WIDTH:
        raise PaperTooSmallError(f'"{title}" does not fit {paper.title}; Letter and A4 hold it')
    items = (
        *frame_marks(page),
        *caution_strip(page),
        *ruler_pair(zero, *rulers),
        *header,
        *moved_with_words(figure, shift),
        *poured.items,
    )
    return Composed(name, title, "measuring", page, title_area, fields, items)


def _fields(part: str, unit: Unit, paper: str) -> Fields:
    """A title block whose other fields are blanks to fill in."""
    blank = dict.fromkeys(
        ("aircraft", "job", "digest", "date", "revision", "drawn_by", "material", "hand"), ""
    )
    return Fields(title="Measuring sheet", part=part, unit=unit, paper=paper, scale="none", **blank)


def _title_area(inner: Bounds, fields: Fields) -> Bounds:
    wide = min(WIDEST, inner.width)
    return Bounds(inner.xmax - wide, inner.ymin, inner.xmax, inner.ymin + block_height(fields, wide))


def _blocks(keys: Sequence[tuple[str, str, bool]], more: Sequence[Block], unit: Unit) -> list[Block]:
    heading = Heading("Write here, in the words of the job file", CALLOUT, space=0.0)
    return [heading, *(BlankRow(key, how, unit if has_unit else "") for key, how, has_unit in keys), *more]
