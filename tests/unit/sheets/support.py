"""The demo and jobs from a seed, laid out and judged once, and their sheets."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from templgen.checks import run_checks
from templgen.drawing import CircleMark, Drawing, Meaning, PathMark, Text
from templgen.geometry import Contour
from templgen.job import Job, read_job_text
from templgen.layout import lay_out
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding
from templgen.shapes import ShapeLibrary
from templgen.sheets import Sheet, build_sheets
from templgen.sheets.marks import SAMPLE
from templgen.trade.paper import find_paper
from tests.unit.sheets.random_jobs import random_job

__all__ = ["DEMO", "built", "circles", "contours", "judged", "sheet", "sheets_of", "texts"]

DEMO = files("templgen.build").joinpath("jobs/mast.toml").read_text(encoding="utf-8")


@cache
def judged(text: str) -> tuple[Job, Assembly, tuple[Finding, ...]]:
    """Job, assembly and findings of a job file."""
    job = read_job_text(text, "test.toml")
    assembly = lay_out(job, ShapeLibrary.standard())
    return job, assembly, run_checks(assembly, job.accept)


@cache
def built(text: str = DEMO, paper: str = "letter") -> tuple[Sheet, ...]:
    """All sheets of a job file on a paper."""
    return build_sheets(*judged(text), find_paper(paper))


def sheets_of(seed: int, paper: str = "letter") -> tuple[Sheet, ...]:
    """All sheets of the job of a seed."""
    return built(random_job(seed), paper)


def sheet(kind: str, text: str = DEMO, paper: str = "letter") -> Sheet:
    """The first sheet of a kind."""
    return next(each for each in built(text, paper) if each.kind == kind)


def texts(drawing: Drawing) -> list[str]:
    """All lines of words of a drawing."""
    return [item.text for item in drawing.items if isinstance(item, Text)]


def circles(drawing: Drawing, meaning: Meaning) -> list[CircleMark]:
    """Circles of one kind, the legend's samples and second rings left out."""
    named = (SAMPLE, "locating ring")
    found = (item for item in drawing.items if isinstance(item, CircleMark) and item.meaning is meaning)
    return [item for item in found if item.name not in named]


def contours(drawing: Drawing, meaning: Meaning) -> list[Contour]:
    """Closed paths of one kind, the legend's samples left out."""
    return [
        item.contour
        for item in drawing.items
        if isinstance(item, PathMark)
        and item.meaning is meaning
        and item.name != SAMPLE
        and item.contour.closed
    ]
