"""Screws, nutplates, grommets, sheet, wires, tubes and paper."""

from __future__ import annotations

import math

import pytest
from shapely import LineString

from templgen.errors import UnitError
from templgen.trade.grommets import all_grommets, find_grommet, grommet_for
from templgen.trade.limits import limit
from templgen.trade.nutplates import all_nutplates, centre_hole, find_nutplate, nutplate_notes
from templgen.trade.paper import edge_tolerance, find_paper, papers, printer_margin
from templgen.trade.screws import (
    all_screws,
    clearance_hole,
    clearance_holes,
    cone_diameter,
    countersink_depth,
    countersink_under_dimples,
    dimple_stands_out,
    find_screw,
    leaves_knife_edge,
)
from templgen.trade.sheet import (
    all_materials,
    find_material,
    gauge_thickness,
    next_heavier_thickness,
    standard_thicknesses,
)
from templgen.trade.wires_and_tubes import (
    bundle_bend_radius,
    bundle_diameter,
    flare_diameter,
    flare_notes,
    support_interval,
    tube_after_bending,
    tube_support,
    wire_clearance,
    wire_slack,
)

INCH = 25.4


def test_screw_heads_are_consistent():
    for screw in all_screws():
        assert screw.major_mm < screw.head_min_mm < screw.head_max_mm
        assert screw.sharp_mm is None or screw.sharp_mm > screw.head_max_mm


@pytest.mark.parametrize("text", ["#8", "8-32", "#8-32", " #8 "])
def test_a_screw_is_found(text):
    assert find_screw(text).size == "#8"


@pytest.mark.parametrize("text", ["8", "#8-36", "#7", "", None])
def test_an_unknown_screw_names_the_sizes(text):
    with pytest.raises(UnitError, match="allowed: #4, #6, #8, #10, 1/4"):
        find_screw(text)


def test_the_number_four_has_no_sharp_diameter_and_no_depth():
    assert find_screw("#4").sharp_mm is None
    assert find_screw("#4").countersink_depth_mm is None


def test_fits_widen():
    for size in ("#4", "#6", "#8", "#10", "1/4"):
        close, normal, loose = (clearance_hole(size, fit).hole_mm for fit in ("close", "normal", "loose"))
        assert find_screw(size).major_mm < close < normal < loose


def test_shop_fits_list_all_drills_and_have_their_own_standing():
    assert [hole.drill.name for hole in clearance_holes("#10", "shop")] == ["#9", "#10", "#11"]
    assert not clearance_hole("#8", "shop").source.may_fail
    with pytest.raises(
        UnitError, match="no shop clearance hole of a #4 screw; allowed: close, normal, loose"
    ):
        clearance_hole("#4", "shop")
    with pytest.raises(UnitError, match="nearest: close"):
        clearance_hole("#8", "closed")


def test_countersink_and_cone_are_each_others_inverse():
    assert cone_diameter(4.0, countersink_depth(8.0, 4.0)) == pytest.approx(8.0)
    assert cone_diameter(4.0, countersink_depth(8.0, 4.0, 82.0), 82.0) == pytest.approx(8.0)
    with pytest.raises(UnitError):
        countersink_depth(4.0, 4.0)


def test_a_knife_edge_is_a_countersink_through_the_sheet():
    depth = find_screw("#8").countersink_depth_mm
    assert depth is not None
    assert leaves_knife_edge(0.064 * INCH, depth)
    assert not leaves_knife_edge(0.080 * INCH, depth)
    assert leaves_knife_edge(1.0, 1.0)


@pytest.mark.parametrize("sheet", [0.4, 0.8128, 1.016, 2.0])
def test_a_dimple_is_its_sheet_turned_down_the_cone(sheet: float) -> None:
    """Asked of shapely: the wall of the cone, offset by its thickness, and how deep that reaches."""
    depth = 1.8
    wall = LineString([(6.0, 0.0), (6.0 - depth * math.tan(math.radians(50)), -depth)])
    behind = min(y for _, y in wall.offset_curve(sheet).coords)
    assert dimple_stands_out(depth, sheet) == pytest.approx(max(0.0, -behind - sheet))


@pytest.mark.parametrize("sheet", [0.4, 0.8128, 1.016, 2.0])
def test_a_countersink_takes_the_outside_of_the_dimples_on_it(sheet: float) -> None:
    """Asked of shapely: the head's cone moved square to itself by the sheets, cut by the face under them; the
    countersink is as wide there as the dimple, and as wide as its foot where that stands."""
    depth, shank, slope = 1.8, 2.0, math.tan(math.radians(50))
    cone = LineString([(shank + (depth + 9.0) * slope, 9.0), (shank, -depth)])
    outside = cone.offset_curve(sheet)
    at_face = outside.intersection(LineString([(-9.0, -sheet), (90.0, -sheet)])).x
    deep = countersink_under_dimples(depth, sheet)
    assert cone_diameter(2 * shank, deep) / 2 == pytest.approx(at_face)
    foot_x, foot_y = min(outside.coords, key=lambda corner: corner[1])
    assert shank + (deep + foot_y + sheet) * slope == pytest.approx(foot_x)


def test_nested_dimples_stand_out_as_one_thick_sheet_would() -> None:
    first = dimple_stands_out(1.8, 0.8)
    assert dimple_stands_out(first, 0.5) == pytest.approx(dimple_stands_out(1.8, 1.3))


def test_the_strap_of_the_manual_takes_the_dimple_of_a_number_8_screw() -> None:
    """Wartime structural repair manual p. 93: a countersunk strap of 0.064 in on dimpled stock of 0.040 or
    lighter."""
    depth = find_screw("#8").countersink_depth_mm
    assert depth is not None
    assert limit("dimple-strap").mm() == pytest.approx(0.064 * INCH)
    assert 0.060 * INCH < dimple_stands_out(depth, 0.040 * INCH) < 0.064 * INCH
    assert 0.060 * INCH < dimple_stands_out(depth, 0.032 * INCH) < 0.064 * INCH


def test_unknown_nutplate_dimensions_are_none_and_never_zero():
    for plate in all_nutplates():
        assert plate.overall_length_mm is None
        assert plate.width_mm is None
        assert not plate.source.may_fail
        assert plate.rivet_spacing_mm is None or plate.rivet_spacing_mm > 15
    floating = find_nutplate("MS21059", "#8")
    assert floating.rivet_spacing_mm is None
    assert floating.rivet_from_centre_mm is None


def test_nutplate_rows():
    plate = find_nutplate("MS21047", "#8")
    assert plate.rivet_spacing_mm == pytest.approx(0.687 * INCH)
    assert plate.rivet_from_centre_mm == pytest.approx(0.3435 * INCH)
    assert plate.rivet_hole.name == "#40"
    for standard in ("MS21047", "MS21048"):
        spacings = [find_nutplate(standard, size).rivet_spacing_mm for size in ("#6", "#8", "#10", "1/4")]
        assert spacings == pytest.approx([0.687 * INCH] * 3 + [INCH])
    assert find_nutplate("MS21051", "#8").screw is None


def test_unknown_nutplates():
    with pytest.raises(UnitError, match="nearest: MS210"):
        find_nutplate("MS21046", "#8")
    with pytest.raises(UnitError, match="allowed: #6, #8, #10, 1/4"):
        find_nutplate("MS21047", "#4")


def test_nutplate_holes_and_notes():
    drill, source = centre_hole("#8")
    assert drill.name == "#9"
    assert source.confidence == "low"
    with pytest.raises(UnitError):
        centre_hole("1/4")
    assert all(note.note for note in nutplate_notes())


def test_grommets_code_their_sizes():
    grommet = find_grommet("AN931-4-7")
    assert (grommet.inside_mm, grommet.panel_hole_mm) == (6.35, 11.1125)
    assert all(g.inside_mm < g.panel_hole_mm for g in all_grommets())
    assert grommet_for(6.0) == grommet
    with pytest.raises(UnitError, match="AN931-12-16"):
        grommet_for(20.0)
    with pytest.raises(UnitError, match="nearest: AN931-4-7"):
        find_grommet("AN931-4-8")


def test_materials():
    assert find_material("2024-T3 clad").alloy == "2024-T3"
    assert find_material("4130 steel").ftu_ksi is None
    assert find_material("6061-T6").density_kg_m3 == pytest.approx(2713, abs=1)
    assert find_material("6061-T6").mass_g(10_000, 1.0) == pytest.approx(27.13, abs=0.01)
    assert not any(material.source.may_fail for material in all_materials())
    with pytest.raises(UnitError, match="nearest: 2024-T3"):
        find_material("2024-T4")


def test_one_gauge_heavier():
    assert next_heavier_thickness(0.032 * INCH) == pytest.approx(0.040 * INCH)
    assert next_heavier_thickness(0.051 * INCH) == pytest.approx(0.063 * INCH)
    sold = (0.016, 0.020, 0.025, 0.032, 0.040, 0.050, 0.063, 0.071, 0.080, 0.090, 0.100, 0.125)
    assert [thickness / INCH for thickness in standard_thicknesses()] == pytest.approx(sold)
    with pytest.raises(UnitError):
        next_heavier_thickness(0.125 * INCH)
    with pytest.raises(UnitError):
        gauge_thickness(40)


def test_bundles():
    assert bundle_diameter(1, 2.0).value == 2.0
    assert bundle_diameter(9, 2.0).value == pytest.approx(7.2)
    assert bundle_bend_radius(2.0).value == 20.0
    assert bundle_bend_radius(2.0, supported=True).value == 6.0
    with pytest.raises(UnitError):
        bundle_diameter(0, 2.0)


def test_wire_limits():
    assert wire_clearance().value == 9.525
    assert support_interval().value == pytest.approx(24 * INCH)
    assert wire_slack().value == 12.7
    assert wire_clearance().source.may_fail


def test_tubes():
    wall, inside, source = tube_after_bending("1/4")
    assert (wall, inside) == (pytest.approx(0.035 * INCH), pytest.approx(0.150 * INCH))
    assert source.seen
    assert tube_support("1/4", "aluminium").value == pytest.approx(13.5 * INCH)
    assert tube_support("1/4", "steel").value == pytest.approx(16 * INCH)
    assert len(flare_notes()) == 2
    with pytest.raises(UnitError, match="allowed: 1/8, 3/16"):
        flare_diameter("1/16")


def test_papers():
    assert find_paper("Letter").name == "letter"
    areas = [paper.area_mm2 for paper in papers().values()]
    assert areas == sorted(areas)
    assert {"letter", "legal", "tabloid", "a4", "a3"} <= set(papers())
    assert printer_margin()[0] == 6.35
    assert printer_margin()[1].standing == "our own default, no source"
    with pytest.raises(UnitError, match="nearest: letter"):
        find_paper("leter")


def test_paper_edges_are_no_datum():
    assert [edge_tolerance(length) for length in (100, 297, 841)] == [1.5, 2.0, 3.0]


def test_a_roll_is_called_as_it_was_asked_for():
    roll = find_paper("roll 24 in")
    assert (roll.title, roll.width_mm) == ("Roll 24 in", pytest.approx(609.6))
    assert find_paper(roll.asked_for) == roll
    assert find_paper("roll 610 mm").title == "Roll 610 mm"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("roll 36", 'a roll is 210.00 mm (8.268 in) to 1118.00 mm (44.016 in) wide: write "roll 36 in"'),
        ("roll 60 in", "a roll is 8.268 in (210.00 mm) to 44.016 in (1118.00 mm) wide, not 60.000 in"),
        ("roll 36 mm", "wide, not 36.00 mm"),
        ("roll 3", "wide, not 3.00 mm"),
    ],
)
def test_a_roll_that_is_none_is_told_in_its_own_unit(words, told):
    with pytest.raises(UnitError) as refusal:
        find_paper(words)
    assert told in str(refusal.value)
