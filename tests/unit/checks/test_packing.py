from __future__ import annotations

import math
import random

import pytest

from templgen.checks.packing import holding_circle


def test_two_circles_need_their_sum() -> None:
    assert holding_circle([8, 4]) == (12, 12)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 7])
def test_equal_circles_round_a_ring_fit_exactly(count: int) -> None:
    """Centres on a ring: r (1 + 1 / sin(pi / n)); seven are six round one (closed forms, arithmetic)."""
    ring = {1: 1.0, 2: 2.0, 7: 3.0}.get(count) or 1 + 1 / math.sin(math.pi / count)
    low, enough = holding_circle([5.0] * count)
    assert low == enough == pytest.approx(5.0 * ring)


def test_bounds_of_unequal_bundles_are_in_order() -> None:
    rng = random.Random(3)
    for _ in range(200):
        diameters = [rng.uniform(1, 9) for _ in range(rng.randint(3, 9))]
        low, enough = holding_circle(diameters)
        assert max(diameters) <= low <= enough * (1 + 1e-12)
        assert low >= sum(sorted(diameters)[-2:])


def test_more_than_seven_have_no_closed_form() -> None:
    low, enough = holding_circle([2.0] * 9)
    assert enough == math.inf
    assert low == pytest.approx(6.0)
