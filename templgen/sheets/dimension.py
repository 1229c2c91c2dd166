"""Dimensions on a figure: extension lines, a line with arrow heads, words in the middle."""

from __future__ import annotations

from templgen.drawing import Anchor, Item, LineMark, Meaning, PathMark
from templgen.geometry import Contour, Line, Vec
from templgen.sheets.lettering import NOTE, words

__all__ = ["arrow", "dimension"]

_HEAD = 2.4
_GAP = 0.9


def arrow(tip: Vec, way: Vec) -> Item:
    """Return a filled arrow head that points along `way` and ends at `tip`."""
    back, side = tip - way * _HEAD, way.perp() * (_HEAD * 0.18)
    return PathMark(
        Contour.polygon((tip, back + side, back - side)), Meaning.DIMENSION, filled=True, name="arrow"
    )


def dimension(a: Vec, b: Vec, off: float, text: str) -> list[Item]:
    """Return a dimension between two points, its line `off` mm to the left of the way from `a` to `b`.

    The words, if any, stand outside the line; they are read from below, at an upright line from the right.
    """
    along = (b - a).unit()
    out = along.perp() * (1.0 if off >= 0 else -1.0)
    start, end = a + out * abs(off), b + out * abs(off)
    items: list[Item] = [
        LineMark(Line(a + out * _GAP, start + out * 1.5), Meaning.DIMENSION),
        LineMark(Line(b + out * _GAP, end + out * 1.5), Meaning.DIMENSION),
        LineMark(Line(start, end), Meaning.DIMENSION),
        arrow(start, -along),
        arrow(end, along),
    ]
    if not text:
        return items
    middle = start.towards(end, 0.5)
    if abs(along.y) > abs(along.x):
        x = middle.x - 1.0 if out.x < 0 else middle.x + 1.0 + NOTE
        return [*items, words(text, x, middle.y, NOTE, Anchor.MIDDLE, angle=90.0)]
    y = middle.y + 1.2 if out.y > 0 else middle.y - 1.2 - NOTE
    return [*items, words(text, middle.x, y, NOTE, Anchor.MIDDLE)]
