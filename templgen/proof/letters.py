"""The outlines of words in an SVG against the letters of the shipped font, all of them, letter by letter."""

from __future__ import annotations

import math
from functools import cache, lru_cache
from itertools import pairwise

from templgen.drawing.font import glyph_outlines
from templgen.errors import ReadError
from templgen.proof.readers.svg_path import Step, absolute_steps, letters

__all__ = ["letters_deviation"]


def letters_deviation(path: str, text: str, bold: bool) -> float:
    """Return how far the outlines of words leave those of the font, in font units.

    Infinite when they are other letters, or none. A text repeats few letters, so each is compared once.
    """
    placed = letters(path)
    wanted = [(place, sign) for sign, place, outline in glyph_outlines(text, bold) if outline]
    if placed is None or len(placed) != len(wanted):
        return _whole_deviation(path, text, bold)
    worst = 0.0
    for (x, y, steps), (place, sign) in zip(placed, wanted, strict=True):
        worst = max(worst, abs(x - place), abs(y), _letter_deviation(steps, sign, bold))
    return worst


@lru_cache(maxsize=4096)
def _letter_deviation(steps: str, sign: str, bold: bool) -> float:
    try:
        return _far(list(absolute_steps(f"M0 0{steps}"))[1:], _drawn(sign, bold))
    except ReadError:
        return math.inf


@cache
def _drawn(sign: str, bold: bool) -> list[Step]:
    """Return the steps of a letter as SVG counts, y downwards."""
    ((_, _, outline),) = glyph_outlines(sign, bold)
    return [
        (kind, tuple(value if index % 2 == 0 else -value for index, value in enumerate(places)))
        for kind, places in outline
    ]


def _far(read: list[Step], drawn: list[Step]) -> float:
    if [kind for kind, _ in read] != [kind for kind, _ in drawn]:
        return math.inf
    pairs = [pair for (_, a), (_, b) in zip(read, drawn, strict=True) for pair in zip(a, b, strict=True)]
    return max((abs(a - b) for a, b in pairs), default=0.0)


def _whole_deviation(path: str, text: str, bold: bool) -> float:
    """The same for a path that another program has written in its own way."""
    drawn: list[Step] = []
    for sign, place, _ in glyph_outlines(text, bold):
        for kind, places in _drawn(sign, bold):
            drawn.append((kind, tuple(v + (0 if i % 2 else place) for i, v in enumerate(places))))
    try:
        read = list(absolute_steps(path))
    except ReadError:
        return math.inf
    moved = [step for step, after in pairwise([*read, ("", ())]) if (step[0], after[0]) != ("M", "M")]
    return _far(moved, drawn)
