"""The verdict: exact on the limits, never a false pass, and what would tell where nothing does."""

from __future__ import annotations

import random

import pytest

from templgen.geometry import Vec
from templgen.proof.measured import Outcome, Verdict, feature_error, judge
from templgen.proof.stretch import Reading, Stretch, solve
from templgen.sheets.proving import Feature, largest_feature, shortest_length

WIDTH, HEIGHT = 171.45, 139.7
ALONG = (Vec(WIDTH, 0.0), Vec(0.0, HEIGHT), Vec(WIDTH, HEIGHT), Vec(WIDTH, -HEIGHT))
PLATE = Feature("plate", 1, (Vec(20, 20), Vec(150, 20), Vec(150, 110), Vec(20, 110)), False)


def line(length: float, on_its_side: bool = False) -> Feature:
    """Two points along x."""
    return Feature("line", 1, (Vec(0.0, 0.0), Vec(length, 0.0)), on_its_side)


def read(truth: Stretch, off: float, errors: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0)) -> list[Reading]:
    names = ("A to B", "A to D", "A to C", "D to B")
    return [
        Reading(name, v, truth.length(v) + off * share, off)
        for name, v, share in zip(names, ALONG, errors, strict=False)
    ]


def judged(truth: Stretch, off: float, tolerance: float, feature: Feature = PLATE, **how: object) -> Verdict:
    readings = read(truth, off, *how.values())  # type: ignore[arg-type]
    return judge(solve(readings), readings, (feature,), tolerance)


def test_the_error_of_a_line_is_its_length_times_the_error_of_the_scale() -> None:
    error = feature_error(solve(read(Stretch.of(0.996, 1.0), 0.1)[:2]), line(100.0))
    assert error.error == pytest.approx(-0.4, abs=1e-9)
    assert error.uncertainty == pytest.approx(100.0 * 0.1 / WIDTH, abs=1e-9)
    assert (error.certain, error.most) == pytest.approx((0.4 - 10.0 / WIDTH, 0.4 + 10.0 / WIDTH), abs=1e-9)


def test_a_feature_of_a_page_on_its_side_lies_along_the_other_axis() -> None:
    solved = solve(read(Stretch.of(1.0, 0.995), 0.1))
    assert feature_error(solved, line(100.0)).error == pytest.approx(0.0, abs=1e-9)
    assert feature_error(solved, line(100.0, on_its_side=True)).error == pytest.approx(-0.5, abs=1e-9)


def test_a_skew_changes_the_diagonals_of_a_pattern() -> None:
    """Of a square of side s the short one by sqrt(2) s (sqrt(1 - sin skew) - 1), by the law of cosines."""
    square = Feature("square", 1, (Vec(0, 0), Vec(100, 0), Vec(100, 100), Vec(0, 100)), False)
    truth = Stretch.of_matrix(1.0, 0.0, 0.002, (1.0 - 0.002**2) ** 0.5)
    error = feature_error(solve(read(truth, 0.05)), square)
    assert error.error == pytest.approx(2**0.5 * 100.0 * ((1.0 - 0.002) ** 0.5 - 1.0), abs=1e-6)


@pytest.mark.parametrize(
    ("scale", "off", "outcome"),
    [
        (1.0, 0.1, Outcome.INSIDE),
        (1.0, 0.5, Outcome.CANNOT_JUDGE),
        (0.994, 0.1, Outcome.OUTSIDE),
        (0.9975, 0.2, Outcome.CANNOT_JUDGE),
    ],
)
def test_outcomes(scale: float, off: float, outcome: Outcome) -> None:
    assert judged(Stretch.of(scale, scale), off, 0.25).outcome is outcome


@pytest.mark.parametrize("off", [0.1, 0.2, 0.5])
@pytest.mark.parametrize("largest", [60.0, 150.0])
def test_the_shortest_length_is_just_long_enough(off: float, largest: float) -> None:
    """What the sheet prints agrees with what the judge does, a hundredth of a mm either way."""
    length = shortest_length(off, largest, 0.25)
    for more, outcome in ((0.01, Outcome.INSIDE), (-0.01, Outcome.CANNOT_JUDGE)):
        sides = (Vec(length + more, 0.0), Vec(0.0, length + more))
        readings = [Reading("side", v, v.length, off) for v in sides]
        assert judge(solve(readings), readings, (line(largest),), 0.25).outcome is outcome


def test_a_true_print_that_can_not_be_judged_can_be_with_the_reading_it_asks_for() -> None:
    for scale in (1.0, 0.999, 1.0012, 0.9965, 1.0031):
        verdict = judged(Stretch.of(scale, scale), 0.5, 0.25)
        assert verdict.outcome is Outcome.CANNOT_JUDGE
        assert verdict.needed is not None
        assert verdict.needed < 0.5
        better = judged(Stretch.of(scale, scale), 0.98 * verdict.needed, 0.25)
        assert better.outcome in (Outcome.INSIDE, Outcome.OUTSIDE)
        worse = judged(Stretch.of(scale, scale), 1.1 * verdict.needed, 0.25)
        assert worse.outcome is Outcome.CANNOT_JUDGE


def test_no_reading_tells_of_a_print_on_the_tolerance() -> None:
    readings = [Reading("x", Vec(100.0, 0.0), 100.25, 0.2), Reading("y", Vec(0.0, 100.0), 100.0, 0.2)]
    verdict = judge(solve(readings), readings, (line(100.0),), 0.25)
    assert verdict.outcome is Outcome.CANNOT_JUDGE
    assert verdict.needed is None or verdict.needed < 1e-6


def test_readings_that_tell_need_nothing() -> None:
    assert judged(Stretch.of(1.0, 1.0), 0.1, 0.25).needed is None


def test_the_worst_feature_is_named() -> None:
    readings = read(Stretch.of(0.99, 1.0), 0.1)
    upright = Feature("upright", 1, (Vec(0, 0), Vec(0, 130)), False)
    assert judge(solve(readings), readings, (upright, line(40.0)), 0.25).worst.feature.name == "line"


def true_error(truth: Stretch, feature: Feature) -> float:
    pairs = [(a, b) for a in feature.points for b in feature.points if a != b]
    return max(abs(truth.length(b - a) - a.distance_to(b)) for a, b in pairs)


@pytest.mark.parametrize("seed", range(20))
def test_no_false_verdict_of_seeded_random_printers(seed: int) -> None:
    """Printers off by up to 0.6 %, readings off by anything they may be: 1,000 prints in all."""
    rng = random.Random(seed)
    counts = dict.fromkeys(Outcome, 0)
    for _ in range(50):
        spread = rng.choice([0.0005, 0.002, 0.006])
        truth = Stretch.of(
            1.0 + rng.uniform(-spread, spread), 1.0 + rng.uniform(-spread, spread), rng.uniform(-0.1, 0.1)
        )
        off = rng.choice([0.05, 0.1, 0.2, 0.5])
        errors = tuple(rng.choice([-1.0, 1.0, rng.uniform(-1.0, 1.0)]) for _ in ALONG)
        readings = read(truth, off, errors)
        verdict = judge(solve(readings), readings, (PLATE,), 0.25)
        error = true_error(truth, PLATE)
        assert verdict.outcome is not (Outcome.OUTSIDE if error <= 0.25 else Outcome.INSIDE)
        assert verdict.worst.certain - 1e-9 <= error <= verdict.worst.most + 1e-9
        counts[verdict.outcome] += 1
    assert min(counts.values()) > 0


def test_the_largest_of_no_features_is_nothing() -> None:
    assert largest_feature(()) == 0.0
    assert largest_feature((line(3.0), PLATE)) == pytest.approx((130.0**2 + 90.0**2) ** 0.5)
