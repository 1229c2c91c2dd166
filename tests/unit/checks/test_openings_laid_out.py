"""The rules of access openings on openings that layout made from the shipped starter job."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from templgen.checks import find_rule, run_checks
from templgen.checks.openings import bay_of, clear_space, pieces_of
from templgen.checks.survey import Survey
from templgen.geometry import Vec
from templgen.geometry.holding import hold
from templgen.geometry.passing import Way
from templgen.geometry.winding import Winding
from templgen.job import read_job_text
from templgen.job.starters import starter
from templgen.layout import lay_out
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding, Verdict
from templgen.shapes import ShapeLibrary

CLOSINGS = starter("opening")[starter("opening").index("[[closing]]") :]
HALVES = ('made = "whole"  ', 'made = "halves"  ')


@cache
def laid_out(*changes: tuple[str, str]) -> Assembly:
    """The starter's opening, with some text exchanged."""
    text = starter("opening")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return lay_out(read_job_text(text, "job.toml"), ShapeLibrary.standard())


def closed(*changes: tuple[str, str]) -> Assembly:
    """The same behind a skin that is closed already: nothing is closed later."""
    return laid_out((CLOSINGS, ""), *changes)


def found(assembly: Assembly, rule: str) -> list[Finding]:
    return list(run_checks(assembly, rules=[find_rule(rule)]))


@pytest.mark.parametrize("rule", ["pitch-too-small", "heads-too-close", "rows-too-close", "holes-overlap"])
def test_the_holes_of_one_nutplate_are_not_counted_against_each_other(rule: str) -> None:
    assembly = laid_out()
    screw = next(f for f in assembly.fasteners if f.nutplate and f.spec.kind == "screw")
    lugs = [f for f in assembly.fasteners if f.nutplate == screw.nutplate and f is not screw]
    assert min(lug.at.distance_to(screw.at) for lug in lugs) < 3 * screw.spec.diameter
    assert [each.message for each in found(assembly, rule) if each.verdict is Verdict.FAIL] == []


def test_the_ring_goes_in_from_behind_before_the_skin_is_closed() -> None:
    (finding,) = found(laid_out(), "ring-can-not-be-fed-in")
    assert finding.verdict is Verdict.NOT_APPLICABLE
    assert "before upper skin on" in finding.message


def test_behind_a_closed_skin_it_is_fed_in() -> None:
    (finding,) = found(closed(), "ring-can-not-be-fed-in")
    assert finding.verdict is Verdict.FAIL
    assert "make it in two halves" in finding.cure


def test_a_found_way_is_kept_for_the_sheets_and_leads_home() -> None:
    assembly = closed(HALVES)
    findings = found(assembly, "ring-can-not-be-fed-in")
    assert len(findings) == 2
    for finding in findings:
        assert finding.verdict in (Verdict.PASS, Verdict.DOUBTFUL), finding.message
        assert isinstance(finding.way, Way)
        last = finding.way.poses[-1]
        place, z = last.place(Vec(12.0, 34.0), 0.5)
        assert (place.x, place.y, z) == pytest.approx((12.0, 34.0, 0.5), abs=1e-9)
        assert len(finding.way.slot) >= 4


def test_a_cut_ring_with_its_nutplates_riveted_in_place_is_wound_in() -> None:
    assembly = closed(
        ('made = "whole"  ', 'made = "split"  '),
        ('riveted = "bench"', 'riveted = "in place"'),
        ("area = [[10, 10], [310, 260]]", ""),
    )
    (finding,) = found(assembly, "ring-can-not-be-fed-in")
    assert finding.verdict in (Verdict.PASS, Verdict.DOUBTFUL), finding.message
    assert isinstance(finding.way, Winding)


def test_the_pieces_of_a_halved_ring_share_its_nutplates() -> None:
    assembly = closed(HALVES)
    opening = assembly.openings[0]
    pieces = list(pieces_of(Survey(assembly), opening))
    names = [plate.name for piece in pieces for plate in piece.nutplates]
    assert sorted(names) == sorted(plate.name for plate in opening.nutplates)
    assert all(piece.with_nutplates.depth > piece.bare.depth for piece in pieces)


def test_the_bay_holds_obstacles_with_their_swing_and_the_structure() -> None:
    assembly = laid_out()
    bay = bay_of(Survey(assembly), assembly.openings[0])
    assert bay is not None
    by_name = {solid.name: solid for solid in bay.solids}
    assert by_name["cable"].radius == pytest.approx(2 + 10)
    assert by_name["rib 5"].points[:, 2].max() == pytest.approx(130.0)
    assert "the flange of rib 5" in by_name


def test_nutplates_clear_of_the_hole_take_nothing_of_it() -> None:
    opening = laid_out().openings[0]
    space = clear_space(opening)
    assert space.is_convex
    # a hole of 100 x 76 with round corners: the largest circle is 76 across
    assert hold(space, np.zeros((1, 2)), 0.0).clearance == pytest.approx(38.0, abs=0.01)


def test_every_rule_of_openings_speaks_of_a_laid_out_one() -> None:
    rules = [
        "box-can-not-come-out",
        "box-fouls-ring",
        "box-fouls-room",
        "cover-bends-between-screws",
        "drain-path-dammed",
        "hand-does-not-go-in",
        "lead-on-wrong-side",
        "lead-reaches-moving-part",
        "lead-too-short",
        "ring-can-not-be-fed-in",
        "ring-metal-against-cutout",
        "self-locking-nuts-on-panel-opened-every-flight",
    ]
    for rule in rules:
        assert found(laid_out(), rule), rule


def test_a_nutplate_too_wide_for_the_ring_is_told_with_numbers() -> None:
    """Layout keeps the rivet row clear along the sides; round the corners the row turns towards the lugs."""
    rule = "nutplate-fouls-neighbour"
    assert {each.verdict for each in found(laid_out(), rule)} == {Verdict.PASS}
    as_told = ('turned = "auto"', 'turned = "along"'), ("# from_cover_edge = 9", "from_opening = 9.9187")
    findings = found(laid_out(("width = 9.2", "width = 26"), *as_told), rule)
    failed = [each for each in findings if each.verdict is Verdict.FAIL]
    heads = [each for each in failed if "overlap by 0.03 mm" in each.message]
    assert len(heads) == 4  # one for each corner
    assert all(each.at.line > 100 and "farther apart" in each.cure for each in heads)
    over = [each for each in failed if "over the edge of the clear hole" in each.message]
    assert len(over) == 8  # every nutplate
    (rest,) = [each for each in findings if each.verdict is Verdict.PASS and "heads" in each.message]
    assert rest.measured is not None
    assert rest.doubt is not None
    assert rest.measured - rest.doubt == pytest.approx(25.4 / 32, abs=1e-6)


def test_lugs_that_layout_has_dimpled_need_plates_that_take_it() -> None:
    """Skin of 0.8 mm is too thin to countersink for 3/32 heads; riveted in place they are dimpled."""
    rule, in_place = "nutplate-takes-no-dimple", ('riveted = "bench" ', 'riveted = "in place" ')
    (on_bench,) = found(laid_out(), rule)
    assert on_bench.verdict is Verdict.NOT_APPLICABLE
    (plain,) = found(laid_out(in_place), rule)
    assert (plain.verdict, plain.count, plain.stops_cut_files) == (Verdict.FAIL, 1, True)
    assert "16 holes of hatch nutplate rivet, dimpled, under nutplates mine" in plain.message
    taken = laid_out(in_place, ("width = 9.2", 'width = 9.2\nlug_seat = "countersunk"'))
    (sunk,) = found(taken, rule)
    assert (sunk.verdict, sunk.count) == (Verdict.PASS, 16)
