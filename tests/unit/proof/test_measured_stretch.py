"""The stretch of a print: recovered from lengths, its limits, and the correction that undoes it."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from templgen.drawing import Correction
from templgen.geometry import Vec
from templgen.proof.stretch import Contradiction, Reading, Stretch, Undetermined, solve

WIDTH, HEIGHT = 171.45, 139.7
SIDES = {"A to B": Vec(WIDTH, 0.0), "A to D": Vec(0.0, HEIGHT)}
ALL = {**SIDES, "A to C": Vec(WIDTH, HEIGHT), "D to B": Vec(WIDTH, -HEIGHT)}

factors = st.floats(0.97, 1.03)
skews = st.floats(-1.0, 1.0)
shares = st.lists(st.floats(-1.0, 1.0), min_size=4, max_size=4)


def matrix_of(correction: Correction) -> np.ndarray:
    a, b, c, d = correction.matrix
    return np.array([[a, c], [b, d]])


def printed(truth: Stretch, along: dict[str, Vec], off: float, errors: list[float]) -> list[Reading]:
    """Readings of a print, each off by its share of `off`."""
    return [
        Reading(what, v, truth.length(v) + off * error, off)
        for (what, v), error in zip(along.items(), errors, strict=False)
    ]


@given(factors, factors, skews)
def test_a_stretch_is_what_a_matrix_does_to_lengths(x: float, y: float, skew: float) -> None:
    """Against numpy's own product of matrix and vector."""
    matrix = matrix_of(Correction(x, y, skew))
    stretch = Stretch.of(x, y, skew)
    for v in ALL.values():
        assert stretch.length(v) == pytest.approx(float(np.linalg.norm(matrix @ [v.x, v.y])), abs=1e-9)
    assert stretch.x == pytest.approx(x, abs=1e-12)
    assert stretch.y == pytest.approx(y / math.cos(math.radians(skew)), abs=1e-12)
    assert stretch.skew == pytest.approx(skew, abs=1e-9)


@given(factors, factors, skews, st.floats(0.0, 360.0))
def test_the_correction_is_the_inverse_of_the_printer(x: float, y: float, skew: float, turn: float) -> None:
    """A printer that also turns the page: what is printed with the correction in it is the page, turned."""
    turned = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    printer = turned @ matrix_of(Correction(x, y, skew))
    both = printer @ matrix_of(Stretch.of(x, y, skew).correction())
    assert np.allclose(both.T @ both, np.eye(2), atol=1e-12)


@given(factors, factors, skews, factors, factors, skews)
def test_a_correction_is_taken_out_of_what_was_measured(
    x: float, y: float, skew: float, cx: float, cy: float, cskew: float
) -> None:
    printer, correction = matrix_of(Correction(x, y, skew)), Correction(cx, cy, cskew)
    both = printer @ matrix_of(correction)
    found = Stretch.of_matrix(both[0, 0], both[1, 0], both[0, 1], both[1, 1]).without(correction)
    wanted = Stretch.of(x, y, skew)
    assert (found.xx, found.xy, found.yy) == pytest.approx((wanted.xx, wanted.xy, wanted.yy), abs=1e-12)


@given(factors, factors, skews)
def test_a_page_on_its_side_swaps_the_axes(x: float, y: float, skew: float) -> None:
    stretch = Stretch.of(x, y, skew)
    for v in ALL.values():
        assert stretch.turned().length(v.perp()) == pytest.approx(stretch.length(v), abs=1e-9)
        assert stretch.turned().length(-v.perp()) == pytest.approx(stretch.length(v), abs=1e-9)
    turned, direct = stretch.correction().turned(), stretch.turned().correction()
    assert (turned.x, turned.y, turned.skew) == pytest.approx((direct.x, direct.y, direct.skew), abs=1e-9)


@given(factors, factors, skews)
def test_exact_readings_give_the_truth(x: float, y: float, skew: float) -> None:
    truth = Stretch.of(x, y, skew)
    solved = solve(printed(truth, ALL, 0.2, [0.0] * 4))
    found = solved.best
    assert (found.xx, found.xy, found.yy) == pytest.approx((truth.xx, truth.xy, truth.yy), abs=1e-9)
    assert solved.square_known


@given(factors, factors, shares, st.floats(0.05, 0.5))
def test_two_readings_give_each_scale_to_its_own_reading_error(
    x: float, y: float, errors: list[float], off: float
) -> None:
    solved = solve(printed(Stretch.of(x, y), SIDES, off, errors))
    assert abs(solved.best.x - x) <= off / WIDTH + 1e-9
    assert abs(solved.best.y - y) <= off / HEIGHT + 1e-9
    assert solved.span("x") == pytest.approx((solved.best.x - off / WIDTH, solved.best.x + off / WIDTH))
    assert not solved.square_known
    assert solved.span("skew") == (0.0, 0.0)


@given(factors, factors, skews, shares, st.floats(0.05, 0.5), st.floats(0.0, 180.0))
def test_the_truth_lies_within_the_limits(
    x: float, y: float, skew: float, errors: list[float], off: float, angle: float
) -> None:
    truth = Stretch.of(x, y, skew)
    solved = solve(printed(truth, ALL, off, errors))
    for name in ("x", "y", "skew"):
        low, high = solved.span(name)
        assert low - 1e-9 <= getattr(truth, name) <= high + 1e-9, name
    along = Vec.polar(150.0, angle)
    lengths = [stretch.length(along) for stretch in solved.allowed]
    assert min(lengths) - 1e-6 <= truth.length(along) <= max(lengths) + 1e-6


def test_the_corners_are_the_extremes_of_all_that_the_readings_allow() -> None:
    """Against a random search: no stretch within the limits goes past a corner, some come near."""
    rng = random.Random(7)
    off = 0.3
    readings = printed(Stretch.of(0.995, 1.003, 0.1), ALL, off, [0.3, -0.6, 0.2, 0.5])
    solved = solve(readings)
    along = Vec(90.0, 60.0)
    low = min(stretch.length(along) for stretch in solved.allowed)
    high = max(stretch.length(along) for stretch in solved.allowed)
    found = []
    for _ in range(60_000):
        stretch = Stretch.of(rng.uniform(0.991, 0.999), rng.uniform(0.998, 1.008), rng.uniform(-0.2, 0.4))
        if all(abs(stretch.length(each.along) - each.measured) <= off for each in readings):
            found.append(stretch.length(along))
    assert len(found) > 1000
    assert low <= min(found)
    assert max(found) <= high
    assert min(found) - low < 0.1 * (high - low)
    assert high - max(found) < 0.1 * (high - low)


def test_more_readings_never_widen_what_is_allowed() -> None:
    truth = Stretch.of(0.997, 1.002, 0.05)
    three = dict(list(ALL.items())[:3])
    errors = [0.4, -0.2, 0.1, 0.3]
    few, more = solve(printed(truth, three, 0.2, errors)), solve(printed(truth, ALL, 0.2, errors))
    for name in ("x", "y", "skew"):
        assert few.span(name)[0] <= more.span(name)[0] + 1e-12
        assert more.span(name)[1] <= few.span(name)[1] + 1e-12


@pytest.mark.parametrize(
    "along",
    [{"A to B": ALL["A to B"]}, {"A to B": ALL["A to B"], "A to C": ALL["A to C"]}],
    ids=["x only", "x and a diagonal"],
)
def test_too_few_readings_are_undetermined(along: dict[str, Vec]) -> None:
    with pytest.raises(Undetermined, match="A to D"):
        solve(printed(Stretch.of(1.0, 1.0), along, 0.2, [0.0] * 4))


def test_diagonals_without_one_side_still_tell() -> None:
    along = {what: v for what, v in ALL.items() if what != "A to D"}
    truth = Stretch.of(0.99, 1.01, 0.2)
    assert solve(printed(truth, along, 0.2, [0.0] * 4)).best.yy == pytest.approx(truth.yy, abs=1e-9)


def test_a_misread_diagonal_is_a_contradiction() -> None:
    readings = printed(Stretch.of(1.0, 1.0), ALL, 0.2, [0.0, 0.0, 20.0, 0.0])
    with pytest.raises(Contradiction, match=r"contradict .* 0\.20 mm"):
        solve(readings)


def test_a_trapezoid_is_a_contradiction() -> None:
    lower, upper = (
        Reading(what, Vec(WIDTH, 0.0), m, 0.2) for what, m in (("A to B", 171.4), ("D to C", 172.2))
    )
    with pytest.raises(Contradiction, match="trapezoid"):
        solve([lower, upper, Reading("A to D", Vec(0.0, HEIGHT), HEIGHT, 0.2)])


def test_an_impossible_figure_is_a_contradiction() -> None:
    """Sides and one diagonal that make no triangle."""
    readings = printed(Stretch.of(1.0, 1.0), dict(list(ALL.items())[:3]), 0.2, [0.0, 0.0, 0.0])
    readings[2] = Reading("A to C", Vec(WIDTH, HEIGHT), 330.0, 0.2)
    with pytest.raises(Contradiction):
        solve(readings)
