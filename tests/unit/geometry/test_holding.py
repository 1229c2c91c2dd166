"""The best place of a figure in an opening, against closed formulas and against places drawn by lot."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from templgen.geometry import Contour, Motion, Vec, contour_inside
from templgen.geometry.convex import convex_hull, tangent_polygon
from templgen.geometry.holding import HoleSpace, clearance_held, clearance_in, hold, hold_round, hold_turned

ANGLES = [10.0 * number for number in range(36)]
POINT = np.zeros((1, 2))


def rectangle(width: float, height: float) -> np.ndarray:
    return np.array([(x * width / 2, y * height / 2) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))])


def placed(figure: np.ndarray, at: Vec, angle: float) -> list[Vec]:
    return [at + Vec(float(x), float(y)).turned(angle) for x, y in figure]


def test_largest_circle_in_a_triangle_is_its_incircle() -> None:
    # 3-4-5 triangle: radius 1, centre (1, 1)
    held = hold(HoleSpace.of(Contour.polygon([Vec(0, 0), Vec(4, 0), Vec(0, 3)])), POINT, 0.0)
    assert (held.at.x, held.at.y, held.clearance) == pytest.approx((1.0, 1.0, 1.0))


def test_room_round_a_circle_is_exact_to_the_chords() -> None:
    assert hold(HoleSpace.of(Contour.circle(Vec(7, -3), 40)), POINT, 0.0).clearance == pytest.approx(
        40, abs=0.0006
    )


def test_too_large_a_figure_says_how_much_the_opening_has_to_grow() -> None:
    held = hold(HoleSpace.of(Contour.rectangle(100, 60)), rectangle(104, 20), 0.0)
    assert held.clearance == pytest.approx(-2.0)


def test_a_thin_strip_lies_along_the_diagonal() -> None:
    held = hold_turned(HoleSpace.of(Contour.rectangle(30, 40)), rectangle(49.9, 1e-6), ANGLES)[0]
    assert held.clearance > 0.0
    assert math.tan(math.radians(held.angle)) == pytest.approx(4 / 3, rel=0.01) or math.tan(
        math.radians(held.angle)
    ) == pytest.approx(-4 / 3, rel=0.01)
    assert (
        hold_turned(HoleSpace.of(Contour.rectangle(30, 40)), rectangle(50.1, 1e-6), ANGLES)[0].clearance < 0.0
    )


def test_a_line_to_keep_off_takes_room() -> None:
    space = HoleSpace.of(Contour.rectangle(100, 60), [(Vec(30, 0), Vec(2, 0))])
    assert hold(space, rectangle(60, 20), 0.0).clearance == pytest.approx(10.0)
    assert space.is_convex


@pytest.mark.parametrize("seed", range(15))
def test_no_place_drawn_by_lot_has_more_room(seed: int) -> None:
    pick = random.Random(seed)
    opening = Contour.rectangle(pick.uniform(40, 120), pick.uniform(40, 120), pick.uniform(1, 20))
    figure = rectangle(pick.uniform(10, 60), pick.uniform(1, 30))
    best = hold_turned(HoleSpace.of(opening), figure, ANGLES)[0]
    for _ in range(300):
        at, angle = Vec(pick.uniform(-30, 30), pick.uniform(-30, 30)), pick.uniform(0, 360)
        assert clearance_in(opening, placed(figure, at, angle)) <= max(best.clearance, 0.0) + 0.001


@pytest.mark.parametrize("seed", range(25))
def test_what_is_held_lies_in_the_opening_also_where_that_is_notched(seed: int) -> None:
    pick = random.Random(seed)
    w, h = pick.uniform(60, 140), pick.uniform(50, 100)
    corners = [Vec(-w / 2, -h / 2), Vec(w / 2, -h / 2), Vec(w / 2, h / 2), Vec(w / 8, h / 2)]
    corners += [Vec(-w / 8, h / 2), Vec(-w / 2, h / 2)]
    opening = Contour.from_bulges(corners, [0, 0, 0, pick.uniform(-1.2, -0.1), 0, 0], closed=True)
    space = HoleSpace.of(opening)
    assert not space.is_convex
    figure = rectangle(pick.uniform(5, 40), pick.uniform(1, 20))
    held = hold_turned(space, figure, ANGLES)[0]
    if held.clearance > 0.0:
        corners = placed(figure, held.at, held.angle)
        assert contour_inside(Contour.polygon(corners), opening)
        assert clearance_in(opening, corners) >= held.clearance - 1e-6


def test_the_part_of_a_notched_opening_is_a_large_one() -> None:
    # a 100 x 60 rectangle with a slot 10 wide and 20 deep: below the slot 100 x 40 are left
    points = [(-50, -30), (50, -30), (50, 30), (5, 30), (5, 10), (-5, 10), (-5, 30), (-50, 30)]
    space = HoleSpace.of(Contour.polygon([Vec(x, y) for x, y in points]))
    assert hold(space, rectangle(98, 38), 0.0).clearance == pytest.approx(1.0, abs=0.01)


def test_a_shallow_dent_is_cut_off_along_its_bridge() -> None:
    # two arcs that meet at a dent a tenth of a millimetre deep, top and bottom, turned askew
    points = [Vec(-60, 0), Vec(0, -33.85), Vec(60, 0), Vec(0, 33.85)]
    for angle in (0.0, 7.0, 33.0):
        turned = [point.turned(angle) for point in points]
        opening = Contour.from_bulges(turned, [0.3] * 4, closed=True)
        held = hold(HoleSpace.of(opening), POINT, 0.0)
        room = clearance_in(opening, [held.at])
        assert held.clearance == pytest.approx(room, abs=0.03)
        assert held.clearance <= room + 1e-6
        assert room > 33.5


def test_clearance_of_a_figure_outside_is_how_far_it_sticks_out() -> None:
    opening = Contour.rectangle(100, 60)
    assert clearance_in(opening, placed(rectangle(40, 20), Vec(35, 0), 0.0)) == pytest.approx(-5.0)
    assert clearance_in(opening, placed(rectangle(40, 20), Vec(0, 0), 0.0)) == pytest.approx(20.0)
    assert clearance_in(opening, [Vec(40, 0)]) == pytest.approx(10.0)


def test_clearance_knows_a_tongue_between_two_corners() -> None:
    # both ends of the strip lie in the opening, and a tongue comes down between them
    points = [(-50, -30), (50, -30), (50, 30), (5, 30), (5, -10), (-5, -10), (-5, 30), (-50, 30)]
    opening = Contour.polygon([Vec(x, y) for x, y in points])
    assert clearance_in(opening, placed(rectangle(60, 4), Vec(0, 0), 0.0)) < 0.0


def test_hull_leaves_out_what_lies_inside() -> None:
    hull = convex_hull(np.array([(0, 0), (4, 0), (4, 3), (0, 3), (2, 1), (2, 0)]))
    assert {tuple(point) for point in hull} == {(0, 0), (4, 0), (4, 3), (0, 3)}


def test_tangents_of_a_circle_make_a_regular_polygon_round_it() -> None:
    angles = np.radians(np.arange(0, 360, 15))
    corners = tangent_polygon(np.column_stack([np.cos(angles), np.sin(angles)]), np.full(24, 10.0))
    assert np.hypot(*corners.T) == pytest.approx(10 / math.cos(math.radians(7.5)))


def opening_by_lot(pick: random.Random) -> Contour:
    w, h = pick.uniform(60, 140), pick.uniform(50, 100)
    rectangle = Contour.rectangle(w, h, pick.uniform(1, min(w, h) / 2), Vec(pick.uniform(-50, 50), 7))
    corners = [Vec(-w / 2, -h / 2), Vec(w / 2, -h / 2), Vec(w / 2, h / 2), Vec(-w / 2, h / 2)]
    bulged = Contour.from_bulges(corners, [0, pick.uniform(0.1, 0.9), 0, 0], closed=True)
    return pick.choice((rectangle, bulged, Contour.circle(Vec(3, 4), w / 2)))


@pytest.mark.parametrize("seed", range(20))
def test_a_fine_look_all_round_finds_no_more_room_than_the_bound(seed: int) -> None:
    pick = random.Random(seed)
    space = HoleSpace.of(opening_by_lot(pick))
    length, deep = pick.uniform(20, 120), pick.uniform(0.5, 12)
    # a slot that is not the same upside down: a plate with something on one half of it
    figure = np.array(
        [(0, -length / 2), (0, length / 2), (-0.8, length / 2), (-deep, length / 3), (-deep, 0)]
    )
    found = hold_round(space, figure, ANGLES, 4)
    looks = [hold(space, figure, angle / 2) for angle in range(720)]
    assert max(look.clearance for look in looks) <= found.most + 1e-9
    assert found.places[0].clearance >= max(look.clearance for look in looks) - 1e-5
    for place in found.places:
        again = hold(space, figure, place.angle)
        assert again.clearance == pytest.approx(place.clearance, abs=1e-7)
        corners = placed(figure, place.at, place.angle)
        if place.clearance > 0.0:
            room = clearance_in(space.contour, corners)
            assert clearance_held(space, place, corners) == pytest.approx(room, abs=1e-9)
            assert room >= place.clearance - 1e-7


def test_half_a_turn_is_known_to_change_nothing_or_something() -> None:
    assert HoleSpace.of(Contour.rectangle(100, 60, 10, Vec(4, 5))).centre == Vec(4.0, 5.0)
    assert HoleSpace.of(Contour.polygon([Vec(0, 0), Vec(4, 0), Vec(0, 3)])).centre is None
    cut = HoleSpace.of(Contour.rectangle(100, 60), [(Vec(30, 0), Vec(1, 0))])
    assert cut.centre is None
    assert not cut.is_whole


@pytest.mark.parametrize("turn", [0.0, 15.0, 37.0, 90.0, 160.0])
@pytest.mark.parametrize("radius", [0.0, 8.0, 30.0])
def test_the_places_of_a_mirrored_figure_are_those_found_for_it_alone(turn: float, radius: float) -> None:
    opening = Contour.rectangle(100, 60, radius, Vec(4, 5)).moved(Motion.rotation(turn, Vec(1, 2)))
    space = HoleSpace.of(opening)
    figure = np.array([(0.0, 20.0), (5.6, 0.0), (6.6, 0.0), (6.6, 88.0), (5.6, 88.0), (0.0, 70.0)])
    mirrored = np.array([0.0, 88.0]) + figure[::-1] * (1.0, -1.0)
    first = hold_round(space, figure, ANGLES, 4)
    found = hold_round(space, mirrored, ANGLES, 4)
    alone = hold_round(HoleSpace(space.contour, space.normals, space.limits, True, True), mirrored, ANGLES, 4)
    assert found.most == pytest.approx(alone.most, abs=1e-6)
    assert sorted(p.clearance for p in found.places) == pytest.approx(
        sorted(p.clearance for p in alone.places), abs=1e-6
    )
    for place in found.places:
        again = hold(space, mirrored, place.angle)
        assert again.clearance == pytest.approx(place.clearance, abs=1e-7)
        assert clearance_in(opening, placed(mirrored, place.at, place.angle)) >= place.clearance - 1e-6
    if turn % 5.0 == 0.0:
        # at these turns the mirror image of every look is a look: nothing was asked again
        angles = [place.angle for place in found.places]
        assert angles == pytest.approx([(2 * turn - p.angle) % 360.0 for p in first.places])


def test_a_mirror_is_known_where_there_is_one() -> None:
    turned = Contour.rectangle(100, 60, 10).moved(Motion.rotation(20.0))
    mirror = HoleSpace.of(turned).mirror
    assert mirror is not None
    assert mirror.twice % 180.0 == pytest.approx(40.0)
    askew = Contour.polygon([Vec(0, 0), Vec(100, 0), Vec(130, 60), Vec(30, 60)])
    assert HoleSpace.of(askew).centre is not None
    assert HoleSpace.of(askew).mirror is None


def test_half_planes_that_others_make_needless_have_no_side() -> None:
    # a square of 20 and, all round, half-planes through its corners moved out by 0.3 mm
    angles = np.radians(np.arange(0.0, 360.0, 15.0))
    c, s = np.cos(angles), np.sin(angles)
    corners = tangent_polygon(
        np.column_stack([c, s]), 10 * (np.abs(c) + np.abs(s)) + 0.3 * (np.arange(24) % 6 > 0)
    )
    expected = [(-10, -10), (-10, 10), (10, -10), (10, 10)]
    assert sorted((round(x, 9), round(y, 9)) for x, y in corners.tolist()) == expected
    # those that only touch a corner have none either, so that no corner is there twice
    touching = tangent_polygon(np.column_stack([c, s]), 10 * (np.abs(c) + np.abs(s)))
    assert sorted((round(x, 9), round(y, 9)) for x, y in touching.tolist()) == expected
