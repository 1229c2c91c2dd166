"""The rigid fit against a scan of all angles, known motions and worked triangles; laws by hypothesis."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from templgen.geometry import Motion, Vec
from templgen.geometry.alignment import (
    PairLength,
    fits,
    fits_mirrored,
    measured_wrong,
    network,
    placement_doubts,
    residual_bounds,
    residuals,
    rigid_fit,
)

Floats = NDArray[np.float64]

RECTANGLE = np.array([(0.0, 0.0), (120.0, 0.0), (120.0, 70.0), (0.0, 70.0)])

angles = st.floats(-180, 180)
shifts = st.floats(-1000, 1000)
doubts_of = st.floats(0.05, 0.8)
seeds = st.integers(0, 2**32 - 1)


def moved(points: Floats, motion: Motion) -> Floats:
    places = [motion.apply(Vec(float(x), float(y))) for x, y in points]
    return np.array([(each.x, each.y) for each in places])


def motion_of(angle: float, x: float, y: float) -> Motion:
    return Motion.rotation(angle).then(Motion.translation(Vec(x, y)))


def inside(rng: np.random.Generator, doubts: Floats) -> Floats:
    """Errors anywhere within their doubts, many of them on the rim."""
    way = rng.uniform(0, 2 * math.pi, len(doubts))
    size = doubts * np.minimum(1.0, rng.uniform(0, 1.5, len(doubts)))
    return np.column_stack([size * np.cos(way), size * np.sin(way)])


def scattered(rng: np.random.Generator, count: int) -> Floats:
    """Points at least 20 mm apart in a square of 300 mm."""
    points: list[Floats] = []
    while len(points) < count:
        new = rng.uniform(0, 300, 2)
        if all(np.linalg.norm(new - old) > 20 for old in points):
            points.append(new)
    return np.array(points)


def cost(known: Floats, measured: Floats, doubts: Floats, angle: float) -> float:
    """The weighted sum of squares at an angle, with the shift that is best for it."""
    turned = moved(known, Motion.rotation(angle))
    gap = measured - turned
    weights = 1 / doubts**2
    gap = gap - weights @ gap / weights.sum()
    return float(weights @ (gap**2).sum(axis=1))


def scanned_angle(known: Floats, measured: Floats, doubts: Floats) -> float:
    """The best angle by looking: all of the circle, then ten times finer around the best, and so on."""
    best, step = 0.0, 1.0
    tried = np.arange(-180.0, 180.0, step)
    while step > 1e-8:
        best = float(min(tried, key=lambda angle: cost(known, measured, doubts, float(angle))))
        tried, step = best + np.linspace(-step, step, 21), step / 10
    return best


@given(angles, shifts, shifts)
def test_exact_places_give_the_motion_back(angle: float, x: float, y: float) -> None:
    truth = motion_of(angle, x, y)
    found = rigid_fit(RECTANGLE, moved(RECTANGLE, truth), np.full(4, 0.3))
    for point in (Vec(0, 0), Vec(500, -200)):
        assert found.apply(point).distance_to(truth.apply(point)) < 1e-8


@settings(max_examples=25)
@given(seeds, st.integers(2, 6), angles)
def test_closed_form_is_the_best_of_all_angles(seed: int, count: int, angle: float) -> None:
    rng = np.random.default_rng(seed)
    known = scattered(rng, count)
    doubts = rng.uniform(0.1, 2.0, count)
    measured = moved(known, motion_of(angle, 5, 7)) + rng.normal(0, 3, (count, 2))
    found = rigid_fit(known, measured, doubts)
    scanned = scanned_angle(known, measured, doubts)
    assert abs((found.angle - scanned + 180) % 360 - 180) < 1e-5
    assert cost(known, measured, doubts, found.angle) <= cost(known, measured, doubts, scanned) + 1e-6


@settings(max_examples=60)
@given(seeds, st.integers(2, 7), angles)
def test_errors_within_their_doubts_are_never_called_wrong(seed: int, count: int, angle: float) -> None:
    rng = np.random.default_rng(seed)
    known, doubts = scattered(rng, count), rng.uniform(0.05, 0.8, count)
    truth = motion_of(angle, 300, -40)
    measured = moved(known, truth) + inside(rng, doubts)
    found = rigid_fit(known, measured, doubts)
    assert fits(known, measured, doubts)
    assert measured_wrong(known, measured, doubts) == ((),)
    assert not fits_mirrored(known, measured, doubts)
    assert (residuals(found, known, measured) <= residual_bounds(measured, doubts)).all()
    corners = np.array([(-50.0, -50.0), (350.0, 350.0)])
    allowed = placement_doubts(measured, doubts, moved(corners, truth))
    off = np.linalg.norm(moved(corners, found) - moved(corners, truth), axis=1)
    assert (off <= allowed * 1.1 + 1e-6).all(), "1.1: the bound is of the first order"


@settings(max_examples=60)
@given(seeds, st.integers(5, 8), st.floats(10, 60), angles)
def test_one_gross_error_among_five_is_named(seed: int, count: int, gross: float, way: float) -> None:
    rng = np.random.default_rng(seed)
    known, doubts = scattered(rng, count), np.full(count, 0.3)
    measured = moved(known, motion_of(33, 10, 20)) + inside(rng, doubts)
    wrong = int(rng.integers(count))
    measured[wrong] += (gross * math.cos(math.radians(way)), gross * math.sin(math.radians(way)))
    sets = measured_wrong(known, measured, doubts)
    assert (wrong,) in sets, "the true one is always among those it may be"


def test_one_gross_error_of_a_rectangle_is_named_alone() -> None:
    for wrong in range(4):
        measured = moved(RECTANGLE, motion_of(-71, 3, 9))
        measured[wrong] += (2.5, -2.0)
        assert measured_wrong(RECTANGLE, measured, np.full(4, 0.3)) == ((wrong,),)


def test_two_gross_errors_of_six_are_named() -> None:
    known = np.vstack([RECTANGLE, [(60.0, 20.0), (20.0, 110.0)]])
    measured = moved(known, motion_of(12, 3, 9))
    measured[1] += (6.0, 1.0)
    measured[4] += (-2.0, 7.0)
    assert measured_wrong(known, measured, np.full(6, 0.3)) == ((1, 4),)


def test_two_holes_can_not_tell_which_is_wrong() -> None:
    known = np.array([(0.0, 0.0), (100.0, 0.0)])
    assert measured_wrong(known, known * 1.05, np.full(2, 0.3)) == ()


def test_a_better_measured_hole_draws_the_fit_to_itself() -> None:
    known = np.array([(0.0, 0.0), (100.0, 0.0)])
    measured = np.array([(0.0, 0.0), (101.0, 0.0)])
    gaps = residuals(rigid_fit(known, measured, np.array([0.1, 0.3])), known, measured)
    assert gaps == pytest.approx([0.1, 0.9]), "1 mm shared as 0.1^2 to 0.3^2"


@given(seeds, st.integers(3, 6))
def test_a_mirror_is_never_used(seed: int, count: int) -> None:
    known = scattered(np.random.default_rng(seed), count)
    doubts = np.full(count, 0.3)
    motion = rigid_fit(known, known * (-1.0, 1.0), doubts)
    assert not motion.is_mirrored
    assert math.hypot(motion.cos, motion.sin) == pytest.approx(1.0)


def test_a_mirrored_rectangle_is_told() -> None:
    doubts = np.full(4, 0.3)
    measured = moved(RECTANGLE * (1.0, -1.0), motion_of(40, 1, 2))
    assert fits_mirrored(RECTANGLE, measured, doubts)
    assert not fits(RECTANGLE, measured, doubts)


def test_one_hole_fixes_no_turn() -> None:
    assert math.isinf(placement_doubts(np.array([(1.0, 2.0)]), np.array([0.3]), RECTANGLE)[0])


def test_placement_doubt_of_two_holes() -> None:
    """Worked by hand for holes 100 mm apart, 0.3 mm each.

    In their middle the mean of both errors: 0.3 mm. On their line, 150 mm from the middle, one hole 0.3 mm
    up and the other down swing it by 0.3 mm x 150 / 50: three times.
    """
    places = np.array([(-50.0, 0.0), (50.0, 0.0)])
    off = placement_doubts(places, np.full(2, 0.3), np.array([(0.0, 0.0), (150.0, 0.0)]))
    assert off == pytest.approx([0.3, 0.9])


def test_a_network_of_distances_finds_a_braced_triangle() -> None:
    """3-4-5: sides of 60, 80 and 100 mm from a guess that is some mm off."""
    start = np.array([(1.0, -2.0), (83.0, 1.0), (-1.0, 57.0)])
    lengths = [PairLength(0, 1, 80, 0.2), PairLength(0, 2, 60, 0.2), PairLength(1, 2, 100, 0.2)]
    found = network(start, {}, lengths)
    assert found.is_rigid
    a, b, c = found.places
    sides = [np.linalg.norm(b - a), np.linalg.norm(c - a), np.linalg.norm(c - b)]
    assert sides == pytest.approx([80, 60, 100])
    assert (b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0] > 0, "the hand of the guess is kept"


def test_a_network_that_can_move_is_told() -> None:
    square = RECTANGLE
    sides = [PairLength(0, 1, 120, 0.2), PairLength(1, 2, 70, 0.2), PairLength(2, 3, 120, 0.2)]
    sides.append(PairLength(3, 0, 70, 0.2))
    assert not network(square, {}, sides).is_rigid
    braced = [*sides, PairLength(0, 2, math.hypot(120, 70), 0.2)]
    assert network(square, {}, braced).is_rigid


def test_measured_places_alone_are_the_network() -> None:
    found = network(RECTANGLE, dict.fromkeys(range(4), 0.3), [])
    assert found.is_rigid
    assert found.places == pytest.approx(RECTANGLE)
    assert found.doubts == pytest.approx(np.full(4, 0.3))


@settings(max_examples=30)
@given(seeds)
def test_distances_within_their_doubts_stay_within_the_networks(seed: int) -> None:
    rng = np.random.default_rng(seed)
    pairs = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)]
    lengths = [
        PairLength(a, b, float(np.linalg.norm(RECTANGLE[a] - RECTANGLE[b]) + rng.uniform(-0.3, 0.3)), 0.3)
        for a, b in pairs
    ]
    found = network(RECTANGLE, {}, lengths)
    assert found.is_rigid
    off = np.linalg.norm(found.places - RECTANGLE, axis=1)
    assert (off <= found.doubts * 1.02).all()
