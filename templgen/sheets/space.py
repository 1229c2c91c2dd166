"""What is taken on a page: words, ink, hole centres and leaders.

Boxes are asked for by the thousand, so all that is taken is painted into a fine grid and boxes are counted
in its summed-area table; painting is generous, never mean. Leaders are few and are judged exactly.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from templgen.drawing import ArcMark, CircleMark, Item, LineMark, Meaning, PathMark, Text
from templgen.geometry import Bounds, Contour, Line, Side, Vec, flatten, locate
from templgen.sheets.lettering import bounds_of
from templgen.sheets.ways import cells, crosses, distance_to, passes

__all__ = ["BARRIERS", "HOLES", "INK_GAP", "Space", "chords"]

BARRIERS = frozenset({Meaning.CUT, Meaning.ROUGH, Meaning.BUTT})
"""Lines that no leader may cross."""
HOLES = frozenset({Meaning.HOLE, Meaning.LOCATING_HOLE, Meaning.REFERENCE_HOLE, Meaning.EXISTING})
INK_GAP = 0.5
"""Words keep at least this far from ink, in mm."""

_WORD_GAP = 0.5
_CENTRE_GAP = 0.8
_FINE = 0.4
_STEP = 0.2
_COARSE = 8.0
_CHORD = 0.02
_TIP = 0.05

Floats = NDArray[np.float64]


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


class Space:
    """The free places of `area`. No words may stand inside `waste`; some must stand inside `keep`."""

    def __init__(self, area: Bounds, waste: Iterable[Contour] = (), keep: Iterable[Contour] = ()) -> None:
        self.area = area
        self._waste = tuple((contour, contour.bounds) for contour in waste)
        self._keep = tuple((contour, contour.bounds) for contour in keep)
        rows, columns = math.ceil(area.height / _FINE) + 1, math.ceil(area.width / _FINE) + 1
        self._taken = np.zeros((rows, columns), dtype=bool)
        self._sums: NDArray[np.int32] | None = None
        self._words: list[Bounds] = []
        self._ink: dict[tuple[int, int], list[Line]] = defaultdict(list)
        self._barriers: dict[tuple[int, int], list[Line]] = defaultdict(list)
        self._centres: list[Vec] = []
        self._leaders: list[Line] = []

    def take(self, items: Iterable[Item]) -> None:
        """Count marks as taken: words by their box, everything else by its ink; remember hole centres."""
        pieces: list[Line] = []
        for item in items:
            if isinstance(item, Text):
                self.take_box(bounds_of(item))
                continue
            if isinstance(item, CircleMark) and item.meaning in HOLES:
                self._centres.append(item.centre)
                self._paint_box(Bounds(item.centre.x, item.centre.y, item.centre.x, item.centre.y).grown(0.6))
            found = chords(item)
            pieces += found
            for piece in found:
                for cell in cells(piece.bounds, _COARSE):
                    self._ink[cell].append(piece)
                    if item.meaning in BARRIERS:
                        self._barriers[cell].append(piece)
        self._paint(pieces)

    def take_box(self, box: Bounds) -> None:
        """Count a box of words as taken."""
        self._words.append(box)
        self._paint_box(box.grown(_WORD_GAP))

    def take_leader(self, leader: Line) -> None:
        """Count a leader as taken."""
        self._leaders.append(leader)
        self._paint([leader])

    def _paint_box(self, box: Bounds) -> None:
        left, low = self._cell(box.xmin, box.ymin)
        right, high = self._cell(box.xmax, box.ymax)
        if right >= 0 and high >= 0:
            self._taken[max(low, 0) : high + 1, max(left, 0) : right + 1] = True
        self._sums = None

    def _paint(self, pieces: Sequence[Line]) -> None:
        """Paint straight pieces point by point, closer together than the grid."""
        if not pieces:
            return
        ends = np.array([(piece.start.x, piece.start.y, piece.end.x, piece.end.y) for piece in pieces])
        start, way = ends[:, :2], ends[:, 2:] - ends[:, :2]
        steps = np.maximum(np.ceil(np.hypot(way[:, 0], way[:, 1]) / _STEP), 1.0).astype(np.int64)
        which = np.repeat(np.arange(len(pieces)), steps + 1)
        first = np.repeat(np.cumsum(steps + 1) - (steps + 1), steps + 1)
        t = (np.arange(len(which)) - first) / steps[which]
        points = start[which] + way[which] * t[:, None]
        spots = np.floor((points - (self.area.xmin, self.area.ymin)) / _FINE).astype(np.int64)
        rows, columns = self._taken.shape
        inside = (spots >= 0).all(axis=1) & (spots[:, 0] < columns) & (spots[:, 1] < rows)
        self._taken[spots[inside, 1], spots[inside, 0]] = True
        self._sums = None

    def _cell(self, x: float, y: float) -> tuple[int, int]:
        return math.floor((x - self.area.xmin) / _FINE), math.floor((y - self.area.ymin) / _FINE)

    def free_boxes(self, boxes: Floats) -> NDArray[np.bool_]:
        """Return which boxes (rows of xmin, ymin, xmax, ymax in mm) hold nothing and lie in the area."""
        if self._sums is None:
            sums = np.zeros((self._taken.shape[0] + 1, self._taken.shape[1] + 1), dtype=np.int32)
            np.cumsum(np.cumsum(self._taken, axis=0, dtype=np.int32), axis=1, out=sums[1:, 1:])
            self._sums = sums
        area, sums = self.area, self._sums
        held: NDArray[np.bool_] = (boxes[:, 0] >= area.xmin) & (boxes[:, 2] <= area.xmax)
        held &= (boxes[:, 1] >= area.ymin) & (boxes[:, 3] <= area.ymax)
        rows, columns = self._taken.shape
        low = np.array([area.xmin, area.ymin])
        first = np.floor((boxes[:, :2] - INK_GAP - low) / _FINE).astype(np.int64)
        last = np.floor((boxes[:, 2:] + INK_GAP - low) / _FINE).astype(np.int64) + 1
        x0, x1 = np.clip(first[:, 0], 0, columns), np.clip(last[:, 0], 0, columns)
        y0, y1 = np.clip(first[:, 1], 0, rows), np.clip(last[:, 1], 0, rows)
        count = sums[y1, x1] - sums[y0, x1] - sums[y1, x0] + sums[y0, x0]
        held &= count == 0
        return held

    def suits(self, box: Bounds, within: bool, in_waste: bool = False) -> bool:
        """Whether a box lies outside all waste (or in it), and, if asked, in an outline that is kept."""
        middle = box.centre
        if any(_inside(middle, *each) for each in self._waste) is not in_waste:
            return False
        return not within or not self._keep or any(_inside(middle, *each) for each in self._keep)

    def leader_is_free(self, leader: Line, tip: Vec) -> bool:
        """Whether a leader crosses no leader, barrier, word or hole centre; it may touch at its `tip`."""
        if leader.length <= 2 * _TIP:
            return False
        body = Line(leader.start + leader.direction * _TIP, leader.end)
        if any(crosses(leader, other) for other in self._leaders):
            return False
        if any(passes(leader, box.grown(INK_GAP)) for box in self._words):
            return False
        if any(crosses(body, piece) for piece in _near(self._barriers, leader)):
            return False
        return all(
            centre.distance_to(tip) < 1e-6 or distance_to(centre, leader) >= _CENTRE_GAP
            for centre in self._centres
        )

    def crossings(self, leader: Line) -> int:
        """Return how many pieces of ink a leader crosses."""
        return sum(crosses(leader, piece) for piece in _near(self._ink, leader))


def _near(pieces: dict[tuple[int, int], list[Line]], leader: Line) -> set[Line]:
    return {piece for cell in cells(leader.bounds, _COARSE) for piece in pieces.get(cell, ())}


def _inside(point: Vec, contour: Contour, bounds: Bounds) -> bool:
    return bounds.contains(point) and locate(point, contour) is not Side.OUTSIDE
