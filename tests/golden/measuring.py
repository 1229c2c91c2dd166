"""Measures results with readers that share no code with the writers, against facts worked out by hand."""

from __future__ import annotations

import cmath
import math
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from templgen.build.write import build_job
from templgen.proof.readers.dxf import Part, read_dxf
from templgen.proof.readers.model import Bow, Outline, Page, Point, Round
from templgen.proof.readers.pdf import PdfFile, read_pdf
from templgen.proof.readers.svg import read_svg
from tests.readers.gdal_reader import Feature, read_with_gdal
from tests.readers.raster import pdf_words

__all__ = [
    "CUT_FILE_HOLES",
    "HERE",
    "JOBS",
    "WITHIN",
    "Laid",
    "Result",
    "build",
    "facts_of",
    "laid",
    "numbered",
    "one",
    "radii",
    "turn_of",
]

HERE = Path(__file__).parent
JOBS = ("asymmetric_mast", "left_hand_inside", "metric_mast")

CUT_FILE_HOLES = ("hole", "do_not_cut")
"""The layers of a cut file that have holes: those that are cut, and those drilled through another part."""

WITHIN = 0.002
"""How far a place in any output may be from the words, mm."""


def facts_of(job: str) -> dict[str, Any]:
    """Return the facts of a job; the numbers of holes as whole numbers."""
    facts = tomllib.loads((HERE / job / "facts.toml").read_text())
    places: Mapping[str, Point] = facts["holes"]["places"]
    facts["holes"]["places"] = {int(number): (place[0], place[1]) for number, place in places.items()}
    return facts


@dataclass(frozen=True)
class Result:
    """The files of one build, read when they are asked for."""

    folder: Path

    @cached_property
    def sheets(self) -> dict[str, Page]:
        """The SVG sheets by the name of their file, without its number."""
        files = sorted((self.folder / "sheets").glob("*.svg"))
        return {file.stem.partition("-")[2]: read_svg(file.read_bytes()) for file in files}

    @cached_property
    def pdf(self) -> PdfFile:
        """The PDF, its pages in the order of the sheets."""
        return read_pdf(self.pdf_bytes)

    @cached_property
    def pdf_bytes(self) -> bytes:
        """The PDF as it is."""
        return (self.folder / "sheets.pdf").read_bytes()

    def page(self, sheet: str) -> Page:
        """The page of the PDF that shows a sheet."""
        return self.pdf.pages[self.number(sheet)]

    def number(self, sheet: str) -> int:
        """The number of a sheet in the PDF, from 0."""
        return list(self.sheets).index(sheet)

    def viewer_words(self, sheet: str) -> str:
        """The words of a page as a viewer's search finds them."""
        return pdf_words(self.pdf_bytes, self.number(sheet))

    @cached_property
    def plate(self) -> Part:
        """The cut file of the base plate."""
        return read_dxf(self._cut)

    @cached_property
    def plate_by_gdal(self) -> list[Feature]:
        """The same, by GDAL."""
        return read_with_gdal(self._cut)

    @property
    def _cut(self) -> bytes:
        return (self.folder / "cut" / "base-plate.dxf").read_bytes()

    @property
    def schedule(self) -> list[list[str]]:
        """The rows of the drill schedule, its title, notes and head first."""
        import csv

        with (self.folder / "drill-schedule.csv").open(newline="") as file:
            return list(csv.reader(file))


def build(job: Path, out: Path) -> Result:
    """Build a job without previews."""
    build_job(job, out, previews=False)
    return Result(out)


@dataclass(frozen=True, slots=True)
class Laid:
    """A sheet laid on a frame: turned and moved, mirrored first if it shows the other side; never scaled."""

    turn: complex
    shift: complex
    mirrored: bool

    def at(self, place: Sequence[float]) -> Point:
        """Return where a place of the frame is on the sheet."""
        moved = self.turn * _number(place, self.mirrored) + self.shift
        return moved.real, moved.imag

    def along(self, direction: Sequence[float]) -> Point:
        """Return how a direction of the frame runs on the sheet."""
        moved = self.turn * _number(direction, self.mirrored)
        return moved.real, moved.imag


def _number(place: Sequence[float], mirrored: bool) -> complex:
    return complex(place[0], -place[1] if mirrored else place[1])


def laid(frame: tuple[Point, Point], sheet: tuple[Point, Point], mirrored: bool) -> Laid:
    """Lay two places of a sheet on two of a frame: direction and middle agree, a length is not forced to."""
    first, second = (_number(place, mirrored) for place in frame)
    p, q = (complex(*place) for place in sheet)
    turn = cmath.rect(1.0, cmath.phase((q - p) / (second - first)))
    return Laid(turn, (p + q) / 2 - turn * (first + second) / 2, mirrored)


def numbered(page: Page) -> dict[int, Round]:
    """Return the holes of an SVG sheet by the number that each is named by, also those that are drilled
    through another part and stand on this one for reference."""
    layers = ("hole", "locating-hole", "reference-hole")
    found = [circle for layer in layers for circle in page.circles(layer)]
    holes = {int(circle.name): circle for circle in found if circle.name.isdigit()}
    assert len(holes) == sum(circle.name.isdigit() for circle in found), "a hole is there twice"
    return holes


def one(outlines: Iterable[Outline]) -> Outline:
    """Return the only outline there is."""
    (outline,) = outlines
    return outline


def radii(outline: Outline) -> list[float]:
    """Return the radii of the arcs of an outline, each once, to a tenth of a micrometre, falling."""
    scaled = {
        round(piece.radius * math.hypot(piece.matrix[0], piece.matrix[1]), 4)
        for piece in outline.pieces
        if isinstance(piece, Bow)
    }
    return sorted(scaled, reverse=True)


def turn_of(first: Point, second: Point, third: Point) -> float:
    """Return twice the area of a triangle of three places, positive if they run counter-clockwise."""
    (x, y), (u, v) = ((p[0] - first[0], p[1] - first[1]) for p in (second, third))
    return x * v - y * u
