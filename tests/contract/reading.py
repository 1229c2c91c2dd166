"""How the contract tests read what an exporter wrote. A new exporter needs a reader here, or they fail."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from templgen.proof.readers.dxf import read_dxf
from templgen.proof.readers.model import Outline, Point, Words
from templgen.proof.readers.pdf import read_pdf
from templgen.proof.readers.svg import read_svg
from templgen.proof.tolerance import WITHIN

__all__ = ["PICTURES", "READERS", "WITHIN", "Reading", "apart", "farthest"]


@dataclass(frozen=True, slots=True)
class Reading:
    """What a file holds; the page is None where the format has none."""

    outlines: tuple[Outline, ...]
    words: tuple[Words, ...]
    page: tuple[float, float] | None


def _svg(data: bytes) -> Reading:
    page = read_svg(data)
    return Reading(page.outlines, page.words, (page.width, page.height))


def _pdf(data: bytes) -> Reading:
    (page,) = read_pdf(data).pages
    return Reading(page.outlines, page.words, (page.width, page.height))


def _dxf(data: bytes) -> Reading:
    part = read_dxf(data)
    return Reading(part.outlines, part.words, None)


READERS: dict[str, Callable[[bytes], Reading]] = {"svg": _svg, "pdf": _pdf, "dxf": _dxf}
PICTURES = frozenset({"png"})
"""Formats of dots; test_pictures.py looks at them."""


def apart(outline: Outline, truth: Sequence[Point]) -> float:
    """Return how far a line that was read and its truth, a chain of close points, lie apart at the most.

    Each is asked about by some of its points; the other is there in chords so short that they add
    nothing that counts.
    """
    some = [*truth[:: max(1, len(truth) // 150)], truth[-1]]
    dense = outline.points(max(16, 6000 // len(outline.pieces)))
    return max(farthest(outline.points(24), truth), farthest(some, dense))


def farthest(points: Sequence[Point], line: Sequence[Point]) -> float:
    """Return the greatest distance of points from a chain of chords."""
    p = np.asarray(points)[:, None, :]
    ends: npt.NDArray[np.float64] = np.asarray(line)
    start, along = ends[None, :-1, :], np.diff(ends, axis=0)[None, :, :]
    length = np.maximum((along**2).sum(axis=2), 1e-30)
    t = np.clip(((p - start) * along).sum(axis=2) / length, 0.0, 1.0)
    gaps = np.hypot(*np.moveaxis(p - start - t[:, :, None] * along, 2, 0))
    return float(gaps.min(axis=1).max())
