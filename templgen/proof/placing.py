"""Where a whole file, or a layer of it, has gone: the affine map from the drawing to the file.

A file that comes back scaled, mirrored, turned or shifted has every mark in another place. One map explains
them all; what it does not explain is then looked for one by one.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from msgspec import Struct

from templgen.geometry import Line
from templgen.proof.matching import Box, box_of_outline, box_of_shape, nearest_pairs
from templgen.proof.readers.model import (
    IDENTITY,
    Matrix,
    Outline,
    Pen,
    Point,
    Straight,
    Words,
    apply,
    inverse,
    size_of,
)
from templgen.proof.wanted import Shape, WantedWords

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["Maps", "find_maps", "placed_outlines", "share_found"]

_LOOSE = 0.05  # mm: as near as a trial map has to bring a box, plus a thousandth of its size
_TRIES = 80
_SEED = 20_000
_ENOUGH = 0.5  # share of the shapes that a map has to explain
_CLEARLY = 0.2  # by how much it has to be better than leaving everything in place

Pairs = list[tuple[Point, Point]]


def placed_outlines(outlines: Iterable[Outline], matrix: Matrix) -> list[Outline]:
    """Return outlines, and the width of their lines, after a matrix."""
    if matrix == IDENTITY:
        return list(outlines)
    size, pens = size_of(matrix), dict[Pen, Pen]()

    def scaled(pen: Pen) -> Pen:
        if pen not in pens:
            width = None if pen.width is None else pen.width * size
            pens[pen] = replace(pen, width=width, dash=tuple(part * size for part in pen.dash))
        return pens[pen]

    return [replace(outline.moved(matrix), pen=scaled(outline.pen)) for outline in outlines]


def share_found(boxes: Sequence[tuple[Box, Shape]], outlines: Sequence[Outline]) -> float:
    """Return the share of shapes, each layer and kind of line alike, that have an outline of their box."""
    others = [(box_of_outline(outline), outline) for outline in outlines]
    near = nearest_pairs(boxes, others, reach=1.0)
    hit = {i for cost, i, _ in near if cost <= _LOOSE + 0.001 * _extent(boxes[i][0])}
    groups: dict[str, list[bool]] = {}
    for i, (_, shape) in enumerate(boxes):
        groups.setdefault(shape.meaning.value, []).append(i in hit)
    return sum(sum(each) / len(each) for each in groups.values()) / max(len(groups), 1)


def _extent(box: Box) -> float:
    return max(box[2] - box[0], box[3] - box[1])


class Maps(Struct, frozen=True):
    """Maps that may take the drawing to the file.

    `clear` explains many shapes that leaving everything in place does not, by their boxes alone; None if
    there is no such map. `slight` are maps near to leaving everything in place, to be tried in detail.
    """

    clear: Matrix | None
    slight: tuple[Matrix, ...]


def find_maps(
    shapes: Sequence[Shape],
    outlines: Sequence[Outline],
    words: tuple[Sequence[WantedWords], Sequence[Words]] = ((), ()),
    group_of_shape: Callable[[Shape], Hashable] = lambda shape: 0,
    group_of_outline: Callable[[Outline], Hashable] = lambda outline: 0,
) -> Maps:
    """Return the maps that may take the drawing to the file.

    Trial maps come from marks in the same order, from words that occur once, and from the boxes round
    everything, in eight ways to lie. The one that brings most shapes onto an outline is refined.
    """
    boxes = [(box_of_shape(shape), shape) for shape in shapes]
    if not boxes or not outlines:
        return Maps(None, ())
    in_place = share_found(boxes, outlines)
    ordered = list(_by_pairs(_in_order(shapes, outlines, group_of_shape, group_of_outline)))
    trials = [
        *ordered,
        *_by_pairs(_by_words(*words)),
        *_by_boxes([box for box, _ in boxes], [box_of_outline(outline) for outline in outlines]),
    ]
    best, best_share = IDENTITY, in_place
    for trial in trials if in_place <= 1.0 - _CLEARLY else ():
        share = share_found(boxes, placed_outlines(outlines, inverse(trial)))
        if share > best_share + 1e-6:
            best, best_share = trial, share
        if best_share > 0.99:
            break
    if best_share >= max(_ENOUGH, in_place + _CLEARLY):
        return Maps(_refined(best, boxes, outlines), ())
    return Maps(None, (*ordered, _refined(IDENTITY, boxes, outlines)))


def _in_order(
    shapes: Sequence[Shape],
    outlines: Sequence[Outline],
    group_of_shape: Callable[[Shape], Hashable],
    group_of_outline: Callable[[Outline], Hashable],
) -> Pairs:
    """Return places of the drawing and of the file that belong together if nothing was put in or left out."""
    queues: dict[Hashable, list[Outline]] = {}
    for outline in outlines:
        queues.setdefault(group_of_outline(outline), []).append(outline)
    pairs: Pairs = []
    for shape in shapes:
        queue = queues.get(group_of_shape(shape))
        if not queue:
            continue
        outline = queue.pop(0)
        circle = outline.round(1.0) if shape.circle and shape.closed else None
        if shape.circle and circle:
            pairs.append(((shape.circle[0].x, shape.circle[0].y), circle.centre))
        else:
            pairs += _ends(shape, outline)
    return pairs


def _ends(shape: Shape, outline: Outline) -> Pairs:
    """Return the ends of straight edges; arcs may be cut into any number of pieces."""
    lines = [edge for edge in shape.segments if isinstance(edge, Line)]
    straight = [piece for piece in outline.pieces if isinstance(piece, Straight)]
    if len(lines) != len(straight):
        return []
    first = (shape.segments[0].start, outline.pieces[0].start)
    both = [(line.start, piece.start) for line, piece in zip(lines, straight, strict=True)]
    both += [(line.end, piece.end) for line, piece in zip(lines, straight, strict=True)]
    return [((ours.x, ours.y), theirs) for ours, theirs in (first, *both)]


def _by_words(wanted: Sequence[WantedWords], read: Sequence[Words]) -> Pairs:
    ours, theirs = _once(words.text for words in wanted), _once(words.text for words in read)
    drawn = {words.text: (words.at.x, words.at.y) for words in wanted if words.text in ours}
    return [(drawn[words.text], words.at) for words in read if words.text in theirs and words.text in drawn]


def _once(texts: Iterable[str]) -> set[str]:
    counts: dict[str, int] = {}
    for text in texts:
        counts[text] = counts.get(text, 0) + 1
    return {text for text, count in counts.items() if count == 1}


def _by_pairs(pairs: Pairs) -> Iterator[Matrix]:
    """Yield the map that most of the pairs agree on (random sample consensus, seeded)."""
    import numpy as np

    if len(pairs) < 3:
        return
    ours, theirs = np.array([p for p, _ in pairs]), np.array([q for _, q in pairs])
    dice = np.random.default_rng(_SEED)
    best, most = None, 0
    for _ in range(_TRIES):
        pick = dice.choice(len(pairs), 3, replace=False)
        found = _fit(ours[pick], theirs[pick])
        if found is None:
            continue
        off = np.hypot(*(_moved(ours, found) - theirs).T)
        near = off < _LOOSE * max(size_of(found), 1e-3)
        if near.sum() > most:
            best, most = near, int(near.sum())
    if best is not None and (found := _fit(ours[best], theirs[best])) is not None:
        yield found


def _moved(points: NDArray[np.float64], matrix: Matrix) -> NDArray[np.float64]:
    import numpy as np

    a, b, c, d, e, f = matrix
    return np.column_stack((a * points[:, 0] + c * points[:, 1] + e, b * points[:, 0] + d * points[:, 1] + f))


def _fit(ours: NDArray[np.float64], theirs: NDArray[np.float64]) -> Matrix | None:
    """Return the affine map with the least squares of what is left; None for points in one line."""
    import numpy as np

    middle = ours.mean(axis=0)
    about = ours - middle
    spread = np.linalg.svd(about, compute_uv=False)
    if spread[-1] < 1e-6 * max(spread[0], 1e-9):
        return None
    table = np.column_stack((about, np.ones(len(ours))))
    solved, *_ = np.linalg.lstsq(table, theirs, rcond=None)
    (a, b), (c, d), (e, f) = ((float(x), float(y)) for x, y in solved)
    if abs(a * d - b * c) < 1e-9:
        return None
    return (
        a,
        b,
        c,
        d,
        e - a * float(middle[0]) - c * float(middle[1]),
        f - b * float(middle[0]) - d * float(middle[1]),
    )


def _around(boxes: Iterable[Box]) -> Box:
    lefts, lows, rights, highs = zip(*boxes, strict=True)
    return min(lefts), min(lows), max(rights), max(highs)


def _by_boxes(ours: list[Box], theirs: list[Box]) -> Iterator[Matrix]:
    """Yield the eight maps along the axes that lay the box round everything on the other."""
    x0, y0, x1, y1 = _around(ours)
    u0, v0, u1, v1 = _around(theirs)
    if min(x1 - x0, y1 - y0, u1 - u0, v1 - v0) < 1e-6:
        return
    for low, high in (((u0, u1), (v0, v1)), ((u1, u0), (v0, v1)), ((u0, u1), (v1, v0)), ((u1, u0), (v1, v0))):
        a, d = (low[1] - low[0]) / (x1 - x0), (high[1] - high[0]) / (y1 - y0)
        yield a, 0.0, 0.0, d, low[0] - a * x0, high[0] - d * y0
        c, b = (low[1] - low[0]) / (y1 - y0), (high[1] - high[0]) / (x1 - x0)
        yield 0.0, b, c, 0.0, low[0] - c * y0, high[0] - b * x0


def _refined(trial: Matrix, boxes: Sequence[tuple[Box, Shape]], outlines: Sequence[Outline]) -> Matrix:
    """Fit the map to the middles of all shapes that it finds; to corners of boxes where they are few."""
    import numpy as np

    for _ in range(2):
        back = placed_outlines(outlines, inverse(trial))
        others = [(box_of_outline(outline), outline) for outline in back]
        used: set[int] = set()
        pairs: list[tuple[Box, Box]] = []
        for cost, i, j in nearest_pairs(boxes, others, reach=1.0):
            if i not in used and cost <= _LOOSE + 0.001 * _extent(boxes[i][0]):
                used.add(i)
                pairs.append((boxes[i][0], others[j][0]))
        points = [_middles, _corners][len(pairs) < 4](pairs)
        ours, theirs = (np.array([pair[side] for pair in points]) for side in (0, 1))
        found = _fit(ours, np.array([apply(trial, (x, y)) for x, y in theirs])) if len(points) > 2 else None
        if found is None:
            return trial
        trial = found
    return trial


def _middles(pairs: list[tuple[Box, Box]]) -> Pairs:
    return [(_middle(a), _middle(b)) for a, b in pairs]


def _middle(box: Box) -> Point:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _corners(pairs: list[tuple[Box, Box]]) -> Pairs:
    return [((a[i], a[j]), (b[i], b[j])) for a, b in pairs for i, j in ((0, 1), (2, 1), (2, 3), (0, 3))]
