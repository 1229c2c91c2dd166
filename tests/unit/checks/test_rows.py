from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from templgen.checks.rows import rows_of, sets_of
from templgen.checks.survey import Survey
from tests.unit.checks.builder import assembly

SPECS = {"rivet": {"diameter": 3, "hole": 3.3}}


def survey_of(*sets: list[tuple[float, float]]) -> Survey:
    fasteners: list[Any] = [{"spec": "rivet", "at": points, "stack": ["skin"]} for points in sets]
    return Survey(assembly({"faces": {"skin": {}}, "fasteners": fasteners}, SPECS))


def rows(points: list[tuple[float, float]]) -> list[list[int]]:
    survey = survey_of(points)
    return [list(map(int, row.indices)) for row in rows_of(survey.holes, np.arange(len(points)))]


def test_two_rows_in_any_order_of_holes() -> None:
    points = [(0.0, 0.0), (20.0, 0.0), (40.0, 0.0), (30.0, 10.0), (10.0, 10.0), (50.0, 10.0)]
    assert rows(points) == [[0, 1, 2], [4, 3, 5]]


@pytest.mark.parametrize("angle", [0, 17.3, 90, 133, 179.9])
def test_offsets_of_a_turned_grid(angle: float) -> None:
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    grid = [(15.0 * i, 11.0 * j) for j in range(4) for i in range(6)]
    survey = survey_of([(c * x - s * y, s * x + c * y) for x, y in grid])
    found = rows_of(survey.holes, np.arange(24))
    offsets = sorted(row.offset for row in found)
    assert len(found) == 4
    assert np.diff(offsets) == pytest.approx([11.0] * 3)
    assert all(row.high - row.low == pytest.approx(75) for row in found)


def test_a_bolt_circle_has_no_rows() -> None:
    circle = [(30 * math.cos(k * 0.5236), 30 * math.sin(k * 0.5236)) for k in range(12)]
    assert rows(circle) == []


def test_a_hole_out_of_line_by_less_than_half_a_diameter_stays_in_its_row() -> None:
    assert rows([(0.0, 0.0), (20.0, 0.4), (40.0, -0.4), (60.0, 0.0)]) == [[0, 1, 2, 3]]


def test_two_holes_or_one_place_are_no_row() -> None:
    assert rows([(0.0, 0.0), (20.0, 0.0)]) == []
    assert rows([(5.0, 5.0)] * 4) == []


def test_sets_keep_apart_and_in_order() -> None:
    survey = survey_of([(0.0, 0.0), (1.0, 0.0)], [(2.0, 0.0)], [(3.0, 0.0)])
    found = [list(map(int, part)) for part in sets_of(survey.holes, np.array([True, True, False, True]))]
    assert found == [[0, 1], [3]]
