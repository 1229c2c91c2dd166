"""Arcs that follow curves and points."""

from __future__ import annotations

import math

import pytest

from templgen.errors import GeometryError
from templgen.geometry import Arc, Line, Vec, arcs_from_curve, arcs_through_points
from templgen.geometry.distance import distances_to_segments


def circle(angle: float) -> Vec:
    return Vec(10 * math.cos(angle), 10 * math.sin(angle))


def ellipse(angle: float) -> Vec:
    return Vec(40 * math.cos(angle), 15 * math.sin(angle))


def test_a_circle_becomes_two_arcs() -> None:
    fit = arcs_from_curve(circle, 0, math.tau, closed=True)
    assert len(fit.contour.segments) == 2
    assert fit.contour.area == pytest.approx(100 * math.pi, rel=1e-9)
    assert fit.deviation < 1e-9


def test_a_straight_curve_becomes_one_line() -> None:
    fit = arcs_from_curve(lambda t: Vec(t, 2 * t), 0, 10)
    assert fit.contour.segments == (Line(Vec(0, 0), Vec(10, 20)),)


@pytest.mark.parametrize("tolerance", [0.1, 0.005, 0.0001])
def test_an_ellipse_stays_within_its_tolerance_and_is_smooth(tolerance: float) -> None:
    fit = arcs_from_curve(ellipse, 0, math.tau, tolerance, closed=True)
    dense = [ellipse(k * math.tau / 20_000) for k in range(20_000)]
    measured = max(distances_to_segments(dense, fit.contour.segments))
    assert measured <= tolerance
    assert measured == pytest.approx(fit.deviation, rel=0.02)
    assert fit.deviation > tolerance / 20  # not more arcs than needed by far
    segments = fit.contour.segments
    for before, after in zip((segments[-1], *segments[:-1]), segments, strict=True):
        assert before.tangent_at(1).distance_to(after.tangent_at(0)) < 1e-7


def test_corners_are_kept_where_they_are_named() -> None:
    fit = arcs_from_curve(lambda t: Vec(t, abs(t) + t * t / 40), -10, 10, breaks=(0,))
    assert Vec(0, 0) in fit.contour.vertices
    assert fit.deviation <= 0.005


def test_a_closed_curve_with_a_corner_at_its_seam() -> None:
    def drop(t: float) -> Vec:
        return Vec(30 * math.sin(t / 2), 12 * math.sin(t))

    fit = arcs_from_curve(drop, 0, math.tau, closed=True, breaks=(0,))
    assert fit.contour.closed
    assert fit.contour.vertices[0] == Vec(0, 0)
    assert fit.deviation <= 0.005
    assert fit.contour.is_simple
    # integral of x dy = 30 * 12 * int sin(t/2) cos t dt = 360 * (-4/3)
    assert abs(fit.contour.area) == pytest.approx(480, abs=0.005 * fit.contour.length)


def test_a_curve_that_starts_from_rest() -> None:
    fit = arcs_from_curve(lambda t: Vec(t * t, t**4), 0, 2)
    assert fit.deviation <= 0.005


@pytest.mark.parametrize(
    ("make", "text"),
    [
        (lambda: arcs_from_curve(circle, 0, 6, closed=True), "does not close: 2.8.* mm"),
        (lambda: arcs_from_curve(circle, 0, 1, tolerance=0), "tolerance is above 0 mm, not 0 mm"),
        (lambda: arcs_from_curve(circle, 1, 1), "from a smaller to a larger parameter"),
        (lambda: arcs_from_curve(circle, 0, math.nan), "from a smaller to a larger parameter"),
        (lambda: arcs_from_curve(lambda t: Vec(t, math.nan), 0, 1), "the curve gives .*nan"),
        (lambda: arcs_from_curve(lambda t: Vec(1, 1), 0, 1), "stands still"),
        (
            lambda: arcs_from_curve(lambda t: Vec(t, abs(t - 0.3) * 20), 0, 1, 1e-5),
            "can not be followed within",
        ),
        (lambda: arcs_through_points([Vec(0, 0)]), "at least 2 points, not 1"),
        (lambda: arcs_through_points([Vec(0, 0), Vec(1, 0)], closed=True), "at least 3 points, not 2"),
        (lambda: arcs_through_points([Vec(0, 0), Vec(1, 1), Vec(1, 1)]), "points 1 and 2 coincide"),
        (
            lambda: arcs_through_points([Vec(0, 0), Vec(1, 1), Vec(2, 0), Vec(0, 0)], closed=True),
            "points 3 and 0 coincide",
        ),
        (lambda: arcs_through_points([Vec(0, 0), Vec(1, math.nan)]), "point 1 is"),
        (
            lambda: arcs_through_points([Vec(0, 0), Vec(1, 0)], corners=(5,)),
            "corner 5 is none of the points 0 to 1",
        ),
        (
            lambda: arcs_through_points([Vec(0, 0), Vec(2, 0), Vec(0, 0)]),
            "turns straight back",
        ),
        (lambda: arcs_through_points([Vec(0, 0), Vec(1, 0)], -1), "tolerance is above 0 mm, not -1 mm"),
    ],
)
def test_refused(make, text) -> None:
    with pytest.raises(GeometryError, match=text):
        make()


def test_points_of_a_circle_give_the_circle() -> None:
    fit = arcs_through_points([circle(k * math.tau / 12) for k in range(12)], closed=True)
    assert {round(segment.radius, 9) for segment in fit.contour.segments if isinstance(segment, Arc)} == {10}
    assert len(fit.contour.segments) == 2


def test_all_corners_give_the_polygon() -> None:
    corners = [Vec(0, 0), Vec(10, 0), Vec(10, 5), Vec(0, 5)]
    fit = arcs_through_points(corners, closed=True, corners=(0, 1, 2, 3))
    assert fit.contour.vertices == tuple(corners)
    assert all(isinstance(segment, Line) for segment in fit.contour.segments)
    assert fit.deviation == 0


def test_straight_rows_stay_straight() -> None:
    fit = arcs_through_points([Vec(0, 0), Vec(10, 0), Vec(20, 0), Vec(25, 3), Vec(26, 9)])
    assert fit.contour.segments[0] == Line(Vec(0, 0), Vec(10, 0))
    assert fit.contour.vertices[-1] == Vec(26, 9)
    assert fit.deviation < 1e-12


def test_many_points_become_few_arcs() -> None:
    points = [ellipse(k * math.tau / 400) for k in range(400)]
    fit = arcs_through_points(points, 0.005, closed=True)
    assert fit.deviation <= 0.005
    assert len(fit.contour.segments) < 80
    assert fit.contour.area == pytest.approx(600 * math.pi, rel=2e-4)


def test_a_corner_that_is_not_the_first_point() -> None:
    tear = [Vec(-10, 0), Vec(-5, -4), Vec(5, 0), Vec(-5, 4)]
    fit = arcs_through_points(tear, closed=True, corners=(2,))
    assert fit.contour.vertices[0] == Vec(5, 0)
    assert fit.contour.is_simple
    assert fit.contour.bounds.ymax == pytest.approx(-fit.contour.bounds.ymin)
