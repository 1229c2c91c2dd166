"""Pages without a drawing: all findings in full, what was accepted, the drill schedule, all cautions."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from templgen.drawing import Item
from templgen.errors import PaperTooSmallError
from templgen.geometry import Bounds
from templgen.job.model import Job
from templgen.sheets.cautions import CAUTIONS
from templgen.sheets.compose import Composed
from templgen.sheets.header import STOP
from templgen.sheets.lettering import CALLOUT, WARNING
from templgen.sheets.notes import Block, Heading, Paragraph, pour
from templgen.sheets.page import caution_strip, frame_marks, notes_areas, page_of
from templgen.sheets.placement import Label
from templgen.sheets.table_rows import TableRow
from templgen.sheets.title_block import Fields
from templgen.trade.paper import Paper, find_paper

__all__ = ["caution_blocks", "columns_of", "left_over", "notes_pages", "paper_of_notes", "stop_blocks"]

_BETWEEN = 6.0
_UNDER = 2.0


def paper_of_notes(paper: Paper, job: Job) -> Paper:
    """Return the paper of pages without a drawing: in place of a roll the job's own."""
    return find_paper(job.paper) if paper.is_roll else paper


def caution_blocks() -> list[Block]:
    """Return all cautions, numbered."""
    blocks: list[Block] = [Heading("Cautions", CALLOUT, space=4.0)]
    return blocks + [Paragraph(text, lead=f"{number}.") for number, text in enumerate(CAUTIONS, 1)]


def stop_blocks(reason: str) -> list[Block]:
    """Return the stop words in large letters, nothing where nothing stands against cutting."""
    if not reason:
        return []
    return [Heading(STOP, WARNING, space=0.0), Paragraph(reason, CALLOUT)]


def left_over(page: Composed) -> list[Block]:
    """Return what found no room on its sheet."""
    if not page.rest and not page.lost:
        return []
    blocks: list[Block] = [Heading(f"More about: {page.title}", CALLOUT, space=4.0), *page.rest]
    return blocks + [Paragraph(f"Not marked on the drawing: {_words_of(label)}") for label in page.lost]


def _words_of(label: Label) -> str:
    text = label.lost or " ".join(label.variants[0])
    return f"place of finding {text}" if label.framed else text


def notes_pages(
    name: str,
    title: str,
    blocks: Sequence[Block],
    fields: Fields,
    paper: Paper,
    on_its_side: bool,
    top: Sequence[Block] = (),
    *,
    head: Sequence[Block] = (),
    columns: int = 1,
) -> list[Composed]:
    """Return as many pages as the blocks need; `top` stands at the head of each, `head` on the first only.

    Both run across the page; the blocks stand in one or more `columns` under them.

    Raises:
        PaperTooSmallError: one block alone is higher than a page.
    """
    pages: list[Composed] = []
    page = page_of(paper, on_its_side)
    fields = replace(fields, paper=page.words)
    area, title_area = notes_areas(page, fields)
    rest = list(blocks)
    while rest:
        over = pour([*top, *([] if pages else head)], [area])
        below = Bounds(
            area.xmin, area.ymin, area.xmax, over.foot - (_UNDER if over.items and columns > 1 else 0.0)
        )
        poured = pour(rest, columns_of(below, columns), parting=True)
        if len(_continued(poured.rest)) >= len(rest):
            raise PaperTooSmallError(f'a note of "{title}" is longer than a page of {paper.title}')
        items: list[Item] = [*frame_marks(page), *caution_strip(page), *over.items, *poured.items]
        stem = name if not pages else f"{name}-{len(pages) + 1}"
        pages.append(Composed(stem, title, "notes", page, title_area, fields, tuple(items)))
        rest = _continued(poured.rest)
    return pages


def columns_of(area: Bounds, count: int) -> list[Bounds]:
    """Return columns of one width side by side in an area, from the left."""
    wide = (area.width - (count - 1) * _BETWEEN) / count
    lefts = [area.xmin + number * (wide + _BETWEEN) for number in range(count)]
    return [Bounds(left, area.ymin, left + wide, area.ymax) for left in lefts]


def _continued(rest: Sequence[Block]) -> list[Block]:
    """What goes on on the next page; a table begins there with its column names again."""
    first = rest[0] if rest else None
    head = first.head if isinstance(first, TableRow) else None
    return [head, *rest] if head is not None else list(rest)
