"""Plane geometry against published formulas and numbers. What is from memory says so."""

from __future__ import annotations

import math

import pytest

from templgen.geometry import Arc, Contour, Line, Vec, arcs_from_curve, fillet, offset_contour
from templgen.geometry.segment import Segment


def circular_segment(radius: float, sweep: float) -> Contour:
    arc = Arc.from_centre(Vec(0, 0), radius, 90 - sweep / 2, sweep)
    return Contour((arc, Line(arc.end, arc.start)), closed=True)


SEGMENT_TABLE = [
    # centre angle in degrees: arc, height, chord and area of the segment for radius 1; handbook table
    # "segments of circles for radius = 1", as engineers' handbooks print it; figures from memory
    pytest.param(30, 0.5236, 0.0341, 0.5176, 0.0118, id="30deg"),
    pytest.param(60, 1.0472, 0.1340, 1.0000, 0.0906, id="60deg"),
    pytest.param(90, 1.5708, 0.2929, 1.4142, 0.2854, id="90deg"),
    pytest.param(120, 2.0944, 0.5000, 1.7321, 0.6142, id="120deg"),
    pytest.param(180, 3.1416, 1.0000, 2.0000, 1.5708, id="180deg"),
]


@pytest.mark.parametrize(("sweep", "arc_length", "height", "chord", "area"), SEGMENT_TABLE)
def test_segments_of_circles(
    sweep: float, arc_length: float, height: float, chord: float, area: float
) -> None:
    cap = circular_segment(1, sweep)
    arc, line = cap.segments
    assert arc.length == pytest.approx(arc_length, abs=5e-5)
    assert arc.midpoint.distance_to(line.midpoint) == pytest.approx(height, abs=5e-5)
    assert line.length == pytest.approx(chord, abs=5e-5)
    assert cap.area == pytest.approx(area, abs=5e-5)


@pytest.mark.parametrize("sweep", [1e-3, 20, 90, 180, 300])
def test_centroid_of_a_circular_segment(sweep: float) -> None:
    # distance from the centre = chord^3 / (12 area); engineers' handbooks, from memory
    cap = circular_segment(7, sweep)
    chord = cap.segments[1].length
    assert cap.centroid.x == pytest.approx(0, abs=1e-7)
    assert cap.centroid.y == pytest.approx(chord**3 / (12 * cap.area), rel=1e-7)


def test_centroid_of_a_half_disc() -> None:
    # 4 r / (3 pi); engineers' handbooks, from memory
    assert circular_segment(5, 180).centroid.y == pytest.approx(4 * 5 / (3 * math.pi))


def test_bulge_is_the_tangent_of_a_quarter_of_the_angle() -> None:
    # DXF reference, LWPOLYLINE group code 42: tangent of 1/4 the included angle, negative
    # when the arc goes clockwise from start to end; 0 is straight, 1 a semicircle
    assert Arc(Vec(0, 0), Vec(2, 0), 1).sweep == pytest.approx(180)
    assert Arc(Vec(0, 0), Vec(2, 0), -math.tan(math.radians(90) / 4)).sweep == pytest.approx(-90)


@pytest.mark.parametrize(("chord", "sagitta"), [(100, 1), (254, 3.2), (8, 4)])
def test_radius_from_chord_and_sagitta(chord: float, sagitta: float) -> None:
    # r = h / 2 + c^2 / (8 h); engineers' handbooks, from memory
    arc = Arc.through(Vec(0, 0), Vec(chord / 2, -sagitta), Vec(chord, 0))
    assert arc.radius == pytest.approx(sagitta / 2 + chord**2 / (8 * sagitta))


def test_area_of_a_lens() -> None:
    # two circles of radius r at distance d: 2 r^2 acos(d / 2r) - d sqrt(4 r^2 - d^2) / 2 (from memory)
    radius, between = 10.0, 12.0
    half = math.sqrt(radius**2 - between**2 / 4)
    right = Arc.through(Vec(0, -half), Vec(radius - between / 2, 0), Vec(0, half))
    left = Arc.through(Vec(0, half), Vec(between / 2 - radius, 0), Vec(0, -half))
    expected = 2 * radius**2 * math.acos(between / (2 * radius)) - between / 2 * math.sqrt(
        4 * radius**2 - between**2
    )
    assert Contour((right, left), closed=True).area == pytest.approx(expected)


@pytest.mark.parametrize("corner", [30, 60, 90, 120, 150])
def test_fillet_takes_the_tangent_length(corner: float) -> None:
    # tangent length r / tan(corner / 2), area between corner and arc r^2 (1 / tan(c / 2) - (pi - c) / 2)
    radius, c = 3.0, math.radians(corner)
    chain = Contour.polyline([Vec(40, 0), Vec(0, 0), Vec.polar(40, corner)])
    rounded = fillet(chain, radius)
    assert 40 - rounded.segments[0].length == pytest.approx(radius / math.tan(c / 2))
    assert rounded.segments[1].length == pytest.approx(radius * (math.pi - c))


def perimeter_of_ellipse(a: float, b: float) -> float:
    """NIST Digital Library of Mathematical Functions, 19.8.6 with 19.9.9: arithmetic-geometric mean.

    E = K (1 - sum of 2^(n-1) c_n^2), K = pi / (2 M(1, b/a)), perimeter = 4 a E.
    """
    x, y, series, factor = 1.0, b / a, (1 - (b / a) ** 2) / 2, 0.5
    for _ in range(8):
        x, y, c = (x + y) / 2, math.sqrt(x * y), (x - y) / 2
        factor *= 2
        series += factor * c * c
    return 4 * a * math.pi / (2 * x) * (1 - series)


def test_perimeter_series() -> None:
    # an ellipse of half axes 2 and 1: 9.688448220547676 (from memory)
    assert perimeter_of_ellipse(2, 1) == pytest.approx(9.688448220547676, rel=1e-14)


@pytest.mark.parametrize(("a", "b"), [(20, 10), (50, 8), (12, 12)])
def test_fitted_ellipse_has_its_area_and_perimeter(a: float, b: float) -> None:
    fit = arcs_from_curve(lambda t: Vec(a * math.cos(t), b * math.sin(t)), 0, math.tau, 1e-4, closed=True)
    assert fit.contour.area == pytest.approx(math.pi * a * b, abs=1e-4 * fit.contour.length)
    assert fit.contour.length == pytest.approx(perimeter_of_ellipse(a, b), rel=1e-5)


def test_parallel_body_of_an_ellipse() -> None:
    # Steiner's formula for convex bodies: A + L d + pi d^2 (Steiner 1840, from memory)
    fit = arcs_from_curve(lambda t: Vec(30 * math.cos(t), 9 * math.sin(t)), 0, math.tau, 1e-4, closed=True)
    (grown,) = offset_contour(fit.contour, 4)
    expected = 270 * math.pi + 4 * perimeter_of_ellipse(30, 9) + 16 * math.pi
    assert grown.area == pytest.approx(expected, abs=2e-4 * grown.length)


def test_polygon_area_by_the_surveyors_formula() -> None:
    # shoelace formula; a widely printed example with area 16.5, from memory
    corners = [Vec(1, 6), Vec(3, 1), Vec(7, 2), Vec(4, 4), Vec(8, 5)]
    assert Contour.polygon(corners).area == 16.5


def test_centroid_of_a_circular_sector() -> None:
    # a sector of 60 degrees: centroid at 2 r sin(a) / (3 a) with a half the angle (from memory)
    arc = Arc.from_centre(Vec(0, 0), 9, -30, 60)
    sides: tuple[Segment, ...] = (Line(Vec(0, 0), arc.start), arc, Line(arc.end, Vec(0, 0)))
    sector = Contour(sides, closed=True)
    assert sector.area == pytest.approx(81 * math.pi / 6)
    assert sector.centroid.x == pytest.approx(2 * 9 * math.sin(math.pi / 6) / (3 * math.pi / 6))
