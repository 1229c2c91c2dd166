"""Bends and loads: formulas, their inverses, and the cases that make no bend."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templgen.errors import UnitError
from templgen.trade.bending import (
    bend_allowance,
    bend_deduction,
    developed_width,
    flat_length,
    lowest_bend_radius,
    minimum_bend_radius,
    relief_hole_diameter,
    relief_hole_minimum,
    setback,
    setback_factor,
    shop_bend_radius,
    sight_line,
)
from templgen.trade.loads import drag_lbf, flat_plate_drag_lbf, mast_drag, streamlined_drag_lbf
from templgen.trade.sheet import standard_thicknesses

INCH = 25.4
BENDS = {"angle": st.floats(5, 150), "radius": st.floats(0.1, 10), "thickness": st.floats(0.3, 4)}


@given(**BENDS, legs=st.tuples(st.floats(100, 200), st.floats(100, 200)))
def test_the_blank_is_the_mold_lines_less_the_deduction(angle, radius, thickness, legs):
    width = developed_width(legs, [(angle, radius)], thickness)
    assert width == pytest.approx(sum(legs) - bend_deduction(angle, radius, thickness))


def test_a_channel_has_setbacks_at_both_ends_of_its_web():
    back = setback(90, 3.0, 1.0)
    flats = 2 * (20 - back) + (40 - 2 * back)
    expected = flats + 2 * bend_allowance(90, 3.0, 1.0)
    assert developed_width([20, 40, 20], [(90, 3.0), (90, 3.0)], 1.0) == pytest.approx(expected)


def test_what_makes_no_bend_is_refused():
    for bad in ((0, 1, 1), (181, 1, 1), (90, -1, 1), (90, 1, 0), (90, float("nan"), 1)):
        with pytest.raises(UnitError):
            bend_allowance(*bad)
    with pytest.raises(UnitError):
        setback_factor(180)
    with pytest.raises(UnitError, match="shorter than its bend"):
        flat_length(3.0, [4.0])
    with pytest.raises(UnitError, match="3 legs need 2 bends"):
        developed_width([10, 10, 10], [(90, 1)], 1.0)


def test_sight_line_is_one_radius_in():
    assert sight_line(3.175) == 3.175


@pytest.mark.parametrize("alloy", ["2024-T3", "6061-T6", "5052-H32"])
def test_the_lowest_radius_is_never_above_the_minimum(alloy):
    for thickness in standard_thicknesses():
        minimum, lowest = minimum_bend_radius(alloy, thickness), lowest_bend_radius(alloy, thickness)
        assert minimum is not None
        assert lowest is not None
        assert lowest[0] <= minimum[0]


def test_unknown_alloy_or_thickness_has_no_radius():
    assert minimum_bend_radius("4130", 1.0) is None
    assert lowest_bend_radius("4130", 1.0) is None
    assert shop_bend_radius("4130", 1.0) is None
    assert minimum_bend_radius("2024-T3", 0.6 * INCH) is None
    assert lowest_bend_radius("2024-T3", 0.6 * INCH) is None
    assert lowest_bend_radius("2024-T3", 0.010 * INCH) is None


def test_between_two_rows_the_thicker_counts_for_the_minimum_and_the_thinner_for_the_lowest():
    minimum, lowest = (
        minimum_bend_radius("2024-T3", 0.045 * INCH),
        lowest_bend_radius("2024-T3", 0.045 * INCH),
    )
    assert minimum is not None
    assert lowest is not None
    assert minimum[0] == pytest.approx(0.22 * INCH)
    assert lowest[0] == pytest.approx(2 * 0.045 * INCH)
    assert lowest[1].may_fail
    assert "AC 43.13-1B" in lowest[1].note


def test_a_lowest_radius_that_nobody_saw_may_not_fail_a_job():
    lowest = lowest_bend_radius("6061-T6", 0.032 * INCH)
    assert lowest is not None
    assert not lowest[1].may_fail


def test_relief_holes_offer_both_diameters():
    assert relief_hole_diameter(0.125 * INCH, 0.032 * INCH) == pytest.approx((0.25 * INCH, 0.125 * INCH))
    assert relief_hole_diameter(0.03 * INCH, 0.032 * INCH) == pytest.approx((0.125 * INCH, 0.125 * INCH))
    assert relief_hole_minimum(0.2 * INCH) is None
    assert relief_hole_diameter(3.0, 0.2 * INCH) is None


def test_the_larger_drag_is_carried():
    area_mm2 = 0.05 * 144 * INCH**2
    drag = mast_drag(area_mm2, 200)
    assert drag.streamlined_lbf == pytest.approx(streamlined_drag_lbf(0.05, 200))
    assert drag.carried_lbf == drag.other_lbf == pytest.approx(flat_plate_drag_lbf(0.05, 200))
    assert mast_drag(area_mm2, 200, 1.2).carried_lbf == pytest.approx(drag_lbf(0.05, 200, 1.2))
    assert mast_drag(area_mm2, 200, 0.05).carried_lbf == drag.streamlined_lbf
    assert not drag.streamlined_source.may_fail


@pytest.mark.parametrize("call", [(0, 200), (0.05, 0), (float("nan"), 200)])
def test_no_drag_of_nothing(call):
    with pytest.raises(UnitError):
        streamlined_drag_lbf(*call)
    with pytest.raises(UnitError):
        drag_lbf(0.05, 200, 0.0)
