"""The section measured with calipers: half-widths to the left and right at stations from the nose.

A smooth line is laid through the measured places. Along the section it is run by an angle: x rises with the
angle's cosine towards a round end, so that the half-width, a root of the distance near a round end, is smooth
in the angle. A cubic spline of the half-width over that angle then gives nose and tail their true form, and a
nose radius is simply its slope there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from templgen.errors import ShapeError
from templgen.geometry import Contour, Line, Vec
from templgen.geometry.fit import Fit, arcs_from_curve
from templgen.shapes.constructions import construction
from templgen.shapes.ends import Chain, mirrored, round_corner, turned_round
from templgen.shapes.outline import Outline
from templgen.shapes.spline import Spline

__all__ = ["LEAST_STATIONS"]

LEAST_STATIONS = 3
_LEAST_STEP = 0.01
_TOUCH = 1e-7


@dataclass(frozen=True, slots=True)
class _Section:
    """The measured places: stations from the nose, half-widths, end radii (mm), and which ends are round."""

    stations: tuple[float, ...]
    left: tuple[float, ...]
    right: tuple[float, ...]
    nose_radius: float
    tail_radius: float

    @property
    def length(self) -> float:
        return self.stations[-1]

    @property
    def nose_width(self) -> float:
        return self.left[0] + self.right[0]

    @property
    def tail_width(self) -> float:
        return self.left[-1] + self.right[-1]

    @property
    def nose_is_round(self) -> bool:
        return self.nose_width == 0

    @property
    def tail_is_round(self) -> bool:
        return self.tail_width == 0 and self.tail_radius > 0


@dataclass(frozen=True, slots=True)
class _Run:
    """How a section is run: first and last angle, and the speed of x; x = length * (share at the angle)."""

    nose_is_round: bool
    tail_is_round: bool

    @property
    def last(self) -> float:
        return math.pi if self.nose_is_round and self.tail_is_round else math.pi / 2

    def share(self, angle: float) -> float:
        """How far along the section an angle is, 0 at the nose and 1 at the tail."""
        if self.nose_is_round and self.tail_is_round:
            return (1 - math.cos(angle)) / 2
        if self.nose_is_round:
            return 1 - math.cos(angle)
        return math.sin(angle) if self.tail_is_round else angle / self.last

    def angle(self, share: float) -> float:
        """The angle that is so far along the section."""
        if self.nose_is_round and self.tail_is_round:
            return math.acos(1 - 2 * share)
        if self.nose_is_round:
            return math.acos(1 - share)
        return math.asin(share) if self.tail_is_round else share * self.last

    def end_slope(self, radius: float, length: float) -> float:
        """Half-width per angle at a round end: near it y^2 = 2 r x, and x grows with the angle squared."""
        both = self.nose_is_round and self.tail_is_round
        return math.sqrt(radius * length / 2) if both else math.sqrt(radius * length)


@construction(
    "stations", stations="lengths", left="lengths", right="lengths", nose_radius="mm", tail_radius="mm"
)
def _stations(values: Mapping[str, Any]) -> Outline:
    names = ("stations", "left", "right", "nose_radius", "tail_radius")
    section = _Section(*(values[name] for name in names))
    _require_sound(section)
    left, right, deviation = _sides(section)
    return Outline(_outline(left, right, section), deviation, _notes(section, left))


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
                raise ShapeError(f"{name}[{place}] = {width:g} mm: only the first and the last may be 0")
    if section.stations[0] != 0:
        raise ShapeError(f"stations[1] = {section.stations[0]:g} mm: the first station is 0, the nose itself")
    for place, (before, after) in enumerate(pairwise(section.stations), 2):
        if after < before + _LEAST_STEP:
            raise ShapeError(f"stations[{place}] = {after:g} mm does not lie behind {before:g} mm")


def _sides(section: _Section) -> tuple[Chain, Chain, float]:
    """Both sides as arcs from nose to tail (the right one mirrored to the left), and the deviation."""
    run = _Run(section.nose_is_round, section.tail_is_round)
    angles = [run.angle(min(1.0, station / section.length)) for station in section.stations]
    left, right = (_fit(section.length, run, spline) for spline in _half_widths(section, run, angles))
    return left.contour.segments, right.contour.segments, max(left.deviation, right.deviation)


def _half_widths(section: _Section, run: _Run, angles: Sequence[float]) -> tuple[Spline, Spline]:
    """Half-width over angle. Without a nose radius one spline goes from tail to tail through the nose."""
    tail = -run.end_slope(section.tail_radius, section.length) if run.tail_is_round else None
    if run.nose_is_round and section.nose_radius == 0:
        nodes = [-angle for angle in reversed(angles[1:])] + list(angles)
        widths = [-width for width in reversed(section.right[1:])] + list(section.left)
        left = Spline.through(nodes, widths, tail, tail)
        return left, left.turned()
    nose = run.end_slope(section.nose_radius, section.length) if run.nose_is_round else None
    left, right = (Spline.through(angles, widths, nose, tail) for widths in (section.left, section.right))
    return left, right


def _fit(length: float, run: _Run, half_width: Spline) -> Fit:
    def curve(angle: float) -> Vec:
        return Vec(length * (0.5 - run.share(angle)), half_width(angle))

    return arcs_from_curve(curve, 0.0, run.last)


def _outline(left: Chain, right: Chain, section: _Section) -> Contour:
    """Both sides and the flat ends, counter-clockwise."""
    left_side = _with_corners(left, right, section)
    right_side = mirrored(_with_corners(right, left, section))
    tail_face = _face(left_side[-1].end, right_side[0].start, "tail", section.tail_radius)
    nose_face = _face(right_side[-1].end, left_side[0].start, "nose", section.nose_radius)
    return Contour((*left_side, *tail_face, *right_side, *nose_face), closed=True)


def _with_corners(side: Chain, other: Chain, section: _Section) -> Chain:
    """A left side with the corners of its flat ends rounded; the other side tells how far the faces go."""
    if section.tail_width > 0 and section.tail_radius > 0:
        side = round_corner(side, _below(other[-1].end), section.tail_radius).chain
    if section.nose_width > 0 and section.nose_radius > 0:
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
        raise ShapeError(f"{place}_radius = {radius:g} mm: the two corners of the flat end overlap")
    return (Line(start, end),)


def _notes(section: _Section, left: Chain) -> tuple[str, ...]:
    notes = []
    if section.nose_is_round and section.nose_radius == 0:
        radius = getattr(left[0], "radius", 0.0)
        notes.append(
            f"the stations give a nose radius of about {radius:.2f} mm; compare it with a radius gauge"
        )
    if section.tail_width == 0 and not section.tail_is_round:
        notes.append("the tail is sharp; a cutout needs it opened")
    flat = [
        place
        for place, width, radius in (
            ("nose", section.nose_width, section.nose_radius),
            ("tail", section.tail_width, section.tail_radius),
        )
        if width > 0 and radius == 0
    ]
    notes += [f"the flat {place} has sharp corners" for place in flat]
    return tuple(notes)
