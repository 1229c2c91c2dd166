"""Rulers along the bottom and the left side: inches on one edge, millimetres on the other, one zero."""

from __future__ import annotations

from templgen.drawing import Anchor, Item, LineMark, Meaning
from templgen.geometry import Line, Motion, Vec
from templgen.sheets.lettering import LEAST, words
from templgen.units import MM_PER_INCH

__all__ = ["LEAST_RULER", "RULER_WIDTH", "ruler_pair"]

RULER_WIDTH = 12.6
"""Depth of a ruler in mm, from its millimetre edge to its inch edge."""
LEAST_RULER = 4 * MM_PER_INCH
"""A ruler shorter than 4 in (and so than 100 mm) proves too little."""

_LONG, _MIDDLE, _SHORT = 3.0, 2.2, 1.4
_EIGHTHS = 8


def ruler_pair(zero: Vec, along_x: float, along_y: float) -> list[Item]:
    """Return both rulers; `zero` is their common corner, the lengths are what is free, in mm.

    The bottom ruler hangs below `zero`, the left one stands to its left: inches on the edges that meet in
    `zero`, millimetres on the edges away from it.
    """
    bottom = _ruler(along_x, Motion.translation(zero), 0.0)
    # x up, the depth to the left: the same ruler, mirrored at the diagonal.
    left = _ruler(along_y, Motion.mirror(zero, Vec(1.0, 1.0)).then(Motion.identity()), 90.0, zero)
    return [*bottom, *left]


def _ruler(length: float, motion: Motion, angle: float, zero: Vec | None = None) -> list[Item]:
    """A ruler drawn along +x from the origin, its depth towards -y, then moved."""
    shift = Motion.translation(zero).then(motion) if zero is not None else motion
    items: list[Item] = []

    def tick(x: float, top: float, depth: float) -> None:
        line = Line(Vec(x, top), Vec(x, top - depth))
        items.append(LineMark(line.moved(shift), Meaning.RULER))

    def number(text: str, x: float, middle: float) -> None:
        # The base line runs along the ruler; letters of the left ruler are read from the right.
        at = shift.apply(Vec(x, middle))
        down = Vec(0.0, -LEAST / 2) if angle == 0.0 else Vec(LEAST / 2, 0.0)
        items.append(words(text, at.x + down.x, at.y + down.y, LEAST, Anchor.MIDDLE, angle=angle))

    inches = int(length / MM_PER_INCH * _EIGHTHS)
    for count in range(inches + 1):
        whole, rest = divmod(count, _EIGHTHS)
        depth = _LONG if rest == 0 else _MIDDLE if rest == _EIGHTHS // 2 else _SHORT
        tick(count * MM_PER_INCH / _EIGHTHS, 0.0, depth)
        if rest == 0 and whole > 0:
            number(str(whole), whole * MM_PER_INCH, -_LONG - 1.6)
    millimetres = int(length)
    for count in range(millimetres + 1):
        depth = _LONG if count % 10 == 0 else _MIDDLE if count % 5 == 0 else _SHORT
        tick(float(count), -RULER_WIDTH + depth, depth)
        if count % 10 == 0 and count > 0 and length - count > 2.0:
            number(str(count), float(count), -RULER_WIDTH + _LONG + 1.6)
    for y, end in ((0.0, inches * MM_PER_INCH / _EIGHTHS), (-RULER_WIDTH, float(millimetres))):
        line = Line(Vec(0.0, y), Vec(end, y))
        items.append(LineMark(line.moved(shift), Meaning.RULER))
    number("in", 5.5, -_LONG - 1.6)
    number("mm", 4.6, -RULER_WIDTH + _LONG + 1.6)
    return items
