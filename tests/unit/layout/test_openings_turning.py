"""Nutplates whose outline is known: auto looks at all that the rules judge of it, and what no turn holds is
refused with a number that was tried."""

from __future__ import annotations

import re
from itertools import product

import pytest
from shapely.geometry import Point, Polygon

from templgen.checks import find_rule, run_checks
from templgen.errors import JobFaults
from templgen.geometry import Contour, Vec
from templgen.layout.finding import Finding, Verdict
from templgen.layout.openings.model import OpeningSet
from tests.unit.layout.jobs import faults, laid
from tests.unit.layout.opening_jobs import CIRCLE, RECTANGLE, laid_opening, opening_job

FASTENERS_WIDE_HEAD = """
[fastener.wide]
kind = "blind rivet"
size = "1/8"
head = "protruding"
hole = "#30"
head_diameter = 6.35
head_height = 1
grip_min = 0.5
grip_max = 3.2
unset_length = 10
"""

EIGHT = '{ fastener = "screw", count = 8 }'


def plate(length: float, width: float) -> str:
    own = '[nutplate.own]\nstandard = "MS21047"\nscrew = "#8"\nrivet_spacing = 17.45'
    return f"{own}\nlength = {length}\nwidth = {width}\n"


def laid_plates(length: float, width: float, *, screws: str = EIGHT, more: str = "") -> OpeningSet:
    _, hatch = laid_opening(before=plate(length, width), screws=screws, more=_own(more))
    return hatch


def refusal(length: float, width: float, *, screws: str = EIGHT, more: str = "") -> str:
    (line,) = faults(opening_job(before=plate(length, width), screws=screws, more=_own(more)))
    return line


def _own(more: str) -> str:
    return more if "nutplates" in more else f'{more}\nnutplates = {{ kind = "own" }}'


def polygon(contour: Contour) -> Polygon:
    return Polygon([(corner.x, corner.y) for corner in contour.vertices])


def test_plates_too_long_to_lie_end_to_end_are_turned_across() -> None:
    """At a pitch of 40 mm lugs 17.45 mm apart are far from each other; plates 50 mm long would overlap."""
    hatch = laid_plates(50, 9, screws='{ fastener = "screw", pitch = 40 }')
    assert {each.turned for each in hatch.nutplates} == {"across"}
    outlines = [polygon(each.outline) for each in hatch.nutplates if each.outline is not None]
    assert len(outlines) == len(hatch.nutplates)
    assert all(not a.intersects(b) for n, a in enumerate(outlines) for b in outlines[:n])


def test_a_row_without_numbers_has_room_for_plates_on_the_side_of_the_clear_hole() -> None:
    """26 mm wide: 13 mm to either side of a screw that would stand 9.9 mm from the clear hole by itself."""
    hatch = laid_plates(24, 26, more='nutplates = { kind = "own", turned = "along" }')
    hole = Polygon([(p.x, p.y) for p in hatch.clear_hole.vertices])
    for each in hatch.nutplates:
        assert each.outline is not None
        assert polygon(each.outline).distance(hole) > 0.3


def test_a_plate_over_the_clear_hole_is_no_turn_that_holds() -> None:
    """22 mm wide and 9 mm from the clear hole: 2 mm over it; across its lug is 9 - 17.45 / 2 mm from it."""
    line = refusal(24, 22, screws='{ fastener = "screw", count = 8, from_opening = 9 }')
    assert "hatch: no turn of its nutplates holds all limits" in line
    assert "along, screw 1: outline reaches 2.00 mm (0.079 in) over the clear hole" in line
    assert "across, screw 1: lug rivet 0.27 mm (0.011 in) from the clear hole, needs 5.95 mm" in line
    assert "(screws 11.00 mm (0.433 in) from the clear hole let them hold: from_opening" in line
    told = laid_plates(
        24, 22, screws='{ fastener = "screw", count = 8, from_opening = 9 }',
        more='nutplates = { kind = "own", turned = "along" }',
    )  # fmt: skip
    assert {each.turned for each in told.nutplates} == {"along"}


def test_a_plate_over_the_heads_of_ring_rivets_is_no_turn_that_holds() -> None:
    """Wide plates on a ring as narrow as the rows alone need it: with the width that is told they hold."""
    line = refusal(24, 18, more="ring = { width = 29 }")
    assert "along, screw 1: outline" in line
    assert "the head of a ring rivet" in line
    assert laid_plates(24, 18, more=f"ring = {{ width = {_told_width(line)} }}").nutplates
    assert "no turn" in refusal(24, 18, more=f"ring = {{ width = {_told_width(line) - 1} }}")


def _told_width(line: str) -> float:
    told = re.search(r"\(a ring ([\d.]+) mm .* wide has room for all: width in \[opening.ring\]\)", line)
    assert told, line
    return float(told.group(1))


@pytest.mark.parametrize("width", [8, 18, 24, 28])
@pytest.mark.parametrize("turned", ["auto", "along", "across"])
def test_a_ring_too_narrow_is_told_a_width_with_which_no_rule_finds_anything(turned: str, width: int) -> None:
    """Heads of blind rivets are 6.35 mm wide: at 28 mm their row stands less than that half off the cover."""
    rivet = FASTENERS_WIDE_HEAD + plate(24, 9)
    more = f'nutplates = {{ kind = "own", turned = "{turned}" }}\nrivets = {{ fastener = "wide" }}\n'
    narrow = opening_job(before=rivet, more=f"{more}ring = {{ width = {width} }}")
    (line,) = faults(narrow)
    assert "over the cover's edge" in line or "beyond it" in line or "no turn" in line
    assembly = laid(opening_job(before=rivet, more=f"{more}ring = {{ width = {_told_width(line)} }}"))
    shaky = [each for each in run_checks(assembly) if each.verdict in (Verdict.FAIL, Verdict.DOUBTFUL)]
    assert not [each.message for each in shaky if each.rule != "ring-can-not-be-fed-in"]


def test_heads_too_near_to_the_cover_are_cured_by_the_ring_s_width() -> None:
    """A ring's rivets have no key for their stack. From 31 mm up their heads stand free, by too little."""

    def heads(width: float) -> list[Finding]:
        more = f'rivets = {{ fastener = "wide" }}\nring = {{ width = {width} }}\n'
        assembly = laid(opening_job(before=FASTENERS_WIDE_HEAD, more=more))
        found = run_checks(assembly, rules=[find_rule("head-on-structure")])
        return [each for each in found if each.verdict is not Verdict.PASS]

    (row,) = heads(31.2)
    assert row.verdict is Verdict.FAIL
    assert row.count > 20
    wider = re.search(
        r"make the ring ([\d.]+) mm \(.*\) wider all round: width in \[opening.ring\]", row.cure
    )
    assert wider, row.cure
    assert heads(31.2 + float(wider.group(1))) == []


def test_the_ring_that_a_cover_reaches_beyond_is_told_by_how_much() -> None:
    """The cover: 2 D + 1/16 in of a #8 screw (0.164 in) either side of the screw line."""
    line = refusal(24, 9, more='nutplates = { kind = "own", turned = "along" }\nring = { width = 15 }')
    reach = 2 * (2 * 0.164 + 1 / 16) * 25.4 - 15
    assert f"the cover's edge, which reaches {reach:.2f} mm" in line


def test_a_plate_over_the_ring_s_cut_is_no_turn_that_holds() -> None:
    """A plate 60 mm long over a cut 20 mm beside its screw; the cure is about where the program would cut."""
    four = '{ fastener = "screw", count = 4, from_opening = 10 }'
    whole = laid_plates(60, 9, screws=four)
    arm = whole.nutplates[0].at - whole.centre
    beside = round((arm + arm.unit().perp() * 20).angle)
    line = refusal(60, 9, screws=four, more=f'ring = {{ made = "split", cut_at = {beside} }}')
    assert re.search(r"along, screw \d: outline reaches .* over the ring's cut", line)
    cut_at = int(re.search(r"\(cut_at = (\d+) in", line).group(1))  # type: ignore[union-attr]
    assert laid_plates(60, 9, screws=four, more=f'ring = {{ made = "split", cut_at = {cut_at} }}').ring_cuts


def test_too_many_screws_are_told_how_many_hold() -> None:
    """24 plates on a ring whose own outer edge leaves no room across, and none for a wider ring."""
    own = 'ring = { outline = { shape = "rectangle", length = 180, width = 150, corner_radius = 40 } }'
    line = refusal(24, 9, screws='{ fastener = "screw", count = 24 }', more=own)
    count = int(re.search(r"\((\d+) screws let them hold", line).group(1))  # type: ignore[union-attr]
    assert laid_plates(24, 9, screws=f'{{ fastener = "screw", count = {count} }}', more=own).nutplates
    assert "no turn" in refusal(24, 9, screws=f'{{ fastener = "screw", count = {count + 1} }}', more=own)


@pytest.mark.parametrize(("outline", "length"), list(product([RECTANGLE, CIRCLE], [20, 24, 32, 44])))
def test_what_auto_lays_is_what_the_rule_lets_pass(outline: str, length: float) -> None:
    """All widths and pitches: refused with a number, or no result of the rule fails."""
    held = 0
    rule = find_rule("nutplate-fouls-neighbour")
    for width, pitch, ring in product([8, 14, 20], [24, 33, 45], ["", "ring = { width = 29 }\n"]):
        screws = f'{{ fastener = "screw", pitch = {pitch} }}'
        job = opening_job(outline=outline, before=plate(length, width), screws=screws, more=_own(ring))
        try:
            assembly = laid(job)
        except JobFaults:
            (line,) = faults(job)
            assert "no turn of its nutplates" in line
            continue
        (hatch,) = assembly.openings
        held += 1
        failed = [each.message for each in run_checks(assembly, (), [rule]) if each.verdict is Verdict.FAIL]
        assert not failed, (width, pitch, ring)
        assert hatch.nutplates
        _heads_are_free(hatch, {each.name: each.at for each in assembly.fasteners})
    assert held >= 5


def _heads_are_free(hatch: OpeningSet, places: dict[str, Vec]) -> None:
    """Asked of shapely: driven heads of 1.5 D (MIL-HDBK-5H nominal) keep 1/32 in from every plate."""
    driven = 1.5 * 25.4 * 3 / 32 / 2
    for each in hatch.nutplates:
        assert each.outline is not None
        metal = polygon(each.outline)
        for name in hatch.ring_rivets:
            place = Point(places[name].x, places[name].y)
            assert metal.distance(place) >= driven + 25.4 / 32 - 1e-6
