"""Constructions of tangent arcs and of curves that become arcs: ellipse, rounded section, polygon, points."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from templgen.errors import ShapeError
from templgen.geometry import Contour, Motion, Segment, Vec, segment_between
from templgen.geometry.fillet import fillet
from templgen.geometry.fit import arcs_from_curve, arcs_through_points
from templgen.shapes.constructions import construction
from templgen.shapes.ends import closed_by_mirror
from templgen.shapes.outline import Note, Outline

__all__: list[str] = []

_NEAR = 1e-7
_LEAST_END_TURN = 15.0
"""An end arc that turns less (degrees, on either side of the axis) hardly shapes the section. Own default."""


@construction("ellipse", length="mm", width="mm")
def _ellipse(values: Mapping[str, Any]) -> Outline:
    """One quarter is fitted and mirrored, so that all four are equal."""
    half_length, half_width = values["length"] / 2, values["width"] / 2
    if math.isclose(half_length, half_width, rel_tol=1e-12):
        return Outline(Contour.circle(Vec(0.0, 0.0), half_length))

    def curve(angle: float) -> Vec:
        at = Vec.polar(1.0, angle)
        return Vec(half_length * at.x, half_width * at.y)

    fit = arcs_from_curve(curve, 0.0, 90.0)
    image = fit.contour.moved(Motion.mirror_x()).reversed()
    return Outline(closed_by_mirror((*fit.contour.segments, *image.segments)), fit.deviation)


@construction("rounded-section", length="mm", width="mm", nose_radius="mm", tail_radius="mm", straight="mm")
def _rounded_section(values: Mapping[str, Any]) -> Outline:
    """Nose arc, one flank arc per side that touches nose and tail from outside, tail arc; see `flank`."""
    half, straight = values["width"] / 2, values["straight"]
    nose, tail = values["nose_radius"], values["tail_radius"]
    length = values["length"]
    widest, drop = flank(length - straight, half, nose, tail)
    nose_x, tail_x = length / 2 - nose, tail - length / 2
    front, back = widest + straight / 2, widest - straight / 2
    corners = [Vec(length / 2, 0.0), _touch(nose_x, nose, front, drop)]
    corners += [Vec(front, half), Vec(back, half), _touch(tail_x, tail, back, drop), Vec(-length / 2, 0.0)]
    if drop is None:
        centres = [Vec(nose_x, 0.0), None, None, None, Vec(tail_x, 0.0)]
    else:
        centres = [Vec(nose_x, 0.0), Vec(front, -drop), None, Vec(back, -drop), Vec(tail_x, 0.0)]
    notes = _small_ends(values, Vec(nose_x - front, drop or 0.0), Vec(back - tail_x, drop or 0.0))
    return Outline(closed_by_mirror(_arcs(corners, centres)), notes=notes if drop is not None else ())


def _small_ends(values: Mapping[str, Any], nose: Vec, tail: Vec) -> tuple[Note, ...]:
    """What to say of an end arc that turns by less than `_LEAST_END_TURN` on either side of the axis.

    Args:
        nose, tail: from the centre of the flank to that of the end arc, the tail's seen from behind.
    """
    notes = []
    for name, away in (("nose_radius", nose), ("tail_radius", tail)):
        radius = values[name]
        if abs(away.angle) < _LEAST_END_TURN and radius < values["width"] / 2 - _NEAR:
            depth = radius * (1 - math.cos(math.radians(away.angle)))
            told = (
                " of {} shapes only the last {} of the section; check it against length, width and straight"
            )
            notes.append(Note(name + told, (radius, depth)))
    return tuple(notes)


def flank(length: float, half: float, nose: float, tail: float) -> tuple[float, float | None]:
    """Where the flank arc of a rounded section lies that touches nose arc, tail arc and the line y = half.

    With p = half - nose, q = half - tail and the centres of the end arcs at a and -b, the centre (x, -k) of
    the flank, of radius k + half, satisfies (x - a)^2 = 2 k p + p^2 and (x + b)^2 = 2 k q + q^2.

    Args:
        length, half, nose, tail: overall length without straight sides, half width, end radii; mm.

    Returns:
        x, the place where the section is widest, and k, how far below the axis the centre of the flank lies
        (None where the flanks are straight).
    """
    a, b = length / 2 - nose, length / 2 - tail
    p, q = half - nose, half - tail
    if max(p, q) < _NEAR:
        return 0.0, None
    second, first = p - q, p * b + q * a
    constant = p * b * b - q * a * a + q * p * p - p * q * q
    root = math.sqrt(max(0.0, first * first - second * constant))
    x = -constant / (first + root) if first + root > 0 else 0.0
    k = ((x - a) ** 2 - p * p) / (2 * p) if p >= q else ((x + b) ** 2 - q * q) / (2 * q)
    return x, max(0.0, k)


def _touch(centre_x: float, radius: float, flank_x: float, drop: float | None) -> Vec:
    """Where an end arc touches the flank: on the line from the centre of the flank through its own."""
    away = Vec(centre_x - flank_x, drop) if drop is not None else Vec(0.0, 1.0)
    if away.length < _NEAR:
        away = Vec(0.0, 1.0)
    return Vec(centre_x, 0.0) + away.unit() * radius


def _arcs(corners: Sequence[Vec], centres: Sequence[Vec | None]) -> tuple[Segment, ...]:
    """Arcs through corners, lines where there is no centre; parts of no length are left out."""
    chain: list[Segment] = []
    at = corners[0]
    for end, centre in zip(corners[1:], centres, strict=True):
        if at.distance_to(end) < _NEAR:
            continue
        bulge = 0.0
        if centre is not None:
            first, last = at - centre, end - centre
            bulge = math.tan(math.atan2(first.cross(last), first.dot(last)) / 4)
        chain.append(segment_between(at, end, bulge))
        at = end
    return tuple(chain)


@construction("polygon", points="points", corner_radius="mm", corner_radii="lengths")
def _polygon(values: Mapping[str, Any]) -> Outline:
    points, radii = (
        values["points"],
        values["corner_radii"] or (values["corner_radius"],) * len(values["points"]),
    )
    if len(points) < 3:
        raise ShapeError(f"points: {len(points)} given, a polygon has at least 3")
    if len(radii) != len(points):
        raise ShapeError(f"corner_radii: {len(radii)} given for {len(points)} points")
    _require_apart(points)
    return Outline(fillet(Contour.polygon(points), radii) if any(radii) else Contour.polygon(points))


@construction("outline-points", points="points", corners="counts")
def _outline_points(values: Mapping[str, Any]) -> Outline:
    points = values["points"]
    corners = sorted({int(number) - 1 for number in values["corners"]})
    if len(points) < 4:
        raise ShapeError(f"points: {len(points)} given, a smooth outline needs at least 4")
    if corners and corners[-1] >= len(points):
        raise ShapeError(f"corners: {corners[-1] + 1} is above {len(points)}, the number of points")
    _require_apart(points)
    fit = arcs_through_points(points, closed=True, corners=corners)
    return Outline(fit.contour, fit.deviation)


def _require_apart(points: Sequence[Vec]) -> None:
    for place, (one, other) in enumerate(pairwise([*points, points[0]]), 1):
        if one.distance_to(other) < 1e-3:
            raise ShapeError(f"points {place} and {place % len(points) + 1} lie in one place")
