"""Where words stand beside a drawing: places are tried, with and without a leader, until one is free.

Nothing is ever made smaller to fit. A label tries long words before short ones; what finds no place is
reported to the caller, who puts it into the notes.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from templgen.drawing import Anchor, CircleMark, Item, Meaning, PathMark
from templgen.geometry import Bounds, Contour, Line, Vec
from templgen.sheets.lettering import NOTE, bounds_of, pitch_of, words
from templgen.sheets.space import Space

__all__ = ["LEADER", "Label", "Placed", "place"]

LEADER = "leader"
"""Name of the paths that are leaders."""

_ARROW = 2.0
_LEADER_GAP = 0.9
_TOUCHES = 1e-6
_INSET = 6.0
_FRAME = 2.2
_SHORT = 2
_RINGS = (4.5, 6.5, 9.0, 12.0, 15.0, 19.0, 23.0, 28.0, 34.0, 41.0, 50.0, 60.0)
_DIRECTIONS = 24
_HOP = 3.0
_UPRIGHT = Vec(1.0, 0.35)
_TURNS = [(step + 1) // 2 * (360.0 / _DIRECTIONS) * (1 if step % 2 else -1) for step in range(_DIRECTIONS)]
_SPOTS = np.array(sorted((ring + abs(turn) / 18.0, ring, turn) for ring in _RINGS for turn in _TURNS))


class Label(Struct, frozen=True):
    """Words that belong to a point of the drawing.

    `variants` are tried in order, each a tuple of lines. `targets` are the points that will do (a line has
    several), `keep` the distance that words and leader keep from them (the radius of a hole), `outwards` the
    direction preferred. `near` allows words without a leader beside the point, `far` words on a leader,
    `reach` how far they may be. `framed` draws a ring round one line (numbers of findings). `must` are words
    that stand beside the drawing, on the same sheet, where the label itself finds no place; `lost` is
    what the notes say then, the first variant if that is enough.
    """

    targets: tuple[Vec, ...]
    variants: tuple[tuple[str, ...], ...]
    height: float = NOTE
    keep: float = 0.0
    arms: float = 0.0
    outwards: Vec | None = None
    near: bool = True
    far: bool = True
    reach: float = 60.0
    bold: bool = False
    framed: bool = False
    within: bool = False
    in_waste: bool = False
    must: str = ""
    lost: str = ""


class Placed(Struct, frozen=True):
    """A label that found its place: its words, its leader with arrow head, and which variant it is."""

    items: tuple[Item, ...]
    variant: int


class _Try(Struct, frozen=True):
    box: Bounds
    leader: Line | None
    target: Vec
    anchor: Anchor = Anchor.LEFT
    cost: float = 0.0


def place(space: Space, label: Label) -> Placed | None:
    """Put a label where it is free and count it as taken; None when no place was found.

    A label `within` tries all its variants inside the outlines that are kept before it leaves them.
    """
    if label.within:
        found = _placed(space, label)
        return found or _placed(space, replace(label, within=False))
    return _placed(space, label)


def _placed(space: Space, label: Label) -> Placed | None:
    for number, lines in enumerate(label.variants):
        best = _best(space, label, lines)
        if best is not None:
            items = _drawn(label, lines, best)
            space.take_box(best.box)
            if best.leader is not None:
                space.take_leader(best.leader)
            return Placed(items, number)
    return None


def _best(space: Space, label: Label, lines: tuple[str, ...]) -> _Try | None:
    width, height = _size(label, lines)
    if label.near:
        tries = list(_near(label, width, height))
        boxes = np.array([(t.box.xmin, t.box.ymin, t.box.xmax, t.box.ymax) for t in tries]).reshape(-1, 4)
        for number in np.flatnonzero(space.free_boxes(boxes)):
            if space.suits(tries[number].box, label.within, label.in_waste):
                return tries[number]
    return _best_far(space, label, len(lines), width, height) if label.far else None


def _best_far(space: Space, label: Label, lines: int, width: float, height: float) -> _Try | None:
    """The cheapest free place on a leader; a leader that hops over ink costs more."""
    best: _Try | None = None
    least = float("inf")
    for attempt in _far(space, label, lines, width, height):
        if attempt.cost >= least:
            break
        if attempt.leader is None or not space.leader_is_free(attempt.leader, attempt.target):
            continue
        total = attempt.cost + _HOP * space.crossings(attempt.leader)
        if total < least:
            best, least = attempt, total
    return best


def _far(space: Space, label: Label, lines: int, width: float, height: float) -> Iterator[_Try]:
    """Free places on a leader, the cheapest first, those outwards before others."""
    cost, ring, turn = (column for column in _SPOTS[_SPOTS[:, 1] <= label.reach].T)
    angle = np.radians((label.outwards or _UPRIGHT).angle + turn)
    ways = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    targets = np.array([(target.x, target.y) for target in label.targets])
    ends = targets[None, :, :] + (ways * (label.keep + ring)[:, None])[:, None, :]
    corners = _corners_at(lines, ways, width, height)
    low = ends[:, :, None, :] + corners[:, None, :, :]
    boxes = np.concatenate([low, low + np.array([width, height])], axis=3).reshape(-1, 4)
    free = space.free_boxes(np.nan_to_num(boxes, nan=-1e6))
    for flat in np.flatnonzero(free):
        spot, target_number, kind = np.unravel_index(flat, low.shape[:3])
        box = Bounds(*(float(value) for value in boxes[flat]))
        if space.suits(box, label.within, label.in_waste):
            target, way = label.targets[target_number], Vec(float(ways[spot, 0]), float(ways[spot, 1]))
            end = target + way * (label.keep + float(ring[spot]))
            leader = Line(target + way * label.keep, end)
            anchor = Anchor.LEFT if lines > _SHORT else _ANCHORS[kind]
            yield _Try(box, leader, target, anchor, float(cost[spot]))


_ANCHORS = (Anchor.LEFT, Anchor.RIGHT, Anchor.MIDDLE, Anchor.LEFT, Anchor.RIGHT)


def _corners_at(lines: int, ways: NDArray[np.float64], width: float, height: float) -> NDArray[np.float64]:
    """Lower left corners of boxes that touch the end of a leader, from that end; NaN where one does not suit.

    By the way the leader runs: words to its right, to its left, or above or below it in three places. One or
    two lines align (`_ANCHORS`) so that they touch it; more are flush left and are met where they are long.
    """
    x, y = ways[:, 0], ways[:, 1]
    steep = np.abs(y) > 0.8
    beside = np.full_like(x, -height / 2)
    beyond = np.where(y > 0, 0.0, -height)
    inset = min(_INSET, width / 2)
    is_short = lines <= _SHORT
    lefts = (
        (np.where(x >= 0.3, 0.0, np.nan), beside),
        (np.where(x <= -0.3, -width, np.nan), beside),
        (np.where(steep & is_short, -width / 2, np.nan), beyond),
        (np.where(steep, -inset, np.nan), beyond),
        (np.where(steep & (is_short | (y < 0)), inset - width, np.nan), beyond),
    )
    return np.stack([np.stack(pair, axis=1) for pair in lefts], axis=1)


def _size(label: Label, lines: tuple[str, ...]) -> tuple[float, float]:
    boxes = [bounds_of(words(line, 0.0, 0.0, label.height, bold=label.bold)) for line in lines]
    width = max(box.width for box in boxes)
    height = label.height + pitch_of(label.height) * (len(lines) - 1) - min(boxes[-1].ymin, 0.0)
    if label.framed:
        high = label.height + _FRAME
        return max(width + _FRAME, high), high
    return width, height


def _near(label: Label, width: float, height: float) -> Iterator[_Try]:
    """Places beside the target: the corners first, where the arms of a centre mark do not reach."""
    gap = label.keep + 0.9
    out = label.outwards or _UPRIGHT
    corner = [Vec(1, 1), Vec(-1, 1), Vec(1, -1), Vec(-1, -1)]
    side = [Vec(1, 0), Vec(-1, 0), Vec(0, 1), Vec(0, -1)]
    for group, reach in ((corner, gap * 0.75), (side, gap + label.arms)):
        for way in sorted(group, key=lambda w: -w.dot(out)):
            for target in label.targets:
                point = target + Vec(way.x * reach, way.y * reach)
                yield _Try(_box_at(point, way, width, height), None, target)


def _box_at(point: Vec, way: Vec, width: float, height: float) -> Bounds:
    """The box that touches `point` with the side or corner that looks back along `way`."""
    along = 0.0 if way.x > 0.35 else -width if way.x < -0.35 else -width / 2
    up = 0.0 if way.y > 0.75 else -height if way.y < -0.75 else -height / 2
    if abs(way.x) > 0.35 and abs(way.y) > 0.9 * abs(way.x):
        up = 0.0 if way.y > 0 else -height
    return Bounds(point.x + along, point.y + up, point.x + along + width, point.y + up + height)


def _drawn(label: Label, lines: tuple[str, ...], found: _Try) -> tuple[Item, ...]:
    box = found.box
    items: list[Item] = []
    if label.framed:
        items.append(_frame(box))
        x, y = box.centre.x, box.centre.y - label.height / 2
        items.append(words(lines[0], x, y, label.height, Anchor.MIDDLE, bold=label.bold))
    else:
        top = box.ymax - label.height
        x = {Anchor.LEFT: box.xmin, Anchor.MIDDLE: box.centre.x, Anchor.RIGHT: box.xmax}[found.anchor]
        for number, line in enumerate(lines):
            y = top - pitch_of(label.height) * number
            items.append(words(line, x, y, label.height, found.anchor, bold=label.bold))
    if found.leader is not None:
        items += leader_marks(found.leader, 0.0 if label.framed else _gap_before(found.leader, box))
    return tuple(items)


def _gap_before(leader: Line, box: Bounds) -> float:
    """Where a leader stops before its words: square to the side that it meets, or it runs along into them."""
    way, end = leader.direction, leader.end
    beside = min(abs(end.x - box.xmin), abs(end.x - box.xmax)) < _TOUCHES
    across = abs(way.x) if beside else abs(way.y)
    return min(_LEADER_GAP / max(across, _TOUCHES), max(_LEADER_GAP, leader.length - 1.25 * _ARROW))


def _frame(box: Bounds) -> Item:
    """A ring round one number, a box with round ends round several."""
    if box.width - box.height < 1e-6:
        return CircleMark(box.centre, box.height / 2, Meaning.NOTE, name="finding")
    contour = Contour.rectangle(box.width, box.height, box.height / 2, box.centre)
    return PathMark(contour, Meaning.NOTE, name="finding")


def leader_marks(leader: Line, gap: float = 0.0) -> list[Item]:
    """Return a leader with an arrow head at its start; it stops `gap` mm before its end, at the words."""
    way = leader.direction
    tip, back = leader.start, leader.start + way * _ARROW
    side = way.perp() * (_ARROW * 0.18)
    head = Contour.polygon((tip, back + side, back - side))
    line = Contour.polyline((leader.start, leader.end - way * gap))
    return [
        PathMark(line, Meaning.DIMENSION, name=LEADER),
        PathMark(head, Meaning.DIMENSION, filled=True, name="arrow head"),
    ]
