"""Prove a print: readings against the job's own sheets, a verdict, and what is kept of a printer."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from templgen.build.check import Judged, check_job
from templgen.drawing import Correction
from templgen.errors import TemplgenError
from templgen.geometry import Bounds
from templgen.proof.explain import Feed, explain
from templgen.proof.measured import Outcome, Verdict, judge
from templgen.proof.reading import (
    DIAGONALS,
    Nominal,
    Typed,
    nominals_of,
    parse_typed,
    questions_of,
    reading_of,
    rulers_of,
)
from templgen.proof.record_file import known_record, read_record, records_folder, write_record
from templgen.proof.records import PrinterRecord, RecordError, kept_proof
from templgen.proof.stretch import Contradiction, Reading, solve
from templgen.proof.verdict_words import verdict_lines
from templgen.sheets import Sheet, build_sheets
from templgen.sheets.proving import crosses_of, features_of, tolerance_of
from templgen.trade.paper import Paper, find_paper
from templgen.units import Unit, format_length, parse_length

__all__ = ["Asked", "Proved", "printer_correction", "prove_measured"]


class Asked(Struct, frozen=True):
    """What the builder typed.

    Attributes:
        x, y, diagonals: readings, each "measured" or "measured/nominal"; diagonals A to C first, then D to B.
        read_to: how far a reading may be off either way.
        sheet: number of the sheet that was measured; None: the first template.
        paper: its paper; None: the job's own.
        sure: the readings were looked at again: ask nothing.
        printer: its name; empty where nothing is known or kept of it.
        corrected: number of the correction on the print; 0: none; None: not said.
        save: keep the proof in the printer's record.
        records: folder of the records.
        feed: side along which the printer moves the paper.
        date: of the proof, as the record shall say it.
    """

    x: tuple[str, ...]
    y: tuple[str, ...]
    diagonals: tuple[str, ...] = ()
    read_to: str = "0.5 mm"
    sheet: int | None = None
    paper: str | None = None
    sure: bool = False
    printer: str = ""
    corrected: int | None = None
    save: bool = False
    records: Path = Path()
    feed: Feed = ""
    date: str = ""


class Proved(Struct, frozen=True):
    """The answer in lines, and where a record was written."""

    outcome: Outcome
    lines: tuple[str, ...]
    saved: Path | None = None


class _Measured(Struct, frozen=True):
    """The sheet that was measured, among all sheets of the job."""

    judged: Judged
    sheets: tuple[Sheet, ...]
    number: int
    paper: Paper
    crosses: Bounds

    @property
    def sheet(self) -> Sheet:
        return self.sheets[self.number - 1]

    @property
    def on_its_side(self) -> bool:
        return (self.sheet.drawing.width or 0.0) > (self.sheet.drawing.height or 0.0)


def printer_correction(folder: Path, name: str, paper: str) -> Correction:
    """Return the correction of a printer for a page that stands upright.

    Raises:
        RecordError: there is no such record, or it is for other paper.
    """
    record = known_record(folder, name)
    _require_paper(record, paper)
    return record.correction()


def prove_measured(path: Path, asked: Asked) -> Proved:
    """Return the verdict on a print from lengths measured on it; keep it where that was asked for.

    Raises:
        TemplgenError: the job, a reading or the printer's record can not be read or do not fit together.
    """
    judged = check_job(path)
    paper = find_paper(asked.paper or judged.job.paper)
    record = _record(asked, paper)
    correction = record.correction(asked.corrected or 0) if record and asked.corrected is not None else None
    off, typed = _typed(asked, judged.job.unit)
    sheets = build_sheets(judged.job, judged.assembly, judged.findings, paper, correction, many_pages=True)
    measured = _measured_sheet(judged, sheets, paper, asked.sheet)
    readings, questions = _readings(measured, typed, off)
    if questions and not asked.sure:
        told = [*questions, "Nothing was judged. Type it again, or add --sure if it stays as it is."]
        return Proved(Outcome.CANNOT_JUDGE, tuple(told))
    try:
        return _proved(measured, readings, asked, record)
    except Contradiction as error:
        return Proved(Outcome.CANNOT_JUDGE, (str(error),))


def _record(asked: Asked, paper: Paper) -> PrinterRecord | None:
    """The record that a proof reads or goes on with; refuses what would mix up corrections."""
    if not asked.printer:
        if asked.save or asked.corrected:
            raise RecordError("--save and --corrected need --printer NAME")
        return None
    if not asked.date.isprintable():
        raise RecordError("--date: one line of plain text is needed")
    record = read_record(asked.records, asked.printer)
    if record is None and asked.corrected:
        record = known_record(asked.records, asked.printer)
    if record is None:
        return PrinterRecord(asked.printer, paper.name, asked.feed) if asked.save else None
    _require_paper(record, paper.name)
    if asked.save and record.in_force and asked.corrected is None:
        raise RecordError(
            f"printer {record.name} has a correction: does the sheet say CORRECTED FOR PRINTER "
            f"{record.name}, with rings at the crosses? Then add --corrected and its number, else "
            "--corrected 0"
        )
    return replace(record, feed=asked.feed or record.feed)


def _require_paper(record: PrinterRecord, paper: str) -> None:
    if record.paper != paper:
        raise RecordError(
            f"the record of printer {record.name} is for {record.paper} paper, this is {paper}: another "
            f"paper is fed in another way; measure it under another name, or take --paper {record.paper}"
        )


def _measured_sheet(judged: Judged, sheets: tuple[Sheet, ...], paper: Paper, number: int | None) -> _Measured:
    with_crosses = [n for n, sheet in enumerate(sheets, 1) if crosses_of(sheet.drawing) is not None]
    known = ", ".join(str(each) for each in with_crosses)
    if not with_crosses:
        raise TemplgenError("no sheet of this job has crosses to measure")
    if number is None:
        templates = [n for n in with_crosses if sheets[n - 1].kind == "template"]
        number = (templates or with_crosses)[0]
    if number not in with_crosses:
        raise TemplgenError(f"--sheet {number} has no crosses; the sheets with crosses are {known}")
    crosses = crosses_of(sheets[number - 1].drawing)
    assert crosses is not None  # noqa: S101  it is one of those with crosses
    return _Measured(judged, sheets, number, paper, crosses)


def _typed(asked: Asked, unit: Unit) -> tuple[float, list[tuple[int, Typed]]]:
    """How far a reading may be off, mm, and what was typed with the place of its nominal among four."""
    off = parse_length(asked.read_to, unit).mm
    if off <= 0.0:
        raise TemplgenError(
            f'--read-to "{asked.read_to}": nobody reads a rule exactly; say how far off it may be'
        )
    if len(asked.diagonals) > len(DIAGONALS):
        raise TemplgenError("--diagonal is given twice at most: A to C, then D to B")
    texts = [*((0, text) for text in asked.x), *((1, text) for text in asked.y)]
    texts += [*enumerate(asked.diagonals, start=2)]
    return off, [(place, parse_typed(text, unit)) for place, text in texts]


def _readings(
    measured: _Measured, typed: Sequence[tuple[int, Typed]], off: float
) -> tuple[list[Reading], list[str]]:
    """The readings, and what must be asked about them."""
    own = nominals_of(measured.crosses, measured.number)
    everywhere = [nominal for nominals in _all_nominals(measured.sheets) for nominal in nominals]
    rulers = rulers_of(measured.sheet.drawing, measured.number)
    readings: list[Reading] = []
    questions: list[str] = []
    for place, each in typed:
        reading = reading_of(each, own[place], off)
        _require_on_page(reading, measured)
        readings.append(reading)
        others = [*everywhere, *(ruler for ruler in rulers if ruler.along.cross(own[place].along) == 0.0)]
        questions += questions_of(reading, own[place], others, measured.judged.job.unit)
    return readings, questions


def _all_nominals(sheets: Sequence[Sheet]) -> list[tuple[Nominal, ...]]:
    boxes = [(number, crosses_of(sheet.drawing)) for number, sheet in enumerate(sheets, 1)]
    return [nominals_of(box, number) for number, box in boxes if box is not None]


def _require_on_page(reading: Reading, measured: _Measured) -> None:
    drawing = measured.sheet.drawing
    for length, room in ((reading.along.x, drawing.width), (abs(reading.along.y), drawing.height)):
        if room is not None and length > room:
            raise TemplgenError(
                f"{reading.what}: {reading.nominal:.2f} mm does not lie on sheet {measured.number}, which is "
                f"{drawing.width:.1f} mm wide and {drawing.height:.1f} mm high"
            )


def _proved(
    measured: _Measured, readings: Sequence[Reading], asked: Asked, record: PrinterRecord | None
) -> Proved:
    judged = measured.judged
    unit: Unit = judged.job.unit
    seen = solve(readings)
    upright = seen.turned() if measured.on_its_side else seen
    features = features_of(measured.sheets, judged.assembly)
    if not features:
        raise TemplgenError("nothing on these sheets is cut or drilled: there is nothing to prove")
    verdict = judge(upright, readings, features, tolerance_of(judged.job))
    advice = explain(upright, measured.paper, record.feed if record else asked.feed)
    saved, told = _saved(measured, verdict, record, asked) if asked.save and record else (None, [])
    if saved is not None and advice.is_printer:
        advice = replace(advice, do="")
    lines = [_sheet_line(measured, asked, unit), *verdict_lines(verdict, seen, advice, unit)]
    return Proved(verdict.outcome, (*lines, *told), saved)


def _sheet_line(measured: _Measured, asked: Asked, unit: Unit) -> str:
    box = measured.crosses
    facts = dict(measured.sheet.drawing.info.facts)
    corrected = f", correction {asked.corrected} of {asked.printer}" if asked.corrected else ""
    sides = f"{format_length(box.width, unit)} by {format_length(box.height, unit)}"
    return f"sheet {measured.number}, {measured.sheet.title} ({facts['paper']}{corrected}), crosses {sides}"


def _saved(
    measured: _Measured, verdict: Verdict, record: PrinterRecord, asked: Asked
) -> tuple[Path | None, list[str]]:
    """Write the proof into the printer's record, unless it must not be kept."""
    job = measured.judged.job
    try:
        proof = kept_proof(
            record,
            verdict,
            job=job.file,
            digest=job.digest,
            sheet=measured.sheet.name,
            corrected=asked.corrected or 0,
            date=asked.date,
        )
    except RecordError as error:
        return None, [f"not kept: {error}"]
    longer = record.with_proof(proof)
    path = write_record(asked.records, longer)
    is_inside = verdict.outcome is Outcome.INSIDE
    why = "inside the tolerance" if is_inside else "true as far as it was read"
    if proof.printer is None:
        force = f"correction {longer.in_force} stays" if longer.in_force else "no correction"
        return path, [f"kept in {path}: the print is {why}, {force}"]
    found = longer.correction()
    factors = f"x {found.x:.4f} y {found.y:.4f} skew {found.skew:.2f} degrees, for an upright page"
    start = f"kept in {path}: "
    if verdict.may_be_true:
        start += f"the print is {why} without correction {record.in_force}, which no longer holds; "
    return path, [
        f"{start}correction {longer.in_force}, {factors}",
        f"next: templgen build {measured.judged.job.file} --printer {_argument(record.name)}{_where(asked)}",
    ]


def _argument(text: str) -> str:
    return f'"{text}"' if " " in text else text


def _where(asked: Asked) -> str:
    """The option that names the folder of the records, where it is not the usual one."""
    usual = records_folder(None, os.environ)
    return "" if asked.records == usual else f" --records {_argument(str(asked.records))}"
