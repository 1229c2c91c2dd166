"""All pages of the bench packet in the order of use; the sheets of the job are taken as they are."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Correction, Drawing, Item, PageInfo, Table
from templgen.errors import PaperTooSmallError
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly
from templgen.layout.finding import Finding
from templgen.layout.hardware_list import hardware_list
from templgen.layout.weights import weight_table
from templgen.layout.work.model import Step
from templgen.sheets.banner import printer_words, with_banner
from templgen.sheets.compose import Composed, Sheet, compose
from templgen.sheets.facts import face_words, fields_of, hand_words
from templgen.sheets.groups import groups_of
from templgen.sheets.header import Head
from templgen.sheets.notes import Block
from templgen.sheets.notes_page import left_over, notes_pages, paper_of_notes, stop_blocks
from templgen.sheets.packet.cover import cover_blocks, cover_head
from templgen.sheets.packet.drilling import by_part, by_step
from templgen.sheets.packet.joints import joints_of
from templgen.sheets.packet.plan import OrientationFigure, plan_scene, plan_set
from templgen.sheets.packet.steps import sign_off_blocks, step_blocks
from templgen.sheets.packet.way_in import way_in_blocks
from templgen.sheets.packet.way_out import way_out_blocks
from templgen.sheets.page import notes_areas, page_number, page_of
from templgen.sheets.remarks import remarks_of, stop_words
from templgen.sheets.scene import Scene
from templgen.sheets.stack_view import stack_blocks
from templgen.sheets.table_rows import table_blocks
from templgen.sheets.tiling.tile import tiled
from templgen.sheets.title_block import Fields, title_block
from templgen.trade.paper import Paper

__all__ = ["FRONT", "packet_sheets", "page_words"]

_NO_SCALE = "none"
_MANY = 100
_SHEET = "packet"
_MOST_TILES = 9
"""A plan on more tiles than this nobody joins; then it is for orientation only (our own default)."""
FRONT = "Front page"
"""Title of the first page, by which a packet is known when it comes back."""


def packet_sheets(
    job: Job,
    assembly: Assembly,
    findings: Sequence[Finding],
    sheets: Sequence[Sheet],
    steps: Sequence[Step],
    paper: Paper,
    correction: Correction | None = None,
    proven: str = "",
) -> tuple[Sheet, ...]:
    """Return the packet: cover, stack, the given sheets, drilling, hardware, weights, steps, sign-off.

    Args:
        job: the job.
        assembly: what was laid out.
        findings: what the checks said.
        sheets: all sheets of the job, finished; the packet has them as they are, with a page number.
        steps: the steps of the work, in order.
        paper: the paper of the sheets; in place of a roll the other pages are on the job's own.
        correction: of the printer, as for the sheets.
        proven: what reading back the written sheets and cut files has shown, in words.

    Raises:
        PaperTooSmallError: one block of words is higher than a page.
    """
    maker = _Maker(job, assembly, findings, paper_of_notes(paper, job), correction, proven)
    before = maker.stack()
    after = [*maker.drilling(steps), *maker.hardware(), *maker.steps(steps), *maker.sign_off()]
    cover = maker.cover([])
    while True:
        behind = [*before, *sheets, *after]
        entries = [(each.title, number) for number, each in enumerate(behind, len(cover) + 1)]
        found = maker.cover(_contents(entries))
        if len(found) == len(cover):
            break
        cover = found
    pages = [*found, *behind]
    return tuple(_numbered(page, number, len(pages), paper) for number, page in enumerate(pages, 1))


def _contents(entries: Sequence[tuple[str, int]]) -> list[tuple[str, int]]:
    """Each title once, with the page it begins on."""
    first: dict[str, int] = {}
    for title, page in entries:
        first.setdefault(title, page)
    return list(first.items())


def page_words(number: int, count: int) -> str:
    """Return the page number as it stands on every page of the packet; short, where it is long."""
    return f"Page {number} of {count}" if count < _MANY else f"{number} of {count}"


def _numbered(sheet: Sheet, number: int, count: int, paper: Paper) -> Sheet:
    """A sheet with its page number; pieces of a roll have sizes of their own."""
    drawing = sheet.drawing
    own = replace(paper, width_mm=drawing.width or 0.0, height_mm=drawing.height or 0.0)
    mark = page_number(page_of(own, on_its_side=False), page_words(number, count))
    return replace(sheet, drawing=replace(drawing, items=(*drawing.items, mark)))


class _Maker(Struct, frozen=True):
    """What all pages of a packet share."""

    job: Job
    assembly: Assembly
    findings: Sequence[Finding]
    paper: Paper
    correction: Correction | None
    proven: str

    def _fields(self, part: str, scale: str = _NO_SCALE) -> Fields:
        fields = fields_of(self.job, part, "all parts")
        return replace(fields, sheet=_SHEET, scale=scale, printer=printer_words(self.correction))

    def _top(self) -> list[Block]:
        return stop_blocks(stop_words(remarks_of(self.findings)))

    def _width(self, on_its_side: bool) -> float:
        area, _ = notes_areas(page_of(self.paper, on_its_side), self._fields("packet"))
        return area.width

    def _finished(self, composed: Composed) -> Sheet:
        page, fields = composed.page, replace(composed.fields, sheet=_SHEET)
        items: tuple[Item, ...] = (*composed.items, *title_block(fields, composed.title_area))
        facts = (
            ("hand", self.job.hand),
            ("unit", self.job.unit),
            ("scale", fields.scale),
            ("paper", page.words),
            *((("printer", fields.printer),) if fields.printer else ()),
        )
        info = PageInfo(f"{self.job.title}: {composed.title}", self.job.digest, composed.kind, facts)
        drawing = Drawing(items, info, page.width, page.height)
        sheet = Sheet(composed.name, composed.title, drawing, composed.kind)
        return with_banner(sheet, page, self.job, 0.0, self.correction)

    def _pages(
        self, name: str, title: str, blocks: Sequence[Block], on_its_side: bool = False
    ) -> list[Sheet]:
        if not blocks:
            return []
        fields = self._fields(title)
        pages = notes_pages(name, title, blocks, fields, self.paper, on_its_side, self._top())
        return [self._finished(page) for page in pages]

    def _table_pages(self, name: str, title: str, tables: Sequence[Table]) -> list[Sheet]:
        """Tables one under the other; each begins a page of its own where that costs no more pages."""
        width = self._width(on_its_side=True)
        shown = [table_blocks(table, width) for table in tables if table.rows]
        together = self._pages(name, title, [block for blocks in shown for block in blocks], on_its_side=True)
        apart = [page for blocks in shown for page in self._pages(name, title, blocks, on_its_side=True)]
        return apart if len(apart) <= len(together) else together

    def cover(self, contents: Sequence[tuple[str, int]]) -> list[Sheet]:
        """The cover, in two columns."""
        remarks = remarks_of(self.findings)
        blocks = cover_blocks(self.job, self.assembly, self.findings, remarks, self.proven)
        pages = notes_pages(
            "front",
            FRONT,
            blocks,
            self._fields(FRONT),
            self.paper,
            False,
            self._top(),
            head=cover_head(self.job, contents),
            columns=2,
        )
        return [self._finished(page) for page in pages]

    def stack(self) -> list[Sheet]:
        """The section through all joints, and the plan of each set."""
        width = self._width(on_its_side=False)
        pages = self._pages("stack", "The stack in section", stack_blocks(self.job, self.assembly, width))
        joints = joints_of(self.assembly)
        for group in groups_of(self.assembly):
            chosen = plan_set(self.assembly, group)
            scene = plan_scene(self.job, self.assembly, chosen, joints)
            title = f"Plan of the set: {chosen.name}"
            head = Head(
                (face_words("outside"), hand_words(self.job.hand)),
                "Plan of the set",
                "All parts as they lie, seen from outside. Each is cut and drilled by its own sheet.",
                stop_words(remarks_of(self.findings)),
            )
            shown = self._to_scale(title, scene, head)
            figure = OrientationFigure(chosen, self.assembly.planes[SKIN_PLANE])
            pages += shown or self._pages("plan", title, [figure])
        ways_in = way_in_blocks(self.job, self.assembly, self.findings)
        ways_out = way_out_blocks(self.job, self.assembly, self.findings)
        pages += self._pages("way-in", "The way in", ways_in)
        return [*pages, *self._pages("way-out", "The way out", ways_out)]

    def _to_scale(self, title: str, scene: Scene, head: Head) -> list[Sheet]:
        """A plan at 1:1 on one page, or on a few tiles; nothing where it takes more of them."""
        fields, paper, unit = self._fields(title, "1:1"), self.paper, self.job.unit
        try:
            return self._with_rest([compose("plan", title, "notes", scene, head, fields, paper, unit)])
        except PaperTooSmallError:
            pass
        try:
            tiles = tiled("plan", title, "notes", scene, head, fields, paper, unit)
        except PaperTooSmallError:
            return []
        return self._with_rest(tiles) if len(tiles) <= _MOST_TILES else []

    def _with_rest(self, pages: Sequence[Composed]) -> list[Sheet]:
        """Some pages, and behind them what found no room on them."""
        rest = [block for page in pages for block in left_over(page)]
        more = self._pages("plan-notes", "More about the plan", rest)
        return [*(self._finished(page) for page in pages), *more]

    def drilling(self, steps: Sequence[Step]) -> list[Sheet]:
        """The drill schedule by part, then by step."""
        tables = [by_part(self.job, self.assembly), by_step(self.job, steps)]
        return self._table_pages("drilling", "Drilling by part and by step", tables)

    def hardware(self) -> list[Sheet]:
        """The hardware list with the weights behind it."""
        tables = [hardware_list(self.job, self.assembly), weight_table(self.job, self.assembly)]
        return self._table_pages("hardware", "Hardware and weights", tables)

    def steps(self, steps: Sequence[Step]) -> list[Sheet]:
        """The ordered steps."""
        return self._pages("steps", "Steps", step_blocks(self.job, steps)) if steps else []

    def sign_off(self) -> list[Sheet]:
        """Space for sign-off."""
        return self._pages("sign-off", "Sign-off", sign_off_blocks())
