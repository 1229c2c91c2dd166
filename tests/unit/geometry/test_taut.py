"""Taut lines through openings, against unfolded planes and sampled crossings."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import pytest

from templgen.geometry import Contour, Side, Vec, locate
from templgen.geometry.taut import Gate, taut_line

HOLE = Contour.rectangle(100, 80, 10)


def test_straight_where_nothing_is_in_the_way() -> None:
    line = taut_line((Vec(10, 5), 30.0), (Vec(-10, 0), -60.0), [Gate(HOLE, 1.0), Gate(HOLE, -1.0)])
    assert line.length == pytest.approx(math.hypot(20, 5, 90))
    assert len(line.corners) == 2


def test_round_one_edge() -> None:
    # beside the middle of the right side at x 50: sqrt(150^2 + 30^2) + sqrt(50^2 + 72^2)
    line = taut_line((Vec(200, 0), 31.0), (Vec(0, 0), -71.0), [Gate(HOLE, 1.0), Gate(HOLE, -1.0)])
    assert line.length == pytest.approx(math.hypot(150, 30) + math.hypot(50, 72), abs=1e-6)
    assert line.corners[1][0].x == pytest.approx(50.0)


def test_round_both_edges() -> None:
    # to a place as far outside as inside, the line runs along the wall of the opening: 2 sqrt(150^2 + 30^2) +
    # 2
    line = taut_line((Vec(200, 0), 31.0), (Vec(200, 0), -31.0), [Gate(HOLE, 1.0), Gate(HOLE, -1.0)])
    assert line.length == pytest.approx(2 * math.hypot(150, 30) + 2, abs=1e-6)
    assert len(line.corners) == 4


def test_askew_over_a_straight_edge_it_is_straight_in_the_unfolded_plane() -> None:
    # the two half planes through the edge x = 50 unfolded: distances to the edge add, the shift along it
    # stays
    wide = Contour.rectangle(100, 400)
    line = taut_line((Vec(200, 30), 30.0), (Vec(20, -70), -60.0), [Gate(wide, 0.0)])
    assert line.length == pytest.approx(math.hypot(math.hypot(150, 30) + math.hypot(30, 60), 100), abs=1e-6)


@pytest.mark.parametrize("seed", range(8))
def test_no_sampled_way_is_shorter(seed: int) -> None:
    pick = random.Random(seed)
    inner = Contour.rectangle(pick.uniform(40, 100), pick.uniform(40, 80), 15)
    outer = inner if pick.random() < 0.5 else Contour.rectangle(110, 90, 20)
    gates = [Gate(inner, 1.0), Gate(outer, -0.8)]
    start = (Vec(pick.uniform(-200, 200), pick.uniform(-200, 200)), pick.uniform(2, 100))
    end = (Vec(pick.uniform(-60, 60), pick.uniform(-60, 60)), pick.uniform(-150, -2))
    line = taut_line(start, end, gates)
    shortest = min(sampled_way(start, end, gates, pick) for _ in range(800))
    assert line.length <= shortest + 1e-9
    assert line.length == pytest.approx(shortest, rel=0.1)


def sampled_way(
    start: tuple[Vec, float], end: tuple[Vec, float], gates: list[Gate], pick: random.Random
) -> float:
    box, way = gates[0].opening.bounds, [start]
    place = Vec(pick.uniform(box.xmin, box.xmax), pick.uniform(box.ymin, box.ymax))
    for gate in gates:
        if locate(place, gate.opening) is Side.OUTSIDE:
            return math.inf
        way.append((place, gate.z))
        place = place + Vec(pick.uniform(-1, 1), pick.uniform(-1, 1))
    way.append(end)
    return sum(math.hypot(a[0].distance_to(b[0]), a[1] - b[1]) for a, b in pairwise(way))
