"""Findings and acceptances on a sheet: one number each, the same on every sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from msgspec import Struct

from templgen.geometry import Contour, Vec
from templgen.job.model import Job
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.work.doubts import Doubt, doubt_of
from templgen.sheets.facts import both, listed, ranges
from templgen.sheets.lettering import NOTE
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.placement import Label
from templgen.sheets.scene import Section

__all__ = [
    "Remark",
    "accepted_blocks",
    "accepted_section",
    "doubts_of",
    "finding_labels",
    "nearest_on",
    "open_remarks",
    "remark_blocks",
    "remark_section",
    "remarks_of",
    "stop_words",
]

_TOGETHER = 0.5
_STEPS = 360
_SHOWN = (Verdict.FAIL, Verdict.DOUBTFUL, Verdict.NOT_CHECKED, Verdict.TOLD)


class Remark(Struct, frozen=True):
    """A finding with the number by which all sheets call it."""

    number: int
    finding: Finding

    @property
    def title(self) -> str:
        """How serious it is, in words."""
        finding = self.finding
        if finding.accepted is not None:
            return "Accepted"
        if finding.verdict is Verdict.NOT_CHECKED:
            return "Not checked"
        if finding.stops_cut_files:
            return "STOPS CUTTING"
        return "Warning" if finding.severity is not Severity.INFORMATION else "Note"


def remarks_of(findings: Iterable[Finding]) -> tuple[Remark, ...]:
    """Number the findings a builder must see; what passes, and what does not apply, has no number."""
    shown = [finding for finding in findings if finding.verdict in _SHOWN]
    return tuple(Remark(number, finding) for number, finding in enumerate(shown, 1))


def doubts_of(remarks: Iterable[Remark]) -> tuple[Doubt, ...]:
    """Return what can make a step of the work impossible, by the numbers that it has on every sheet."""
    found = (doubt_of(remark.number, remark.finding) for remark in remarks)
    return tuple(doubt for doubt in found if doubt is not None)


def stop_words(remarks: Sequence[Remark]) -> str:
    """Return why nothing may be cut; "" when nothing stands against it."""
    stops = [str(remark.number) for remark in remarks if remark.finding.stops_cut_files]
    if not stops:
        return ""
    if len(stops) > 6:
        return f"{len(stops)} findings stop it: see the notes"
    return f"Finding{'s' if len(stops) > 1 else ''} {listed(stops)} stop{'' if len(stops) > 1 else 's'} it."


def remark_section(job: Job, remarks: Sequence[Remark]) -> list[Section]:
    """Return open findings as a section of a sheet."""
    found = open_remarks(remarks)
    blocks = tuple(remark_blocks(job, found, in_full=False))
    return [Section("findings", blocks, tuple(remark.number for remark in found))] if found else []


def finding_labels(remarks: Iterable[Remark], place_of: Callable[[Finding], Vec | None]) -> list[Label]:
    """Return the numbers of findings whose place is on the drawing, those at one place together in a ring."""
    found: list[tuple[Vec, list[int]]] = []
    for remark in remarks:
        place = place_of(remark.finding)
        if place is None:
            continue
        same = next((numbers for at, numbers in found if at.distance_to(place) < _TOGETHER), None)
        if same is None:
            found.append((place, [remark.number]))
        else:
            same.append(remark.number)
    return [
        Label((at,), ((ranges(numbers),),), NOTE, 0.6, near=False, bold=True, framed=True)
        for at, numbers in found
    ]


def nearest_on(place: Vec, contours: Iterable[Contour]) -> Vec:
    """Return the point of some outlines that is nearest to a place.

    A finding in what is cut away is shown there: a leader that points into an opening points at nothing.
    """
    found = [
        contour.point_at(contour.length * step / _STEPS)[0] for contour in contours for step in range(_STEPS)
    ]
    return min(found, key=place.distance_to, default=place)


def remark_blocks(job: Job, remarks: Sequence[Remark], *, in_full: bool) -> list[Block]:
    """Return findings as notes, accepted ones too; `in_full` adds the rule and its source."""
    if not remarks:
        return []
    blocks: list[Block] = [Heading("Findings")]
    for remark in remarks:
        blocks.append(Paragraph(_words(job, remark, in_full), number=str(remark.number)))
    return blocks


def accepted_blocks(job: Job, remarks: Sequence[Remark]) -> list[Block]:
    """Return what somebody accepted: it stands on every sheet."""
    accepted = [remark for remark in remarks if remark.finding.accepted is not None]
    if not accepted:
        return []
    blocks: list[Block] = [Heading("Accepted")]
    return blocks + [Paragraph(_acceptance(job, each), number=str(each.number)) for each in accepted]


def accepted_section(job: Job, remarks: Sequence[Remark]) -> tuple[Section, ...]:
    """Return what somebody accepted as a section of a sheet: where it has no room the sheet says so.

    The notes sheets have it at the top of each page.
    """
    blocks = accepted_blocks(job, remarks)
    numbers = tuple(remark.number for remark in remarks if remark.finding.accepted is not None)
    return (Section("accepted findings", tuple(blocks), numbers),) if blocks else ()


def open_remarks(remarks: Sequence[Remark]) -> list[Remark]:
    """Return what nobody has accepted."""
    return [remark for remark in remarks if remark.finding.accepted is None]


def _acceptance(job: Job, remark: Remark) -> str:
    accepted = remark.finding.accepted
    if accepted is None:
        return ""
    what = f"{remark.finding.rule_name} ({remark.finding.feature})"
    least = both(job, accepted.down_to)
    return f"{what}: down to {least} by {accepted.who}, {accepted.when}: {_sentence(accepted.reason)}"


def _words(job: Job, remark: Remark, in_full: bool) -> str:
    finding = remark.finding
    parts = [f"{remark.title}: {finding.message.rstrip('.')}."]
    if finding.cure and finding.accepted is None:
        parts.append(_sentence(finding.cure))
    accepted = finding.accepted
    if accepted is not None:
        least = f" down to {both(job, accepted.down_to)}" if accepted.down_to is not None else ""
        parts.append(f"Accepted{least} by {accepted.who}, {accepted.when}: {_sentence(accepted.reason)}")
    if in_full:
        where = ", ".join(word for word in (finding.feature, finding.face) if word)
        parts.append(f"Rule: {finding.rule_name} ({where})." if where else f"Rule: {finding.rule_name}.")
        if finding.source:
            parts.append(f"Source: {_sentence(finding.source)}")
    return " ".join(parts)


def _sentence(text: str) -> str:
    """The text with a capital at its start and a stop at its end."""
    whole = f"{text[:1].upper()}{text[1:]}"
    return whole if whole.endswith((".", "!", "?")) else f"{whole}."
