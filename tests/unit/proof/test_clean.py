"""No false alarm: all that the program writes, of all its jobs and every kind of mark, is read as drawn."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from msgspec.structs import replace

from templgen.build.demo import demo_job, demo_names
from templgen.build.readback import Written, prove
from templgen.checks import run_checks
from templgen.drawing import Correction, Drawing
from templgen.exporters.dxf import dxf_bytes
from templgen.exporters.pdf import pdf_bytes
from templgen.exporters.svg import svg_bytes
from templgen.job import library_for, read_job, read_job_text
from templgen.job.starters import starter, starter_kinds
from templgen.layout import lay_out
from templgen.proof.readback import read_back
from templgen.proof.tolerance import WITHIN
from templgen.sheets import build_sheets, cut_drawings, measuring_sheet
from templgen.trade.paper import find_paper
from tests.contract.zoo import CASES, Case, sheet, whole
from tests.unit.proof.plate import sheet as plate_sheet

WRITERS = {"svg": svg_bytes, "pdf": lambda drawing: pdf_bytes([drawing]), "dxf": dxf_bytes}
JOBS = [*(f"demo {name}" for name in demo_names()), *(f"starter {kind}" for kind in starter_kinds())]


@cache
def drawings_of(name: str) -> tuple[tuple[Drawing, ...], tuple[Drawing, ...]]:
    """Return the sheets and the cut drawings of a job that ships with the program."""
    what, _, which = name.partition(" ")
    path = demo_job(which) if what == "demo" else Path(f"{which}.toml")
    job = read_job(path) if what == "demo" else read_job_text(starter(which), path.name)
    assembly = lay_out(job, library_for(path))
    findings = run_checks(assembly, job.accept)
    sheets = build_sheets(job, assembly, findings, find_paper(job.paper))
    return tuple(each.drawing for each in sheets), tuple(cut_drawings(job, assembly, findings).values())


def written(sheets: tuple[Drawing, ...], cuts: tuple[Drawing, ...]) -> Iterator[Written]:
    yield from (Written("an SVG", "svg", svg_bytes(each), (each,)) for each in sheets)
    yield from (Written("a DXF", "dxf", dxf_bytes(each), (each,)) for each in cuts)
    yield Written("a PDF", "pdf", pdf_bytes(sheets), sheets)


@pytest.mark.parametrize("name", JOBS)
def test_jobs(name: str) -> None:
    sheets, cuts = drawings_of(name)
    proven = prove(written(sheets, cuts))
    marks = sum(len(each.items) for each in sheets) * 2 + sum(len(each.items) for each in cuts)
    assert proven.shapes + proven.words == marks
    assert proven.largest_deviation_mm < WITHIN["pdf"]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_measuring_sheets(paper: str, unit: str) -> None:
    sheets = tuple(each.drawing for each in measuring_sheet(find_paper(paper), unit))  # type: ignore[arg-type]
    assert prove(written(sheets, ())).shapes > 0


@pytest.mark.parametrize("kind", WRITERS)
@pytest.mark.parametrize("case", CASES, ids=str)
def test_every_kind_of_mark(kind: str, case: Case) -> None:
    drawing = sheet(case.mark)
    result = read_back(kind, WRITERS[kind](drawing), drawing)
    assert result.differences == ()
    assert result.shapes == 1


@pytest.mark.parametrize("kind", WRITERS)
def test_everything_at_once(kind: str) -> None:
    drawing = whole()
    result = read_back(kind, WRITERS[kind](drawing), drawing)
    assert result.differences == ()
    assert result.shapes + result.words == len(drawing.items)


@pytest.mark.parametrize("kind", ["svg", "pdf"])
@pytest.mark.parametrize(
    "correction", [Correction(1.004, 0.997), Correction(0.98, 0.98), Correction(1.001, 1.002, 0.2)], ids=repr
)
def test_a_printers_correction_is_taken_back(kind: str, correction: Correction) -> None:
    for drawing in (whole(), plate_sheet()):
        corrected = replace(drawing, correction=correction)
        result = read_back(kind, WRITERS[kind](corrected), corrected)
        assert result.differences == ()
        assert result.largest_deviation_mm < WITHIN[kind]


@pytest.mark.parametrize("kind", ["svg", "pdf"])
def test_a_correction_that_was_not_asked_for_is_told(kind: str) -> None:
    corrected = replace(plate_sheet(), correction=Correction(1.004, 0.997))
    result = read_back(kind, WRITERS[kind](corrected), plate_sheet())
    assert "scaled 1.0040 in x and 0.9970 in y" in str(result.differences[0])


@pytest.mark.parametrize("kind", WRITERS)
def test_an_empty_drawing(kind: str) -> None:
    result = read_back(kind, WRITERS[kind](sheet()), sheet())
    assert (result.shapes, result.words, result.largest_deviation_mm, result.differences) == (0, 0, 0.0, ())
