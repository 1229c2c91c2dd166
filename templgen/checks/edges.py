"""The free edges of a face: outline, trimmed edges, cutouts; without bends and without metal that goes on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

import numpy as np
from msgspec import Struct

from templgen.checks.holes import Floats, Ints
from templgen.checks.rule import ROUNDING_MM
from templgen.geometry import Line, Segment, points_to_segments
from templgen.layout.assembly import Assembly, Cutout, Face, TrimEdge

__all__ = ["Edge", "Reach", "free_edges", "lies_on", "nearest_edges"]


class Edge(Struct, frozen=True):
    """One free edge segment; `doubt` is how well it is known or cut, mm either way."""

    segment: Segment
    kind: Literal["edge", "trimmed edge", "cutout", "skin edge"]
    name: str
    doubt: float
    trim: TrimEdge | None = None

    @property
    def words(self) -> str:
        """The edge as a finding names it."""
        return f"cutout {self.name}" if self.kind == "cutout" else f"{self.kind} of {self.name}"


class Reach(Struct, frozen=True, eq=False):
    """For n points: distance to the nearest edge, its index, and the doubt of that edge.

    `sure` is the least of (distance - doubt of the edge): an edge that is farther but less well known may
    be the one that decides.
    """

    distance: Floats
    index: Ints
    doubt: Floats
    sure: Floats


def free_edges(assembly: Assembly, face: Face) -> tuple[Edge, ...]:
    """Return every free edge of a face. Paper has none that count."""
    part = assembly.parts[face.part]
    if part.kind == "paper":
        return ()
    return (*_outline_edges(assembly, face), *_skin_edges(assembly, face), *_cutout_edges(assembly, face))


def nearest_edges(points: Floats, edges: Sequence[Edge]) -> Reach:
    """Return the nearest of some edges for every point (n, 2); infinite distances where there are none."""
    count = len(points)
    best = Reach(np.full(count, np.inf), np.zeros(count, np.intp), np.zeros(count), np.full(count, np.inf))
    for doubt in sorted({edge.doubt for edge in edges}):
        numbers = np.array([n for n, edge in enumerate(edges) if edge.doubt == doubt], dtype=np.intp)
        distance, index = points_to_segments(points, [edges[n].segment for n in numbers])
        nearer = distance < best.distance
        best = Reach(
            np.where(nearer, distance, best.distance),
            np.where(nearer, numbers[index], best.index),
            np.where(nearer, doubt, best.doubt),
            np.minimum(best.sure, distance - doubt),
        )
    return best


def lies_on(segment: Segment, lines: Iterable[Line]) -> bool:
    """Whether a segment is a straight one that runs along one of some lines."""
    return isinstance(segment, Line) and any(_along(segment, line) for line in lines)


def _along(segment: Line, line: Line) -> bool:
    direction = line.direction
    off = max(abs(direction.cross(end - line.start)) for end in (segment.start, segment.end))
    slack = ROUNDING_MM / line.length
    return off <= ROUNDING_MM and -slack <= line.parameter_of(segment.midpoint) <= 1.0 + slack


def _outline_edges(assembly: Assembly, face: Face) -> Iterator[Edge]:
    if face.outline is None:
        return
    doubt = outline_doubt(assembly, face)
    trims = [trim for trim in assembly.trims if trim.face == face.name]
    for segment in face.outline.segments:
        trim = next((trim for trim in trims if lies_on(segment, trim.new_edge)), None)
        # The bend of a trimmed edge that is called formed is not known: until it is bent it is a free edge.
        if lies_on(segment, face.beyond) or (trim is None and lies_on(segment, face.formed)):
            continue
        yield Edge(segment, "trimmed edge" if trim else "edge", face.name, doubt, trim)


def outline_doubt(assembly: Assembly, face: Face) -> float:
    """Return how well the outline of a face is known: cut by the builder, or measured on the airframe."""
    part = assembly.parts[face.part]
    if part.name in assembly.structures:
        return assembly.structures[part.name].doubt
    if part.kind == "skin":
        return max((s.doubt for s in assembly.structures.values() if s.kind == "skin edge"), default=0.0)
    return assembly.drilled_to.get("cut", 0.0)


def _skin_edges(assembly: Assembly, face: Face) -> Iterator[Edge]:
    """The measured edges of a skin whose outline is not known all round."""
    if face.outline is not None or assembly.parts[face.part].kind != "skin":
        return
    for structure in assembly.structures.values():
        if structure.kind == "skin edge":
            for line in structure.lines.values():
                yield Edge(line, "skin edge", structure.name, structure.doubt)


def _cutout_edges(assembly: Assembly, face: Face) -> Iterator[Edge]:
    for cutout in assembly.cutouts_of(face.name):
        yield from (
            Edge(segment, "cutout", cutout.name, cutout_doubt(cutout)) for segment in cutout.contour.segments
        )


def cutout_doubt(cutout: Cutout) -> float:
    """Return how well the edge of a cutout will be made, with what fitting its curve cost, mm."""
    return cutout.doubt + cutout.deviation
