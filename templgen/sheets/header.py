"""The upper edge of a sheet: face and hand in words, axes arrows, what the sheet is, and the stop stamp."""

from __future__ import annotations

import re

from msgspec import Struct

from templgen.drawing import Anchor, Item, Meaning, PathMark
from templgen.drawing.font import text_width
from templgen.geometry import Bounds, Contour, Motion, Vec
from templgen.sheets.lettering import CALLOUT, NOTE, WARNING, pitch_of, words, wrap
from templgen.sheets.view import moved_with_words

__all__ = ["STOP", "Axis", "Head", "header_marks", "header_width"]

STOP = "DO NOT CUT"
_ARROW = 11.5
_TAIL, _BEHIND, _BESIDE = 1.2, 1.5, 2.2
_WIDEST_AXES = 42.0
_HIGHEST_AXES = 19.5
_STAMP_PAD = 5.0
_LEAST_ROLE = 48.0


class Axis(Struct, frozen=True):
    """One axis arrow: its direction on the page and the builder's words."""

    direction: Vec
    words: str


class Head(Struct, frozen=True):
    """What stands at the top: lines of 7 mm ("OUTSIDE FACE"), what the sheet is, why not to cut."""

    large: tuple[str, ...]
    role: str
    detail: str
    stop: str = ""


def header_width(head: Head, axes: tuple[Axis, ...]) -> float:
    """Return how wide the upper edge wants to be, in mm."""
    block = _axes(axes, _WIDEST_AXES)
    return 1.0 + _large_width(head) + (block.width + 5.0 if axes else 0.0) + _role_width(head) + 1.0


def header_marks(head: Head, axes: tuple[Axis, ...], area: Bounds) -> tuple[list[Item], list[str]]:
    """Return the marks of the upper edge, from left to right: words, arrows, role or stamp.

    What found no room is returned too, a paragraph each: it belongs to the notes.
    """
    items: list[Item] = []
    rest: list[str] = []
    x, top = area.xmin + 1.0, area.ymax - 1.0
    for count, line in enumerate(head.large):
        items.append(words(line, x, top - WARNING - count * (WARNING + 4.0), WARNING, bold=True))
    x += _large_width(head)
    if axes:
        block = _axes(axes, min(_WIDEST_AXES, area.xmax - x - 5.0 - _role_width(head)))
        shift = Motion.translation(Vec(x, top - (area.height - 1.0 + block.height) / 2))
        items += moved_with_words(block.items, shift)
        rest += block.rest
        x += block.width + 5.0
    role, unsaid = _role(head, Bounds(x, area.ymin, area.xmax, top))
    return [*items, *role], [*rest, *([unsaid] if unsaid else [])]


def _large_width(head: Head) -> float:
    return max((text_width(line, WARNING, True) for line in head.large), default=0.0) + 4.0


def _role_width(head: Head) -> float:
    return text_width(STOP, WARNING, True) + _STAMP_PAD if head.stop else _LEAST_ROLE


def _role(head: Head, area: Bounds) -> tuple[list[Item], str]:
    role = head.role if text_width(head.role, CALLOUT, True) <= area.width else head.role.split(":")[0]
    items: list[Item] = [words(role, area.xmin, area.ymax - CALLOUT, CALLOUT, bold=True)]
    y = area.ymax - pitch_of(CALLOUT)
    if head.stop:
        return [*items, *_stamp(head.stop, area.xmin, y, area.width)], head.detail
    said, unsaid = _sentences(head.detail, area.width, int((y - area.ymin) / pitch_of(NOTE)))
    for count, line in enumerate(wrap(said, area.width, NOTE)):
        items.append(words(line, area.xmin, y - NOTE - 0.3 - count * pitch_of(NOTE), NOTE))
    return items, unsaid


def _sentences(text: str, width: float, room: int) -> tuple[str, str]:
    """As many whole sentences as fit into `room` lines, and the rest: none goes on elsewhere."""
    sentences = re.split(r"(?<=\.)\s+", text)
    for count in range(len(sentences), 0, -1):
        said = " ".join(sentences[:count])
        if len(wrap(said, width, NOTE)) <= room:
            return said, " ".join(sentences[count:])
    return "", text


def _stamp(reason: str, x: float, top: float, width: float) -> list[Item]:
    """DO NOT CUT in a double box, the reason under it."""
    wide, high = text_width(STOP, WARNING, True) + _STAMP_PAD, WARNING + 3.2
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


class _Axes(Struct, frozen=True):
    """Both arrows with their words, the lower left corner at 0, 0; `rest` are words that found no room."""

    items: tuple[Item, ...]
    width: float
    height: float
    rest: tuple[str, ...] = ()


def _axes(axes: tuple[Axis, ...], room: float) -> _Axes:
    """The builder's words in letters of 3.5 mm, of 2.5 mm where that is too much, else in the notes."""
    for size in (CALLOUT, NOTE):
        lines = [_wrapped(axis, room, size) for axis in axes]
        block = _axes_in(axes, lines, size) if all(lines) else None
        if block is not None and block.width <= room + 1e-6 and block.height <= _HIGHEST_AXES:
            return block
    names = [["x"], ["y"]]
    block = _axes_in(axes, names, CALLOUT) or _Axes((), 0.0, 0.0)
    rest = tuple(f"Axis {name[0]}: {axis.words}." for name, axis in zip(names, axes, strict=False))
    return _Axes(block.items, block.width, block.height, rest)


def _wrapped(axis: Axis, room: float, size: float) -> list[str]:
    """The words of an axis beside their arrow; none where a word would have to be broken."""
    lies = abs(axis.direction.x) > abs(axis.direction.y)
    width = room + 1e-6 - _TAIL - (_ARROW + _BEHIND if lies else _BESIDE)
    if any(text_width(word, size) > width for word in axis.words.split()):
        return []
    return wrap(axis.words, width, size)


def _axes_in(axes: tuple[Axis, ...], lines: list[list[str]], size: float) -> _Axes | None:
    """Arrows from one point, the words at their tips; None where the words meet."""
    left = any(axis.direction.x < -0.5 for axis in axes)
    up = any(axis.direction.y > 0.5 for axis in axes)
    box = Bounds(-_TAIL, -_TAIL, _TAIL, _TAIL)
    items: list[Item] = []
    places: list[Bounds] = []
    for axis, each in zip(axes, lines, strict=False):
        width = max(text_width(line, size) for line in each)
        high = size + pitch_of(size) * (len(each) - 1)
        place = _beside(axis.direction, width, high, size, left, up)
        if any(place.grown(0.8).overlaps(other) for other in places):
            return None
        places.append(place)
        tip = axis.direction * _ARROW
        box = box.union(place).union(Bounds(tip.x, tip.y, tip.x, tip.y))
        items += _arrow(Vec(0.0, 0.0), axis.direction)
        for count, line in enumerate(each):
            items.append(words(line, place.xmin, place.ymax - size - pitch_of(size) * count, size))
    shift = Motion.translation(Vec(-box.xmin, -box.ymin))
    return _Axes(tuple(moved_with_words(items, shift)), box.width, box.height)


def _beside(direction: Vec, width: float, height: float, size: float, left: bool, up: bool) -> Bounds:
    """Where the words of an arrow stand: behind the tip; at an upright one on the side of the other arrow."""
    tip = direction * _ARROW
    if abs(direction.x) > abs(direction.y):
        x = tip.x + _BEHIND if direction.x > 0 else tip.x - _BEHIND - width
        # More than one line grow away from the upright arrow.
        low = size / 2 - height if up else -size / 2
        return Bounds(x, low, x + width, low + height)
    x = tip.x - _BESIDE - width if left else tip.x + _BESIDE
    y = tip.y - height if direction.y > 0 else tip.y
    return Bounds(x, y, x + width, y + height)


def _arrow(origin: Vec, direction: Vec) -> list[Item]:
    tip, back = origin + direction * _ARROW, origin + direction * (_ARROW - 3.0)
    side = direction.perp() * 0.8
    return [
        PathMark(Contour.polyline((origin, back)), Meaning.FRAME, name="axis arrow"),
        PathMark(
            Contour.polygon((tip, back + side, back - side)), Meaning.FRAME, filled=True, name="axis arrow"
        ),
    ]
