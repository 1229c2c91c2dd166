"""Read files back: all that a build wrote before it is released, and one that came back from elsewhere."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Text
from templgen.errors import ReadBackError, ReadError
from templgen.progress import Progress, untold
from templgen.proof.difference import Difference, Kind, ReadBack, microns

if TYPE_CHECKING:
    from templgen.build.check import Judged
    from templgen.drawing import Drawing
    from templgen.proof.readers.model import Page, Words

__all__ = ["Proven", "Returned", "Written", "prove", "read_returned", "returned_lines"]

_SHOWN = 5  # differences in the text of our own bug
_ALIKE = 0.3  # share of common words with which a page is taken for a sheet


class Written(Struct, frozen=True):
    """A file of a build that is not released yet: its name, its format, and the drawings it has to hold."""

    name: str
    kind: str
    data: bytes
    drawings: tuple[Drawing, ...]


class Proven(Struct, frozen=True):
    """What reading back all files of a build has shown."""

    files: int
    shapes: int
    words: int
    largest_deviation_mm: float

    def __str__(self) -> str:
        shapes, files = _count(self.shapes, "shape"), _count(self.files, "file")
        return f"read back: {shapes} in {files}, largest deviation {microns(self.largest_deviation_mm)}"

    def and_also(self, other: Proven) -> Proven:
        """Return what reading back these and other files has shown."""
        return Proven(
            self.files + other.files,
            self.shapes + other.shapes,
            self.words + other.words,
            max(self.largest_deviation_mm, other.largest_deviation_mm),
        )


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def prove(written: Iterable[Written]) -> Proven:
    """Read every file back and compare it with its drawings.

    Raises ReadBackError, which names the file and what differs: such a file must not be released.
    """
    from templgen.proof.readback import read_back

    results: list[ReadBack] = []
    for file in written:
        try:
            result = read_back(file.kind, file.data, file.drawings)
        except ReadError as error:
            raise ReadBackError(f"{file.name} can not be read back: {error}") from error
        if not result.same:
            shown = "; ".join(str(difference) for difference in result.differences[:_SHOWN])
            more = len(result.differences) - _SHOWN
            tail = f"; and {more} more" if more > 0 else ""
            raise ReadBackError(f"{file.name} does not hold its drawing: {shown}{tail}")
        results.append(result)
    return Proven(
        len(results),
        sum(result.shapes for result in results),
        sum(result.words for result in results),
        max((result.largest_deviation_mm for result in results), default=0.0),
    )


class Returned(Struct, frozen=True):
    """A file that came back, what it was compared with, and what came of it.

    `notes` are facts that make no difference to a part: what the file no longer says about itself.
    """

    file: Path
    kind: str
    against: str
    drawn_shapes: int
    drawn_words: int
    result: ReadBack
    differences: tuple[Difference, ...]
    notes: tuple[str, ...]

    @property
    def same(self) -> bool:
        """Whether the file holds what the job draws, and nothing else."""
        return not self.differences


class _Candidate(Struct, frozen=True):
    """A drawing of the job that a file may be: its name as a file has it, and in words."""

    stem: str
    words: str
    drawing: Drawing


def read_returned(
    file: Path,
    job: Path,
    *,
    paper: str | None = None,
    printer: str | None = None,
    records: Path | None = None,
    progress: Progress = untold,
) -> Returned:
    """Compare a file with what the job at `job` draws now, on its own paper or another.

    With a `printer` the sheets are those corrected by its record in the folder `records`. The sheet or part
    is found by the title in the file, by the file's name, or by its content. Raises ReadError when the file
    can not be read, or is like nothing of this job; JobFaults for a faulty job.
    """
    from templgen.build.check import check_job

    data = _bytes_of(file)
    kind = _kind_of(file, data)
    judged = check_job(job, progress)
    progress("drawing the job", 1, 3)
    is_packet = kind == "pdf" and _is_packet(data)
    candidates = _parts(judged) if kind == "dxf" else _sheets(judged, paper, printer, records, is_packet)
    if not candidates:
        raise ReadError(f"{job}: this job makes no part that a {kind.upper()} file could be of")
    progress("comparing", 2, 3)
    against, drawings, result = _COMPARE[kind](data, file, candidates)
    told = [each for each in result.differences if each.kind is not Kind.ABOUT]
    told.sort(key=lambda each: _ORDER.index(each.kind))
    notes = [str(each) for each in result.differences if each.kind is Kind.ABOUT]
    if kind == "dxf" and not judged.may_cut:
        notes.append("errors stand against the job: no cut file of it would be written now")
    items = [item for drawing in drawings for item in drawing.items]
    words = sum(isinstance(item, Text) for item in items)
    whose = f"{against} of {job.name}, digest {judged.job.digest}"
    return Returned(file, kind, whose, len(items) - words, words, result, tuple(told), tuple(notes))


def _parts(judged: Judged) -> list[_Candidate]:
    from templgen.sheets import cut_drawings

    cuts = cut_drawings(judged.job, judged.assembly, judged.findings)
    return [_Candidate(cut_stem(part), f"the part {part!r}", each) for part, each in cuts.items()]


def _is_packet(data: bytes) -> bool:
    """Whether a PDF is a bench packet, by its title."""
    from templgen.proof.readers.pdf import read_pdf
    from templgen.sheets.packet.build import FRONT

    return read_pdf(data).title.endswith(f": {FRONT}")


def _sheets(
    judged: Judged, paper: str | None, printer: str | None, records: Path | None, is_packet: bool
) -> list[_Candidate]:
    from templgen.build.write import correction_of, packet_of
    from templgen.sheets import build_sheets
    from templgen.trade.paper import find_paper

    on = find_paper(paper or judged.job.paper)
    correction = correction_of(records, printer, on.name) if printer else None
    sheets = build_sheets(judged.job, judged.assembly, judged.findings, on, correction, many_pages=True)
    if is_packet:
        sheets = packet_of(judged, sheets, on, correction)
    return [_Candidate(each.name, f"the sheet {each.title!r}", each.drawing) for each in sheets]


_ORDER = (
    Kind.DIGEST,
    Kind.UNITS,
    Kind.SCALE,
    Kind.MIRROR,
    Kind.TURN,
    Kind.SHIFT,
    Kind.PAGE,
    Kind.LAYER,
    Kind.MISSING,
    Kind.MOVED,
    Kind.SIZE,
    Kind.OPEN,
    Kind.FACETED,
    Kind.FORM,
    Kind.DOUBLED,
    Kind.ADDED,
    Kind.UNREAD,
    Kind.STYLE,
    Kind.WORDS,
    Kind.ABOUT,
)
"""What spoils a part comes first."""


def cut_stem(part: str) -> str:
    """Return the name of a part's cut file, without its ending."""
    return part.replace(" ", "-")


def _bytes_of(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise ReadError(f"can not read {file}: {error.strerror or error}") from error


def _kind_of(file: Path, data: bytes) -> str:
    """Return the format of a file by its first bytes."""
    head = data[:4096]
    if b"%PDF-" in head[:1024]:
        return "pdf"
    if b"<svg" in head:
        return "svg"
    if re.match(rb"\s*(999\s*[\r\n]|0\s*[\r\n]+\s*SECTION)", head):
        return "dxf"
    raise ReadError(f"{file} is no SVG, no PDF and no DXF file in text form")


def _svg(data: bytes, file: Path, candidates: Sequence[_Candidate]) -> tuple[str, list[Drawing], ReadBack]:
    from templgen.proof.readback import compare_svg
    from templgen.proof.readers.svg import read_svg

    page = read_svg(data)
    found = _named(candidates, page.title, file.stem) or _alike(candidates, page.words)
    found = found or _nearest(file, candidates, lambda drawing: compare_svg(page, drawing))
    return found.words, [found.drawing], compare_svg(page, found.drawing)


def _dxf(data: bytes, file: Path, candidates: Sequence[_Candidate]) -> tuple[str, list[Drawing], ReadBack]:
    from templgen.proof.readback import compare_dxf
    from templgen.proof.readers.dxf import read_dxf

    part = read_dxf(data)
    title = part.comments[0].removeprefix("templgen: ") if part.comments else ""
    found = _named(candidates, title, file.stem) or _alike(candidates, part.words)
    found = found or _nearest(file, candidates, lambda drawing: compare_dxf(part, drawing))
    return found.words, [found.drawing], compare_dxf(part, found.drawing)


def _pdf(data: bytes, file: Path, candidates: Sequence[_Candidate]) -> tuple[str, list[Drawing], ReadBack]:
    from templgen.proof.readback import compare_pdf
    from templgen.proof.readers.pdf import read_pdf

    document = read_pdf(data)
    if not document.pages:
        raise ReadError(f"{file} has no pages")
    found = _pages(document.pages, candidates)
    drawings = [each.drawing for each in found]
    result = compare_pdf(document, drawings)
    left = [each.words for each in candidates if each not in found]
    if left and len(found) > 1:
        lost = Difference(Kind.PAGE, f"pages are missing: {', '.join(left)}")
        result = replace(result, differences=(lost, *result.differences))
    order = [candidates.index(each) for each in found]
    if order != sorted(order):
        wrong = Difference(Kind.PAGE, "the pages are in another order")
        result = replace(result, differences=(wrong, *result.differences))
    against = found[0].words if len(found) == 1 else f"{len(found)} of {len(candidates)} sheets"
    return against, drawings, result


_COMPARE = {"svg": _svg, "pdf": _pdf, "dxf": _dxf}


def _pages(pages: Sequence[Page], candidates: Sequence[_Candidate]) -> list[_Candidate]:
    """Return the sheet that each page is, by its words; a page like no sheet is taken for the next one."""
    left = list(candidates)
    found: list[_Candidate | None] = []
    for page in pages:
        best = _alike(left, page.words)
        found.append(best)
        if best is not None:
            left.remove(best)
    return [each or (left.pop(0) if left else candidates[-1]) for each in found]


def _named(candidates: Sequence[_Candidate], title: str, stem: str) -> _Candidate | None:
    for each in candidates:
        if title and each.drawing.info.title == title:
            return each
    return next((each for each in candidates if each.stem == stem), None)


def _alike(candidates: Sequence[_Candidate], words: Sequence[Words]) -> _Candidate | None:
    """Return the candidate with which a page has the largest share of its words in common."""
    read = Counter(each.text for each in words)

    def share(candidate: _Candidate) -> float:
        drawn = Counter(item.text for item in candidate.drawing.items if isinstance(item, Text))
        return (drawn & read).total() / max((drawn | read).total(), 1)

    best = max(candidates, key=share, default=None)
    return best if best is not None and share(best) >= _ALIKE else None


def _nearest(
    file: Path, candidates: Sequence[_Candidate], compared: Callable[[Drawing], ReadBack]
) -> _Candidate:
    """Return the candidate of which most shapes are in the file."""
    counts = [compared(each.drawing).shapes for each in candidates]
    if not any(counts):
        names = ", ".join(each.stem for each in candidates)
        raise ReadError(f"{file} is like nothing of this job; if it is, give it one of its names: {names}")
    return candidates[counts.index(max(counts))]


def returned_lines(returned: Returned) -> list[str]:
    """Return what came of reading a file, line by line, the differences that spoil a part first."""
    result = returned.result
    lines = [f"{returned.file.name}: {returned.kind.upper()}, compared with {returned.against}"]
    lines += [f"differs: {difference}" for difference in returned.differences]
    lines += [f"note: {note}" for note in returned.notes]
    found = f"{result.shapes} of {returned.drawn_shapes} shapes"
    found += f" and {result.words} of {returned.drawn_words} lines of words are as drawn"
    largest = f"largest deviation {microns(result.largest_deviation_mm)}"
    verdict = "the file is the same" if returned.same else _count(len(returned.differences), "difference")
    return [*lines, f"read back: {found}, {largest}; {verdict}"]
