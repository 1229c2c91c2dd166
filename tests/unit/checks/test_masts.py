"""A mast and its hole, judged from the job file, whichever side of the skin its plate lies."""

from __future__ import annotations

import pytest

from templgen.layout.finding import Finding, Verdict
from tests.unit.sheets.support import DEMO, judged

WIDEST = (
    'widest = { shape = "mast-rounded", length = 2.40, width = %s, nose_radius = 0.25, '
    'tail_radius = "1/16 in" }'
)


def on_side(side: str, width: str) -> str:
    """The demo with its plate on a side and a widest station of some width; its section is 0.75 in wide."""
    text = DEMO.replace(', through = ["skin", "base plate", "rib clip"]', "")
    text = text.replace('side = "inside"\nholes', f'side = "{side}"\nholes')
    assert text.count(f'side = "{side}"\nholes') == 1
    return text.replace('widest = "same"', WIDEST % width)


def widest(text: str) -> Finding:
    _, _, findings = judged(text)
    (found,) = [each for each in findings if each.rule == "widest-station-too-large-for-cutout"]
    return found


@pytest.mark.parametrize("side", ["inside", "outside"])
def test_what_must_pass_the_skin_is_held_against_the_hole_whichever_side_the_plate_lies(side: str) -> None:
    # The hole is 0.75 + 2/32 = 0.8125 in wide: 0.85 is (0.85 - 0.8125) / 2 = 0.01875 in too wide on either
    # side of its middle; towards its ends, as round as before, a fatter mast stands out a little more.
    assert widest(on_side(side, "0.76")).verdict is Verdict.PASS
    found = widest(on_side(side, "0.85"))
    assert found.verdict is Verdict.FAIL
    assert not found.acceptable
    assert found.measured is not None
    assert -0.025 * 25.4 < found.measured <= -0.01875 * 25.4
    assert "widen the gap of 0.031 in (0.79 mm)" in found.cure


@pytest.mark.parametrize("side", ["inside", "outside"])
def test_the_hole_goes_through_the_skin_and_never_through_the_plate(side: str) -> None:
    _, assembly, _ = judged(on_side(side, "0.76"))
    (cutout,) = [each for each in assembly.cutouts if each.name == "mast cutout"]
    assert cutout.faces == ("skin",)
