"""Nutplates, their rivets and the stacks of all fasteners of an opening."""

from __future__ import annotations

import pytest

from templgen.geometry import Vec, contour_contour, point_contour
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.openings.model import Nutplate
from tests.unit.layout.jobs import faults
from tests.unit.layout.opening_jobs import CIRCLE, RACECOURSE, by_name, laid_opening, opening_job

INCH = 25.4
FLUSH = {"cover": '{ kind = "flush", gap = 0.4 }', "more": 'outline_is = "clear hole"\n'}
FLOATING = """
[nutplate.float]
standard = "MS21059"
screw = "#8"
rivet_spacing = 25.4
free_play = 0.8
"""


def _of_group(assembly: Assembly, group: str) -> list[Fastener]:
    return [each for each in assembly.fasteners if each.group == f"hatch {group}"]


def _lugs(assembly: Assembly, plate: Nutplate) -> list[Vec]:
    return [by_name(assembly)[name].at for name in plate.rivets]


def test_screws_pass_cover_skin_and_ring() -> None:
    assembly, hatch = laid_opening()
    screws = [by_name(assembly)[name] for name in hatch.screws]
    assert {each.stack for each in screws} == {("hatch cover", "skin", "hatch ring")}
    assert {each.head_side for each in screws} == {"outside"}
    assert {each.made_from for each in screws} == {"paper"}


@pytest.mark.parametrize(
    ("keys", "stack"),
    [
        ({}, ("hatch ring",)),
        ({"more": 'nutplates = { riveted = "in place" }'}, ("skin", "hatch ring")),
        (FLUSH, ("hatch ring",)),
        ({**FLUSH, "more": FLUSH["more"] + 'nutplates = { riveted = "in place" }'}, ("hatch ring",)),
    ],
)
def test_lug_rivets_join_the_ring_and_what_lies_on_it(keys: dict[str, str], stack: tuple[str, ...]) -> None:
    """On the bench the ring alone; in place under a lying cover the skin too. Metal lies on their heads."""
    assembly, _ = laid_opening(**keys)
    lugs = _of_group(assembly, "nutplate rivets")
    assert {each.stack for each in lugs} == {stack}
    assert {(each.spec.head, each.spec.kind) for each in lugs} == {("flush", "solid rivet")}
    assert {each.made_from for each in lugs} == {"through a nutplate"}


def test_ring_rivets_join_skin_and_ring() -> None:
    for keys in ({}, FLUSH):
        assembly, hatch = laid_opening(**keys)
        rivets = [by_name(assembly)[name] for name in hatch.ring_rivets]
        assert {each.stack for each in rivets} == {("skin", "hatch ring")}


def test_a_nutplate_names_its_screw_and_its_rivets() -> None:
    assembly, hatch = laid_opening()
    named = by_name(assembly)
    assert [plate.screw for plate in hatch.nutplates] == list(hatch.screws)
    for plate in hatch.nutplates:
        assert {named[name].nutplate for name in (plate.screw, *plate.rivets)} == {plate.name}
    assert len({plate.name for plate in hatch.nutplates}) == 8
    assert {each.nutplate for each in _of_group(assembly, "ring rivets")} == {""}


@pytest.mark.parametrize("turned", ["along", "across"])
def test_lugs_stand_half_the_spacing_from_the_screw(turned: str) -> None:
    """0.687 in from rivet to rivet (MS21047, from memory), along or square to the screw line's direction."""
    assembly, hatch = laid_opening(outline=CIRCLE, more=f'nutplates = {{ turned = "{turned}" }}')
    for plate in hatch.nutplates:
        assert plate.turned == turned
        outwards = (plate.at - hatch.centre).unit()
        for lug in _lugs(assembly, plate):
            offset = lug - plate.at
            assert offset.length == pytest.approx(0.687 / 2 * INCH)
            across = abs(offset.dot(outwards))
            assert across == pytest.approx(offset.length if turned == "across" else 0.0, abs=1e-9)


def test_auto_takes_along_where_all_limits_hold() -> None:
    _, hatch = laid_opening()
    assert {plate.turned for plate in hatch.nutplates} == {"along"}


def test_auto_turns_across_where_screws_stand_too_close_together() -> None:
    """At 15 mm pitch lugs along would meet; across they stand side by side, and the ring grows for them."""
    screws = '{ fastener = "small", pitch = 15 }'
    _, along = laid_opening(outline=CIRCLE, screws='{ fastener = "small", count = 8 }')
    assembly, hatch = laid_opening(outline=CIRCLE, screws=screws)
    assert {plate.turned for plate in hatch.nutplates} == {"across"}
    assert hatch.ring.outer.bounds.width > along.ring.outer.bounds.width + 10
    lugs = [lug for plate in hatch.nutplates for lug in _lugs(assembly, plate)]
    least = 2.5 * 3 / 32 * INCH
    assert min(point_contour(lug, hatch.clear_hole).distance for lug in lugs) >= least
    assert min(point_contour(lug, hatch.ring.outer).distance for lug in lugs) >= least


def test_auto_refuses_with_the_distances_where_no_turn_holds() -> None:
    text = opening_job(
        outline=CIRCLE,
        screws='{ fastener = "small", pitch = 15 }',
        more="ring = { width = 30 }\nrivets = { from_edge = 5 }",
    )
    (line,) = faults(text)
    assert "holds all limits in a ring 30.00 mm (1.181 in) wide; along, screw 1: lug rivet" in line
    assert "across, the heads of the ring's rivets reach 2.24 mm (0.088 in) over the cover's edge" in line
    assert "mm (" in line


def test_a_turn_that_was_asked_for_is_left_to_the_checks() -> None:
    _, hatch = laid_opening(
        outline=CIRCLE, screws='{ fastener = "small", pitch = 15 }', more='nutplates = { turned = "along" }'
    )
    assert {plate.turned for plate in hatch.nutplates} == {"along"}


def test_every_value_from_memory_is_named() -> None:
    assembly, hatch = laid_opening()
    spec = hatch.nutplates[0].spec
    assert (spec.name, spec.screw, spec.lugs, spec.floating) == ("MS21047", "#8", "two", False)
    assert spec.from_memory == ("rivet_spacing", "rivet")
    note = 'nutplate "MS21047" for #8: rivet spacing and rivet from memory; check against the part in hand'
    assert note in hatch.check_in_hand
    assert f"hatch: {note}" in assembly.notes
    assert any("no rivet or screw length can be told" in each for each in hatch.check_in_hand)


def test_what_the_builder_measured_is_not_from_memory() -> None:
    own = """
    [nutplate.mine]
    screw = "#8"
    lugs = "two"
    rivet = "3/32"
    rivet_spacing = 17.5
    length = 24
    width = 9.5
    lug_thickness = 0.8
    height = 5.6
    """
    _, hatch = laid_opening(before=own, more='nutplates = { kind = "mine" }')
    assert hatch.check_in_hand == ()
    plate = hatch.nutplates[0]
    assert plate.outline is not None
    assert plate.outline.area == pytest.approx(24 * 9.5)
    assert plate.outline.bounds.centre.distance_to(plate.at) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("kind", "key"),
    [
        ("MS21059", "free_play"),
        ("MS21069", "rivet_spacing"),
        ("MS21051", "rivet_holes"),
        ("MS21055", "rivet_holes"),
    ],
)
def test_an_unknown_number_is_asked_for_by_its_key(kind: str, key: str) -> None:
    (line,) = faults(opening_job(more=f'nutplates = {{ kind = "{kind}" }}'))
    assert f"{key} is not known" in line
    assert f'give [nutplate.NAME] standard = "{kind}", screw = "#8", {key} = ' in line


def test_a_floating_nut_widens_ring_and_skin_but_not_the_cover() -> None:
    """Screw (0.164 in) and free play both ways: 0.227 in, drill #1 (0.228 in). The cover keeps its hole."""
    assembly, hatch = laid_opening(before=FLOATING, more='nutplates = { kind = "float" }')
    screw = by_name(assembly)[hatch.screws[0]]
    wide = 0.228 * INCH
    assert screw.hole_in("hatch ring") == pytest.approx(wide)
    assert screw.hole_in("skin") == pytest.approx(wide)
    assert screw.hole_in("hatch cover") == pytest.approx(screw.spec.hole)
    ring = {each.fastener.name: each.diameter for each in assembly.holes("hatch ring")}
    assert ring[screw.name] == pytest.approx(wide)


def test_a_fixed_nut_has_the_hole_of_the_cover_unless_told() -> None:
    assembly, hatch = laid_opening()
    assert by_name(assembly)[hatch.screws[0]].other_holes == ()
    assembly, hatch = laid_opening(more='nutplates = { ring_hole = "#9" }')
    assert by_name(assembly)[hatch.screws[0]].hole_in("hatch ring") == pytest.approx(0.196 * INCH)


def test_corner_and_one_lug_plates_from_measured_holes() -> None:
    own = """
    [nutplate.corner]
    screw = "#8"
    lugs = "corner"
    rivet_holes = [[8, 0], [0, 8]]
    """
    assembly, hatch = laid_opening(before=own, more='nutplates = { kind = "corner" }')
    for plate in hatch.nutplates:
        one, other = (lug - plate.at for lug in _lugs(assembly, plate))
        assert (one.length, other.length) == pytest.approx((8, 8))
        assert one.dot(other) == pytest.approx(0, abs=1e-9)
    least = 2.5 * 3 / 32 * INCH
    lugs = [lug for plate in hatch.nutplates for lug in _lugs(assembly, plate)]
    assert min(point_contour(lug, hatch.clear_hole).distance for lug in lugs) >= least - 1e-9


def test_a_nutplate_for_another_screw_is_refused() -> None:
    text = opening_job(
        before=FLOATING, more='nutplates = { kind = "float" }', screws='{ fastener = "small", count = 8 }'
    )
    assert any('nutplate "float" takes a #8 screw; "small" is #6' in each for each in faults(text))


def test_a_rivet_is_no_screw() -> None:
    assert any(
        '"plate" is a solid rivet; a screw is needed' in each
        for each in faults(opening_job(screws='{ fastener = "plate", count = 8 }'))
    )


def test_a_thin_ring_is_dimpled_for_the_lugs_and_says_so() -> None:
    assembly, _ = laid_opening(more="ring = { thickness = 0.64 }")
    assert {each.spec.seat for each in _of_group(assembly, "nutplate rivets")} == {"dimpled"}
    assert any("too thin to countersink for 3/32 lug rivets" in note for note in assembly.notes)


def test_known_plates_keep_their_driven_heads_off_the_ring_rivets() -> None:
    own = '[nutplate.wide]\nstandard = "MS21047"\nscrew = "#8"\nlength = 24\nwidth = 30\n'
    _, narrow = laid_opening()
    _, wide = laid_opening(before=own, more='nutplates = { kind = "wide" }')
    line, row = wide.screw_line, wide.rivet_lines[-1]
    driven = 1.5 * 3 / 32 * INCH
    assert contour_contour(line, row).distance >= 15 + driven / 2 + INCH / 32
    assert (
        contour_contour(narrow.screw_line, narrow.rivet_lines[-1]).distance
        < contour_contour(line, row).distance
    )


def test_locating_holes_are_the_first_screw_and_the_one_opposite() -> None:
    assembly, hatch = laid_opening(outline=RACECOURSE)
    named = by_name(assembly)
    located = [number for number, name in enumerate(hatch.screws, 1) if named[name].locating]
    assert located == [1, 5]
    assert named[hatch.screws[0]].doubt == pytest.approx(0.1)  # drilled_to of locating holes
    assembly, hatch = laid_opening(screws='{ fastener = "screw", count = 8, locating = [2, 7] }')
    named = by_name(assembly)
    assert [n for n, name in enumerate(hatch.screws, 1) if named[name].locating] == [2, 7]


def test_a_blind_rivet_row_as_told() -> None:
    assembly, hatch = laid_opening(more='rivets = { fastener = "pull", count = 20, access = "outside only" }')
    rivets = [by_name(assembly)[name] for name in hatch.ring_rivets]
    assert len(rivets) == 20
    assert {(each.spec.kind, each.access) for each in rivets} == {("blind rivet", "outside only")}
