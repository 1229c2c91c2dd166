"""Contours and regions: closed formulas, order, and what is refused."""

from __future__ import annotations

import math

import pytest

from templgen.errors import GeometryError
from templgen.geometry import Arc, Bounds, Contour, Line, Motion, Region, Vec, require_valid

SQUARE = Contour.polygon([Vec(0, 0), Vec(4, 0), Vec(4, 4), Vec(0, 4)])
BOW_TIE = Contour.polygon([Vec(0, 0), Vec(4, 4), Vec(4, 0), Vec(0, 4)])


def test_square() -> None:
    assert (SQUARE.area, SQUARE.length, SQUARE.centroid) == (16, 16, Vec(2, 2))
    assert SQUARE.bounds == Bounds(0, 0, 4, 4)
    assert SQUARE.vertices == (Vec(0, 0), Vec(4, 0), Vec(4, 4), Vec(0, 4))
    assert SQUARE.reversed().area == -16
    assert SQUARE.reversed().as_ccw().area == 16


def test_circle() -> None:
    circle = Contour.circle(Vec(3, -2), 5)
    assert circle.area == pytest.approx(25 * math.pi, rel=1e-15)
    assert circle.length == pytest.approx(10 * math.pi, rel=1e-15)
    assert circle.centroid.distance_to(Vec(3, -2)) < 1e-14
    assert circle.bounds == Bounds(-2, -7, 8, 3)


@pytest.mark.parametrize(("radius", "segments"), [(0, 4), (2, 8), (5, 6)])
def test_rectangle(radius: float, segments: int) -> None:
    rectangle = Contour.rectangle(20, 10, radius, Vec(1, 2))
    assert len(rectangle.segments) == segments
    assert rectangle.area == pytest.approx(200 - (4 - math.pi) * radius**2)
    assert rectangle.length == pytest.approx(60 - (8 - 2 * math.pi) * radius)
    assert rectangle.centroid.distance_to(Vec(1, 2)) < 1e-13
    assert rectangle.is_simple
    assert rectangle.is_ccw


def test_square_with_the_largest_radius_is_a_circle() -> None:
    assert Contour.rectangle(10, 10, 5).area == pytest.approx(25 * math.pi)


def test_area_of_a_plate_far_from_the_origin_keeps_its_digits() -> None:
    far = Contour.circle(Vec(0, 0), 1).moved(Motion.translation(Vec(1e6, -1e6)))
    assert far.area == pytest.approx(math.pi, rel=1e-9)


def test_open_contour() -> None:
    chain = Contour.polyline([Vec(0, 0), Vec(3, 0), Vec(3, 4)])
    assert chain.length == 7
    assert chain.vertices == (Vec(0, 0), Vec(3, 0), Vec(3, 4))
    assert chain.point_at(5) == (Vec(3, 2), Vec(0, 1))
    with pytest.raises(GeometryError, match="open contour of 2 segments has no area"):
        _ = chain.area


def test_point_along_a_closed_contour_goes_round() -> None:
    assert SQUARE.point_at(6) == (Vec(4, 2), Vec(0, 1))
    assert SQUARE.point_at(22)[0] == Vec(4, 2)


def test_mirrored_contour_runs_the_other_way() -> None:
    slot = Contour.from_bulges([Vec(-5, -1), Vec(5, -1), Vec(5, 1), Vec(-5, 1)], [0, 1, 0, 1], closed=True)
    assert slot.moved(Motion.mirror_x()).area == pytest.approx(-slot.area)


@pytest.mark.parametrize(
    "contour",
    [
        BOW_TIE,
        Contour.polygon([Vec(0, 0), Vec(4, 0), Vec(4, 4), Vec(2, 0), Vec(0, 4)]),  # touches an edge
        Contour.polygon([Vec(0, 0), Vec(4, 0), Vec(6, 0), Vec(4, 0), Vec(4, 4)]),  # runs back on itself
        Contour.from_bulges([Vec(0, 0), Vec(4, 0), Vec(4, 4), Vec(0, 4)], [-1, 0, -1, 0], closed=True),
        Contour.from_bulges([Vec(0, 0), Vec(4, 0), Vec(4, 2), Vec(0, 2)], [-1, 0, 0, 0], closed=True),
    ],
)
def test_crossing_or_touching_contours_are_not_simple(contour: Contour) -> None:
    assert not contour.is_simple
    with pytest.raises(GeometryError, match=r"crosses or touches itself at \(.*\) mm"):
        contour.require_simple()


def test_smooth_joints_are_no_crossings() -> None:
    joined = Contour(
        (
            Arc.tangent(Vec(-9, 0), Vec(1, 0), Vec(0, 3)),
            Line(Vec(0, 3), Vec(0, 0)),
            Line(Vec(0, 0), Vec(-9, 0)),
        ),
        True,
    )
    assert joined.is_simple  # the arc leaves the line at a cusp of angle 0
    assert Contour.rectangle(20, 10, 2).require_simple() == Contour.rectangle(20, 10, 2)


@pytest.mark.parametrize(
    ("make", "text"),
    [
        (lambda: Contour((), True), "at least one segment"),
        (
            lambda: Contour((Line(Vec(0, 0), Vec(1, 0)), Line(Vec(1, 1), Vec(0, 0))), True),
            "gap of 1 mm between",
        ),
        (lambda: Contour((Line(Vec(0, 0), Vec(1, 0)),), True), "gap of 1 mm between"),
        (lambda: Contour.polygon([Vec(0, 0), Vec(1, 0)]), "at least 3 points, not 2"),
        (lambda: Contour.polygon([Vec(0, 0), Vec(1, 0), Vec(1, 0)]), "has no length"),
        (lambda: Contour.polyline([Vec(0, 0)]), "at least 2 points, not 1"),
        (
            lambda: Contour.from_bulges([Vec(0, 0), Vec(1, 0)], [1], closed=True),
            "2 points need 2 bulges, not 1",
        ),
        (lambda: Contour.circle(Vec(0, 0), 0), "radius above 0 mm, not 0 mm"),
        (lambda: Contour.circle(Vec(0, 0), math.nan), "radius above 0 mm, not nan mm"),
        (lambda: Contour.rectangle(0, 5), "0 x 5 mm has no area"),
        (lambda: Contour.rectangle(math.nan, 5), "nan x 5 mm has no area"),
        (lambda: Contour.rectangle(10, 5, 3), "the largest is 2.5 mm"),
    ],
)
def test_degenerate_contours_are_refused(make, text) -> None:
    with pytest.raises(GeometryError, match=text):
        make()


def test_ends_meet_within_a_nanometre_only() -> None:
    Contour((Line(Vec(0, 0), Vec(1, 0)), Line(Vec(1, 0.5e-9), Vec(1, 1))), closed=False)
    with pytest.raises(GeometryError, match="gap of 1e-08 mm"):
        Contour((Line(Vec(0, 0), Vec(1, 0)), Line(Vec(1, 1e-8), Vec(1, 1))), closed=False)


def test_region_turns_its_contours() -> None:
    region = Region(Contour.rectangle(20, 10).reversed(), (Contour.circle(Vec(2, 0), 2),))
    assert region.outer.is_ccw
    assert not region.inner[0].is_ccw
    assert region.area == pytest.approx(200 - 4 * math.pi)
    assert region.length == pytest.approx(60 + 4 * math.pi)
    assert region.centroid.x == pytest.approx(-2 * 4 * math.pi / (200 - 4 * math.pi))
    assert len(region.segments) == 6
    assert region.moved(Motion.mirror_x()).area == pytest.approx(region.area)


def test_region_without_area_is_refused() -> None:
    with pytest.raises(GeometryError, match="encloses no area"):
        Region(Contour.polygon([Vec(0, 0), Vec(1, 0), Vec(2, 0)]))
    with pytest.raises(GeometryError, match="has no area"):
        Region(Contour.polyline([Vec(0, 0), Vec(1, 0)]))


@pytest.mark.parametrize(
    ("inner", "text"),
    [
        ((Contour.circle(Vec(9, 0), 3),), "two outlines meet at"),
        ((Contour.circle(Vec(7, 0), 3),), "two outlines meet at"),  # touches from within
        ((Contour.circle(Vec(30, 0), 3),), "lies outside the part"),
        ((Contour.circle(Vec(0, 0), 3), Contour.circle(Vec(0, 0), 2)), "lie in each other"),
        ((Contour.circle(Vec(0, 0), 2), Contour.circle(Vec(1, 0), 2)), "two outlines meet at"),
    ],
)
def test_invalid_regions_are_named(inner: tuple[Contour, ...], text: str) -> None:
    with pytest.raises(GeometryError, match=text):
        require_valid(Region(Contour.rectangle(20, 20), inner))


def test_a_valid_region_is_returned() -> None:
    region = Region(Contour.rectangle(20, 20), (Contour.circle(Vec(-5, 0), 3), Contour.circle(Vec(5, 0), 3)))
    assert require_valid(region) is region
