"""Prove prints by scans or photos of them: what each shows, a verdict, and a picture of the residuals."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from templgen.build.check import Judged, check_job
from templgen.errors import TemplgenError
from templgen.proof.measured import Outcome, Verdict
from templgen.proof.scan.hidden import LIMITS
from templgen.proof.scan.judgement import (
    Kind,
    References,
    Sighted,
    Wanted,
    default_features,
    sight,
    verdict_of,
)
from templgen.proof.scan.lengths import parse_card, parse_rule
from templgen.proof.scan.picture import Picture, ScanError, read_picture
from templgen.proof.scan.scale import PixelSize
from templgen.proof.scan.scanner import ScannerRecord, pixel_size_of, read_scanner, write_scanner
from templgen.proof.scan.words import residual_lines, sighted_lines
from templgen.units import MM_PER_INCH, Unit

if TYPE_CHECKING:
    from templgen.drawing.markers import SheetCode
    from templgen.sheets import Sheet

__all__ = ["AskedScan", "ProvedScan", "prove_scan", "scanners_folder"]

_DEFAULT_FOLDER = Path("~", ".templgen", "scanners")
_ENVIRONMENT = "TEMPLGEN_SCANNERS"
_PAPERS = ("letter", "legal", "tabloid", "a4", "a3")


class AskedScan(Struct, frozen=True):
    """What the builder typed.

    Attributes:
        job: the job file that the sheets are of; None: judged by the distances of the crosses alone.
        rules: marks of steel rules, "LENGTH:X,Y:X,Y"; they lie in the first picture.
        card: "id-1" or the sides of a card as measured; empty: none. It lies in the first picture.
        scanner: name of a scanner that was measured before; empty: none.
        save_scanner: name under which to keep what the rules or the card say of the scanner.
        scanners: folder of the scanner records.
        photo: True: a photo; False: a scan; None: found out.
        chart: where to write the picture of residuals; of several the second is named -2 and so on.
        residuals: tell the residual of every marker too.
        date: for a scanner record.
    """

    job: Path | None = None
    rules: tuple[str, ...] = ()
    card: str = ""
    scanner: str = ""
    save_scanner: str = ""
    scanners: Path = Path()
    photo: bool | None = None
    chart: Path | None = None
    residuals: bool = False
    date: str = ""


class ProvedScan(Struct, frozen=True):
    """The answer: the worst outcome of all pictures, and everything in lines."""

    outcome: Outcome
    lines: tuple[str, ...]
    written: tuple[Path, ...] = ()


def scanners_folder(given: Path | None, environment: dict[str, str]) -> Path:
    """Return the folder of the scanner records: the given one, else the environment's, else in the home."""
    if given is not None:
        return given
    named = environment.get(_ENVIRONMENT, "").strip()
    return Path(named) if named else _DEFAULT_FOLDER.expanduser()


def prove_scan(files: Sequence[Path], asked: AskedScan) -> ProvedScan:
    """Return the verdict on sheets from pictures of them.

    What a rule or a card in the first picture tells of the scanner holds for all of the same resolution.

    Raises:
        TemplgenError: a picture, the job or a record can not be read, shows no sheet, or shows another job's.
    """
    kind = None if asked.photo is None else Kind.PHOTO if asked.photo else Kind.SCAN
    record = read_scanner(asked.scanners, asked.scanner) if asked.scanner else None
    given = References(
        tuple(parse_rule(text) for text in asked.rules), parse_card(asked.card) if asked.card else None
    )
    job = _Job(asked.job) if asked.job else None
    outcomes: list[Outcome] = []
    lines: list[str] = []
    written: list[Path] = []
    known: tuple[tuple[float, float], PixelSize] | None = None
    for number, file in enumerate(files, 1):
        picture = read_picture(file)
        references = given if number == 1 else References()
        references = replace(references, scanner=_scanner(record, picture, known))
        seen = sight(picture, references, kind)
        if number == 1 and seen.size is not None and seen.proven and picture.facts.dpi:
            known = picture.facts.dpi, seen.size
        outcome, told = _judged(seen, job, asked)
        outcomes.append(outcome)
        lines += told
        if asked.chart:
            written.append(_chart(asked.chart, number, picture, seen))
            lines.append(f"residuals drawn in {written[-1]}")
        if number == 1 and asked.save_scanner:
            written.append(_saved(asked, picture, seen))
            lines.append(f"kept in {written[-1]}; next time: --scanner {asked.save_scanner}")
    return ProvedScan(_worst(outcomes), tuple(lines), tuple(written))


def _worst(outcomes: Sequence[Outcome]) -> Outcome:
    for outcome in (Outcome.OUTSIDE, Outcome.CANNOT_JUDGE):
        if outcome in outcomes:
            return outcome
    return Outcome.INSIDE


def _scanner(
    record: ScannerRecord | None, picture: Picture, known: tuple[tuple[float, float], PixelSize] | None
) -> PixelSize | None:
    """The size of a pixel by a record, or by what lay in the first scan of this run."""
    if record is not None:
        return pixel_size_of(record, picture.facts.dpi, picture.name)
    if known is not None and picture.facts.dpi == known[0]:
        return replace(known[1], source=(*known[1].source, "in the first scan"))
    return None


def _judged(seen: Sighted, job: _Job | None, asked: AskedScan) -> tuple[Outcome, list[str]]:
    code = seen.found.code
    unit: Unit = job.unit if job else "in" if code.inches else "mm"
    if job is None:
        verdict, doubt = verdict_of(seen, default_features(seen.found))
        lines = sighted_lines(seen, verdict, doubt, unit, "")
    else:
        wanted, told, paper = job.wanted(code, seen)
        verdict, doubt = verdict_of(seen, wanted)
        lines = sighted_lines(seen, verdict, doubt, unit, told)
        lines += _advice(seen, verdict, paper)
    if asked.residuals:
        lines += residual_lines(seen)
    if job is None:
        lines.append(
            "judged without the job: by its crosses, to the default tolerance; --job JOB judges what it cuts"
        )
    return verdict.outcome if verdict else Outcome.CANNOT_JUDGE, lines


def _advice(seen: Sighted, verdict: Verdict | None, paper: str) -> list[str]:
    """What most likely happened to a print whose scale is known, and what to do about it."""
    from templgen.proof.explain import explain
    from templgen.trade.paper import find_paper

    if verdict is None or not seen.proven:
        return []
    advice = explain(verdict.solved, find_paper(paper))
    lines = [f"most likely: {advice.happened}"]
    if advice.do and verdict.outcome is Outcome.OUTSIDE:
        lines.append(f"do: {advice.do}")
    return lines


class _Job:
    """The job that sheets are of, laid out once."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.judged: Judged = check_job(path)
        self.unit: Unit = self.judged.job.unit
        self._sheets: dict[tuple[str, bool], tuple[Sheet, ...]] = {}

    def wanted(self, code: SheetCode, seen: Sighted) -> tuple[Wanted, str, str]:
        """What must come out right on the sheet that a code names, words for it, and its paper.

        Raises:
            ScanError: it is a sheet of another job, or of another state of this one.
        """
        from templgen.drawing.markers import DIGEST_DIGITS
        from templgen.sheets.proving import features_of, tolerance_of

        job = self.judged.job
        if job.digest[:DIGEST_DIGITS] != code.digest:
            raise ScanError(
                f"{seen.name}: wrong sheet: it was printed from a job file with the digest {code.digest}..., "
                f"and {self.path.name} has {job.digest}; it is of another job, or the file was changed since"
            )
        sheets, number, paper = self._paper(code, seen)
        own = [f for f in features_of(sheets, self.judged.assembly) if f.sheet == number]
        features = tuple(own) or default_features(seen.found).features
        drawing = sheets[number - 1].drawing
        on_its_side = bool(own) and (drawing.width or 0.0) > (drawing.height or 0.0)
        told = f", {sheets[number - 1].title} ({dict(drawing.info.facts).get('paper', '')})"
        return Wanted(features, tolerance_of(job), on_its_side), told, paper

    def _paper(self, code: SheetCode, seen: Sighted) -> tuple[tuple[Sheet, ...], int, str]:
        """All sheets on the paper on which the sheet of a code looks as it was seen, and that paper."""
        own = self.judged.job.paper
        for paper in (own, *(name for name in _PAPERS if name != own)):
            sheets = self._on(paper, code.corrected)
            if code.sheet <= len(sheets) and _shows(sheets[code.sheet - 1], code, self.unit):
                return sheets, code.sheet, paper
        raise ScanError(
            f"{seen.name}: sheet {code.sheet} of {self.path.name} looks different on {', '.join(_PAPERS)}: "
            "it was built for other paper (a roll, another margin), or by another version of templgen; "
            "without --job it is judged by its crosses"
        )

    def _on(self, paper: str, corrected: bool) -> tuple[Sheet, ...]:
        """All sheets on a paper; the words of a correction take room, and may turn a page."""
        from templgen.drawing import Correction
        from templgen.errors import PaperTooSmallError
        from templgen.sheets import build_sheets
        from templgen.trade.paper import find_paper

        if (paper, corrected) not in self._sheets:
            judged = self.judged
            try:
                made = build_sheets(
                    judged.job,
                    judged.assembly,
                    judged.findings,
                    find_paper(paper),
                    Correction(1.0, 1.0, 0.0, "printer", 1) if corrected else None,
                    many_pages=True,
                )
            except PaperTooSmallError:
                made = ()
            self._sheets[paper, corrected] = made
        return self._sheets[paper, corrected]


def _shows(sheet: Sheet, code: SheetCode, unit: Unit) -> bool:
    from templgen.sheets.markers import sheet_code
    from templgen.sheets.proving import crosses_of

    box = crosses_of(sheet.drawing)
    if box is None:
        return False
    return sheet_code(box, unit, code.sheet, code.digest, code.corrected) == code


def _chart(path: Path, number: int, picture: Picture, seen: Sighted) -> Path:
    from templgen.proof.scan.chart import residual_chart

    target = path if number == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(residual_chart(picture, seen))
    except OSError as error:
        raise TemplgenError(f"can not write {target}: {error.strerror or error}") from None
    return target


def _saved(asked: AskedScan, picture: Picture, seen: Sighted) -> Path:
    """Keep what was measured of the scanner."""
    size = seen.size
    if size is None or not seen.proven or picture.facts.dpi is None or not (asked.rules or asked.card):
        raise ScanError(
            f"{picture.name}: not kept as scanner {asked.save_scanner}: a record needs a scan whose file "
            "says its resolution, and a card or a rule along x and one along y in it"
        )
    x, y = (MM_PER_INCH / mm for mm in size.mm)
    off_x, off_y = (100.0 * LIMITS * u for u in size.u)
    record = ScannerRecord(
        asked.save_scanner, picture.facts.dpi, (x, y), (off_x, off_y), ", ".join(size.source), asked.date
    )
    return write_scanner(asked.scanners, record)
