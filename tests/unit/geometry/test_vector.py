"""Points, directions, boxes and motions."""

from __future__ import annotations

import math

import pytest

from templgen.errors import GeometryError
from templgen.geometry import Bounds, Motion, Vec
from templgen.geometry.bounds import overlapping_pairs


def test_arithmetic() -> None:
    a, b = Vec(3, 4), Vec(1, -2)
    assert (a + b, a - b, -a) == (Vec(4, 2), Vec(2, 6), Vec(-3, -4))
    assert (2 * a, a * 2, a / 2) == (Vec(6, 8), Vec(6, 8), Vec(1.5, 2))
    assert (a.dot(b), a.cross(b), a.length, a.distance_to(b)) == (-5, -10, 5, math.hypot(2, 6))
    assert (a.perp(), a.unit(), a.towards(b, 0.5)) == (Vec(-4, 3), Vec(0.6, 0.8), Vec(2, 1))


@pytest.mark.parametrize("turns", range(-5, 6))
def test_quarter_turns_are_exact(turns: int) -> None:
    expected = [Vec(2, 0), Vec(0, 2), Vec(-2, 0), Vec(0, -2)][turns % 4]
    assert Vec.polar(2, 90 * turns) == expected
    assert Vec(2, 0).turned(90 * turns) == expected


def test_angles_are_degrees_counter_clockwise() -> None:
    assert Vec(1, 1).angle == pytest.approx(45)
    assert Vec(-1, 0).angle == 180
    assert Vec(0, -3).angle == -90


@pytest.mark.parametrize("vector", [Vec(0, 0), Vec(math.nan, 1), Vec(math.inf, 0)])
def test_no_direction(vector: Vec) -> None:
    with pytest.raises(GeometryError, match="has no direction"):
        vector.unit()


def test_values_can_not_be_changed() -> None:
    with pytest.raises(AttributeError, match="immutable"):
        Vec(0, 0).x = 1  # type: ignore[misc]


def test_empty_bounds_are_none() -> None:
    assert Bounds.of([]) is None
    assert Bounds.of([Vec(2, 3)]) == Bounds(2, 3, 2, 3)


def test_boxes() -> None:
    box = Bounds(0, 0, 4, 2)
    assert (box.width, box.height, box.centre) == (4, 2, Vec(2, 1))
    assert box.union(Bounds(-1, 1, 1, 5)) == Bounds(-1, 0, 4, 5)
    assert box.grown(1) == Bounds(-1, -1, 5, 3)
    assert box.overlaps(Bounds(4, 2, 5, 5))
    assert not box.overlaps(Bounds(4.1, 0, 5, 5))
    assert box.contains(Vec(4, 2))
    assert not box.contains(Vec(4, 2.1))
    assert box.distance_to(Bounds(7, 6, 8, 8)) == 5
    assert box.distance_to(Bounds(1, 1, 2, 9)) == 0
    assert box.corners == (Vec(0, 0), Vec(4, 0), Vec(4, 2), Vec(0, 2))


def test_overlapping_pairs_come_once() -> None:
    boxes = [Bounds(4, 0, 6, 1), Bounds(0, 0, 4, 1), Bounds(0, 5, 9, 6), Bounds(5, 0.5, 8, 5)]
    assert sorted(overlapping_pairs(boxes)) == [(0, 1), (0, 3), (2, 3)]


def test_mirror_in_a_slanted_line() -> None:
    mirror = Motion.mirror(Vec(0, 1), Vec(1, 1))
    assert mirror.is_mirrored
    assert mirror.apply(Vec(0, 1)).distance_to(Vec(0, 1)) < 1e-15
    assert mirror.apply(Vec(2, 1)).distance_to(Vec(0, 3)) < 1e-15
    assert mirror.then(mirror).apply(Vec(5, -7)).distance_to(Vec(5, -7)) < 1e-14


def test_mirror_x_changes_left_and_right_only() -> None:
    assert Motion.mirror_x().apply(Vec(3, 4)) == Vec(-3, 4)
    assert Motion.mirror_x().apply_angle(30) == pytest.approx(150)


def test_then_does_the_first_one_first() -> None:
    motion = Motion.translation(Vec(1, 0)).then(Motion.rotation(90))
    assert motion.apply(Vec(1, 0)) == Vec(0, 2)
    assert motion.angle == 90
    assert Motion.rotation(90, about=Vec(1, 1)).apply(Vec(2, 1)) == Vec(1, 2)
