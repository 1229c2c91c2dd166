"""Places from the origin, from a line, from a hole."""

from __future__ import annotations

import math

import pytest

from templgen.geometry import Vec
from tests.unit.layout.jobs import head, laid, near, rib


def _hole(name: str, at: str) -> str:
    return f'\n[[hole]]\nname = "{name}"\nat = {at}\ndiameter = 5\n'


def _at(text: str, name: str) -> Vec:
    return next(each.at for each in laid(text).fasteners if each.feature == name)


def test_along_and_off_a_slanted_line() -> None:
    # A 3-4-5 line: direction (0.6, 0.8), left of it (-0.8, 0.6).
    text = head() + rib(start=(10, 20), end=(130, 180)) + _hole("a", '{ from = "rib", along = 50, off = 10 }')
    assert near(_at(text, "a"), Vec(10 + 30 - 8, 20 + 40 + 6))


def test_off_is_negative_to_the_right() -> None:
    text = head() + rib() + _hole("a", '{ from = "rib", along = 50, off = -10 }')
    assert near(_at(text, "a"), Vec(50, -10))


def test_from_a_hole_that_is_placed_from_a_hole() -> None:
    text = head() + _hole("c", '{ from = "b", x = 1, y = 1 }')
    text += _hole("b", '{ from = "a", x = 10, y = 0 }') + _hole("a", "{ x = 3, y = 4 }")
    assert near(_at(text, "c"), Vec(14, 5))


@pytest.mark.parametrize("angle", [0, 30, 90, -135])
def test_a_pattern_turns_about_its_place(angle: float) -> None:
    text = head() + (
        f'[[pattern]]\nname = "row"\nat = {{ x = 40, y = 10 }}\nangle = {angle}\n'
        "holes = { diameter = 4, points = [[20, 0], [0, 5]] }\n"
    )
    first, second = (each.at for each in laid(text).fasteners)
    turn = math.radians(angle)
    assert near(first, Vec(40 + 20 * math.cos(turn), 10 + 20 * math.sin(turn)))
    assert near(second, Vec(40 - 5 * math.sin(turn), 10 + 5 * math.cos(turn)))
