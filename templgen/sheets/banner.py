"""The banner along the top of a sheet: how to print and to prove it, or for which printer it is corrected."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import CircleMark, Correction, Item, LineMark, Meaning
from templgen.drawing.font import text_width
from templgen.errors import PaperTooSmallError, TemplgenError
from templgen.geometry import Bounds, Line, Vec
from templgen.job.model import Job
from templgen.sheets.compose import Sheet
from templgen.sheets.lettering import CALLOUT, LEAST, NOTE, TITLE, pitch_of, words, wrap
from templgen.sheets.page import Page
from templgen.sheets.proving import STEEL_RULE_MM, crosses_of, shortest_length, tolerance_of
from templgen.trade.paper import find_paper
from templgen.units import Unit, format_in, format_mm, format_number

__all__ = ["PLAIN", "Banner", "banner_marks", "printer_words", "with_banner"]

_PAD = 2.0
_GAP = 4.0
_RING = 2.0
_DEPTH = 0.3  # how far letters hang below their base line, as a share of the height of a capital
_AIR = 0.4  # mm, from letters to the frame's lines
_LONGEST_FILE = 24
_NARROWEST = 40.0  # mm, for small lines beside the large words
_MARGIN_STEP = 0.5  # mm
_MARGIN_STEPS = 60


class Banner(Struct, frozen=True):
    """What a banner says: large words, small lines at their right, and what stands there if it has room."""

    large: str
    small: tuple[str, ...]
    more: tuple[str, ...] = ()

    @property
    def in_full(self) -> Banner:
        """The banner with what may be left out."""
        return Banner(self.large, (*self.small, *self.more))


PLAIN = Banner("PRINT AT 100 %", ('At "actual size", never "fit to page".',))
"""The banner of a sheet without crosses."""


def printer_words(correction: Correction | None) -> str:
    """Return what a title block says of the printer: "garage, correction 2"; "" without a printer."""
    if correction is None:
        return ""
    known = f"correction {correction.number}" if correction.number else "not corrected"
    return f"{correction.printer}, {known}"


def with_banner(sheet: Sheet, page: Page, job: Job, largest: float, correction: Correction | None) -> Sheet:
    """Return a sheet with its banner, and with the correction of a printer if there is one.

    Args:
        sheet: the finished sheet.
        page: the page it stands on.
        job: the job.
        largest: the size of the job's largest feature, mm.
        correction: of the printer, for a page that stands upright; None or of nothing: none.

    Raises:
        TemplgenError: the correction pushes the frame over the edge of the page.
    """
    crosses = crosses_of(sheet.drawing)
    if correction is None or correction.is_none:
        banner = _plain(job, page, crosses, largest) if crosses is not None and largest > 0.0 else PLAIN
        items = (*sheet.drawing.items, *banner_marks(page, banner))
        return replace(sheet, drawing=replace(sheet.drawing, items=items))
    own = correction.turned() if page.width > page.height else correction
    _require_on_paper(page, own)
    rings = _rings(crosses) if crosses is not None else []
    items = (
        *sheet.drawing.items,
        *banner_marks(page, _corrected(job, page, own, crosses is not None)),
        *rings,
    )
    return replace(sheet, drawing=replace(sheet.drawing, items=items, correction=own))


def _require_on_paper(page: Page, correction: Correction) -> None:
    over = _over_the_edge(page, page.frame, correction)
    if over <= 0.0:
        return
    margins = (
        step * _MARGIN_STEP for step in range(_MARGIN_STEPS) if step * _MARGIN_STEP > page.paper.margin
    )
    inset = ((margin, page.frame.grown(page.paper.margin - margin)) for margin in margins)
    enough = next((margin for margin, frame in inset if _over_the_edge(page, frame, correction) <= 0.0), None)
    cure = (
        "no margin makes room for it"
        if enough is None
        else f'print and prove on --paper "{page.paper.name}, margin {enough:g} mm"'
    )
    raise TemplgenError(
        f"the correction of printer {correction.printer} pushes the frame {over:.1f} mm over the edge of "
        f"the page, where nothing is printed: {cure}"
    )


def _over_the_edge(page: Page, frame: Bounds, correction: Correction) -> float:
    """How far a corrected frame reaches over the edge of the page, mm; below 0 if it does not."""
    a, _, c, d = correction.matrix
    return max(
        max(a * point.x + c * point.y - page.width, d * point.y - page.height, -a * point.x - c * point.y)
        for point in frame.corners
    )


def _plain(job: Job, page: Page, crosses: Bounds, largest: float) -> Banner:
    """How to print, and how far a steel rule proves the job."""
    unit, tolerance = job.unit, tolerance_of(job)
    length = shortest_length(STEEL_RULE_MM, largest, tolerance)
    side = min(crosses.width, crosses.height)
    coarse, least = _one_unit(STEEL_RULE_MM, unit), _one_unit(length, unit, 1)
    proof = f"Steel rule: read to {coarse} over {least} or more"
    if side < length:
        fine = _one_unit(side * tolerance / largest, unit)
        proof = f"Steel rule: from cross to cross read to {fine}; {coarse} would need {least}"
    return Banner(PLAIN.large, (f"{PLAIN.small[0]} Then: {_command(job, page)}", f"{proof}."))


def _one_unit(value: float, unit: Unit, places: int | None = None) -> str:
    if unit == "in":
        return format_in(value, 3 if places is None else places)
    return format_mm(value, 2 if places is None else places)


def _command(job: Job, page: Page, more: str = "") -> str:
    """How this very print is proved, as it is typed."""
    name = job.file if len(job.file) <= _LONGEST_FILE else "JOB"
    paper = "" if page.paper == find_paper(job.paper) else f' --paper "{page.paper.asked_for}"'
    quoted = f'"{name}"' if " " in name else name
    return f"templgen proof measured {quoted}{more}{paper}"


def _corrected(job: Job, page: Page, correction: Correction, has_crosses: bool) -> Banner:
    """For which printer a sheet is corrected; the factors are those of this page."""
    x, y = (format_number(factor, 4) for factor in (correction.x, correction.y))
    skew = f" skew {format_number(correction.skew, 2)}°" if round(correction.skew, 2) else ""
    proof = (f"Then: {_command(job, page, f' --corrected {correction.number}')}.",) if has_crosses else ()
    return Banner(
        f"CORRECTED FOR PRINTER {correction.printer}",
        (
            f"x {x} y {y}{skew}: correction {correction.number}, print at 100 %.",
            f"On any other printer this sheet is wrong.{' Crosses in rings.' if has_crosses else ''}",
        ),
        proof,
    )


def banner_marks(page: Page, banner: Banner) -> list[Item]:
    """Return the marks of a banner, over a line right across the frame.

    The small words stand beside the large ones, or in one line under them where they have no room there.

    Raises:
        PaperTooSmallError: the page is too narrow for the words; a sheet never goes without them.
    """
    box = page.banner
    foot = LineMark(Line(Vec(box.xmin, box.ymin), Vec(box.xmax, box.ymin)), Meaning.FRAME)
    ways = (
        _beside(box, banner.in_full, TITLE),
        _below(box, banner.in_full, TITLE),
        _beside(box, banner, TITLE),
        _below(box, banner, TITLE),
        _below(box, banner, CALLOUT),
        _beside(box, banner, CALLOUT),
    )
    marks = next((marks for marks in ways if marks), None)
    if marks is None:
        raise PaperTooSmallError(f"{page.words} is too narrow to say across its top how it is printed")
    return [foot, *marks]


def _beside(box: Bounds, banner: Banner, large: float) -> list[Item]:
    """Large words and small lines side by side; nothing where there is no room."""
    left = box.xmin + _PAD + text_width(banner.large, large, True) + _GAP
    for small, texts in ((NOTE, banner.small), (LEAST, banner.small), (LEAST, (_in_one(banner.small),))):
        width = max(box.xmax - _PAD - left, small)
        lines = [line for text in texts for line in wrap(text, width, small)]
        high = small + pitch_of(small) * (len(lines) - 1)
        if width > _NARROWEST and high + 2 * (small * _DEPTH + _AIR) <= box.height:
            top = box.centre.y + high / 2 - small
            return [
                words(banner.large, box.xmin + _PAD, box.centre.y - large / 2, large, bold=True),
                *(words(line, left, top - pitch_of(small) * n, small) for n, line in enumerate(lines)),
            ]
    return []


def _in_one(texts: tuple[str, ...]) -> str:
    """Lines as one text; a command at the end of a line has no stop of its own."""
    return " ".join(text if text.endswith(".") else f"{text}." for text in texts)


def _below(box: Bounds, banner: Banner, large: float) -> list[Item]:
    """The large words over all the small ones; nothing where there is no room."""
    told = _in_one(banner.small)
    if max(text_width(banner.large, large, True), text_width(told, LEAST)) > box.width - 2 * _PAD:
        return []
    # Hardly a large letter hangs below its base line: the room is rather needed over them.
    free = (box.height - (large + LEAST) * (1.0 + _DEPTH)) / 3
    low = box.ymin + free + LEAST * _DEPTH
    return [
        words(banner.large, box.xmin + _PAD, box.ymax - 1.7 * free - large, large, bold=True),
        words(told, box.xmin + _PAD, low, LEAST),
    ]


def _rings(crosses: Bounds) -> list[Item]:
    """Return a ring round every cross: this sheet is corrected already."""
    return [CircleMark(corner, _RING, Meaning.CROSS, name="corrected") for corner in crosses.corners]
