"""The face and one axis inside the outline of a part: they stay on the paper when it has been cut out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from templgen.drawing import Item, Meaning, PathMark
from templgen.drawing.font import text_width
from templgen.geometry import Bounds, Contour, Vec
from templgen.sheets.header import Axis
from templgen.sheets.lettering import NOTE, pitch_of, words
from templgen.sheets.space import Space

__all__ = ["face_stamp", "stamped_axis"]

_ARROW, _HEAD, _GAP = 7.0, 2.4, 1.2
_STEP = 1.5
_LONGEST = 14
"""An axis in more letters than this is called by its letter, as at the head of the sheet."""


def stamped_axis(names: Sequence[str]) -> tuple[int, str]:
    """Return which of the axes x and y a part is marked with, and its word: the first that is short.

    >>> stamped_axis(["towards the tail of the fuselage", "outboard"]), stamped_axis(["aft", "up"])
    ((1, 'outboard'), (0, 'aft'))
    """
    short = [number for number, name in enumerate(names) if len(name) <= _LONGEST]
    return (short[0], names[short[0]]) if short else (0, "x")


def face_stamp(space: Space, axes: Sequence[Axis], face: str) -> list[Item]:
    """Return the word of the face, and an arrow with the name of its axis, where the metal has room for both.

    `space` keeps the outline of the part; nothing is drawn on a hole, over words, where there is no room, or
    for no `face`.
    """
    if not face:
        return []
    number, name = stamped_axis([axis.words for axis in axes]) if axes else (0, "")
    lines = [face, name] if name else [face]
    left = _ARROW + _GAP if name else 0.0
    width = left + max(text_width(line, NOTE) for line in lines)
    height = _ARROW if name else NOTE
    box = _free(space, width, height)
    if box is None:
        return []
    space.take_box(box)
    low = box.ymin + (height - NOTE - pitch_of(NOTE) * (len(lines) - 1)) / 2
    items: list[Item] = [
        words(line, box.xmin + left, low + pitch_of(NOTE) * count, NOTE)
        for count, line in enumerate(reversed(lines))
    ]
    middle = Vec(box.xmin + _ARROW / 2, box.centre.y)
    return [*items, *(_arrow(middle, axes[number].direction) if name else ())]


def _free(space: Space, width: float, height: float) -> Bounds | None:
    """The free place on the metal that is nearest to the middle of the drawing."""
    area = space.area
    xs = np.arange(area.xmin, area.xmax - width, _STEP)
    ys = np.arange(area.ymin, area.ymax - height, _STEP)
    if not len(xs) or not len(ys):
        return None
    x, y = (each.ravel() for each in np.meshgrid(xs, ys))
    boxes = np.stack([x, y, x + width, y + height], axis=1)
    far = np.hypot(x + width / 2 - area.centre.x, y + height / 2 - area.centre.y)
    far[~space.free_boxes(boxes)] = np.inf
    for place in np.argsort(far, kind="stable"):
        box = Bounds(*(float(value) for value in boxes[place]))
        if not np.isfinite(far[place]):
            return None
        if space.suits(box, within=True):
            return box
    return None


def _arrow(middle: Vec, way: Vec) -> list[Item]:
    tip, back = middle + way * (_ARROW / 2), middle + way * (_ARROW / 2 - _HEAD)
    side = way.perp() * 0.7
    return [
        PathMark(Contour.polyline((middle - way * (_ARROW / 2), back)), Meaning.DIMENSION, name="face arrow"),
        PathMark(
            Contour.polygon((tip, back + side, back - side)),
            Meaning.DIMENSION,
            filled=True,
            name="face arrow",
        ),
    ]
