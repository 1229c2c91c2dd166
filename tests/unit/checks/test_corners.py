from __future__ import annotations

import math

import pytest

from templgen.checks.corners import corners_below, least_radius
from templgen.geometry import Contour, Vec


def test_corners_of_a_rounded_rectangle_have_its_radius() -> None:
    door = Contour.rectangle(100, 80, corner_radius=6)
    corners = corners_below(door, 7)
    assert [corner.radius for corner in corners] == pytest.approx([6] * 4)
    assert [corner.turn for corner in corners] == pytest.approx([90] * 4)
    assert corners_below(door, 6 - 1e-6) == []
    assert least_radius(door) == pytest.approx(6)


def test_the_sense_of_the_contour_does_not_matter() -> None:
    door = Contour.polygon([Vec(0, 0), Vec(50, 0), Vec(0, 40)])
    assert {c.tip for c in corners_below(door, 5)} == {c.tip for c in corners_below(door.reversed(), 5)}
    assert len(corners_below(door, 5)) == 3


def test_the_way_into_the_opening_halves_the_corner() -> None:
    corners = {c.tip: c for c in corners_below(Contour.polygon([Vec(0, 0), Vec(40, 0), Vec(0, 40)]), 5)}
    assert corners[Vec(0, 0)].inwards.angle == pytest.approx(45)
    assert corners[Vec(40, 0)].inwards.angle == pytest.approx(157.5)


def test_a_nose_of_several_arcs_is_one_corner_with_its_least_radius() -> None:
    half = math.tan(math.radians(45) / 4)
    nose = Contour.from_bulges(
        [Vec(-20, -2), Vec(0, -2), Vec(1.8, 0), Vec(0, 2), Vec(-20, 2)], [0, half, half, 0, 0], True
    )
    tight = [corner for corner in corners_below(nose, 4) if corner.radius > 0]
    assert len(tight) == 1
    assert tight[0].turn == pytest.approx(90)


def test_round_ends_and_round_holes_are_known() -> None:
    assert [c.is_round_end for c in corners_below(Contour.circle(Vec(0, 0), 3), 5)] == [True]
    slot = Contour.from_bulges([Vec(0, -3), Vec(20, -3), Vec(20, 3), Vec(0, 3)], [0, 1, 0, 1], True)
    assert [c.is_round_end for c in corners_below(slot, 5)] == [True, True]


def test_a_turn_of_less_than_five_degrees_is_no_corner() -> None:
    nearly = Contour.polygon([Vec(0, 0), Vec(50, 0), Vec(100, 3), Vec(100, 60), Vec(0, 60)])
    assert Vec(50, 0) not in {corner.tip for corner in corners_below(nearly, 5)}
    assert least_radius(nearly) is None
