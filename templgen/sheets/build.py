"""All sheets of a job, in the order of the work: templates, rough templates, fit pages, parts, notes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from templgen.drawing import PageInfo
from templgen.errors import PaperTooSmallError
from templgen.job.model import Job
from templgen.layout.assembly import Assembly, MastFit
from templgen.layout.finding import Finding
from templgen.sheets.blanks import Blank, blank_of, made_parts
from templgen.sheets.compose import Composed, Kind, Sheet, compose, finished
from templgen.sheets.facts import face_words, fields_of, hand_words, part_words, skin_words
from templgen.sheets.fit_page import fit_holes, fit_scene
from templgen.sheets.groups import Group, groups_of, split
from templgen.sheets.header import Head
from templgen.sheets.lettering import CALLOUT
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.notes_page import caution_blocks, notes_pages, stop_blocks
from templgen.sheets.page import notes_areas, page_of
from templgen.sheets.part_sheet import part_scene
from templgen.sheets.placement import Label
from templgen.sheets.remarks import Remark, remark_blocks, remarks_of, stop_words
from templgen.sheets.rough import rough_contours, rough_scene
from templgen.sheets.scene import Scene
from templgen.sheets.schedule import drill_schedule
from templgen.sheets.table_rows import table_blocks
from templgen.sheets.template import template_scene
from templgen.trade.paper import Paper

__all__ = ["build_sheets"]


def build_sheets(
    job: Job, assembly: Assembly, findings: Sequence[Finding], paper: Paper
) -> tuple[Sheet, ...]:
    """Return all sheets of a job on a paper, each at 1:1.

    Raises:
        PaperTooSmallError: something does not fit; the text names the smallest paper that holds it.
    """
    maker = _Maker(job, assembly, remarks_of(findings), paper)
    pages: list[Composed] = []
    for group in groups_of(assembly):
        pages += maker.group_pages(group)
    for part in made_parts(assembly):
        pages.append(maker.part_page(blank_of(assembly, part)))
    pages += maker.notes(pages)
    info = maker.info
    return tuple(
        finished(replace(page, name=f"{number:02d}-{page.name}"), number, len(pages), info(page))
        for number, page in enumerate(pages, 1)
    )


class _Maker:
    """What all sheets of a job share."""

    def __init__(self, job: Job, assembly: Assembly, remarks: tuple[Remark, ...], paper: Paper) -> None:
        self.job = job
        self.assembly = assembly
        self.remarks = remarks
        self.paper = paper
        self.stop = stop_words(remarks)

    def info(self, page: Composed) -> PageInfo:
        """What the file of a page says about itself."""
        facts = (
            ("hand", self.job.hand),
            ("unit", self.job.unit),
            ("scale", "1:1"),
            ("paper", page.page.words),
        )
        return PageInfo(f"{self.job.title}: {page.title}", self.job.digest, page.kind, facts)

    def group_pages(self, group: Group) -> list[Composed]:
        """Template, rough template and fit page of one group; a loose group that is too large is split."""
        try:
            return self._pages_of(group)
        except PaperTooSmallError:
            parts = split(self.assembly, group) if group.mast is None else ()
            if len(parts) < 2:
                raise
            return [page for part in parts for page in self._pages_of(part)]

    def _pages_of(self, group: Group) -> list[Composed]:
        job, assembly = self.job, self.assembly
        is_rough = job.use == "trace" and bool(rough_contours(job, group))
        scene = template_scene(job, assembly, group, self.remarks, is_rough)
        head = self._head(
            job.laid_on, "Finish template", f"{group.name}: laid on the {job.laid_on} of the skin."
        )
        pages = [self._page("template", f"Template: {group.name}", "template", scene, head, skin_words(job))]
        if is_rough:
            head = self._head(
                job.laid_on, "Rough template", "Used first. Same locating holes as the finish one."
            )
            rough = rough_scene(job, assembly, group)
            pages.append(
                self._page("rough", f"Rough template: {group.name}", "rough", rough, head, skin_words(job))
            )
        if group.mast is not None:
            pages += self._fit_pages(group.mast)
        return pages

    def _fit_pages(self, mast: MastFit) -> list[Composed]:
        """All three paper holes on one page, or one page each where they are large."""
        holes = fit_holes(mast)
        head = self._head("outside", "Fit page", "Paper holes to slip over the real mast.", views=False)
        try:
            return [self._fit_page(mast, holes, head, "")] if holes else []
        except PaperTooSmallError:
            return [self._fit_page(mast, (hole,), head, f" {hole.letter}") for hole in holes]

    def _fit_page(self, mast: MastFit, holes: tuple[object, ...], head: Head, tail: str) -> Composed:
        scene = fit_scene(self.job, mast, holes)  # type: ignore[arg-type]
        return self._page("fit", f"Fit page: {mast.name}{tail}", "fit", scene, head, "paper or card")

    def part_page(self, blank: Blank) -> Composed:
        """The sheet of one made part, always as seen from outside."""
        job, part = self.job, blank.part
        material = part_words(job, self.assembly, part)
        role = "Flat pattern" if blank.pattern.bends else "Part"
        side = f"It lies {part.side} the skin. " if part.side else ""
        head = self._head("outside", f"{role}: {part.name}", f"{side}Drawn as seen from outside.")
        scene = part_scene(job, self.assembly, blank, self.remarks)
        return self._page("part", f"{role}: {part.name}", "part", scene, head, material)

    def notes(self, pages: Sequence[Composed]) -> list[Composed]:
        """Notes that found no room, findings in full, acceptances, drill schedule, cautions."""
        job, fields = self.job, fields_of(self.job, "Notes", "all parts")
        area, _ = notes_areas(page_of(self.paper, on_its_side=False), fields)
        blocks: list[Block] = list(stop_blocks(self.stop))
        blocks += remark_blocks(job, self.remarks, in_full=True)
        for note in self.assembly.notes:
            blocks.append(Paragraph(f"{note}."))
        for page in pages:
            blocks += _left_over(page)
        blocks += table_blocks(drill_schedule(job, self.assembly), area.width)
        blocks += caution_blocks()
        return notes_pages("notes", "Notes", blocks, fields, self.paper)

    def _head(self, side: str, role: str, detail: str, *, views: bool = True) -> Head:
        large = (
            (face_words(side), hand_words(self.job.hand))
            if views
            else ("SEEN FROM", face_words(side).split()[0])
        )
        return Head(large, role, detail, self.stop)

    def _page(self, stem: str, title: str, kind: Kind, scene: Scene, head: Head, material: str) -> Composed:
        fields = fields_of(self.job, title, material)
        name = f"{stem}-{_slug(title.split(': ', 1)[-1])}"
        return compose(name, title, kind, scene, head, fields, self.paper, self.job.unit)


def _slug(text: str) -> str:
    """A name as a file stem: small letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "x"


def _left_over(page: Composed) -> list[Block]:
    """What found no room on its sheet."""
    if not page.rest and not page.lost:
        return []
    blocks: list[Block] = [Heading(f"More about: {page.title}", CALLOUT, space=4.0), *page.rest]
    return blocks + [Paragraph(f"Not marked on the drawing: {_words_of(label)}.") for label in page.lost]


def _words_of(label: Label) -> str:
    return ", ".join(label.variants[0])
