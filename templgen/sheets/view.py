"""How a plane is looked at: turned and mirrored marks, and what a page shows of them.

Only geometry goes through here. Words are placed on the page afterwards, so no word is ever mirrored.
"""

from __future__ import annotations

from collections.abc import Iterable

from templgen.drawing import ArcMark, CircleMark, Item, LineMark, PathMark
from templgen.errors import ExportError
from templgen.geometry import Bounds, Line, Motion, Vec

__all__ = ["bounds_of_items", "clipped", "moved", "view_of"]


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


def clipped(line: Line, box: Bounds) -> Line | None:
    """Return the part of a line inside a box; None when less than 1 mm is inside."""
    low, high = 0.0, 1.0
    way = line.end - line.start
    for at, along, least, most in (
        (line.start.x, way.x, box.xmin, box.xmax),
        (line.start.y, way.y, box.ymin, box.ymax),
    ):
        if along == 0.0:
            if not least <= at <= most:
                return None
            continue
        near, far = sorted(((least - at) / along, (most - at) / along))
        low, high = max(low, near), min(high, far)
    if (high - low) * line.length < 1.0:
        return None
    return Line(line.point_at(low), line.point_at(high))


def bounds_of_items(items: Iterable[Item]) -> Bounds | None:
    """Return the box round some marks (words are left out), None when there are none."""
    box: Bounds | None = None
    for item in items:
        match item:
            case LineMark():
                found = item.line.bounds
            case ArcMark():
                found = item.arc.bounds
            case CircleMark():
                r = item.radius
                found = Bounds(item.centre.x - r, item.centre.y - r, item.centre.x + r, item.centre.y + r)
            case PathMark():
                found = item.contour.bounds
            case _:
                continue
        box = found if box is None else box.union(found)
    return box
