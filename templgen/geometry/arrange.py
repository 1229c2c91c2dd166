"""Directed pieces of lines and arcs put together to loops and regions.

Trimming and offsetting both end here: they choose pieces that have metal on their left, and this
module joins them. Pieces are cut where they meet before, so that they only share ends.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from templgen.errors import GeometryError
from templgen.geometry.bounds import overlapping_pairs
from templgen.geometry.contains import Side, locate
from templgen.geometry.contour import Contour
from templgen.geometry.corner import bend, turn_at
from templgen.geometry.intersect import intersections
from templgen.geometry.region import Region
from templgen.geometry.segment import Arc, Segment, segment_between, split
from templgen.geometry.tolerance import CONTACT, NODE, SLIVER
from templgen.geometry.vector import Vec

__all__ = ["cut_at_meetings", "loops_of", "regions_of"]


def cut_at_meetings(segments: Sequence[Segment]) -> list[Segment]:
    """Return the pieces of all segments, cut where they meet."""
    cuts: list[list[float]] = [[] for _ in segments]
    for i, j in overlapping_pairs([segment.bounds.grown(CONTACT) for segment in segments]):
        for place in intersections(segments[i], segments[j]):
            cuts[i].append(segments[i].parameter_of(place))
            cuts[j].append(segments[j].parameter_of(place))
    return [piece for segment, places in zip(segments, cuts, strict=True) for piece in split(segment, places)]


class _Edge(Struct, frozen=True):
    """A piece between two numbered nodes."""

    tail: int
    head: int
    piece: Segment


class _Nodes:
    """Ends that lie within the node tolerance of each other are one node; the first one gives the place."""

    def __init__(self) -> None:
        self.places: list[Vec] = []
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)

    def number_of(self, point: Vec) -> int:
        column, row = math.floor(point.x / NODE), math.floor(point.y / NODE)
        for i in (column, column - 1, column + 1):
            for j in (row, row - 1, row + 1):
                for number in self._cells.get((i, j), ()):
                    if self.places[number].distance_to(point) <= NODE:
                        return number
        self.places.append(point)
        self._cells[column, row].append(len(self.places) - 1)
        return len(self.places) - 1


def loops_of(pieces: Iterable[Segment], fixed: Iterable[Vec] = ()) -> list[Contour]:
    """Join directed pieces to closed contours that visit no node twice.

    Pieces on top of each other count once, and not at all when they run against each other (there is
    no metal between them). Pieces that lead nowhere and loops thinner than rounding are left out.
    ``fixed`` are places that keep their exact coordinates.
    """
    nodes = _Nodes()
    for point in fixed:
        nodes.number_of(point)
    edges = _without_doubles(list(_edges(pieces, nodes)))
    loops = (_contour(loop) for loop in _walks(edges))
    return [loop for loop in loops if abs(loop.area) > SLIVER * loop.length]


def _edges(pieces: Iterable[Segment], nodes: _Nodes) -> Iterator[_Edge]:
    for piece in pieces:
        tail, head = nodes.number_of(piece.start), nodes.number_of(piece.end)
        if tail != head:
            bulge = piece.bulge if isinstance(piece, Arc) else 0.0
            yield _Edge(tail, head, segment_between(nodes.places[tail], nodes.places[head], bulge))


def _without_doubles(edges: list[_Edge]) -> list[_Edge]:
    groups: dict[tuple[int, int], list[_Edge]] = defaultdict(list)
    for edge in edges:
        groups[min(edge.tail, edge.head), max(edge.tail, edge.head)].append(edge)
    return [edge for group in groups.values() for edge in _distinct(group)]


def _distinct(group: list[_Edge]) -> list[_Edge]:
    kept: list[_Edge] = []
    for edge in group:
        twins = [e for e in kept if e.piece.midpoint.distance_to(edge.piece.midpoint) <= NODE]
        if not twins:
            kept.append(edge)
        elif twins[0].tail != edge.tail:
            kept.remove(twins[0])
    return kept


def _walks(edges: list[_Edge]) -> Iterator[list[_Edge]]:
    """Yield loops: follow the left-most way on, step back from dead ends, part at nodes met again."""
    leaving: dict[int, list[_Edge]] = defaultdict(list)
    for edge in edges:
        leaving[edge.tail].append(edge)
    for first in edges:
        if first not in leaving[first.tail]:
            continue
        leaving[first.tail].remove(first)
        path = [first]
        while path:
            here = path[-1].head
            back = next((k for k, edge in enumerate(path) if edge.tail == here), None)
            if back is not None:
                yield path[back:]
                del path[back:]
            elif leaving[here]:
                path.append(_leftmost(path[-1], leaving[here]))
                leaving[here].remove(path[-1])
            else:
                path.pop()


def _leftmost(arrived: _Edge, choices: list[_Edge]) -> _Edge:
    # rounded, because tangent pieces differ by noise only; then the one that bends left is first
    return max(choices, key=lambda edge: (round(turn_at(arrived.piece, edge.piece), 3), bend(edge.piece)))


def _contour(loop: list[_Edge]) -> Contour:
    return Contour(tuple(edge.piece for edge in loop), closed=True)


def regions_of(loops: Iterable[Contour]) -> tuple[Region, ...]:
    """Sort loops into regions: a counter-clockwise loop bounds metal, a clockwise one opens it.

    Largest region first. GeometryError when an opening lies in no outer loop.
    """
    by_size = sorted(loops, key=lambda loop: abs(loop.area))
    outers = [loop for loop in by_size if loop.area > 0]
    openings: dict[int, list[Contour]] = defaultdict(list)
    for loop in by_size:
        if loop.area < 0:
            openings[_holder_of(loop, outers)].append(loop)
    regions = [Region(outer, tuple(openings[index])) for index, outer in enumerate(outers)]
    return tuple(reversed(regions))


def _holder_of(opening: Contour, outers: list[Contour]) -> int:
    for index, outer in enumerate(outers):
        if _lies_in(opening, outer):
            return index
    raise GeometryError(f"the opening round {opening.bounds.centre} lies in no outline")


def _lies_in(opening: Contour, outer: Contour) -> bool:
    for point in (piece.point_at(t) for t in (0.5, 0.25, 0.75) for piece in opening.segments):
        side = locate(point, outer)
        if side is not Side.ON:
            return side is Side.INSIDE
    return False
