"""Cut a region along straight lines, exactly; arcs stay arcs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from msgspec import Struct
from msgspec.structs import force_setattr

from templgen.errors import GeometryError
from templgen.geometry.arrange import loops_of, regions_of
from templgen.geometry.bounds import Bounds
from templgen.geometry.contains import Side, locate
from templgen.geometry.intersect import intersections
from templgen.geometry.motion import Motion
from templgen.geometry.region import Region
from templgen.geometry.segment import Line, Segment, split
from templgen.geometry.tolerance import CONTACT
from templgen.geometry.vector import Vec

__all__ = ["HalfPlane", "Trimmed", "trim_region"]


class HalfPlane(Struct, frozen=True):
    """What lies to the left of the line through ``point`` along ``direction`` (made a unit vector)."""

    point: Vec
    direction: Vec

    def __post_init__(self) -> None:
        if not self.point.is_finite:
            raise GeometryError(f"a line through {self.point} is no line")
        force_setattr(self, "direction", self.direction.unit())

    @classmethod
    def through(cls, a: Vec, b: Vec) -> HalfPlane:
        """Return what lies to the left of the way from ``a`` to ``b``."""
        return cls(a, b - a)

    def shifted(self, distance: float) -> HalfPlane:
        """Return the half-plane whose line lies ``distance`` mm farther to the left."""
        return HalfPlane(self.point + self.direction.perp() * distance, self.direction)

    def reversed(self) -> HalfPlane:
        """Return the other side of the same line."""
        return HalfPlane(self.point, -self.direction)

    def moved(self, motion: Motion) -> HalfPlane:
        """Return the half-plane after a motion; it keeps the same side of the metal, also mirrored."""
        direction = motion.apply_direction(self.direction)
        return HalfPlane(motion.apply(self.point), -direction if motion.is_mirrored else direction)

    def height_of(self, point: Vec) -> float:
        """Return how far a point lies to the left of the line in mm, negative to the right."""
        return self.direction.cross(point - self.point)

    def chord_through(self, box: Bounds) -> Line:
        """Return a stretch of the line long enough to pass right through a box."""
        reach = Vec(box.width, box.height).length + 1.0
        foot = self.point + self.direction * self.direction.dot(box.centre - self.point)
        return Line(foot - self.direction * reach, foot + self.direction * reach)


class Trimmed(Struct, frozen=True, dict=True):
    """A region cut in two, by the edges of what stays and of what falls off: metal is to their left."""

    region: Region
    kept_edges: tuple[Segment, ...]
    cut_edges: tuple[Segment, ...]

    @cached_property
    def kept(self) -> tuple[Region, ...]:
        """What stays, in any number of pieces, largest first."""
        return self._joined(self.kept_edges) if self.cut_edges else (self.region,)

    @cached_property
    def cut(self) -> tuple[Region, ...]:
        """What falls off, in any number of pieces, largest first."""
        return self._joined(self.cut_edges) if self.kept_edges or not self.cut_edges else (self.region,)

    def _joined(self, edges: Sequence[Segment]) -> tuple[Region, ...]:
        corners = [point for contour in self.region.contours for point in contour.vertices]
        return regions_of(loops_of(edges, corners)) if edges else ()


def trim_region(region: Region, half_planes: Sequence[HalfPlane]) -> Trimmed:
    """Keep what lies in all half-planes; the rest of the region is returned as cut.

    Exact: edges are split where the lines cross them, and the cut edges are pieces of the lines. A
    line that only touches the region, or runs along an edge, cuts nothing off.
    """
    kept: list[Segment] = []
    cut: list[Segment] = []
    chords = [plane.chord_through(region.bounds) for plane in half_planes]
    meetings = [[intersections(segment, chord) for chord in chords] for segment in region.segments]
    for piece in _edge_pieces(region, meetings):
        (kept if all(_is_left(piece, plane) for plane in half_planes) else cut).append(piece)
    crossed = [[place for places in meetings for place in places[number]] for number in range(len(chords))]
    for piece in _line_pieces(region, half_planes, chords, crossed):
        kept.append(piece)
        cut.append(piece.reversed())
    return Trimmed(region, tuple(kept), tuple(cut))


def _edge_pieces(region: Region, meetings: Sequence[Sequence[Sequence[Vec]]]) -> Iterator[Segment]:
    for segment, by_chord in zip(region.segments, meetings, strict=True):
        yield from split(segment, [segment.parameter_of(place) for places in by_chord for place in places])


def _line_pieces(
    region: Region, half_planes: Sequence[HalfPlane], chords: Sequence[Line], crossed: Sequence[Sequence[Vec]]
) -> Iterator[Segment]:
    """Pieces of the lines inside the region that bound what is kept, metal on their left.

    `crossed` are the places where each line meets the region's edges.
    """
    for number, (plane, chord) in enumerate(zip(half_planes, chords, strict=True)):
        others = [*chords[:number], *chords[number + 1 :]]
        places = [*crossed[number], *(place for other in others for place in intersections(chord, other))]
        for piece in split(chord, [chord.parameter_of(place) for place in places]):
            if _bounds_kept(piece, plane, number, half_planes) and _strictly_in(region, piece.midpoint):
                yield piece


def _is_left(piece: Segment, plane: HalfPlane) -> bool:
    """Whether the metal beside an edge piece is left of a line; on the line the direction decides."""
    height = plane.height_of(piece.midpoint)
    if abs(height) > CONTACT:
        return height > 0
    return piece.tangent_at(0.5).dot(plane.direction) > 0


def _bounds_kept(piece: Segment, own: HalfPlane, number: int, half_planes: Sequence[HalfPlane]) -> bool:
    for other_number, other in enumerate(half_planes):
        if other_number == number:
            continue
        height = other.height_of(piece.midpoint)
        if abs(height) <= CONTACT:
            # two lines on top of each other: the first of equals counts, opposites leave nothing
            if own.direction.dot(other.direction) < 0 or other_number < number:
                return False
        elif height < 0:
            return False
    return True


def _strictly_in(region: Region, point: Vec) -> bool:
    if locate(point, region.outer) is not Side.INSIDE:
        return False
    return all(locate(point, opening) is Side.OUTSIDE for opening in region.inner)
