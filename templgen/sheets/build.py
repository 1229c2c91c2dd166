"""All sheets of a job, in the order of the work: templates, rough templates, fit pages, parts, notes."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from templgen.drawing import Correction, PageInfo
from templgen.errors import PaperTooSmallError, TemplgenError
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly, MastFit
from templgen.layout.finding import Finding
from templgen.layout.pins import pins_of
from templgen.layout.work.sources import Sources
from templgen.sheets.allowance import rough_contours
from templgen.sheets.banner import printer_words, with_banner
from templgen.sheets.blanks import Blank, blank_of, made_parts
from templgen.sheets.compose import Composed, Kind, Sheet, compose, finished
from templgen.sheets.cutting import cutting_table
from templgen.sheets.existing_holes import existing_hole_blocks
from templgen.sheets.extent import measure_lines
from templgen.sheets.facts import face_words, fields_of, hand_words, part_words, skin_words
from templgen.sheets.fit_page import FitHole, fit_holes, fit_scene
from templgen.sheets.groups import Group, groups_of, split
from templgen.sheets.header import Head
from templgen.sheets.holes import from_memory, hole_blocks, memory_blocks
from templgen.sheets.lettering import CALLOUT
from templgen.sheets.markers import with_markers
from templgen.sheets.measure_marks import measure_words
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.notes_page import caution_blocks, left_over, notes_pages, paper_of_notes, stop_blocks
from templgen.sheets.page import notes_areas, page_of
from templgen.sheets.part_sheet import part_scene
from templgen.sheets.proving import features_of, largest_feature
from templgen.sheets.remarks import (
    Remark,
    accepted_blocks,
    open_remarks,
    remark_blocks,
    remarks_of,
    stop_words,
)
from templgen.sheets.rough import rough_detail, rough_scene
from templgen.sheets.scene import Scene
from templgen.sheets.schedule import drill_schedule
from templgen.sheets.steps import template_steps, use_words
from templgen.sheets.table_rows import table_blocks
from templgen.sheets.template import template_scene
from templgen.sheets.tiling.tile import tiled
from templgen.sheets.title_block import Fields
from templgen.trade.paper import Paper

__all__ = ["build_sheets"]

_CHECK = " Some measures are from memory: check them against the part in hand (notes)."


def build_sheets(
    job: Job,
    assembly: Assembly,
    findings: Sequence[Finding],
    paper: Paper,
    correction: Correction | None = None,
    *,
    many_pages: bool = False,
) -> tuple[Sheet, ...]:
    """Return all sheets of a job on a paper, each at 1:1; what is too large for a page is tiled.

    `correction` is that of a printer, for a page that stands upright; every sheet says so. With `many_pages`
    a template may take more than 50 tiles.

    Raises:
        PaperTooSmallError: something takes too many tiles; the text names the smallest paper that holds it.
        TemplgenError: a correction for a roll, whose pieces have no one upright.
    """
    if paper.is_roll and correction is not None:
        raise TemplgenError("the correction of a printer is for sheets of one size, not for a roll")
    maker = _Maker(job, assembly, remarks_of(findings), paper, correction, many_pages)
    pages: list[Composed] = []
    for group in groups_of(assembly):
        pages += maker.group_pages(group)
    for part in made_parts(assembly):
        pages += maker.part_pages(blank_of(assembly, part))
    pages += maker.notes(pages)
    info = maker.info
    sheets = [
        finished(replace(page, name=f"{number:02d}-{page.name}"), number, len(pages), info(page))
        for number, page in enumerate(pages, 1)
    ]
    largest = largest_feature(features_of(sheets, assembly))
    told = (
        with_banner(sheet, page.page, job, largest, correction)
        for sheet, page in zip(sheets, pages, strict=True)
    )
    return tuple(with_markers(sheet, number, job.unit) for number, sheet in enumerate(told, 1))


class _Maker:
    """What all sheets of a job share."""

    def __init__(
        self,
        job: Job,
        assembly: Assembly,
        remarks: tuple[Remark, ...],
        paper: Paper,
        correction: Correction | None,
        many_pages: bool,
    ) -> None:
        self.job = job
        self.assembly = assembly
        self.remarks = remarks
        self.paper = paper
        self.notes_paper = paper_of_notes(paper, job)
        self.many_pages = many_pages
        self.printer = printer_words(correction)
        self.stop = stop_words(remarks)
        self.groups: list[Group] = []

    def info(self, page: Composed) -> PageInfo:
        """What the file of a page says about itself."""
        facts = (
            ("hand", self.job.hand),
            ("unit", self.job.unit),
            ("scale", "1:1"),
            ("paper", page.page.words),
            *((("printer", self.printer),) if self.printer else ()),
        )
        return PageInfo(f"{self.job.title}: {page.title}", self.job.digest, page.kind, facts)

    def group_pages(self, group: Group) -> list[Composed]:
        """Template, rough template and fit page of one group.

        Where there is no room the rivets that could place it are left out, and the lines by which it is
        measured then are short; then a loose group is split; what is still too large for a page is tiled.
        """
        measured = replace(group, by_measure=True)
        for attempt in [group] if group.trims else [group, measured, replace(measured, tight=True)]:
            try:
                pages = self._pages_of(attempt)
            except PaperTooSmallError:
                continue
            self.groups.append(attempt)
            return pages
        parts = split(self.assembly, group) if group.mast is None else ()
        if len(parts) > 1:
            return [page for part in parts for page in self.group_pages(part)]
        pages = self._pages_of(group, tiles=True)
        self.groups.append(group)
        return pages

    def _pages_of(self, group: Group, *, tiles: bool = False) -> list[Composed]:
        job, assembly = self.job, self.assembly
        words = skin_words(job)
        is_rough = job.use == "trace" and bool(rough_contours(job, group))
        scene = template_scene(job, assembly, group, self.remarks, is_rough)
        laid = measure_words(job, assembly, measure_lines(assembly, group))
        role = "Finish template" if job.use == "trace" else "Template"
        head = self._head(job.laid_on, role, laid + use_words(job, group))
        pages = self._page("template", f"Template: {group.name}", "template", scene, head, words, tiles)
        if is_rough:
            by_lines = "" if pins_of(group.fasteners) else laid
            head = self._head(job.laid_on, "Rough template", by_lines + rough_detail(group))
            rough = rough_scene(job, assembly, group, self.remarks)
            pages += self._page("rough", f"Rough template: {group.name}", "rough", rough, head, words, tiles)
        if group.mast is not None:
            pages += self._fit_pages(group.mast, tiles)
        return pages

    def _fit_pages(self, mast: MastFit, tiles: bool) -> list[Composed]:
        """All three paper holes on one page, or one page each where they are large."""
        holes = fit_holes(mast)
        head = self._head("outside", "Fit page", "Paper holes to slip over the real mast.", views=False)
        try:
            return self._fit_page(mast, holes, head, "", tiles=False) if holes else []
        except PaperTooSmallError:
            return [
                page
                for hole in holes
                for page in self._fit_page(mast, (hole,), head, f" {hole.name}", tiles=tiles)
            ]

    def _fit_page(
        self, mast: MastFit, holes: tuple[FitHole, ...], head: Head, tail: str, *, tiles: bool
    ) -> list[Composed]:
        scene = fit_scene(self.job, mast, self.assembly.planes[SKIN_PLANE], holes, self.remarks)
        return self._page("fit", f"Fit page: {mast.name}{tail}", "fit", scene, head, "paper or card", tiles)

    def part_pages(self, blank: Blank) -> list[Composed]:
        """The sheet of one made part, always as seen from outside; tiled where it is large."""
        job, part = self.job, blank.part
        material = part_words(job, self.assembly, part)
        role = "Flat pattern" if blank.pattern.bends else "Part"
        side = f"It lies {part.side} the skin. " if part.side else ""
        shown = [hole.fastener for hole in blank.pattern.holes]
        told = _CHECK if from_memory(self.assembly, shown) else ""
        head = self._head("outside", f"{role}: {part.name}", f"{side}Drawn as seen from outside.{told}")
        scene = part_scene(job, self.assembly, blank, self.remarks)
        return self._page("part", f"{role}: {part.name}", "part", scene, head, material, tiles=True)

    def notes(self, pages: Sequence[Composed]) -> list[Composed]:
        """Notes that found no room, findings in full, acceptances and cautions; then the drill schedule."""
        job = self.job
        blocks: list[Block] = []
        for group in self.groups:
            is_rough = job.use == "trace" and bool(rough_contours(job, group))
            blocks.append(Heading(f"Order of work: {group.name}", CALLOUT, space=4.0))
            blocks += template_steps(job, self.assembly, group, is_rough)[1:]
        blocks += existing_hole_blocks(job, self.assembly)
        blocks += remark_blocks(job, open_remarks(self.remarks), in_full=True)
        drilled = [fastener for fastener in self.assembly.fasteners if not fastener.exists]
        sources = Sources(self.assembly)
        made = [replace(each, made_from=sources.words(each)) for each in drilled]
        blocks += [*hole_blocks(job, made), *memory_blocks(self.assembly, drilled, plates=False)]
        blocks += [Paragraph(f"{note[:1].upper()}{note[1:]}.") for note in self.assembly.notes]
        for page in pages:
            blocks += left_over(page)
        fields = self._fields("notes", "all parts")
        area, _ = notes_areas(page_of(self.notes_paper, on_its_side=False), fields)
        cutting = cutting_table(job, self.assembly)
        blocks += table_blocks(cutting, area.width) if cutting.rows else []
        blocks += caution_blocks()
        found = notes_pages("notes", "Notes", blocks, fields, self.notes_paper, False, self._top())
        return [*found, *self._schedule()]

    def _schedule(self) -> list[Composed]:
        """The drill schedule, on pages that lie on their side."""
        table = drill_schedule(self.job, self.assembly)
        if not table.rows:
            return []
        fields = self._fields("drill schedule", "all parts")
        area, _ = notes_areas(page_of(self.notes_paper, on_its_side=True), fields)
        blocks = table_blocks(table, area.width)
        title, on = "Drill schedule", self.notes_paper
        return notes_pages("drill-schedule", title, blocks, fields, on, True, self._top())

    def _top(self) -> list[Block]:
        """What stands on every page of notes: the stop stamp, and what somebody accepted."""
        return [*stop_blocks(self.stop), *accepted_blocks(self.job, self.remarks)]

    def _fields(self, part: str, material: str) -> Fields:
        """The fields of a title block, with the longest words for the paper: room is kept for them."""
        paper = page_of(self.paper, on_its_side=True).words
        return replace(fields_of(self.job, part, material, paper), printer=self.printer)

    def _head(self, side: str, role: str, detail: str, *, views: bool = True) -> Head:
        large = (
            (face_words(side), hand_words(self.job.hand))
            if views
            else (f"SEEN FROM {face_words(side).split()[0]}", hand_words(self.job.hand))
        )
        return Head(large, role, detail, self.stop)

    def _page(
        self, stem: str, title: str, kind: Kind, scene: Scene, head: Head, material: str, tiles: bool
    ) -> list[Composed]:
        """A scene on one page; on tiles where it is too large and `tiles` are allowed."""
        part = title.split(": ", 1)[-1]
        fields = self._fields(part if kind == "part" else title, material)
        name, paper, unit = f"{stem}-{_slug(part)}", self.paper, self.job.unit
        try:
            return [compose(name, title, kind, scene, head, fields, paper, unit)]
        except PaperTooSmallError:
            if not tiles:
                raise
        return tiled(name, title, kind, scene, head, fields, paper, unit, self.many_pages)


def _slug(text: str) -> str:
    """A name as a file stem: small letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "x"
