"""Where words may stand: what is taken on a page, and the search for free places.

Nothing is ever made smaller to fit. A label tries its places, with and without a leader, with long and short
words; what finds no place is reported to the caller, who puts it into a table.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from templgen.drawing import Anchor, ArcMark, CircleMark, Item, LineMark, Meaning, PathMark, Text
from templgen.geometry import Bounds, Contour, Line, Side, Vec, flatten, locate
from templgen.sheets.lettering import NOTE, bounds_of, pitch_of, words
from templgen.sheets.ways import cells, crosses, distance_to, passes

__all__ = ["BARRIERS", "HOLES", "LEADER", "Label", "Placed", "Space", "chords", "place"]

BARRIERS = frozenset({Meaning.CUT, Meaning.ROUGH, Meaning.BUTT})
"""Lines that no leader may cross."""
HOLES = frozenset({Meaning.HOLE, Meaning.LOCATING_HOLE, Meaning.EXISTING})
LEADER = "leader"
"""Name of the paths that are leaders."""

_CELL = 8.0
_CHORD = 0.02
_TEXT_GAP = 0.9
_INK_GAP = 0.5
_CENTRE_GAP = 0.8
_ARROW = 2.0
_INSET = 6.0
_LEADER_GAP = 0.7
_RINGS = (4.5, 6.5, 9.0, 12.0, 15.0, 19.0, 23.0, 28.0, 34.0, 41.0, 50.0, 60.0)
_DIRECTIONS = 24
_HOP = 3.0
_UPRIGHT = Vec(1.0, 0.35)
_TURNS = [(step + 1) // 2 * (360.0 / _DIRECTIONS) * (1 if step % 2 else -1) for step in range(_DIRECTIONS)]
_SPOTS = sorted((ring + abs(turn) / 18.0, ring, turn) for ring in _RINGS for turn in _TURNS)


def chords(item: Item) -> list[Line]:
    """Return the ink of a mark as straight pieces, within 0.02 mm; a text has none."""
    match item:
        case LineMark():
            return [item.line]
        case ArcMark():
            return _between(flatten(item.arc, _CHORD))
        case CircleMark():
            return _between(flatten(Contour.circle(item.centre, item.radius), _CHORD), closed=True)
        case PathMark():
            return [piece for part in item.contour.segments for piece in _between(flatten(part, _CHORD))]
        case Text():
            return []


def _between(points: list[Vec], closed: bool = False) -> list[Line]:
    ends = [*points[1:], points[0]] if closed else points[1:]
    return [Line(a, b) for a, b in zip(points, ends, strict=False) if a.distance_to(b) > 1e-6]


@dataclass(slots=True)
class Space:
    """What is taken inside `area`: boxes of words, ink, barriers, hole centres and leaders."""

    area: Bounds
    _boxes: dict[tuple[int, int], list[Bounds]] = field(default_factory=lambda: defaultdict(list))
    _ink: dict[tuple[int, int], list[Line]] = field(default_factory=lambda: defaultdict(list))
    _barriers: dict[tuple[int, int], list[Line]] = field(default_factory=lambda: defaultdict(list))
    _centres: dict[tuple[int, int], list[Vec]] = field(default_factory=lambda: defaultdict(list))
    _leaders: list[Line] = field(default_factory=list)
    waste: list[Contour] = field(default_factory=list)
    keep: list[Contour] = field(default_factory=list)

    def take(self, items: Iterable[Item]) -> None:
        """Count marks as taken: words by their box, everything else by its ink; remember hole centres."""
        for item in items:
            if isinstance(item, Text):
                self.take_box(bounds_of(item))
                continue
            if isinstance(item, CircleMark) and item.meaning in HOLES:
                self._centres[_cell(item.centre)].append(item.centre)
            for piece in chords(item):
                self._take_piece(piece, item.meaning in BARRIERS)

    def take_box(self, box: Bounds) -> None:
        """Count a box as taken."""
        for cell in cells(box, _CELL):
            self._boxes[cell].append(box)

    def _take_piece(self, piece: Line, is_barrier: bool) -> None:
        for cell in cells(piece.bounds, _CELL):
            if passes(piece, _bounds_of_cell(cell)):
                self._ink[cell].append(piece)
                if is_barrier:
                    self._barriers[cell].append(piece)

    def is_free(self, box: Bounds) -> bool:
        """Whether words may stand in the box: inside the area, away from words, ink and hole centres."""
        if not self.holds(box):
            return False
        wide, near = box.grown(_TEXT_GAP), box.grown(_INK_GAP)
        for cell in cells(wide, _CELL):
            if any(wide.overlaps(other) for other in self._boxes.get(cell, ())):
                return False
            if any(near.grown(_CENTRE_GAP).contains(centre) for centre in self._centres.get(cell, ())):
                return False
            if any(passes(piece, near) for piece in self._ink.get(cell, ())):
                return False
        if any(passes(leader, near) for leader in self._leaders):
            return False
        return not any(_inside(box.centre, contour) for contour in self.waste)

    def holds(self, box: Bounds) -> bool:
        """Whether a box lies inside the area."""
        area = self.area
        return (
            box.xmin >= area.xmin
            and box.xmax <= area.xmax
            and box.ymin >= area.ymin
            and box.ymax <= area.ymax
        )

    def suits(self, box: Bounds, within: bool) -> bool:
        """Whether a box lies inside an outline that is kept, where that is asked for."""
        return not within or not self.keep or any(_inside(box.centre, contour) for contour in self.keep)

    def leader_is_free(self, leader: Line, tip: Vec) -> bool:
        """Whether a leader crosses no leader, barrier, word or hole centre; it may end at its `tip`."""
        shortened = _shortened(leader, 0.05)
        if shortened is None or any(crosses(shortened, other) for other in self._leaders):
            return False
        for cell in cells(leader.bounds.grown(_CENTRE_GAP), _CELL):
            if any(passes(leader, box.grown(_INK_GAP)) for box in self._boxes.get(cell, ())):
                return False
            if any(crosses(shortened, piece) for piece in self._barriers.get(cell, ())):
                return False
            for centre in self._centres.get(cell, ()):
                if centre.distance_to(tip) > 1e-6 and distance_to(centre, leader) < _CENTRE_GAP:
                    return False
        return True

    def crossings(self, leader: Line) -> int:
        """Return how many pieces of ink a leader crosses."""
        found = {piece for cell in cells(leader.bounds, _CELL) for piece in self._ink.get(cell, ())}
        return sum(crosses(leader, piece) for piece in found)

    def take_leader(self, leader: Line) -> None:
        """Count a leader as taken."""
        self._leaders.append(leader)


@dataclass(frozen=True, slots=True)
class Label:
    """Words that belong to a point of the drawing.

    `variants` are tried in order, each a tuple of lines. `targets` are the points that will do (a line has
    several), `keep` the distance that words and leader keep from them (the radius of a hole), `outwards` the
    direction preferred. `near` allows words without a leader beside the point, `far` words on a leader,
    `reach` how far they may be. `framed` draws a ring round them (numbers of findings).
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


@dataclass(frozen=True, slots=True)
class Placed:
    """A label that found its place: its words, its leader with arrow head, and which variant it is."""

    items: tuple[Item, ...]
    variant: int


@dataclass(frozen=True, slots=True)
class _Try:
    box: Bounds
    leader: Line | None
    target: Vec
    anchor: Anchor = Anchor.LEFT


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
        for target, box in _near(label, width, height):
            if space.suits(box, label.within) and space.is_free(box):
                return _Try(box, None, target)
    return _best_far(space, label, width, height) if label.far else None


def _best_far(space: Space, label: Label, width: float, height: float) -> _Try | None:
    """The cheapest free place on a leader; a leader that hops over ink costs more."""
    best, least = None, math.inf
    for cost, target, way, ring in _far(label):
        if cost >= least:
            break
        end = target + way * (label.keep + ring)
        for box, anchor in _boxes_at(label, end, way, width, height):
            if not space.holds(box) or not space.suits(box, label.within) or not space.is_free(box):
                continue
            leader = Line(target + way * label.keep, end)
            if not space.leader_is_free(leader, target):
                break
            total = cost + _HOP * space.crossings(leader)
            if total < least:
                best, least = _Try(box, leader, target, anchor), total
    return best


def _boxes_at(
    label: Label, end: Vec, way: Vec, width: float, height: float
) -> Iterator[tuple[Bounds, Anchor]]:
    """Boxes whose side touches the end of a leader, and how their lines align so that they touch it too."""
    x, y = end.x, end.y
    if label.framed:
        radius = width / 2
        middle = end + way * radius
        yield Bounds(middle.x - radius, middle.y - radius, middle.x + radius, middle.y + radius), Anchor.LEFT
        return
    if way.x >= -0.3:
        yield Bounds(x, y - height / 2, x + width, y + height / 2), Anchor.LEFT
    if way.x <= 0.3:
        yield Bounds(x - width, y - height / 2, x, y + height / 2), Anchor.RIGHT
    if abs(way.y) > 0.8:
        low = y if way.y > 0 else y - height
        inset = min(_INSET, width / 2)
        lefts = ((x - width / 2, Anchor.MIDDLE), (x - inset, Anchor.LEFT), (x - width + inset, Anchor.RIGHT))
        for left, anchor in lefts:
            yield Bounds(left, low, left + width, low + height), anchor


def _size(label: Label, lines: tuple[str, ...]) -> tuple[float, float]:
    boxes = [bounds_of(words(line, 0.0, 0.0, label.height, bold=label.bold)) for line in lines]
    width = max(box.width for box in boxes)
    height = label.height + pitch_of(label.height) * (len(lines) - 1) - min(boxes[-1].ymin, 0.0)
    if label.framed:
        side = max(width, height) + 1.6
        return side, side
    return width, height


def _near(label: Label, width: float, height: float) -> Iterator[tuple[Vec, Bounds]]:
    """Places beside the target: the corners first, where the arms of a centre mark do not reach."""
    gap = label.keep + 0.9
    out = label.outwards or _UPRIGHT
    corner = [Vec(1, 1), Vec(-1, 1), Vec(1, -1), Vec(-1, -1)]
    side = [Vec(1, 0), Vec(-1, 0), Vec(0, 1), Vec(0, -1)]
    for group, reach in ((corner, gap * 0.75), (side, gap + label.arms)):
        for way in sorted(group, key=lambda w: -w.dot(out)):
            for target in label.targets:
                point = target + Vec(way.x * reach, way.y * reach)
                yield target, _box_at(point, way, width, height)


def _far(label: Label) -> Iterator[tuple[float, Vec, Vec, float]]:
    """Cost, target, way and distance of places on a leader, the cheapest first, those outwards before others."""
    base = (label.outwards or _UPRIGHT).angle
    for cost, ring, turn in _SPOTS:
        if ring <= label.reach:
            way = Vec.polar(1.0, base + turn)
            for target in label.targets:
                yield cost, target, way, ring


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
        middle = box.centre
        items.append(CircleMark(middle, box.width / 2, Meaning.NOTE, name="finding"))
        size = bounds_of(words(lines[0], 0.0, 0.0, label.height, bold=label.bold))
        x, y = middle.x - size.width / 2, middle.y - label.height / 2
        items.append(words(lines[0], x, y, label.height, bold=label.bold))
    else:
        top = box.ymax - label.height
        x = {Anchor.LEFT: box.xmin, Anchor.MIDDLE: box.centre.x, Anchor.RIGHT: box.xmax}[found.anchor]
        for number, line in enumerate(lines):
            y = top - pitch_of(label.height) * number
            items.append(words(line, x, y, label.height, found.anchor, bold=label.bold))
    if found.leader is not None:
        items += leader_marks(found.leader, 0.0 if label.framed else _LEADER_GAP)
    return tuple(items)


def leader_marks(leader: Line, gap: float = 0.0) -> list[Item]:
    """Return a leader with an arrow head at its start; it stops `gap` mm before its end, where the words stand."""
    way = leader.direction
    tip, back = leader.start, leader.start + way * _ARROW
    side = way.perp() * (_ARROW * 0.18)
    head = Contour.polygon((tip, back + side, back - side))
    line = Contour.polyline((leader.start, leader.end - way * gap))
    return [
        PathMark(line, Meaning.DIMENSION, name=LEADER),
        PathMark(head, Meaning.DIMENSION, filled=True, name="arrow head"),
    ]


def _inside(point: Vec, contour: Contour) -> bool:
    return contour.bounds.contains(point) and locate(point, contour) is not Side.OUTSIDE


def _cell(point: Vec) -> tuple[int, int]:
    return math.floor(point.x / _CELL), math.floor(point.y / _CELL)


def _bounds_of_cell(cell: tuple[int, int]) -> Bounds:
    x, y = cell[0] * _CELL, cell[1] * _CELL
    return Bounds(x, y, x + _CELL, y + _CELL).grown(1e-9)


def _shortened(line: Line, by: float) -> Line | None:
    """The line without its first `by` mm, where it touches what it points at."""
    if line.length <= 2 * by:
        return None
    return Line(line.start + line.direction * by, line.end)
