"""The two kinds of edge: a straight line and a circular arc, both with ends.

An arc is kept as start, end and bulge, the form of cut files, so that ends stay where they are and
very flat arcs lose nothing; centre and radius follow from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from templgen.errors import GeometryError
from templgen.geometry.bounds import Bounds
from templgen.geometry.motion import Motion
from templgen.geometry.tolerance import ANGLE_NOISE, GREATEST_BULGE, LEAST_BULGE, SHORTEST
from templgen.geometry.vector import Vec

__all__ = ["Arc", "Line", "Segment", "segment_between", "split"]


def _require_ends(what: str, start: Vec, end: Vec) -> None:
    length = start.distance_to(end)
    if SHORTEST <= length < math.inf:
        # ends that are no numbers have no finite distance
        return
    if not (start.is_finite and end.is_finite):
        raise GeometryError(f"{what} from {start} to {end} has an end that is no number")
    if length < SHORTEST:
        raise GeometryError(f"{what} from {start} to {end} has no length ({length:g} mm between its ends)")


@dataclass(frozen=True, slots=True)
class Line:
    """A straight edge between two points.

    >>> Line(Vec(0, 0), Vec(3, 4)).length
    5.0
    """

    start: Vec
    end: Vec
    _box: Bounds | None = field(init=False, repr=False, compare=False, default=None)
    _along: Vec | None = field(init=False, repr=False, compare=False, default=None)

    def __post_init__(self) -> None:
        _require_ends("line", self.start, self.end)

    @property
    def length(self) -> float:
        """Length in mm."""
        return self.start.distance_to(self.end)

    @property
    def bounds(self) -> Bounds:
        """The smallest box round it; worked out once, since everything asks for it."""
        if self._box is None:
            (x0, y0), (x1, y1) = (self.start.x, self.start.y), (self.end.x, self.end.y)
            box = Bounds(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
            object.__setattr__(self, "_box", box)
            return box
        return self._box

    @property
    def direction(self) -> Vec:
        """Unit vector from start to end; worked out once."""
        if self._along is None:
            along = (self.end - self.start).unit()
            object.__setattr__(self, "_along", along)
            return along
        return self._along

    @property
    def midpoint(self) -> Vec:
        """Point half way along."""
        return self.start.towards(self.end, 0.5)

    def reversed(self) -> Line:
        """Return the line run the other way."""
        return Line(self.end, self.start)

    def moved(self, motion: Motion) -> Line:
        """Return the line after a motion."""
        return Line(motion.apply(self.start), motion.apply(self.end))

    def point_at(self, t: float) -> Vec:
        """Return the point at fraction ``t`` of the length, 0 at the start and 1 at the end."""
        return self.end if t == 1.0 else self.start.towards(self.end, t)

    def tangent_at(self, t: float) -> Vec:
        """Return the unit vector along the line (the same for every ``t``)."""
        return self.direction

    def parameter_of(self, point: Vec) -> float:
        """Return the fraction of the length at the foot of the perpendicular; may lie outside 0..1."""
        start, end = self.start, self.end
        x, y = end.x - start.x, end.y - start.y
        return ((point.x - start.x) * x + (point.y - start.y) * y) / (x * x + y * y)

    def between(self, t0: float, t1: float) -> Line:
        """Return the part from fraction ``t0`` to ``t1``."""
        return Line(self.point_at(t0), self.point_at(t1))


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular edge: start, end, and bulge = tan(sweep / 4), positive when counter-clockwise.

    The bulge is the one of the DXF reference (LWPOLYLINE, group code 42): the sagitta over half the
    chord. A full circle has no such form; use two arcs.

    >>> arc = Arc(Vec(1, 0), Vec(-1, 0), 1.0)
    >>> arc.radius, arc.sweep
    (1.0, 180.0)
    """

    start: Vec
    end: Vec
    bulge: float
    centre: Vec = field(init=False, repr=False, compare=False)
    radius: float = field(init=False, repr=False, compare=False)
    sweep: float = field(init=False, repr=False, compare=False)
    """Signed angle from start to end in degrees."""

    _box: Bounds | None = field(init=False, repr=False, compare=False, default=None)
    _first: float | None = field(init=False, repr=False, compare=False, default=None)
    _middle: float | None = field(init=False, repr=False, compare=False, default=None)

    def __post_init__(self) -> None:
        _require_ends("arc", self.start, self.end)
        bulge = self.bulge
        if not LEAST_BULGE <= abs(bulge) <= GREATEST_BULGE:
            raise GeometryError(
                f"arc from {self.start} to {self.end} with bulge {bulge:g} is "
                f"{'straight' if abs(bulge) < LEAST_BULGE else 'no arc'}; "
                f"a bulge lies between {LEAST_BULGE:g} and {GREATEST_BULGE:g}"
            )
        chord = self.end - self.start
        middle = self.start.towards(self.end, 0.5)
        set_ = object.__setattr__
        set_(self, "centre", middle + chord.perp() * ((1 - bulge) * (1 + bulge) / (4 * bulge)))
        set_(self, "radius", chord.length * (1 + bulge * bulge) / (4 * abs(bulge)))
        set_(self, "sweep", math.degrees(4 * math.atan(bulge)))

    @classmethod
    def from_centre(cls, centre: Vec, radius: float, start_angle: float, sweep: float) -> Arc:
        """Return the arc round ``centre`` from ``start_angle`` over the signed ``sweep`` (degrees)."""
        if not (math.isfinite(radius) and radius > 0):
            raise GeometryError(f"an arc needs a radius above 0 mm, not {radius:g} mm")
        if not 0 < abs(sweep) < 360:
            raise GeometryError(f"an arc sweeps more than 0 and less than 360 degrees, not {sweep:g}")
        start = centre + Vec.polar(radius, start_angle)
        end = centre + Vec.polar(radius, start_angle + sweep)
        return cls(start, end, math.copysign(1.0, sweep) if abs(sweep) == 180 else _bulge_of(sweep))

    @classmethod
    def through(cls, start: Vec, middle: Vec, end: Vec) -> Arc:
        """Return the arc from ``start`` through ``middle`` to ``end``; GeometryError when in line.

        Half the sweep is the angle between the two chords (inscribed angle theorem).
        """
        _require_ends("arc", start, middle)
        _require_ends("arc", middle, end)
        first, second = middle - start, end - middle
        half_sweep = math.atan2(first.cross(second), first.dot(second))
        if abs(math.sin(half_sweep)) < ANGLE_NOISE:
            raise GeometryError(f"{start}, {middle} and {end} lie in line: there is no arc through them")
        return cls(start, end, math.tan(half_sweep / 2))

    @classmethod
    def tangent(cls, start: Vec, direction: Vec, end: Vec) -> Arc:
        """Return the arc that leaves ``start`` along ``direction`` and ends at ``end``.

        Half the sweep is the angle from the tangent to the chord; GeometryError when it is straight.
        """
        _require_ends("arc", start, end)
        along, chord = direction.unit(), (end - start).unit()
        half_sweep = math.atan2(along.cross(chord), along.dot(chord))
        if abs(math.sin(half_sweep)) < ANGLE_NOISE:
            raise GeometryError(f"no arc leaves {start} along the line to {end} itself")
        return cls(start, end, math.tan(half_sweep / 2))

    @property
    def length(self) -> float:
        """Length along the arc in mm."""
        return self.radius * math.radians(abs(self.sweep))

    @property
    def start_angle(self) -> float:
        """Angle of the start seen from the centre, in degrees in [0, 360)."""
        if self._first is None:
            first = (self.start - self.centre).angle % 360.0
            object.__setattr__(self, "_first", first)
            return first
        return self._first

    @property
    def end_angle(self) -> float:
        """Start angle plus signed sweep, in degrees; may lie outside 0..360."""
        return self.start_angle + self.sweep

    @property
    def is_ccw(self) -> bool:
        """Whether it runs counter-clockwise round its centre."""
        return self.bulge > 0

    @property
    def midpoint(self) -> Vec:
        """Point half way along: the chord's middle moved out by the sagitta."""
        chord = self.end - self.start
        return self.start.towards(self.end, 0.5) - chord.perp() * (self.bulge / 2)

    @property
    def bounds(self) -> Bounds:
        """The smallest box round it, with the extreme points of the circle it passes; worked out once."""
        if self._box is None:
            box = self._box_round()
            object.__setattr__(self, "_box", box)
            return box
        return self._box

    def _box_round(self) -> Bounds:
        xs, ys = [self.start.x, self.end.x], [self.start.y, self.end.y]
        for quarter in range(4):
            if self.covers_angle(90.0 * quarter):
                extreme = self.centre + Vec.polar(self.radius, 90.0 * quarter)
                (xs if quarter % 2 == 0 else ys).append(extreme.x if quarter % 2 == 0 else extreme.y)
        return Bounds(min(xs), min(ys), max(xs), max(ys))

    def covers_angle(self, degrees: float) -> bool:
        """Whether the ray from the centre at ``degrees`` meets the arc."""
        turned = (degrees - self.start_angle) % 360.0
        return turned <= self.sweep if self.bulge > 0 else turned == 0 or turned - 360.0 >= self.sweep

    def reversed(self) -> Arc:
        """Return the arc run the other way."""
        return Arc(self.end, self.start, -self.bulge)

    def moved(self, motion: Motion) -> Arc:
        """Return the arc after a motion; a mirror turns its sense round."""
        bulge = -self.bulge if motion.is_mirrored else self.bulge
        return Arc(motion.apply(self.start), motion.apply(self.end), bulge)

    def point_at(self, t: float) -> Vec:
        """Return the point at fraction ``t`` of the length, 0 at the start and 1 at the end.

        Worked from the chord, not from the centre, so that very flat arcs lose nothing.
        """
        return self.points_at((t,))[0]

    def points_at(self, fractions: Iterable[float]) -> list[Vec]:
        """Return `point_at` of some fractions."""
        half = math.radians(self.sweep) / 2
        (x, y), whole = (self.start.x, self.start.y), math.sin(half)
        across, along = self.end.x - x, self.end.y - y
        found: list[Vec] = []
        for t in fractions:
            if t in (0.0, 1.0):
                found.append(self.start if t == 0.0 else self.end)
                continue
            factor, turn = math.sin(t * half) / whole, (t - 1) * half
            cosine, sine = math.cos(turn) * factor, math.sin(turn) * factor
            found.append(Vec(x + cosine * across - sine * along, y + sine * across + cosine * along))
        return found

    def tangent_at(self, t: float) -> Vec:
        """Return the unit vector along the arc at fraction ``t`` of the length."""
        return (self.end - self.start).unit().turned((t - 0.5) * self.sweep)

    def parameter_of(self, point: Vec) -> float:
        """Return the fraction of the length on the ray from the centre through ``point``.

        Beyond the ends the nearer end decides: below 0 before the start, above 1 after the end.
        """
        centre = self.centre
        angle = math.degrees(math.atan2(point.y - centre.y, point.x - centre.x))
        return 0.5 + ((angle - self._middle_angle + 180.0) % 360.0 - 180.0) / self.sweep

    @property
    def _middle_angle(self) -> float:
        if self._middle is None:
            middle = (self.midpoint - self.centre).angle
            object.__setattr__(self, "_middle", middle)
            return middle
        return self._middle

    def between(self, t0: float, t1: float) -> Arc:
        """Return the part from fraction ``t0`` to ``t1``."""
        return Arc(self.point_at(t0), self.point_at(t1), _bulge_of((t1 - t0) * self.sweep))


Segment: TypeAlias = Line | Arc


def _bulge_of(sweep: float) -> float:
    return math.tan(math.radians(sweep) / 4)


def segment_between(start: Vec, end: Vec, bulge: float) -> Segment:
    """Return the line (bulge 0, or too flat for an arc) or the arc between two points."""
    return Line(start, end) if abs(bulge) < LEAST_BULGE else Arc(start, end, bulge)


def split(segment: Segment, parameters: Sequence[float]) -> list[Segment]:
    """Cut a segment at fractions of its length; cuts at the ends or at one place count once."""
    least = SHORTEST / segment.length
    cuts = [0.0]
    for t in sorted(parameters):
        if t - cuts[-1] > 2 * least and 1.0 - t > 2 * least:
            cuts.append(t)
    if len(cuts) == 1:
        return [segment]
    ends = [*cuts[1:], 1.0]
    return [segment.between(t0, t1) for t0, t1 in zip(cuts, ends, strict=True)]
