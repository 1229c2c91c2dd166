"""Build a job: sheets, cut files, packet, lists and report as one complete new folder."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from templgen import __version__
from templgen.build.check import Judged, check_job
from templgen.build.folder import MARK, require_ours, swap_in
from templgen.build.readback import Proven, Written, cut_stem, prove
from templgen.build.report import check_json, check_lines
from templgen.progress import Progress, untold

if TYPE_CHECKING:
    from templgen.build.previews import Previews
    from templgen.drawing import Correction, Drawing
    from templgen.sheets import Sheet
    from templgen.trade.paper import Paper

__all__ = ["Built", "build_job", "correction_of", "packet_of"]


class Built(Struct, frozen=True):
    """What a build wrote: file names (relative to `folder`), what reading them back has shown, and where an
    older result went."""

    judged: Judged
    folder: Path
    files: tuple[str, ...]
    proven: Proven
    superseded: Path | None
    notes: tuple[str, ...]


def build_job(
    path: Path,
    out: Path,
    *,
    paper: str | None = None,
    printer: str | None = None,
    records: Path | None = None,
    many_pages: bool = False,
    previews: bool = True,
    progress: Progress = untold,
) -> Built:
    """Build the job at `path` into the folder `out`.

    With `many_pages` a template may take more than 50 tiles. With a `printer` the sheets, never the cut
    files, are corrected by its record in the folder `records`.
    With an error that stops cut files the folder has stamped sheets and the report but no cut files, and
    the older folder moves aside as superseded. Every SVG, PDF and DXF file is read back before the folder is
    swapped in. Raises TemplgenError without touching `out`.
    """
    from templgen.build.previews import drawn_apart
    from templgen.sheets import build_sheets, cut_drawings
    from templgen.trade.paper import find_paper

    judged = check_job(path, progress)
    require_ours(out)
    job, assembly = judged.job, judged.assembly
    on = find_paper(paper or job.paper)
    correction = correction_of(records, printer, on.name) if printer else None
    sheets = build_sheets(job, assembly, judged.findings, on, correction, many_pages=many_pages)
    cuts = cut_drawings(job, assembly, judged.findings) if judged.may_cut else {}
    steps = len(sheets) + len(cuts) + 3
    with drawn_apart(previews) as pictures:
        written = _paper_files(sheets, pictures, lambda label, done: progress(label, done, steps))
        written += _cut_files(cuts, lambda label, done: progress(label, len(sheets) + 1 + done, steps))
        progress("bench packet", steps - 2, steps)
        sound = prove(written)
        packet = _packet_file(judged, sheets, on, correction, sound)
        progress("reading back", steps - 1, steps)
        proven = sound.and_also(prove([packet]))
        written.append(packet)
        left_out = _left_out(judged)
        files = {file.name: file.data for file in written} | _report_files(path, judged, proven, left_out)
        files |= _list_files(judged)
        drawn, notes = pictures.collect()
    files |= drawn
    notes = (*left_out, *notes)
    notes += () if correction is None else (_printer_note(correction),)
    mark = {"templgen": __version__, "job": path.name, "digest": job.digest, "may_cut": judged.may_cut}
    aside = swap_in(out, files, mark=mark, keep_old=not judged.may_cut)
    return Built(judged, out, tuple(sorted((*files, MARK))), proven, aside, notes)


def packet_of(
    judged: Judged,
    sheets: tuple[Sheet, ...],
    paper: Paper,
    correction: Correction | None,
    sound: Proven | None = None,
) -> tuple[Sheet, ...]:
    """Return the pages of the bench packet of a judged job, with its finished sheets among them.

    `sound` is what reading back sheets and cut files has shown; None: they are written and read back for it.
    """
    from templgen.build.previews import drawn_apart
    from templgen.layout.work.steps import work_steps
    from templgen.sheets import cut_drawings
    from templgen.sheets.packet.build import packet_sheets
    from templgen.sheets.remarks import doubts_of, remarks_of

    job, assembly = judged.job, judged.assembly
    steps = work_steps(job, assembly, doubts_of(remarks_of(judged.findings)))
    if sound is None:
        cuts = cut_drawings(job, assembly, judged.findings) if judged.may_cut else {}
        with drawn_apart(False) as none:
            sound = prove([*_paper_files(sheets, none, untold), *_cut_files(cuts, untold)])
    return packet_sheets(job, assembly, judged.findings, sheets, steps, paper, correction, str(sound))


def correction_of(records: Path | None, printer: str, paper: str) -> Correction:
    """Return the correction of a printer for a paper, from its record in a folder (None: the usual one)."""
    from templgen.build.proof import printer_correction
    from templgen.proof.record_file import records_folder

    return printer_correction(records_folder(records, os.environ), printer, paper)


def _left_out(judged: Judged) -> tuple[str, ...]:
    """What cut files do not hold of their part, one line each."""
    from templgen.sheets import left_out_of_cuts

    told = left_out_of_cuts(judged.assembly) if judged.may_cut else {}
    return tuple(f"cut/{cut_stem(part)}.dxf: {words}" for part, words in told.items())


def _printer_note(correction: Correction) -> str:
    name = correction.printer
    if correction.is_none:
        return f"the record of printer {name} holds no correction: the sheets are as they are for any printer"
    factors = f"x {correction.x:.4f} y {correction.y:.4f} on an upright page"
    return f"the sheets are CORRECTED FOR PRINTER {name}, {factors}; the cut files are true as they are"


def _paper_files(
    sheets: tuple[Sheet, ...], pictures: Previews, progress: Callable[[str, int], None]
) -> list[Written]:
    """Every sheet as SVG, all of them as one PDF; previews are asked for."""
    from templgen.exporters.pdf import pdf_bytes
    from templgen.exporters.svg import svg_bytes

    written: list[Written] = []
    for done, sheet in enumerate(sheets):
        progress(sheet.name, done)
        svg = svg_bytes(sheet.drawing)
        written.append(Written(f"sheets/{sheet.name}.svg", "svg", svg, (sheet.drawing,)))
        pictures.ask(f"sheets/{sheet.name}.png", svg)
    progress("PDF", len(sheets))
    drawings = tuple(sheet.drawing for sheet in sheets)
    pdf = pdf_bytes(drawings, bookmarks=[sheet.title for sheet in sheets])
    return [*written, Written("sheets.pdf", "pdf", pdf, drawings)]


def _packet_file(
    judged: Judged, sheets: tuple[Sheet, ...], paper: Paper, correction: Correction | None, sound: Proven
) -> Written:
    """The bench packet: the sheets as they are, with all that the work needs besides."""
    from templgen.exporters.pdf import pdf_bytes

    pages = packet_of(judged, sheets, paper, correction, sound)
    drawings = tuple(page.drawing for page in pages)
    pdf = pdf_bytes(drawings, bookmarks=[page.title for page in pages])
    return Written("bench-packet.pdf", "pdf", pdf, drawings)


def _cut_files(cuts: dict[str, Drawing], progress: Callable[[str, int], None]) -> list[Written]:
    if not cuts:
        return []
    from templgen.exporters.dxf import dxf_bytes

    written = []
    for done, (part, drawing) in enumerate(cuts.items()):
        progress(part, done)
        written.append(Written(f"cut/{cut_stem(part)}.dxf", "dxf", dxf_bytes(drawing), (drawing,)))
    return written


def _list_files(judged: Judged) -> dict[str, bytes]:
    """The tables of the sheets and the packet, for spreadsheets, stamped as the sheets are; a plan of cutting
    only where something is cut."""
    from templgen.exporters.tables import csv_bytes
    from templgen.layout.hardware_list import hardware_list
    from templgen.layout.work.steps import work_steps
    from templgen.sheets import drill_schedule
    from templgen.sheets.cutting import cutting_list
    from templgen.sheets.header import STOP
    from templgen.sheets.remarks import doubts_of, remarks_of, stop_words
    from templgen.sheets.work_tables import steps_table

    job, assembly, remarks = judged.job, judged.assembly, remarks_of(judged.findings)
    tables = {
        "drill-schedule.csv": drill_schedule(job, assembly),
        "hardware-list.csv": hardware_list(job, assembly),
        "order-of-work.csv": steps_table(job, work_steps(job, assembly, doubts_of(remarks))),
    }
    if assembly.cutting:
        tables["cutting-plan.csv"] = cutting_list(job, assembly)
    reason = stop_words(remarks)
    stop = (f"{STOP}: {reason}",) if reason else ()
    return {
        name: csv_bytes(replace(table, notes=(*stop, *table.notes)) if stop else table)
        for name, table in tables.items()
    }


def _report_files(path: Path, judged: Judged, proven: Proven, left_out: tuple[str, ...]) -> dict[str, bytes]:
    from templgen.job.hardware import HARDWARE_FILE

    own = path.with_name(HARDWARE_FILE)
    hardware = {HARDWARE_FILE: own.read_bytes()} if own.is_file() else {}
    head = [f"job {judged.job.title}", f"file {path.name}, digest {judged.job.digest}", ""]
    lines = [*head, *check_lines(judged, short_names=True), str(proven), *left_out]
    return {
        "checks.txt": ("\n".join(lines) + "\n").encode(),
        "checks.json": check_json(judged, proven, short_names=True).encode(),
        "job.toml": path.read_bytes(),
        **hardware,
    }
