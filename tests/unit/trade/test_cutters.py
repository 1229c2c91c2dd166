"""Twist drills, step drills and hole saws: the common set and the builder's own.

The sets are common practice, no source: twist drills to 1/4 in, steps of 1/16 in to 1-3/8 in, hole saws by
1/16 in from 9/16 to 1-1/2 in.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from templgen.errors import UnitError
from templgen.trade.cutters import (
    builders_cutters,
    chain_drills,
    chain_web,
    common_cutters,
    cutter_source,
    cutters_at_most,
    file_allowance,
    read_cutters,
    usual_pilot,
)
from templgen.trade.drills import LARGE_DRILL_MM


def test_no_twist_drill_above_a_quarter_inch_no_saw_below_nine_sixteenths() -> None:
    by_tool: dict[str, list[float]] = {}
    for cutter in common_cutters():
        by_tool.setdefault(cutter.tool, []).append(cutter.diameter_mm / 25.4)
    assert max(by_tool["drill"]) == LARGE_DRILL_MM / 25.4 == 0.25
    assert (min(by_tool["step drill"]), max(by_tool["step drill"])) == pytest.approx((5 / 16, 1 + 3 / 8))
    assert (min(by_tool["hole saw"]), max(by_tool["hole saw"])) == pytest.approx((9 / 16, 1.5))
    for tool in ("step drill", "hole saw"):
        sizes = sorted(by_tool[tool])
        assert [b - a for a, b in pairwise(sizes)] == pytest.approx([1 / 16] * (len(sizes) - 1))


def test_metric_jobs_have_metric_twist_drills_as_well() -> None:
    names = {cutter.name for cutter in common_cutters("mm")}
    assert {"5.0 mm", "#30", "1/4"} <= names
    assert "5.0 mm" not in {cutter.name for cutter in common_cutters("in")}


def test_large_holes_have_a_pilot_and_are_backed_up() -> None:
    for cutter in common_cutters():
        if cutter.tool != "drill":
            assert cutter.pilot
            assert cutter.is_backed_up
    assert (usual_pilot(3.2639), usual_pilot(3.175), usual_pilot(2.4892)) == ("#40", "", "")


@pytest.mark.parametrize("tool", ["step drill", "hole saw"])
def test_a_hole_above_the_twist_drills_has_the_pilot_of_the_tool_that_makes_it(tool: str) -> None:
    makes = [cutter for cutter in common_cutters() if cutter.tool == tool]
    largest_step = max(cutter.diameter_mm for cutter in common_cutters() if cutter.tool == "step drill")
    for cutter in makes:
        if tool == "step drill" or cutter.diameter_mm > largest_step:
            assert usual_pilot(cutter.diameter_mm) == cutter.pilot
    assert usual_pilot(max(cutter.diameter_mm for cutter in makes) + 10.0) == "1/4"
    assert (usual_pilot(6.35), usual_pilot(6.36)) == ("#40", "1/8")


def test_the_largest_that_fits_comes_first_and_of_equals_the_cleaner_one() -> None:
    found = cutters_at_most(common_cutters(), 25.4)
    assert [cutter.words for cutter in found[:3]] == ["step drill 1", "hole saw 1", "step drill 15/16"]
    assert cutters_at_most(common_cutters(), 0.5) == ()


def test_a_kind_that_the_builder_leaves_out_is_the_common_one_an_empty_list_is_none() -> None:
    own = builders_cutters(None, ["1/2 in", "20 mm"], [], "in")
    assert [cutter.words for cutter in own if cutter.tool != "drill"] == [
        "step drill 1/2",
        "step drill 20 mm",
    ]
    assert sum(cutter.tool == "drill" for cutter in own) == sum(
        cutter.tool == "drill" for cutter in common_cutters()
    )


@pytest.mark.parametrize(
    ("tool", "size", "says"),
    [
        ("drill", "3/8 in", "above 1/4 in"),
        ("drill", "#300", "not one number"),
        ("hole saw", "0 in", "above zero"),
        ("step drill", "wide", "not one number"),
    ],
)
def test_what_is_no_cutter_is_refused(tool: str, size: str, says: str) -> None:
    with pytest.raises(UnitError, match=says):
        read_cutters(tool, [size], "in")  # type: ignore[arg-type]


def test_defaults_are_said_to_be_ours() -> None:
    assert file_allowance() == 0.3
    assert chain_web() == (0.8, 0.4)
    assert [drill.name for drill in chain_drills()] == ["1/8", "3/32", "#50", "1/16"]
    assert not cutter_source("large").may_fail
    assert "no source" in cutter_source("allowance").standing
