"""Curves and rows of points as chains of arcs that run smoothly into each other.

Each stretch becomes a biarc: two arcs with a common tangent at their joint that leave and arrive
along given tangents. Of the one-parameter family the one with equal tangent legs is taken; source:
Bolton, "Biarc curves", Computer-Aided Design 7 (1975), from memory, and checked by its own deviation.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from templgen.errors import GeometryError
from templgen.geometry.contour import Contour
from templgen.geometry.distance import distances_to_segments, point_segment
from templgen.geometry.merge import merged
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.tolerance import ANGLE_NOISE, CONTACT, CURVE_FIT, SHORTEST
from templgen.geometry.vector import Vec

__all__ = ["Fit", "arcs_from_curve", "arcs_through_points"]

Curve = Callable[[float], Vec]

_FIRST_STRETCHES = 4
_MOST_HALVINGS = 12
_PROBES = 32
"""Inner places of a stretch where its deviation is measured while fitting; the report takes twice as many."""
_ACCEPTED = 0.95
"""Part of the tolerance used while fitting, so that the finer report stays within it."""
_STEP = 1e-5
"""Step of the differences that give tangents, as a part of the curve between two breaks."""
_TAME_SWEEP = 120.0
"""An arc of a stretch that turns farther (degrees) has left the curve."""


class Fit(Struct, frozen=True):
    """A chain of lines and arcs, and the largest distance found between it and what it stands for (mm)."""

    contour: Contour
    deviation: float


def arcs_from_curve(
    curve: Curve,
    start: float,
    end: float,
    tolerance: float = CURVE_FIT,
    closed: bool = False,
    breaks: Sequence[float] = (),
) -> Fit:
    """Return arcs that follow a curve within ``tolerance`` mm.

    Args:
        curve: Point (mm) of a parameter; smooth between the breaks, and run at a speed above zero.
        start: Parameter of the first point.
        end: Parameter of the last point; for a closed curve it is the first point again.
        tolerance: Largest distance between curve and arcs in mm.
        closed: Whether the contour closes; smoothly, unless ``start`` or ``end`` is among the breaks.
        breaks: Parameters where the curve has a corner.

    Returns:
        The contour and the deviation measured at many places, which is at most ``tolerance``.

    Raises:
        GeometryError: The curve gives NaN, stands still, does not close, or can not be followed.
    """
    _require_tolerance(tolerance)
    if not (math.isfinite(start) and math.isfinite(end) and start < end):
        raise GeometryError(
            f"a curve runs from a smaller to a larger parameter, not from {start:g} to {end:g}"
        )
    traced = _Traced(curve, start, end, closed, frozenset(breaks))
    segments: list[Segment] = []
    places: list[float] = []
    for t0, t1 in pairwise(traced.corners):
        for part in range(_FIRST_STRETCHES):
            first = t0 + (t1 - t0) * part / _FIRST_STRETCHES
            last = t1 if part == _FIRST_STRETCHES - 1 else t0 + (t1 - t0) * (part + 1) / _FIRST_STRETCHES
            for stretch in _followed(traced, first, last, _ACCEPTED * tolerance, _MOST_HALVINGS):
                segments += stretch.pieces
                width = (stretch.t1 - stretch.t0) / (2 * _PROBES)
                places += [stretch.t0 + k * width for k in range(2 * _PROBES)]
    return _reported(segments, closed, [traced.at(t) for t in places], tolerance)


def arcs_through_points(
    points: Sequence[Vec],
    tolerance: float = CURVE_FIT,
    closed: bool = False,
    corners: Sequence[int] = (),
) -> Fit:
    """Return a smooth chain of arcs that passes each point within ``tolerance`` mm.

    The tangent at a point is that of the circle through it and its neighbours. Each stretch of arcs
    begins and ends on points exactly, and spans as many points as the tolerance allows.

    Args:
        points: In order, at least 2 (closed: 3); a closed outline does not repeat the first one.
        tolerance: Largest distance of a point from the arcs in mm.
        closed: Whether the last point is joined to the first.
        corners: Numbers of the points (from 0) where the outline has a corner.

    Returns:
        The contour and the largest distance of any of the points from it.

    Raises:
        GeometryError: Too few points, two that coincide, NaN, or a turn straight back.
    """
    _require_tolerance(tolerance)
    _require_points(points, closed, corners)
    segments: list[Segment] = []
    for chain, tangents in _spans(points, closed, sorted(set(corners))):
        segments += _through(chain, tangents, tolerance)
    return _reported(segments, closed, points, tolerance)


def _require_tolerance(tolerance: float) -> None:
    if not 0 < tolerance < math.inf:
        raise GeometryError(f"a tolerance is above 0 mm, not {tolerance:g} mm")


def _reported(segments: list[Segment], closed: bool, samples: Sequence[Vec], tolerance: float) -> Fit:
    contour = merged(Contour(tuple(segments), closed))
    deviation = max(distances_to_segments(samples, contour.segments))
    if deviation > tolerance:
        raise GeometryError(f"the arcs leave the curve by {deviation:.4g} mm, more than {tolerance:g} mm")
    return Fit(contour, deviation)


class _Traced(Struct, frozen=True):
    """A curve with its corners, asked for points and unit tangents."""

    curve: Curve
    start: float
    end: float
    closed: bool
    breaks: frozenset[float]

    def __post_init__(self) -> None:
        if self.closed:
            gap = self.curve(self.start).distance_to(self.curve(self.end))
            if not gap <= CONTACT:
                raise GeometryError(
                    f"the curve does not close: {gap:.4g} mm from its last to its first point"
                )

    @property
    def corners(self) -> list[float]:
        """First and last parameter and the breaks between them, in order."""
        return [self.start, *sorted(t for t in self.breaks if self.start < t < self.end), self.end]

    @property
    def smooth_seam(self) -> bool:
        return self.closed and not {self.start, self.end} & self.breaks

    def at(self, t: float) -> Vec:
        if self.closed and t == self.end:
            t = self.start  # so that the contour closes to the last digit
        point = self.curve(t)
        if not point.is_finite:
            raise GeometryError(f"the curve gives {point} at parameter {t:g}")
        return point

    def tangent(self, t: float, step: float, ahead: bool) -> Vec:
        """Unit tangent from differences; from one side (``ahead`` or behind) at an end or a break."""
        if t in self.breaks or (t in (self.start, self.end) and not self.smooth_seam):
            return self._from_one_side(t, step if ahead else -step)
        before, after = t - step, t + step
        if before < self.start:
            before += self.end - self.start
        if after > self.end:
            after -= self.end - self.start
        return self._direction(self.at(after) - self.at(before), t)

    def _from_one_side(self, t: float, step: float) -> Vec:
        here, near, far = self.at(t), self.at(t + step), self.at(t + 2 * step)
        first, better = near - here, near * 4.0 - here * 3.0 - far
        # where the curve starts from rest the second order formula cancels
        chosen = better if better.length > 0.5 * first.length else first
        return self._direction(chosen * math.copysign(1.0, step), t)

    def _direction(self, way: Vec, t: float) -> Vec:
        if way.length == 0.0:
            raise GeometryError(f"the curve stands still at {self.at(t)} (parameter {t:g})")
        return way.unit()


class _Stretch(Struct, frozen=True):
    t0: float
    t1: float
    pieces: list[Segment]


def _followed(traced: _Traced, t0: float, t1: float, tolerance: float, halvings: int) -> list[_Stretch]:
    """Cover a stretch by one biarc, or halve it until that is near enough."""
    step = _STEP * _span_of(traced, t0, t1)
    start, end = traced.at(t0), traced.at(t1)
    pieces = _biarc(start, traced.tangent(t0, step, True), end, traced.tangent(t1, step, False))
    if pieces and _is_tame(pieces):
        probes = (traced.at(t0 + (t1 - t0) * k / (_PROBES + 1)) for k in range(1, _PROBES + 1))
        if _largest_distance(probes, pieces, tolerance) <= tolerance:
            return [_Stretch(t0, t1, pieces)]
    if halvings == 0:
        raise GeometryError(f"the curve near {start} can not be followed within {tolerance:g} mm by arcs")
    middle = (t0 + t1) / 2
    first = _followed(traced, t0, middle, tolerance, halvings - 1)
    return first + _followed(traced, middle, t1, tolerance, halvings - 1)


def _span_of(traced: _Traced, t0: float, t1: float) -> float:
    corners = traced.corners
    return min(b - a for a, b in pairwise(corners) if a <= t0 and t1 <= b)


def _largest_distance(points: Iterable[Vec], pieces: Sequence[Segment], enough: float) -> float:
    """Largest distance of the points from the pieces; stops early beyond ``enough``."""
    largest = 0.0
    for point in points:
        largest = max(largest, min(point_segment(point, piece).distance for piece in pieces))
        if largest > enough:
            break
    return largest


def _biarc(start: Vec, leaving: Vec, end: Vec, arriving: Vec) -> list[Segment]:
    """Two arcs, or fewer where they are one line; empty when there is no biarc.

    Tangent legs of length d on both sides, with
    d = v.v / (v.t + sqrt((v.t)^2 + 2 (1 - t0.t1) v.v)), v = end - start, t = t0 + t1.
    """
    chord, both = end - start, leaving + arriving
    along = chord.dot(both)
    # 1 - t0.t1 without cancellation
    spread = (leaving - arriving).dot(leaving - arriving) / 2
    divisor = along + math.sqrt(along * along + 2 * spread * chord.dot(chord))
    if divisor <= ANGLE_NOISE * chord.length:
        return []
    leg = chord.dot(chord) / divisor
    joint = (start + end + (leaving - arriving) * leg) / 2
    if min(joint.distance_to(start), joint.distance_to(end)) < SHORTEST:
        return []
    first = _tangent_piece(start, leaving, joint)
    last = _tangent_piece(end, -arriving, joint)
    return [first, last.reversed()] if first and last else []


def _tangent_piece(start: Vec, direction: Vec, end: Vec) -> Segment | None:
    chord = (end - start).unit()
    half_sweep = math.atan2(direction.cross(chord), direction.dot(chord))
    if abs(half_sweep) <= ANGLE_NOISE:
        return Line(start, end)
    return Arc(start, end, math.tan(half_sweep / 2)) if abs(half_sweep) < 0.9 * math.pi else None


def _is_tame(pieces: Sequence[Segment]) -> bool:
    return all(isinstance(piece, Line) or abs(piece.sweep) <= _TAME_SWEEP for piece in pieces)


def _require_points(points: Sequence[Vec], closed: bool, corners: Sequence[int]) -> None:
    if len(points) < (3 if closed else 2):
        raise GeometryError(f"an outline needs at least {3 if closed else 2} points, not {len(points)}")
    for number, point in enumerate(points):
        if not point.is_finite:
            raise GeometryError(f"point {number} is {point}")
    around = [*points, points[0]] if closed else list(points)
    for number, (a, b) in enumerate(pairwise(around)):
        if a.distance_to(b) <= CONTACT:
            raise GeometryError(f"points {number} and {(number + 1) % len(points)} coincide at {a}")
    for number in corners:
        if not 0 <= number < len(points):
            raise GeometryError(f"corner {number} is none of the points 0 to {len(points) - 1}")


def _spans(
    points: Sequence[Vec], closed: bool, corners: Sequence[int]
) -> Iterator[tuple[list[Vec], list[Vec]]]:
    """Yield the smooth stretches between corners, each as points and unit tangents."""
    if closed and not corners:
        around = [*points, points[0]]
        neighbours = [points[-1], *points, points[0], points[1]]
        yield around, [_circle_tangent(*neighbours[k : k + 3]) for k in range(len(around))]
        return
    if closed:
        first = corners[0]
        points = [*points[first:], *points[: first + 1]]
        cuts = [number - first for number in corners] + [len(points) - 1]
    else:
        cuts = sorted({0, *corners, len(points) - 1})
    for start, end in pairwise(cuts):
        chain = list(points[start : end + 1])
        yield chain, _tangents_of(chain)


def _tangents_of(chain: Sequence[Vec]) -> list[Vec]:
    if len(chain) == 2:
        return [(chain[1] - chain[0]).unit()] * 2
    inner = [_circle_tangent(*chain[k : k + 3]) for k in range(len(chain) - 2)]
    first = _mirrored_in(inner[0], chain[1] - chain[0])
    last = _mirrored_in(inner[-1], chain[-1] - chain[-2])
    return [first, *inner, last]


def _circle_tangent(before: Vec, point: Vec, after: Vec) -> Vec:
    """Tangent at the middle one of three points on their circle (chords weighted by 1 / length^2)."""
    come, go = point - before, after - point
    way = come / come.dot(come) + go / go.dot(go)
    if way.length <= ANGLE_NOISE / come.length:
        raise GeometryError(f"the outline turns straight back at {point}; make it a corner")
    return way.unit()


def _mirrored_in(tangent: Vec, chord: Vec) -> Vec:
    """Tangent at the other end of a chord of the same circle."""
    along = chord.unit()
    return along * (2 * along.dot(tangent)) - tangent


def _through(chain: Sequence[Vec], tangents: Sequence[Vec], tolerance: float) -> list[Segment]:
    """Biarcs from point to point, each over as many points as it passes within the tolerance."""
    segments: list[Segment] = []
    first, final = 0, len(chain) - 1
    while first < final:
        last = first + 1
        pieces = _biarc(chain[first], tangents[first], chain[last], tangents[last])
        if not pieces:
            raise GeometryError(
                f"no smooth arcs lead from {chain[first]} to {chain[last]}; make one a corner"
            )
        while last < final:
            longer = _biarc(chain[first], tangents[first], chain[last + 1], tangents[last + 1])
            inner = chain[first + 1 : last + 1]
            if not (longer and _is_tame(longer)) or _largest_distance(inner, longer, tolerance) > tolerance:
                break
            pieces, last = longer, last + 1
        segments += pieces
        first = last
    return segments
