"""Chains of lines and arcs, closed or open, with their closed formulas."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import pairwise

from msgspec import Struct

from templgen.errors import GeometryError
from templgen.geometry.bounds import Bounds
from templgen.geometry.intersect import crossing_of_chain
from templgen.geometry.motion import Motion
from templgen.geometry.segment import Arc, Line, Segment, segment_between
from templgen.geometry.tolerance import JOIN
from templgen.geometry.vector import ORIGIN, Vec

__all__ = ["Contour"]


class Contour(Struct, frozen=True, dict=True):
    """A chain of segments, each starting where the one before ends; closed when it returns.

    Raises:
        GeometryError: No segments, or ends more than 1e-9 mm apart.
    """

    segments: tuple[Segment, ...]
    closed: bool

    def __post_init__(self) -> None:
        if not self.segments:
            raise GeometryError("a contour needs at least one segment")
        for before, after in pairwise(self.segments):
            if before.end is not after.start:
                _require_joint(before, after)
        if self.closed:
            _require_joint(self.segments[-1], self.segments[0])

    @classmethod
    def polygon(cls, points: Iterable[Vec]) -> Contour:
        """Return the closed contour of straight lines through the points; the last joins the first."""
        corners = tuple(points)
        if len(corners) < 3:
            raise GeometryError(f"a polygon needs at least 3 points, not {len(corners)}")
        return cls.from_bulges(corners, (0.0,) * len(corners), closed=True)

    @classmethod
    def polyline(cls, points: Iterable[Vec]) -> Contour:
        """Return the open contour of straight lines through the points."""
        corners = tuple(points)
        if len(corners) < 2:
            raise GeometryError(f"a polyline needs at least 2 points, not {len(corners)}")
        return cls(tuple(Line(a, b) for a, b in pairwise(corners)), closed=False)

    @classmethod
    def from_bulges(cls, points: Sequence[Vec], bulges: Sequence[float], closed: bool) -> Contour:
        """Return the contour through ``points``; ``bulges[i]`` (0: straight) leads from point i to the next.

        A closed contour needs one bulge per point, an open one may leave out the last.
        """
        ends = [*points[1:], points[0]] if closed else list(points[1:])
        if len(bulges) < len(ends):
            raise GeometryError(f"{len(points)} points need {len(ends)} bulges, not {len(bulges)}")
        parts = (segment_between(a, b, bulge) for a, b, bulge in zip(points, ends, bulges, strict=False))
        return cls(tuple(parts), closed)

    @classmethod
    def circle(cls, centre: Vec, radius: float) -> Contour:
        """Return a circle as two half arcs, counter-clockwise from its right-most point."""
        if not (math.isfinite(radius) and radius > 0):
            raise GeometryError(f"a circle needs a radius above 0 mm, not {radius:g} mm")
        right, left = centre + Vec(radius, 0.0), centre - Vec(radius, 0.0)
        return cls.from_bulges((right, left), (1.0, 1.0), closed=True)

    @classmethod
    def rectangle(
        cls, width: float, height: float, corner_radius: float = 0.0, centre: Vec = ORIGIN
    ) -> Contour:
        """Return a rectangle along the axes (mm), counter-clockwise; corners rounded where asked.

        >>> round(Contour.rectangle(20, 10, corner_radius=2).area, 4)
        196.5664
        """
        if not (width > 0 and height > 0 and math.isfinite(width + height)):
            raise GeometryError(f"a rectangle of {width:g} x {height:g} mm has no area")
        if not 0 <= corner_radius <= min(width, height) / 2:
            raise GeometryError(
                f"corner radius {corner_radius:g} mm does not fit a rectangle of {width:g} x {height:g} mm; "
                f"the largest is {min(width, height) / 2:g} mm"
            )
        points, bulges = _rounded_corners(width / 2, height / 2, corner_radius)
        return cls.from_bulges([centre + point for point in points], bulges, closed=True)

    @property
    def vertices(self) -> tuple[Vec, ...]:
        """Starts of all segments, and the last end of an open contour."""
        starts = tuple(segment.start for segment in self.segments)
        return starts if self.closed else (*starts, self.segments[-1].end)

    @property
    def bulges(self) -> tuple[float, ...]:
        """One bulge per segment, 0 for a line."""
        return tuple(part.bulge if isinstance(part, Arc) else 0.0 for part in self.segments)

    @cached_property
    def length(self) -> float:
        """Length along all segments in mm."""
        return math.fsum(segment.length for segment in self.segments)

    @cached_property
    def area(self) -> float:
        """Enclosed area in mm2, positive when counter-clockwise; GeometryError when open.

        Triangles under the chords (shoelace formula) plus the circular segments of the arcs.
        """
        self._require_closed("area")
        origin = self.segments[0].start
        return math.fsum(_area_from(segment, origin) for segment in self.segments)

    @property
    def centroid(self) -> Vec:
        """Centre of the enclosed area; GeometryError when open or without area."""
        self._require_closed("centroid")
        area, origin = self.area, self.segments[0].start
        if area == 0.0:
            raise GeometryError("a contour of 0 mm2 has no centroid")
        moments = [_moment_from(segment, origin) for segment in self.segments]
        x, y = math.fsum(m.x for m in moments), math.fsum(m.y for m in moments)
        return origin + Vec(x, y) / area

    @cached_property
    def bounds(self) -> Bounds:
        """The smallest box round it."""
        boxes = [segment.bounds for segment in self.segments]
        return Bounds(
            min(box.xmin for box in boxes),
            min(box.ymin for box in boxes),
            max(box.xmax for box in boxes),
            max(box.ymax for box in boxes),
        )

    @property
    def is_ccw(self) -> bool:
        """Whether the closed contour runs counter-clockwise."""
        return self.area > 0

    @property
    def is_simple(self) -> bool:
        """Whether it neither crosses nor touches itself."""
        return crossing_of_chain(self.segments, self.closed) is None

    def require_simple(self) -> Contour:
        """Return the contour itself; GeometryError with the place where it crosses or touches itself."""
        place = crossing_of_chain(self.segments, self.closed)
        if place is not None:
            raise GeometryError(f"the outline crosses or touches itself at {place}")
        return self

    def as_ccw(self) -> Contour:
        """Return the closed contour run counter-clockwise."""
        return self if self.is_ccw else self.reversed()

    def reversed(self) -> Contour:
        """Return the contour run the other way."""
        return Contour(tuple(segment.reversed() for segment in reversed(self.segments)), self.closed)

    def moved(self, motion: Motion) -> Contour:
        """Return the contour after a motion; a mirror turns its sense round."""
        points = [motion.apply(point) for point in self.vertices]
        bulges = [-bulge if motion.is_mirrored else bulge for bulge in self.bulges]
        return Contour.from_bulges(points, bulges, self.closed)

    def point_at(self, distance: float) -> tuple[Vec, Vec]:
        """Return point and unit tangent at ``distance`` mm along; a closed contour goes round again."""
        rest = distance % self.length if self.closed else distance
        for segment in self.segments:
            length = segment.length
            if rest <= length:
                break
            rest -= length
        t = min(max(rest / length, 0.0), 1.0)
        return segment.point_at(t), segment.tangent_at(t)

    def _require_closed(self, what: str) -> None:
        if not self.closed:
            raise GeometryError(f"an open contour of {len(self.segments)} segments has no {what}")


def _require_joint(before: Segment, after: Segment) -> None:
    gap = before.end.distance_to(after.start)
    if not gap <= JOIN:
        raise GeometryError(f"a gap of {gap:.3g} mm between {before.end} and {after.start} in a contour")


def _rounded_corners(half_width: float, half_height: float, radius: float) -> tuple[list[Vec], list[float]]:
    w, h, r = half_width, half_height, radius
    if r == 0:
        return [Vec(-w, -h), Vec(w, -h), Vec(w, h), Vec(-w, h)], [0.0] * 4
    quarter = math.tan(math.pi / 8)
    points, bulges = [], []
    flat_x, flat_y = w - r > 0, h - r > 0
    for start, end, straight in (
        (Vec(-(w - r), -h), Vec(w - r, -h), flat_x),
        (Vec(w, -(h - r)), Vec(w, h - r), flat_y),
        (Vec(w - r, h), Vec(-(w - r), h), flat_x),
        (Vec(-w, h - r), Vec(-w, -(h - r)), flat_y),
    ):
        if straight:
            points.append(start)
            bulges.append(0.0)
        points.append(end)
        bulges.append(quarter)
    return points, bulges


def _sweep_minus_sine(sweep: float) -> float:
    """x - sin x, by its series where the difference would cancel."""
    if abs(sweep) > 0.1:
        return sweep - math.sin(sweep)
    square = sweep * sweep
    return sweep**3 / 6 * (1 - square / 20 * (1 - square / 42 * (1 - square / 72)))


def _cap_area(arc: Arc) -> float:
    """Signed area between arc and chord: r^2 (sweep - sin sweep) / 2."""
    return arc.radius**2 * _sweep_minus_sine(math.radians(arc.sweep)) / 2


def _area_from(segment: Segment, origin: Vec) -> float:
    triangle = (segment.start - origin).cross(segment.end - origin) / 2
    return triangle + _cap_area(segment) if isinstance(segment, Arc) else triangle


def _moment_from(segment: Segment, origin: Vec) -> Vec:
    """First moment about ``origin``: triangle and circular segment, whose centroid lies at
    4 r sin^3(sweep / 2) / (3 (sweep - sin sweep)) from the centre."""
    start, end = segment.start - origin, segment.end - origin
    moment = (start + end) * (start.cross(end) / 6)
    if isinstance(segment, Arc):
        half = math.radians(abs(segment.sweep)) / 2
        reach = 4 * segment.radius * math.sin(half) ** 3 / (3 * _sweep_minus_sine(2 * half))
        outwards = (segment.midpoint - segment.centre).unit()
        moment += (segment.centre + outwards * reach - origin) * _cap_area(segment)
    return moment
