"""The upper edge of a sheet: face and hand in words, axes arrows, what the sheet is, and the stop stamp."""

from __future__ import annotations

from dataclasses import dataclass

from templgen.drawing import Anchor, Item, Meaning, PathMark
from templgen.drawing.font import text_width
from templgen.geometry import Bounds, Contour, Vec
from templgen.sheets.lettering import CALLOUT, NOTE, WARNING, pitch_of, words, wrap

__all__ = ["STOP", "Axis", "Head", "header_marks"]

STOP = "DO NOT CUT"
_ARROW = 11.0
_AXES_WIDTH = 46.0


@dataclass(frozen=True, slots=True)
class Axis:
    """One axis arrow: its direction on the page and the builder's words."""

    direction: Vec
    words: str


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the top: lines of 7 mm ("OUTSIDE FACE", "LEFT HAND"), what the sheet is, why not to cut."""

    large: tuple[str, ...]
    role: str
    detail: str
    stop: str = ""


def header_marks(head: Head, axes: tuple[Axis, ...], area: Bounds) -> tuple[list[Item], str]:
    """Return the marks of the upper edge, from left to right: words, arrows, role or stamp.

    What found no room of the detail is returned too: it belongs to the notes.
    """
    items: list[Item] = []
    x, top = area.xmin + 1.0, area.ymax - 1.0
    for count, line in enumerate(head.large):
        items.append(words(line, x, top - WARNING - count * (WARNING + 4.0), WARNING, bold=True))
    x += max((text_width(line, WARNING, True) for line in head.large), default=0.0) + 4.0
    if axes:
        arrows, width = _axes(axes, x, Bounds(x, area.ymin, x + _AXES_WIDTH, area.ymax - 1.0))
        items += arrows
        x += width + 5.0
    role, rest = _role(head, Bounds(x, area.ymin, area.xmax, top))
    return [*items, *role], rest


def _role(head: Head, area: Bounds) -> tuple[list[Item], str]:
    items: list[Item] = []
    y = area.ymax
    for line in wrap(head.role, area.width, CALLOUT, bold=True):
        items.append(words(line, area.xmin, y - CALLOUT, CALLOUT, bold=True))
        y -= pitch_of(CALLOUT)
    if head.stop:
        return [*items, *_stamp(head.stop, area.xmin, y, area.width)], head.detail
    lines = wrap(head.detail, area.width, NOTE)
    room = int((y - area.ymin) / pitch_of(NOTE))
    for count, line in enumerate(lines[:room]):
        items.append(words(line, area.xmin, y - NOTE - 0.3 - count * pitch_of(NOTE), NOTE))
    return items, " ".join(lines[room:])


def _stamp(reason: str, x: float, top: float, width: float) -> list[Item]:
    """DO NOT CUT in a double box, the reason under it."""
    wide, high = text_width(STOP, WARNING, True) + 5.0, WARNING + 3.2
    boxes = [
        PathMark(
            Contour.rectangle(wide - inset, high - inset, centre=Vec(x + wide / 2, top - high / 2)),
            Meaning.FRAME,
            name="stop stamp",
        )
        for inset in (0.0, 1.4)
    ]
    items: list[Item] = [
        *boxes,
        words(STOP, x + wide / 2, top - 1.6 - WARNING, WARNING, Anchor.MIDDLE, bold=True),
    ]
    for count, line in enumerate(wrap(reason, width, NOTE)[:1]):
        items.append(words(line, x, top - high - 0.9 - NOTE - count * pitch_of(NOTE), NOTE, bold=False))
    return items


def _axes(axes: tuple[Axis, ...], left: float, area: Bounds) -> tuple[list[Item], float]:
    """Arrows from one point, the words at their tips, and how wide they are; in the middle of the height."""
    box: Bounds | None = None
    laid = []
    for axis in axes:
        lines = wrap(axis.words, _AXES_WIDTH - _ARROW - 6.0, CALLOUT)
        tip = axis.direction * _ARROW
        width = max(text_width(line, CALLOUT) for line in lines)
        high = CALLOUT + pitch_of(CALLOUT) * (len(lines) - 1)
        laid.append((axis, lines, tip, _beside(axis.direction, tip, width, high)))
        for point in (tip, laid[-1][3].corners[0], laid[-1][3].corners[2], Vec(-1.2, -1.2)):
            spot = Bounds(point.x, point.y, point.x, point.y)
            box = spot if box is None else box.union(spot)
    if box is None:
        return [], 0.0
    shift = Vec(left - box.xmin, area.centre.y - box.centre.y)
    items: list[Item] = []
    for axis, lines, _tip, place in laid:
        items += _arrow(shift, axis.direction)
        for count, line in enumerate(lines):
            y = place.ymax - CALLOUT - pitch_of(CALLOUT) * count
            items.append(words(line, shift.x + place.xmin, shift.y + y, CALLOUT))
    return items, box.width


def _beside(direction: Vec, tip: Vec, width: float, height: float) -> Bounds:
    """Where the words of an arrow stand: behind the tip, or beside it where the arrow is upright."""
    if abs(direction.x) > abs(direction.y):
        x = tip.x + 1.5 if direction.x > 0 else tip.x - 1.5 - width
        return Bounds(x, tip.y - height / 2, x + width, tip.y + height / 2)
    y = tip.y - height if direction.y > 0 else tip.y
    return Bounds(tip.x + 2.2, y, tip.x + 2.2 + width, y + height)


def _arrow(origin: Vec, direction: Vec) -> list[Item]:
    tip, back = origin + direction * _ARROW, origin + direction * (_ARROW - 3.0)
    side = direction.perp() * 0.8
    return [
        PathMark(Contour.polyline((origin, back)), Meaning.FRAME, name="axis arrow"),
        PathMark(
            Contour.polygon((tip, back + side, back - side)), Meaning.FRAME, filled=True, name="axis arrow"
        ),
    ]
