"""The cover of the packet: what it is for, contents, decisions, checks, cautions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Anchor, Item
from templgen.drawing.font import text_width
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.sheets.facts import ranges
from templgen.sheets.lettering import CALLOUT, NOTE, TITLE, WARNING, pitch_of, words, wrap
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.notes_page import caution_blocks
from templgen.sheets.packet.decisions import decision_blocks
from templgen.sheets.remarks import Remark, accepted_blocks, open_remarks

__all__ = ["Entry", "cover_blocks", "cover_head"]

_DOT = " ."
_TIGHT, _ABOVE = 0.4, 2.0
_COLUMNS, _BETWEEN = 3, 7.0
_WORDS = {
    Verdict.PASS: "pass",
    Verdict.DOUBTFUL: "pass only if the measurement is right",
    Verdict.NOT_CHECKED: "could not be checked",
    Verdict.TOLD: "for information",
    Verdict.NOT_APPLICABLE: "do not apply",
}
_RESULTS = ("error", "warning", "accepted", *dict.fromkeys(_WORDS.values()))


class Entry(Struct, frozen=True):
    """One line of the contents: a title, dots, the page."""

    title: str
    page: str
    keeps_with_next: bool = False

    def _lines(self, width: float) -> list[str]:
        return wrap(self.title, width - text_width(self.page, NOTE) - 6.0, NOTE)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return 0.6 + len(self._lines(width)) * pitch_of(NOTE)

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        y = top - 0.6 - NOTE
        lines = self._lines(width)
        room = width - text_width(lines[-1], NOTE) - text_width(self.page, NOTE) - 3.0
        dots = _DOT * int(room / text_width(_DOT, NOTE))
        *full, last = lines
        items: list[Item] = [
            words(line, x, y - count * pitch_of(NOTE), NOTE) for count, line in enumerate(full)
        ]
        foot = y - len(full) * pitch_of(NOTE)
        items.append(words(f"{last}{dots}", x, foot, NOTE))
        items.append(words(self.page, x + width, foot, NOTE, Anchor.RIGHT))
        return items


class Contents(Struct, frozen=True):
    """The contents in columns: titles and the page each begins on, downwards first."""

    entries: tuple[Entry, ...]
    keeps_with_next: bool = False

    def _columns(self, width: float) -> list[tuple[float, tuple[Entry, ...]]]:
        """Where each column begins, and its entries."""
        rows = -(-len(self.entries) // _COLUMNS)
        wide = self._wide(width) + _BETWEEN
        firsts = range(0, len(self.entries), rows or 1)
        return [(count * wide, self.entries[first : first + rows]) for count, first in enumerate(firsts)]

    def _wide(self, width: float) -> float:
        return (width - (_COLUMNS - 1) * _BETWEEN) / _COLUMNS

    def height(self, width: float) -> float:
        """Return its height in mm."""
        wide = self._wide(width)
        columns = self._columns(width)
        return max((sum(each.height(wide) for each in column) for _, column in columns), default=0.0)

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        items: list[Item] = []
        for left, column in self._columns(width):
            y = top
            for entry in column:
                items += entry.draw(x + left, y, self._wide(width))
                y -= entry.height(self._wide(width))
        return items


def cover_head(job: Job, contents: Sequence[tuple[str, int]]) -> list[Block]:
    """Return what runs across the top of the cover. `contents` are titles and the page each begins on."""
    facts = [
        job.aircraft,
        f"{job.hand} hand",
        f"job {job.file}, digest {job.digest}",
        f"revision {job.revision}" if job.revision else "",
        job.date or "",
    ]
    return [
        Heading("BENCH PACKET", WARNING, space=0.0),
        Heading(job.title, TITLE, space=2.0),
        Paragraph(
            f"{'; '.join(fact for fact in facts if fact)}. Keep it together; it holds for this digest."
        ),
        Heading("Contents", CALLOUT, space=2.0),
        Contents(tuple(Entry(title, str(page)) for title, page in contents)),
    ]


def cover_blocks(
    job: Job,
    assembly: Assembly,
    findings: Sequence[Finding],
    remarks: Sequence[Remark],
    proven: str,
) -> list[Block]:
    """Return what stands in the columns of the cover: decisions, checks, cautions.

    `proven` is what reading back the written files has shown.
    """
    blocks = [
        *decision_blocks(job, assembly),
        *_check_blocks(job, findings, remarks, proven),
        *caution_blocks(),
    ]
    return [_tight(block) for block in blocks]


def _tight(block: Block) -> Block:
    """A block with less room above it than on a notes sheet: the front is one page where it can be."""
    if isinstance(block, Paragraph):
        return replace(block, space=_TIGHT)
    return replace(block, space=_ABOVE) if isinstance(block, Heading) else block


def _check_blocks(
    job: Job, findings: Sequence[Finding], remarks: Sequence[Remark], proven: str
) -> list[Block]:
    """Counts of all results, then what is open, by the number it has on every sheet."""
    counts = Counter(_result(finding) for finding in findings)
    summary = ", ".join(f"{counts[text]} {_counted(text, counts[text])}" for text in _RESULTS if counts[text])
    stops = any(finding.stops_cut_files for finding in findings)
    blocks: list[Block] = [
        Heading("Checks", CALLOUT, space=4.0),
        Paragraph(f"{len(findings)} results: {summary or 'none'}."),
        Paragraph("ERRORS STAND: nothing is cut by this packet." if stops else "No error stands.", bold=True),
    ]
    if proven:
        blocks.append(Paragraph(f"{proven[:1].upper()}{proven[1:]}; every file compared with its drawing."))
    found = open_remarks(remarks)
    if found:
        blocks.append(Heading("Open findings, in full on the notes sheets"))
    alike: dict[str, list[int]] = {}
    for remark in found:
        alike.setdefault(_short(remark), []).append(remark.number)
    for text, numbers in alike.items():
        one = len(numbers) == 1
        blocks.append(
            Paragraph(text, number=ranges(numbers) if one else "", lead="" if one else ranges(numbers))
        )
    return [*blocks, *accepted_blocks(job, remarks)]


def _counted(text: str, count: int) -> str:
    return f"{text}s" if text in ("error", "warning") and count > 1 else text


def _result(finding: Finding) -> str:
    if finding.accepted is not None:
        return "accepted"
    if finding.verdict is Verdict.FAIL:
        return "for information" if finding.severity is Severity.INFORMATION else finding.severity.value
    return _WORDS[finding.verdict]


def _short(remark: Remark) -> str:
    finding = remark.finding
    where = ", ".join(word for word in dict.fromkeys((finding.feature, finding.face)) if word)
    title = finding.rule_name[:1].upper() + finding.rule_name[1:]
    return f"{remark.title}: {title} ({where})." if where else f"{remark.title}: {title}."
