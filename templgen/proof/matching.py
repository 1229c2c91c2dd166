"""Which outline of a file is which shape of the drawing: first in order, then wherever it lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TypeVar

from msgspec import Struct, field

from templgen.proof.deviation import deviation, deviation_of_any
from templgen.proof.readers.model import Outline
from templgen.proof.wanted import Shape

__all__ = ["Box", "Paired", "box_of_outline", "box_of_shape", "in_order", "nearest_pairs", "wherever"]

Box = tuple[float, float, float, float]
"""xmin, ymin, xmax, ymax in mm."""

A = TypeVar("A")
B = TypeVar("B")

_CHORDS = 16  # per piece, for the box of a curve
_MOST_PAIRS = 200_000  # so that two files with nothing in common end in time


class Paired(Struct):
    """Shapes with the outline that is each of them, and what is left over on either side."""

    found: list[tuple[Shape, Outline, float]] = field(default_factory=list)
    shapes: list[Shape] = field(default_factory=list)
    outlines: list[Outline] = field(default_factory=list)


def in_order(
    shapes: Iterable[Shape],
    outlines: Iterable[Outline],
    within: float,
    group_of_shape: Callable[[Shape], Hashable],
    group_of_outline: Callable[[Outline], Hashable],
) -> Paired:
    """Pair the n-th shape of each group with the n-th outline of it, where they lie within `within` mm."""
    paired = Paired()
    queues: dict[Hashable, list[Outline]] = defaultdict(list)
    for outline in outlines:
        queues[group_of_outline(outline)].append(outline)
    places: dict[Hashable, int] = defaultdict(int)
    for shape in shapes:
        group = group_of_shape(shape)
        queue, place = queues.get(group, ()), places[group]
        places[group] += 1
        far = deviation(shape, queue[place]) if place < len(queue) else float("inf")
        if far <= within:
            paired.found.append((shape, queue[place], far))
        else:
            paired.shapes.append(shape)
            if place < len(queue):
                paired.outlines.append(queue[place])
    for group, queue in queues.items():
        paired.outlines += queue[places[group] :]
    return paired


def wherever(
    paired: Paired, within: float, may_be: Callable[[Shape, Outline], bool] = lambda shape, outline: True
) -> Paired:
    """Pair what is left over with outlines anywhere in the file, begun anywhere, run either way."""
    boxes = [(box_of_shape(shape), shape) for shape in paired.shapes]
    others = [(box_of_outline(outline), outline) for outline in paired.outlines]
    fits: list[tuple[float, int, int]] = []
    for _, i, j in nearest_pairs(boxes, others, reach=1.0):
        shape, outline = paired.shapes[i], paired.outlines[j]
        if may_be(shape, outline) and (far := deviation_of_any(shape, outline)) <= within:
            fits.append((far, i, j))
    taken, used = _one_each(fits)
    found = [(paired.shapes[i], paired.outlines[j], far) for (i, j), far in taken.items()]
    return Paired(
        paired.found + found,
        [shape for i, shape in enumerate(paired.shapes) if i not in {i for i, _ in taken}],
        [outline for j, outline in enumerate(paired.outlines) if j not in used],
    )


def _one_each(fits: Iterable[tuple[float, int, int]]) -> tuple[dict[tuple[int, int], float], set[int]]:
    """Return the best pairs, each side used once, and the second sides that are used."""
    taken: dict[tuple[int, int], float] = {}
    first: set[int] = set()
    second: set[int] = set()
    for far, i, j in sorted(fits):
        if i not in first and j not in second:
            taken[i, j] = far
            first.add(i)
            second.add(j)
    return taken, second


def nearest_pairs(
    ones: Sequence[tuple[Box, A]], others: Sequence[tuple[Box, B]], reach: float
) -> list[tuple[float, int, int]]:
    """Return pairs (cost, i, j) of things whose boxes differ by at most `reach` mm, the nearest first.

    The cost is the greatest difference of the sides of the boxes. A grid finds them; if there are very many,
    the farthest of them are left out.
    """
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for j, (box, _) in enumerate(others):
        cells[_cell(box, reach)].append(j)
    pairs = []
    for i, (box, _) in enumerate(ones):
        column, row = _cell(box, reach)
        for cell in ((column + a, row + b) for a in (-1, 0, 1) for b in (-1, 0, 1)):
            for j in cells.get(cell, ()):
                cost = max(abs(p - q) for p, q in zip(box, others[j][0], strict=True))
                if cost <= reach:
                    pairs.append((cost, i, j))
        if len(pairs) > 2 * _MOST_PAIRS:
            pairs = sorted(pairs)[:_MOST_PAIRS]
    return sorted(pairs)


def _cell(box: Box, size: float) -> tuple[int, int]:
    return int((box[0] + box[2]) / 2 // size), int((box[1] + box[3]) / 2 // size)


def box_of_shape(shape: Shape) -> Box:
    """Return the box round a shape."""
    box = shape.bounds
    return box.xmin, box.ymin, box.xmax, box.ymax


def box_of_outline(outline: Outline) -> Box:
    """Return the box round an outline, within a thousandth of the radius of its curves."""
    if len(outline.pieces) == 1 and outline.closed and (circle := outline.round()) is not None:
        (x, y), r = circle.centre, circle.radius
        return x - r, y - r, x + r, y + r
    return outline.bounds(_CHORDS)
