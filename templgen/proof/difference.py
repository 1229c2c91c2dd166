"""A difference between a file and its drawing, in plain words with its size; the result of a read-back."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from templgen.geometry import Vec
from templgen.units import format_in, format_mm

__all__ = ["Difference", "Kind", "ReadBack", "both", "microns"]


class Kind(Enum):
    """What sort of difference it is."""

    ABOUT = "what the file says about itself"
    DIGEST = "digest"
    UNITS = "units"
    PAGE = "page"
    SCALE = "scale"
    MIRROR = "mirror"
    TURN = "turn"
    SHIFT = "shift"
    LAYER = "layer"
    STYLE = "line style"
    MISSING = "missing"
    ADDED = "added"
    DOUBLED = "doubled"
    MOVED = "moved"
    SIZE = "size"
    OPEN = "open outline"
    FACETED = "faceted"
    FORM = "form"
    WORDS = "words"
    UNREAD = "not read"


class Difference(Struct, frozen=True):
    """One thing that is not as drawn.

    Attributes:
        kind: its sort.
        message: one sentence, with names and sizes.
        size: how much, in mm, where that can be said.
        layer: the layer it is on, where the format has layers.
        to: the layer it should not be on, for a mark that has changed its layer.
        place: where it is in the drawing.
        page: the page of a PDF, from 1; else 0.
    """

    kind: Kind
    message: str
    size: float | None = None
    layer: str = ""
    to: str = ""
    place: Vec | None = None
    page: int = 0

    def __str__(self) -> str:
        return f"page {self.page}: {self.message}" if self.page else self.message


class ReadBack(Struct, frozen=True):
    """What came of reading a file back.

    Attributes:
        shapes: lines, circles and outlines of the drawing that are in the file as drawn.
        words: lines of words that are.
        largest_deviation_mm: of everything that is there as drawn, the greatest distance from its place.
        differences: everything else.
    """

    shapes: int
    words: int
    largest_deviation_mm: float
    differences: tuple[Difference, ...]

    @property
    def same(self) -> bool:
        """Whether the file holds the drawing and nothing else."""
        return not self.differences


def both(length_mm: float, near: float | None = None) -> str:
    """Return a length in both units, with as many places as a small one needs.

    With `near` it has as many as a length of that size, so that two that are nearly alike differ.

    >>> both(0.31), both(0.0012)
    ('0.31 mm (0.012 in)', '0.0012 mm (0.00005 in)')
    """
    small = abs(length_mm if near is None else near)
    places = 2 if small >= 0.1 else 3 if small >= 0.01 else 4
    return f"{format_mm(length_mm, places)} ({format_in(length_mm, places + 1)})"


def microns(length_mm: float) -> str:
    """Return a tiny length in micrometres.

    >>> microns(0.00041)
    '0.4 um'
    """
    return f"{length_mm * 1000.0:.1f} um"
