"""Drill names, diameters, and the search over all series."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templgen.errors import UnitError
from templgen.trade.drills import (
    all_drills,
    drill_at_least,
    drill_label,
    find_drill,
    nearest_drill_names,
    parse_hole_size,
)


def test_the_series_are_complete_and_their_names_unique():
    drills = all_drills()
    counts = {series: sum(d.series == series for d in drills) for series in ("number", "letter", "fraction")}
    assert counts == {"number": 80, "letter": 26, "fraction": 32}
    assert len({d.name for d in drills}) == len(drills)
    assert [d.diameter_mm for d in drills] == sorted(d.diameter_mm for d in drills)


def test_numbers_fall_and_letters_rise():
    numbers = [find_drill(f"#{n}").diameter_mm for n in range(1, 81)]
    letters = [find_drill(letter).diameter_mm for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]
    assert numbers == sorted(numbers, reverse=True)
    assert letters == sorted(letters)
    assert max(numbers) < min(letters)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("#30", "#30"),
        ("f", "F"),
        ("1/8", "1/8"),
        ('1/8"', "1/8"),
        ("1/8 in", "1/8"),
        ("3.3 mm", "3.3 mm"),
        ("3 mm", "3.0 mm"),
        ("3.30mm", "3.3 mm"),
        (" #30 ", "#30"),
    ],
)
def test_names_are_found(text, name):
    assert find_drill(text).name == name


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("30", "#30"),
        ("#300", "#30"),
        ("0.1285 in", "#30"),
        ("3.33 mm", "3.3 mm"),
        ("2/16", "1/8"),
        ("9/16", "14.0 mm"),
        ("#81", "#8"),
        ("banana", '"A" to "Z"'),
        ("", '"A" to "Z"'),
        (None, '"A" to "Z"'),
    ],
)
def test_an_unknown_name_gets_the_nearest(text, near):
    with pytest.raises(UnitError) as refusal:
        find_drill(text)
    assert near in str(refusal.value)


def test_nearest_by_diameter():
    assert nearest_drill_names("0.1285 in")[0] == "#30"


@given(st.floats(0.01, 12.7))
def test_drill_at_least_is_the_smallest_that_is_not_smaller(diameter):
    found = drill_at_least(diameter)
    assert found.diameter_mm >= diameter - 1e-6
    inch = [d for d in all_drills() if d.series != "metric"]
    assert not [d for d in inch if diameter <= d.diameter_mm < found.diameter_mm]


def test_drill_at_least_searches_the_series_together():
    assert drill_at_least(3.1751).name == "#30"
    assert drill_at_least(6.36).name == "F"
    assert drill_at_least(6.35).name == "1/4"
    assert drill_at_least(5.8).name == "A"
    assert drill_at_least(3.2, ("metric",)).name == "3.2 mm"


@pytest.mark.parametrize("diameter", [12.71, 0.0, -1.0, float("nan")])
def test_no_drill_is_that_large_or_nothing(diameter):
    with pytest.raises(UnitError):
        drill_at_least(diameter)


def test_labels_have_four_places():
    assert drill_label(find_drill("#30")) == "#30 (0.1285 in)"
    assert drill_label(find_drill("3/32")) == "3/32 (0.0938 in)"


@pytest.mark.parametrize(
    ("value", "unit", "millimetres", "drill"),
    [
        ("#30", "mm", 3.2639, "#30"),
        ("1/8", "mm", 3.175, "1/8"),
        (0.1285, "in", 3.2639, "#30"),
        (0.0938, "in", 2.38252, "3/32"),
        (0.129, "in", 3.2766, None),
        ("3.3 mm", "in", 3.3, "3.3 mm"),
        ("5/8 in", "in", 15.875, None),
    ],
)
def test_a_hole_is_a_drill_or_a_length(value, unit, millimetres, drill):
    hole = parse_hole_size(value, unit)
    assert hole.diameter_mm == pytest.approx(millimetres, abs=1e-9)
    assert (hole.drill.name if hole.drill else None) == drill


@pytest.mark.parametrize("value", ["#99", "0", -1, "3,2 mm", True])
def test_refused_holes(value):
    with pytest.raises(UnitError):
        parse_hole_size(value, "in")


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        ("30", "in", '"30": drill #30 or 30 in? Write "#30" for the drill, or "30 in"'),
        (" 7 ", "mm", '" 7 ": drill #7 or 7 mm? Write "#7" for the drill, or "7 mm"'),
        (30, "in", '30: drill #30 or 30 in? Write "#30" for the drill, or "30 in"'),
        (30.0, "in", '30.0: drill #30 or 30 in? Write "#30" for the drill, or "30 in"'),
    ],
)
def test_a_bare_whole_number_is_no_hole_where_it_may_be_a_drill(value, unit, told):
    with pytest.raises(UnitError) as refusal:
        parse_hole_size(value, unit)
    assert str(refusal.value) == told


@pytest.mark.parametrize(
    ("value", "unit", "millimetres"), [(4, "mm", 4.0), ("30 mm", "in", 30.0), ("90", "mm", 90.0)]
)
def test_a_whole_number_with_one_meaning_is_a_hole(value, unit, millimetres):
    assert parse_hole_size(value, unit).diameter_mm == pytest.approx(millimetres)
