"""What of a mark lies in a window: exact, lines stay lines and arcs stay arcs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from msgspec.structs import replace

from templgen.drawing import ArcMark, CircleMark, Item, LineMark, Meaning, PathMark
from templgen.errors import ExportError
from templgen.geometry import Bounds, Contour, Line, Segment, intersections
from templgen.geometry.segment import split
from templgen.geometry.tolerance import JOIN
from templgen.sheets.ways import span_in

__all__ = ["Boxed", "boxed", "clip", "clip_segment", "holds"]

_DUST = 1e-6
"""A piece shorter than this, in mm, is rounding noise."""

Boxed = tuple[Item, Bounds]


def boxed(items: Iterable[Item]) -> list[Boxed]:
    """Return marks with their bounds, so that these are worked out once for all windows."""
    return [(item, _bounds(item)) for item in items]


def _bounds(item: Item) -> Bounds:
    match item:
        case LineMark():
            return item.line.bounds
        case ArcMark():
            return item.arc.bounds
        case CircleMark():
            return Bounds(item.centre.x, item.centre.y, item.centre.x, item.centre.y).grown(item.radius)
        case PathMark():
            return item.contour.bounds
        case _:
            raise ExportError(f"the words {item.text!r} can not be cut: they are set on each tile")


def clip(mark: Boxed, window: Bounds) -> list[Item]:
    """Return what of a mark lies in a window (mm): all of it, nothing, or its pieces.

    A circle that is cut becomes arcs, a closed path open ones. A filled mark is shown whole or not at all.
    """
    item, box = mark
    if not box.overlaps(window):
        return []
    if holds(window, box):
        return [item]
    match item:
        case LineMark():
            return [_piece(part, item.meaning) for part in clip_segment(item.line, window)]
        case ArcMark():
            return [_piece(part, item.meaning) for part in clip_segment(item.arc, window)]
        case CircleMark():
            chains = _chains(Contour.circle(item.centre, item.radius), window)
            return [_piece(part, item.meaning) for chain in chains for part in chain]
        case PathMark(filled=False):
            return [
                replace(item, contour=Contour(tuple(chain), False)) for chain in _chains(item.contour, window)
            ]
    return []


def _piece(part: Segment, meaning: Meaning) -> Item:
    return LineMark(part, meaning) if isinstance(part, Line) else ArcMark(part, meaning)


def holds(window: Bounds, box: Bounds) -> bool:
    """Return whether a box lies in a window."""
    return (
        window.xmin <= box.xmin
        and window.ymin <= box.ymin
        and box.xmax <= window.xmax
        and box.ymax <= window.ymax
    )


def clip_segment(segment: Segment, window: Bounds) -> list[Segment]:
    """Return the pieces of a segment inside a window, in their order along it."""
    if isinstance(segment, Line):
        span = span_in(segment, window)
        if span is None or (span[1] - span[0]) * segment.length < _DUST:
            return []
        return [segment if span == (0.0, 1.0) else segment.between(*span)]
    box = segment.bounds
    if not box.overlaps(window):
        return []
    if holds(window, box):
        return [segment]
    sides = (Line(a, b) for a, b in pairwise((*window.corners, window.corners[0])))
    cuts = [segment.parameter_of(point) for side in sides for point in intersections(side, segment)]
    return [
        piece for piece in split(segment, cuts) if piece.length > _DUST and window.contains(piece.midpoint)
    ]


def _chains(contour: Contour, window: Bounds) -> list[Sequence[Segment]]:
    """The pieces of a contour in a window, those that follow each other as one chain."""
    chains: list[list[Segment]] = []
    for segment in contour.segments:
        for piece in clip_segment(segment, window):
            if chains and _meet(chains[-1][-1], piece):
                chains[-1].append(piece)
            else:
                chains.append([piece])
    if contour.closed and len(chains) > 1 and _meet(chains[-1][-1], chains[0][0]):
        chains[0] = chains.pop() + chains[0]
    return list(chains)


def _meet(before: Segment, after: Segment) -> bool:
    return before.end.distance_to(after.start) <= JOIN
