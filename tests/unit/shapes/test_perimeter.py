"""Rows along an outline: equal true arc length, fixed holes, insets that fail."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from templgen.errors import ShapeError
from templgen.geometry import Contour, Vec
from templgen.geometry.distance import point_contour
from templgen.shapes import perimeter_row
from templgen.shapes.perimeter import length_along

PLATE = Contour.rectangle(100.0, 60.0, corner_radius=10.0)


def _spacings(points: tuple[Vec, ...], row: Contour) -> list[float]:
    """Arc lengths from hole to hole round a closed row."""
    places = sorted(length_along(row, point) for point in points)
    return [after - before for before, after in pairwise([*places, places[0] + row.length])]


def test_a_row_on_a_circle_is_a_bolt_circle() -> None:
    holes = perimeter_row(Contour.circle(Vec(3, 4), 20.0), 5.0, count=6)
    for step, hole in enumerate(holes):
        expected = Vec(3, 4) + Vec.polar(15.0, 60.0 * step)
        assert hole.distance_to(expected) < 1e-9


@settings(max_examples=25, deadline=None)
@given(st.floats(30, 200), st.floats(20, 100), st.floats(0, 1), st.floats(0.5, 9), st.integers(1, 60))
def test_spacing_is_even_along_the_true_length(
    length: float, width: float, round_: float, inset: float, count: int
) -> None:
    radius = round(round_, 3) * min(length, width) / 2
    plate = Contour.rectangle(length, width, corner_radius=radius)
    row = Contour.rectangle(
        length - 2 * inset,
        width - 2 * inset,
        corner_radius=max(0.0, radius - inset) if radius > inset else 0.0,
    )
    holes = perimeter_row(plate, inset, count=count)
    assert len(holes) == count
    for spacing in _spacings(holes, row):
        assert spacing == pytest.approx(row.length / count, abs=1e-6)
    for hole in holes:
        assert point_contour(hole, plate).distance == pytest.approx(inset, abs=1e-6)


def test_a_pitch_is_the_greatest_spacing() -> None:
    row = Contour.rectangle(80.0, 40.0)
    holes = perimeter_row(PLATE, 10.0, pitch=13.0)
    assert len(holes) == math.ceil(240 / 13)
    assert max(_spacings(holes, row)) <= 13.0
    assert len(perimeter_row(PLATE, 10.0, pitch=12.0)) == 20


def test_fixed_holes_divide_the_row() -> None:
    corners = [Vec(40, 20), Vec(-40, 20), Vec(-40, -20), Vec(40, -20)]
    holes = perimeter_row(PLATE, 10.0, pitch=15.0, fixed=corners)
    assert len(holes) == 2 * (6 + 3)
    for corner in corners:
        assert min(hole.distance_to(corner) for hole in holes) < 1e-9
    by_count = perimeter_row(PLATE, 10.0, count=12, fixed=corners)
    assert len(by_count) == 12
    assert max(_spacings(by_count, Contour.rectangle(80.0, 40.0))) == pytest.approx(20.0)


def test_a_fixed_place_is_taken_once_and_to_the_nearest_place_of_the_row() -> None:
    holes = perimeter_row(PLATE, 10.0, count=4, fixed=[Vec(0, 29), Vec(0, 25), Vec(1e-9, 20)])
    assert len(holes) == 4
    assert min(hole.distance_to(Vec(0, 20)) for hole in holes) < 1e-6


def test_a_row_begins_where_asked() -> None:
    assert perimeter_row(PLATE, 10.0, count=3, start=Vec(-60, 0))[0].distance_to(Vec(-40, 0)) < 1e-9


def test_an_open_line_has_a_hole_at_both_ends() -> None:
    line = Contour.polyline([Vec(0, 0), Vec(30, 0), Vec(30, 30)])
    assert perimeter_row(line, count=3) == (Vec(0, 0), Vec(30, 0), Vec(30, 30))
    assert len(perimeter_row(line, pitch=11.0)) == 7
    assert perimeter_row(line, count=4, fixed=[Vec(30, 20)])[2].distance_to(Vec(30, 20)) < 1e-9
    with pytest.raises(ShapeError, match="an open line has no inside"):
        perimeter_row(line, 3.0, count=3)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({}, "either a count or a pitch"),
        ({"count": 3, "pitch": 4.0}, "either a count or a pitch"),
        ({"count": 0}, "count = 0 is below 1"),
        ({"pitch": 0.0}, "pitch = 0.0 is not a length"),
        ({"pitch": math.nan}, "pitch = nan is not a length"),
        ({"pitch": 0.001}, "holes along an outline, allowed are"),
        ({"count": 10**9}, "holes along an outline, allowed are"),
        ({"count": 3, "inset": 30.0}, "leaves nothing"),
        ({"count": 3, "inset": math.inf}, "inset = inf is not a length"),
        ({"count": 1, "fixed": [Vec(40, 0), Vec(-40, 0)]}, "count = 1 is below 2"),
    ],
)
def test_rows_that_can_not_be(arguments: dict[str, object], told: str) -> None:
    with pytest.raises(ShapeError) as refusal:
        perimeter_row(PLATE, **arguments)  # type: ignore[arg-type]  # wrong on purpose
    assert told in str(refusal.value)


def test_an_inset_that_parts_the_row_is_refused() -> None:
    waist = Contour.polygon(
        [Vec(x, y) for x, y in ((0, 0), (20, 0), (20, 8), (30, 8), (30, 0), (50, 0), (50, 20), (30, 20),
                                (30, 12), (20, 12), (20, 20), (0, 20))]
    )  # fmt: skip
    with pytest.raises(ShapeError, match=r"inset = 3 mm parts an outline of 50 mm by 20 mm into 2 rows"):
        perimeter_row(waist, 3.0, count=6)
