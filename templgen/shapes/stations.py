"""The section measured with calipers: half-widths to the left and right at stations from the nose.

A smooth line is laid through the measured places. Behind a round nose the distance is run by an angle, as
length * (1 - cos angle): the half-width, a root of the distance there, is smooth in the angle, and the nose
radius is its slope at 0. The line is a cubic spline of the half-width over the angle. A round tail is a
circle: each side leaves its spline where the spline's own slope is that of the circle.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any

from msgspec import Struct

from templgen.errors import ShapeError
from templgen.geometry import Contour, Line, Vec, segment_between
from templgen.geometry.distance import point_contour
from templgen.geometry.fit import arcs_from_curve
from templgen.shapes.constructions import construction
from templgen.shapes.ends import Chain, mirrored, round_corner, turned_round
from templgen.shapes.outline import MeasureError, Note, Outline
from templgen.shapes.spline import Spline

__all__ = ["LEAST_STATIONS"]

LEAST_STATIONS = 3
_LEAST_STEP = 0.01
_TOUCH = 1e-7
_TAIL_REACH = 1.2
"""Stations nearer to a round tail's end than so many radii do not shape the line but are compared with it."""
_LEAST_TURN, _FARTHEST_TURN = 1.0, 100.0
"""How far round a tail circle (degrees from its end) a side may leave it."""
_NEARLY_TANGENT = 0.05
"""Sine of the angle by which a side may miss the direction of the tail circle before it is bent to it."""
_NOSE_EXCESS = 1.25
"""A nose radius above so many times that of the circle through the first stations is refused. Own default."""
_AGREES = 0.15
"""A measured half-width this far (mm) from the line is told."""


class _Section(Struct, frozen=True):
    """The measured places: stations from the nose, half-widths, end radii; mm."""

    stations: tuple[float, ...]
    left: tuple[float, ...]
    right: tuple[float, ...]
    nose_radius: float
    tail_radius: float

    @property
    def length(self) -> float:
        return self.stations[-1]

    @property
    def nose_is_round(self) -> bool:
        return self.left[0] + self.right[0] == 0

    @property
    def tail_is_flat(self) -> bool:
        return self.left[-1] + self.right[-1] > 0

    @property
    def tail_is_round(self) -> bool:
        return not self.tail_is_flat and self.tail_radius > 0

    @property
    def kept(self) -> int:
        """How many stations the line goes through: all, or those ahead of a round tail."""
        if not self.tail_is_round:
            return len(self.stations)
        last = self.length - _TAIL_REACH * self.tail_radius
        return sum(station <= last for station in self.stations)

    def angle(self, station: float) -> float:
        """The angle that runs the section at a station."""
        share = min(1.0, station / self.length)
        return math.acos(1 - share) if self.nose_is_round else share

    def station(self, angle: float) -> float:
        """The station at an angle."""
        return self.length * ((1 - math.cos(angle)) if self.nose_is_round else angle)

    def speed(self, angle: float) -> float:
        """Change of the station with the angle."""
        return self.length * (math.sin(angle) if self.nose_is_round else 1.0)


@construction(
    "stations", stations="lengths", left="lengths", right="lengths", nose_radius="mm", tail_radius="mm"
)
def _stations(values: Mapping[str, Any]) -> Outline:
    names = ("stations", "left", "right", "nose_radius", "tail_radius")
    section = _Section(*(values[name] for name in names))
    _require_sound(section)
    slope = _nose_slope(section)
    left, left_off = _side(section, section.left, slope)
    right, right_off = _side(section, section.right, slope)
    contour = _outline(left, right, section)
    notes = (*_notes(section, slope), *_disagreements(section, contour))
    return Outline(contour, max(left_off, right_off), notes)


def _require_sound(section: _Section) -> None:
    """Refuse lists that do not belong together, with the numbers that are wrong."""
    count = len(section.stations)
    if count < LEAST_STATIONS:
        raise ShapeError(f"stations: {count} given, at least {LEAST_STATIONS} are needed")
    for name, widths in (("left", section.left), ("right", section.right)):
        if len(widths) != count:
            raise ShapeError(f"{name}: {len(widths)} half-widths for {count} stations")
        for place, width in enumerate(widths[1:-1], 2):
            if width <= 0:
                raise MeasureError(f"{name}[{place}] = {{}}: only the first and the last may be 0", width)
    if section.stations[0] != 0:
        raise MeasureError("stations[1] = {}: the first station is 0, the nose itself", section.stations[0])
    for place, (before, after) in enumerate(pairwise(section.stations), 2):
        if after < before + _LEAST_STEP:
            raise MeasureError(f"stations[{place}] = {{}} does not lie behind {{}}", after, before)
    if section.kept < 2:
        raise MeasureError(
            "tail_radius = {} leaves no station ahead of the tail; the section is {} long",
            section.tail_radius,
            section.length,
        )


def _nose_slope(section: _Section) -> float | None:
    """Half-width per angle at a round nose, from its radius or from the stations of both sides; None if flat.

    Near the nose y^2 = 2 r x and x = length * angle^2 / 2, so that the slope is sqrt(r * length).
    """
    if not section.nose_is_round:
        return None
    if section.nose_radius > 0:
        _require_nose_fits(section)
        return math.sqrt(section.nose_radius * section.length)
    angles = [section.angle(station) for station in section.stations[: section.kept]]
    nodes = [-angle for angle in reversed(angles[1:])] + angles
    widths = [-width for width in reversed(section.right[1 : section.kept])]
    return Spline.through(nodes, [*widths, *section.left[: section.kept]]).slope(0.0)


def _require_nose_fits(section: _Section) -> None:
    """Refuse a nose radius that is too large for the first station: the circle passes it outside."""
    station, width = section.stations[1], max(section.left[1], section.right[1])
    passing = (station**2 + width**2) / (2 * station)
    if section.nose_radius > _NOSE_EXCESS * passing:
        raise MeasureError(
            "nose_radius = {} does not go with half-width {} at station {}: "
            "the circle from the nose through it has {}",
            section.nose_radius,
            width,
            station,
            passing,
        )


def _side(section: _Section, widths: Sequence[float], nose_slope: float | None) -> tuple[Chain, float]:
    """One side, turned to the left, as arcs from nose to tail; and the deviation from the line."""
    angles = [section.angle(station) for station in section.stations[: section.kept]]
    values = list(widths[: section.kept])
    turn = _tail_turn(section, angles, values, nose_slope) if section.tail_is_round else 0.0
    tail_slope = None
    if section.tail_is_round:
        angles, values = _with_tail(section, angles, values, turn)
        tail_slope = -section.speed(angles[-1]) / math.tan(math.radians(turn))
    line = Spline.through(angles, values, nose_slope, tail_slope)

    def curve(angle: float) -> Vec:
        return Vec(section.length / 2 - section.station(angle), line(angle))

    fit = arcs_from_curve(curve, angles[0], angles[-1])
    chain = fit.contour.segments
    if section.tail_is_round:
        tip = Vec(-section.length / 2, 0.0)
        chain = (*chain, segment_between(chain[-1].end, tip, math.tan(math.radians(turn) / 4)))
    return chain, fit.deviation


def _with_tail(
    section: _Section, angles: list[float], values: list[float], turn: float
) -> tuple[list[float], list[float]]:
    """The places of a side and the one on the tail circle `turn` degrees round from its end."""
    radius = section.tail_radius
    at = Vec.polar(radius, turn)
    return [*angles, section.angle(section.length - radius + at.x)], [*values, at.y]


def _tail_turn(
    section: _Section, angles: list[float], values: list[float], nose_slope: float | None
) -> float:
    """How far round the tail circle a side leaves it (degrees): where its own slope is the circle's."""

    def excess(turn: float) -> float:
        nodes, widths = _with_tail(section, angles, values, turn)
        slope = Spline.through(nodes, widths, nose_slope).slope(nodes[-1]) / section.speed(nodes[-1])
        at = Vec.polar(1.0, turn)
        return slope * at.y + at.x

    low, high = _LEAST_TURN, _FARTHEST_TURN
    if excess(low) < 0 or excess(high) > 0:
        return _nearest_turn(section, excess)
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if excess(middle) > 0 else (low, middle)
    return low


def _nearest_turn(section: _Section, excess: Callable[[float], float]) -> float:
    """Where a side is most nearly tangent to the tail circle: for a side that lies on that very circle.

    Raises:
        ShapeError: nowhere within `_NEARLY_TANGENT`.
    """
    turns = [_LEAST_TURN + (_FARTHEST_TURN - _LEAST_TURN) * step / 99 for step in range(100)]
    best = min(turns, key=lambda turn: abs(excess(turn)))
    if abs(excess(best)) > _NEARLY_TANGENT:
        raise MeasureError(
            "tail_radius = {} does not go with the half-widths ahead of it: "
            "no circle at the tail runs smoothly into the sides",
            section.tail_radius,
        )
    return best


def _outline(left: Chain, right: Chain, section: _Section) -> Contour:
    """Both sides and the flat ends, counter-clockwise."""
    left_side = _with_corners(left, right, section)
    right_side = mirrored(_with_corners(right, left, section))
    tail_face = _face(left_side[-1].end, right_side[0].start, "tail", section.tail_radius)
    nose_face = _face(right_side[-1].end, left_side[0].start, "nose", section.nose_radius)
    return Contour((*left_side, *tail_face, *right_side, *nose_face), closed=True)


def _with_corners(side: Chain, other: Chain, section: _Section) -> Chain:
    """A left side with the corners of its flat ends rounded; the other side tells how far the faces go."""
    if section.tail_is_flat and section.tail_radius > 0:
        side = round_corner(side, _below(other[-1].end), section.tail_radius).chain
    if not section.nose_is_round and section.nose_radius > 0:
        far = _below(other[0].start)
        side = turned_round(round_corner(turned_round(side), Vec(-far.x, far.y), section.nose_radius).chain)
    return side


def _below(point: Vec) -> Vec:
    return Vec(point.x, -point.y)


def _face(start: Vec, end: Vec, place: str, radius: float) -> Chain:
    """The flat face between two corners; none where they meet. The tail face runs down, the nose face up."""
    if start.distance_to(end) < _TOUCH:
        return ()
    if (start.y - end.y) * (1 if place == "tail" else -1) < 0:
        raise MeasureError(f"{place}_radius = {{}}: the two corners of the flat end overlap", radius)
    return (Line(start, end),)


def _notes(section: _Section, nose_slope: float | None) -> tuple[Note, ...]:
    notes = []
    if nose_slope is not None and section.nose_radius == 0:
        radius = nose_slope**2 / section.length
        notes.append(Note("the stations give a nose radius of {}; compare it with a radius gauge", (radius,)))
    if nose_slope is None and section.nose_radius == 0:
        notes.append(Note("the flat nose has sharp corners"))
    if section.tail_radius == 0:
        flat, sharp = "the flat tail has sharp corners", "the tail is sharp; a cutout needs it opened"
        notes.append(Note(flat if section.tail_is_flat else sharp))
    return tuple(notes)


def _disagreements(section: _Section, contour: Contour) -> tuple[Note, ...]:
    """Half-widths measured within a round tail that do not lie on its circle."""
    notes = []
    for name, widths, side in (("left", section.left, 1.0), ("right", section.right, -1.0)):
        places = list(zip(section.stations, widths, strict=True))[section.kept : -1]
        for station, width in places:
            off = point_contour(Vec(section.length / 2 - station, side * width), contour).distance
            if off > _AGREES:
                told = (
                    name
                    + " half-width {} at station {} lies {} off the outline, which follows the tail radius"
                )
                notes.append(Note(told, (width, station, off)))
    return tuple(notes)
