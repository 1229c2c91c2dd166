"""A printer, and a hand with a rule, simulated on what a PDF says.

The PDF is read by code that shares nothing with its writer. Every place goes through an affine map, and
lengths are taken from cross to cross.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from templgen.proof.readers.model import Page, Straight
from templgen.proof.readers.pdf import read_pdf

__all__ = ["Printer", "lengths"]

Place = tuple[float, float]
ARM = 3.0
"""Arms of a cross, in mm, before a correction."""


@dataclass(frozen=True)
class Printer:
    """An affine map that also turns the page and sets it off; x across the paper's short side, y along it."""

    sx: float
    sy: float
    lean: float = 0.0
    turn: float = 0.3
    shift: Place = (1.7, -0.9)

    def put(self, place: Place, page: Page) -> Place:
        """Where a place of a page comes to stand; a page on its side goes through the printer turned."""
        x, y = place if page.width < page.height else (-place[1], place[0])
        x, y = self.sx * x + self.lean * y, self.sy * y
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        return c * x - s * y + self.shift[0], s * x + c * y + self.shift[1]


def crosses(page: Page) -> list[Place]:
    """The centres of the four corner crosses: two lines of 6 mm that halve one another; A, B, C, D."""
    middles: list[Place] = []
    for outline in page.outlines:
        if len(outline.pieces) == 1 and isinstance(outline.pieces[0], Straight):
            (start, end) = outline.pieces[0].start, outline.pieces[0].end
            if abs(math.dist(start, end) / (2 * ARM) - 1.0) < 0.035:
                middles.append(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2))
    twice = [m for i, m in enumerate(middles) if any(math.dist(m, other) < 1e-3 for other in middles[:i])]
    assert len(twice) == 4
    low, high = sorted(twice, key=lambda m: m[1])[:2], sorted(twice, key=lambda m: m[1])[2:]
    (a, b), (d, c) = sorted(low), sorted(high)
    return [a, b, c, d]


def lengths(pdf: Path, printer: Printer, number: int = 1) -> list[float]:
    """A to B, A to D, A to C and D to B as they are on the printed sheet, mm."""
    page = read_pdf(pdf.read_bytes()).pages[number - 1]
    a, b, c, d = (printer.put(place, page) for place in crosses(page))
    return [math.dist(*ends) for ends in ((a, b), (a, d), (a, c), (d, b))]
