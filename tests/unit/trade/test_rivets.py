"""Solid rivets from the tables, blind rivets from the builder, and the splice tables."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templgen.errors import UnitError
from templgen.trade.rivets import (
    BlindRivet,
    find_solid_rivet,
    flush_rivet_strength,
    rivet_head,
    rivet_shear,
    row_pitch,
    solid_rivets,
    standard_rivet_length,
    stiffener_rivet,
)
from templgen.trade.splices import rivets_per_inch, splice_rivet_count, splice_share, splice_table

BLIND = {
    "diameter": 3.2,
    "hole": 3.3,
    "grip_min": 0.5,
    "grip_max": 3.2,
    "head_diameter": 6.3,
    "head_height": 1.0,
    "head_style": "protruding",
    "unset_length_behind": 8.0,
}


def test_sizes_carry_their_dash_in_thirty_seconds():
    assert [rivet.nominal for rivet in solid_rivets()] == ["3/32", "1/8", "5/32", "3/16", "1/4"]
    assert all(rivet.diameter_mm == pytest.approx(rivet.dash / 32 * 25.4) for rivet in solid_rivets())


def test_every_hole_is_larger_than_its_shank_or_equal():
    for rivet in solid_rivets():
        for hole in rivet.holes:
            assert rivet.diameter_mm <= hole.diameter_mm < rivet.diameter_mm * 1.06


@pytest.mark.parametrize("text", ["1/8", '1/8"', "1/8 in", " 1/8 "])
def test_a_size_is_found(text):
    assert find_solid_rivet(text).dash == 4


@pytest.mark.parametrize("text", ["1/16", "0.125", "", None, 4])
def test_an_unknown_size_names_the_sizes(text):
    with pytest.raises(UnitError, match="3/32, 1/8, 5/32, 3/16, 1/4"):
        find_solid_rivet(text)


def test_heads():
    assert rivet_head(find_solid_rivet("1/8"), "universal").diameter_mm == 6.35
    assert rivet_head(find_solid_rivet("1/8"), "universal").height_mm is None
    assert rivet_head(find_solid_rivet("1/8"), "flush").diameter_mm == pytest.approx(0.225 * 25.4)
    with pytest.raises(UnitError, match="no flush head of a 1/4"):
        rivet_head(find_solid_rivet("1/4"), "flush")
    with pytest.raises(UnitError, match="no protruding head"):
        rivet_head(find_solid_rivet("1/8"), "protruding")


@given(st.floats(0.1, 60.0), st.booleans())
def test_the_standard_length_is_the_next_one(length, half_sizes):
    found = standard_rivet_length(length, half_sizes=half_sizes)
    step = 25.4 / (32 if half_sizes else 16)
    assert found.mm >= length - 1e-6
    assert found.mm - length < step + 1e-6
    assert float(found.dash) * 25.4 / 16 == pytest.approx(found.mm)


def test_a_length_that_is_standard_stays():
    assert standard_rivet_length(4 * 25.4 / 16).dash == "4"
    with pytest.raises(UnitError):
        standard_rivet_length(0.0)


def test_unknown_strengths_are_none():
    assert rivet_shear("1/4") is None
    assert flush_rivet_strength(0.050, "dimpled") is None


def test_row_pitch():
    assert row_pitch(254.0, 12.7, 19) == pytest.approx(228.6 / 18)
    with pytest.raises(UnitError):
        row_pitch(10.0, 5.0, 2)
    with pytest.raises(UnitError):
        row_pitch(100.0, 5.0, 1)


def test_stiffener_rivets():
    assert stiffener_rivet(0.040 * 25.4)[0].nominal == "1/8"
    assert stiffener_rivet(0.050 * 25.4)[0].nominal == "5/32"


def test_a_blind_rivet_is_the_builders():
    rivet = BlindRivet(**BLIND)
    assert rivet.source.standing == "given by the builder"
    assert rivet.strength_lbf is None
    assert [rivet.holds(grip) for grip in (0.4, 0.5, 3.2, 3.3)] == [False, True, True, False]


@pytest.mark.parametrize(
    "change",
    [
        {"diameter": 0.0},
        {"hole": 3.1},
        {"grip_min": 3.2},
        {"grip_min": -0.1},
        {"grip_max": math.inf},
        {"head_diameter": math.nan},
        {"unset_length_behind": -1.0},
    ],
)
def test_a_blind_rivet_that_makes_no_sense_is_refused(change):
    with pytest.raises(UnitError, match="blind rivet"):
        BlindRivet(**{**BLIND, **change})


def test_splice_tables_refuse_what_is_not_printed():
    with pytest.raises(UnitError, match=r"Table 4-10 prints nothing for 1/4 in 0\.032"):
        rivets_per_inch("2024-T3 clad", 0.032, "1/4")
    with pytest.raises(UnitError, match=r"0\.05 in is no thickness"):
        rivets_per_inch("2024-T3 clad", 0.050, "1/8")
    with pytest.raises(UnitError, match="nearest: 2024-T3 clad"):
        splice_table("2024-T3")
    with pytest.raises(UnitError, match="single lap sheet joint"):
        splice_share("single lap")


def test_rivets_are_counted_up():
    assert splice_rivet_count(4.9, 1.0, 10.0) == 49
    assert splice_rivet_count(4.9, 1.0, 10.01) == 50
