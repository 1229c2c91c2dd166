"""How a plane is looked at: turned and mirrored marks, and what a page shows of them.

Only geometry goes through here. Words are placed on the page afterwards, so no word is ever mirrored.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from templgen.drawing import ArcMark, CircleMark, Item, LineMark, PathMark, Text
from templgen.errors import ExportError
from templgen.geometry import Bounds, Line, Motion, Vec
from templgen.sheets.ways import span_in

__all__ = ["clipped", "moved", "moved_with_words", "view_of"]


def view_of(mirrored: bool, turn: int, middle: Vec, to: Vec) -> Motion:
    """Return the motion from a plane to the page.

    Args:
        mirrored: the plane is seen from its other side.
        turn: degrees, a multiple of 90.
        middle: the point of the plane that comes to lie on `to`, the point of the page.
    """
    motion = Motion.mirror_x() if mirrored else Motion.identity()
    motion = motion.then(Motion.rotation(float(turn)))
    return motion.then(Motion.translation(to - motion.apply(middle)))


def moved(item: Item, motion: Motion) -> Item:
    """Return a mark after a motion. Words are refused: they are set on the page."""
    match item:
        case LineMark():
            return LineMark(item.line.moved(motion), item.meaning)
        case ArcMark():
            return ArcMark(item.arc.moved(motion), item.meaning)
        case CircleMark():
            return CircleMark(motion.apply(item.centre), item.radius, item.meaning, item.name)
        case PathMark():
            return PathMark(item.contour.moved(motion), item.meaning, item.filled, item.name)
        case _:
            raise ExportError(f"the words {item.text!r} can not be moved with a view")


def moved_with_words(items: Iterable[Item], shift: Motion) -> list[Item]:
    """Return marks and words after a shift; anything but a shift would turn the words and is refused."""
    if shift.is_mirrored or shift.cos != 1.0:
        raise ExportError("words are only ever shifted")
    return [
        replace(item, at=shift.apply(item.at)) if isinstance(item, Text) else moved(item, shift)
        for item in items
    ]


def clipped(line: Line, box: Bounds) -> Line | None:
    """Return the part of a line inside a box; None when less than 1 mm is inside."""
    span = span_in(line, box)
    if span is None or (span[1] - span[0]) * line.length < 1.0:
        return None
    return line.between(*span)
