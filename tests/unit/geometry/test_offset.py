"""Offsets: areas by hand, radii that vanish, parts that split off, nothing left."""

from __future__ import annotations

import math

import pytest

from templgen.errors import GeometryError
from templgen.geometry import Arc, Contour, Line, Region, Vec, fillet, offset_contour, offset_region
from tests.properties.strategies import DUMBBELL, HOOK, SLOT

ELBOW = Contour.polygon([Vec(0, 0), Vec(20, 0), Vec(20, 8), Vec(8, 8), Vec(8, 20), Vec(0, 20)])


def areas(contour: Contour, distance: float) -> list[float]:
    return [part.area for part in offset_region(Region(contour), distance)]


def test_growing_rounds_corners() -> None:
    (grown,) = offset_contour(Contour.rectangle(20, 10), 3)
    assert grown.area == pytest.approx(200 + 60 * 3 + 9 * math.pi)
    assert sorted(type(segment).__name__ for segment in grown.segments) == ["Arc"] * 4 + ["Line"] * 4
    assert {round(segment.radius, 12) for segment in grown.segments if isinstance(segment, Arc)} == {3}


def test_shrinking_keeps_corners_sharp() -> None:
    (shrunk,) = offset_contour(Contour.rectangle(20, 10), -3)
    assert shrunk.area == pytest.approx(14 * 4)
    assert all(isinstance(segment, Line) for segment in shrunk.segments)


@pytest.mark.parametrize("distance", [-2, -2.9999])
def test_convex_radii_shrink(distance: float) -> None:
    (shrunk,) = offset_contour(Contour.rectangle(20, 10, 3), distance)
    assert {round(s.radius, 9) for s in shrunk.segments if isinstance(s, Arc)} == {round(3 + distance, 9)}


@pytest.mark.parametrize("distance", [-3, -4])
def test_convex_radii_vanish(distance: float) -> None:
    (shrunk,) = offset_contour(Contour.rectangle(20, 10, 3), distance)
    assert len(shrunk.segments) == 4
    assert shrunk.area == pytest.approx((20 + 2 * distance) * (10 + 2 * distance))


def test_concave_radius_vanishes_while_growing() -> None:
    bite = Contour.from_bulges(
        [Vec(-9, 0), Vec(9, 0), Vec(9, 9), Vec(2, 9), Vec(-2, 9), Vec(-9, 9)], [0, 0, 0, -1, 0, 0], True
    )
    assert bite.area == pytest.approx(162 - 2 * math.pi)
    (grown,) = offset_contour(bite, 3)
    # the bite closes to a straight edge: the corner arcs meet above it
    top = [p for p in grown.vertices if abs(p.x) < 1]
    assert len(top) == 1
    assert top[0].distance_to(Vec(2, 9)) == pytest.approx(3)
    assert top[0].y == pytest.approx(9 + math.sqrt(5))


@pytest.mark.parametrize(
    ("distance", "parts"), [(-0.999, 1), (-1, 2), (-1.001, 2), (-4.9, 2), (-5, 0), (-9, 0)]
)
def test_parts_split_off_and_vanish(distance: float, parts: int) -> None:
    assert len(areas(DUMBBELL, distance)) == parts


def test_exact_half_width_leaves_nothing() -> None:
    assert areas(SLOT, -3) == []
    assert areas(Contour.circle(Vec(0, 0), 5), -5) == []
    assert areas(Contour.rectangle(20, 10), -5) == []
    assert areas(Contour.circle(Vec(0, 0), 5), -70) == []


def test_a_gap_that_closes_makes_an_opening() -> None:
    assert [loop.is_ccw for loop in offset_contour(HOOK, 0.9)] == [True]
    assert [loop.is_ccw for loop in offset_contour(HOOK, 1.1)] == [True, False]
    (grown,) = offset_region(Region(HOOK), 1.1)
    assert len(grown.inner) == 1
    assert [loop.is_ccw for loop in offset_contour(HOOK, 9.5)] == [True]


def test_elbow() -> None:
    (shrunk,) = offset_contour(ELBOW, -2)
    # two legs 4 wide; at the inner corner the arc of radius 2 leaves a little more than a sharp one
    assert shrunk.area == pytest.approx(16 * 4 + 12 * 4 + (4 - math.pi))
    (back,) = offset_contour(shrunk, 2)
    # five outer corners were rounded, the inner one is sharp again
    assert back.area == pytest.approx(ELBOW.area - 5 * (4 - math.pi))


def test_collinear_edges_become_one() -> None:
    split = Contour.polygon([Vec(0, 0), Vec(5, 0), Vec(10, 0), Vec(20, 0), Vec(20, 10), Vec(0, 10)])
    (grown,) = offset_contour(split, 2)
    assert len(grown.segments) == 8
    (shrunk,) = offset_contour(split, -2)
    assert len(shrunk.segments) == 4


def test_holes_in_regions() -> None:
    region = Region(
        Contour.rectangle(60, 40, 5), (Contour.circle(Vec(-15, 0), 8), Contour.circle(Vec(15, 0), 8))
    )
    (thinner,) = offset_region(region, -1)
    assert thinner.area == pytest.approx(58 * 38 - (4 - math.pi) * 16 - 2 * 81 * math.pi)
    (thicker,) = offset_region(region, 7.5)
    assert [round(-opening.area, 9) for opening in thicker.inner] == [round(math.pi / 4, 9)] * 2
    assert offset_region(region, 8)[0].inner == ()
    assert len(offset_region(region, -5)) == 1
    assert len(offset_region(region, -6.9)) == 5  # the openings reach the edge, the middle still holds
    assert len(offset_region(region, -7.1)) == 6  # and now each other
    assert offset_region(region, -12) == ()


def test_results_come_largest_first() -> None:
    parts = areas(
        Contour.polygon(
            [
                *(Vec(0, 0), Vec(10, 0), Vec(10, 4), Vec(20, 4), Vec(20, -10), Vec(40, -10)),
                *(Vec(40, 20), Vec(20, 20), Vec(20, 6), Vec(10, 6), Vec(10, 10), Vec(0, 10)),
            ]
        ),
        -2,
    )
    assert len(parts) == 2
    assert parts[0] > parts[1]


def test_zero_distance_changes_nothing() -> None:
    assert offset_contour(ELBOW, 0) == (ELBOW,)


def test_direction_of_the_given_contour_does_not_matter() -> None:
    assert [part.area for part in offset_contour(ELBOW.reversed(), 2)] == pytest.approx(areas(ELBOW, 2))


def test_zero_angle_tips() -> None:
    wedge = Contour(
        (
            Arc.tangent(Vec(-10, 0), Vec(1, 0), Vec(0, 3)),
            Line(Vec(0, 3), Vec(0, 0)),
            Line(Vec(0, 0), Vec(-10, 0)),
        ),
        True,
    ).as_ccw()
    (grown,) = offset_contour(wedge, 1)
    assert grown.area == pytest.approx(wedge.area + wedge.length + math.pi)
    assert len(offset_contour(wedge, -0.2)) == 1


@pytest.mark.parametrize(
    ("contour", "distance", "text"),
    [
        (Contour.polyline([Vec(0, 0), Vec(1, 0)]), 1, "no area"),
        (Contour.polygon([Vec(0, 0), Vec(4, 4), Vec(4, 0), Vec(0, 5)]), 1, "crosses or touches itself"),
        (ELBOW, math.nan, "can not be moved by nan mm"),
        (ELBOW, math.inf, "can not be moved by inf mm"),
    ],
)
def test_refused(contour: Contour, distance: float, text: str) -> None:
    with pytest.raises(GeometryError, match=text):
        offset_contour(contour, distance)


@pytest.mark.parametrize("distance", [7.5, -2.5])
@pytest.mark.parametrize("corner", [0.0, 3.0])
@pytest.mark.parametrize("bulge", [0.0, 0.1])
def test_a_convex_outline_is_joined_as_the_general_way_joins_it(
    distance: float, corner: float, bulge: float
) -> None:
    """An opening in its middle, far from its edge, has it go the general way."""
    bowed = Contour.from_bulges([Vec(0, 0), Vec(90, 10), Vec(70, 60), Vec(10, 50)], [bulge] * 4, closed=True)
    outline = fillet(bowed, [corner] * 4) if corner else bowed
    with_opening = Region(outline, (Contour.circle(Vec(42, 30), 0.5),))
    (joined,), (general,) = offset_region(Region(outline), distance), offset_region(with_opening, distance)
    assert len(joined.outer.segments) == len(general.outer.segments)
    for one, other in zip(joined.outer.segments, general.outer.segments, strict=True):
        assert one.start.distance_to(other.start) < 1e-9
        assert one.midpoint.distance_to(other.midpoint) < 1e-9
