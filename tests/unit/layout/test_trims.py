"""Trims against closed formulas: areas cut, new edges, margins."""

from __future__ import annotations

import math

import pytest

from templgen.geometry import Line
from templgen.layout.assembly import Assembly, TrimEdge
from tests.unit.layout.jobs import faults, head, laid, mast, rib

# The plate of the test mast: 120 x 80 about (100, 60); its lower edge is 20 above the rib's heel at y = 0.
LENGTH, HALF_WIDTH = 120.0, 40.0


def _trim(set_back: float, angle: float = 0.0, parts: str = '"base plate"', line: str = "web face") -> str:
    lines = f'{{ structure = "rib", line = "{line}", set_back = {set_back}, angle = {angle} }}'
    return f'\n[[trim]]\nparts = [{parts}]\nlines = [{lines}]\nedge = "butting"\n'


def _plate_trim(assembly: Assembly) -> TrimEdge:
    return next(trim for trim in assembly.trims if trim.face == "base plate")


@pytest.mark.parametrize("angle", [0.0, 5.0, -5.0, 12.0])
def test_area_cut_is_length_times_depth_in_the_middle(angle: float) -> None:
    # The rib's middle is (100, 0), under the plate's middle: the line cuts 30 - 20 = 10 mm deep there, and a
    # trapezoid has the area of its middle depth times its length, whatever the angle.
    set_back = 30.0
    assembly = laid(head() + rib() + mast() + _trim(set_back, angle))
    trim, face = _plate_trim(assembly), assembly.faces["base plate"]
    assert face.outline is not None
    cut = sum(region.area for region in trim.cut_away)
    if 60 * math.tan(math.radians(abs(angle))) <= 10:
        assert cut == pytest.approx(LENGTH * 10)
    else:
        # One corner is no longer reached: a triangle of the depth at the other end is cut.
        slope = math.tan(math.radians(abs(angle)))
        depth = 10 + 60 * slope
        assert cut == pytest.approx(depth * depth / slope / 2)
    assert cut + face.outline.area == pytest.approx(LENGTH * 2 * HALF_WIDTH)


def test_the_new_edge_lies_on_the_line_and_says_how_deep() -> None:
    trim = _plate_trim(laid(head() + rib() + mast() + _trim(30)))
    (edge,) = trim.new_edge
    assert (edge.start.y, edge.end.y) == pytest.approx((30.0, 30.0))
    assert edge.length == pytest.approx(LENGTH)
    assert trim.depth == pytest.approx(10)
    assert (trim.structure, trim.line, trim.edge) == ("rib", "web face", "butting")


def test_rounded_corners_lose_an_exact_piece() -> None:
    # Corner radius 15 on the plate, a line 10 deep. Gone: the strip of 10 x 120 less, at each end, the metal
    # that a rounded corner lacks below it: the integral of 15 - sqrt(225 - (15 - y)^2) over y = 0..10.
    text = head() + rib() + mast().replace("corner_radius = 0", "corner_radius = 15") + _trim(30)
    r, d = 15.0, 10.0
    under_arc = (r * r / 2) * (math.pi / 2 - math.asin((r - d) / r)) - (r - d) / 2 * math.sqrt(
        r * r - (r - d) ** 2
    )
    missing = r * d - under_arc
    cut = sum(region.area for region in _plate_trim(laid(text)).cut_away)
    assert cut == pytest.approx(LENGTH * d - 2 * missing, abs=1e-6)


def test_two_lines_leave_what_both_leave() -> None:
    other = (
        rib(start=(145, 200), end=(145, -10))
        .replace('"rib"', '"spar"', 1)
        .replace('kind = "rib"', 'kind = "spar"')
    )
    lines = (
        '\n[[trim]]\nparts = ["base plate"]\nlines = [{ structure = "rib", set_back = 30 }, '
        '{ structure = "spar", set_back = 5 }]\n'
    )
    assembly = laid(head() + rib() + other + mast() + lines)
    outline = assembly.faces["base plate"].outline
    assert outline is not None
    assert (outline.bounds.xmax, outline.bounds.ymin) == pytest.approx((140, 30))
    assert outline.area == pytest.approx((140 - 40) * 70)
    assert sum(region.area for trim in assembly.trims for region in trim.cut_away) == pytest.approx(
        9600 - 7000
    )


def test_the_side_of_the_mast_stays_on_either_side_of_the_line() -> None:
    below = mast().replace("off = 60", "off = -60")
    outline = laid(head() + rib(flange_side="left") + below + _trim(30)).faces["base plate"].outline
    assert outline is not None
    assert (outline.bounds.ymin, outline.bounds.ymax) == pytest.approx((-100, -30))


def test_a_formed_edge_is_a_bend_tangent_of_the_face() -> None:
    text = head() + rib() + mast() + _trim(30).replace("butting", "formed")
    assembly = laid(text)
    (edge,) = _plate_trim(assembly).new_edge
    assert assembly.faces["base plate"].formed == (edge,)


def test_paper_is_trimmed_with_the_plate_and_keeps_a_margin_elsewhere() -> None:
    assembly = laid(head() + rib() + mast() + _trim(30, parts='"paper", "base plate"'))
    outline = assembly.faces["paper"].outline
    assert outline is not None
    box = outline.bounds
    assert (box.xmin, box.xmax, box.ymin, box.ymax) == pytest.approx((28, 172, 30, 112))
    assert assembly.faces["paper"].order == -100


def test_a_paper_laid_inside_is_cut_on_the_line_that_it_is_pushed_against() -> None:
    # The middle stands 45 off the heel: plate and paper (12 mm more) reach down to 5 and -7.
    text = rib() + mast().replace("off = 60", "off = 45") + _trim(10, 3.0, parts='"paper", "base plate"')
    assembly = laid(head(laid_on="inside") + text)
    paper = next(trim for trim in assembly.trims if trim.face == "paper")
    (edge,) = paper.new_edge
    assert (edge.start.y, edge.end.y, paper.set_back) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
    (metal,) = _plate_trim(assembly).new_edge
    assert abs(metal.direction.cross(edge.direction)) == pytest.approx(math.sin(math.radians(3.0)))
    assert _plate_trim(assembly).set_back == 10
    assert any("pushed home" in note for note in assembly.notes)
    outside = laid(head() + text)
    assert next(trim for trim in outside.trims if trim.face == "paper").set_back == 10


def test_paper_laid_outside_is_placed_by_rivets_that_exist() -> None:
    assembly = laid(head() + rib() + mast() + _trim(30, parts='"paper"'))
    marks = {each.name for each in assembly.fasteners if each.exists}
    assert len(assembly.targets["paper"]) >= 2
    assert set(assembly.targets["paper"]) <= marks
    assert any("can not butt" in note for note in assembly.notes)
    assert laid(head(laid_on="inside") + rib() + mast() + _trim(30, parts='"paper"')).targets == {}


def test_a_trim_that_cuts_holes_is_no_fault_of_layout() -> None:
    # Hole 3 stands at y = 60 - 30, the line at 35: it is gone, and still there for the checks to find.
    assembly = laid(head() + rib() + mast() + _trim(35))
    plane = _plate_trim(assembly).half_plane
    assert plane.height_of(assembly.holes("base plate")[2].fastener.at) == pytest.approx(-5)
    assert len([each for each in assembly.fasteners if not each.exists]) == 3


def test_cutting_away_the_mast_is_refused() -> None:
    (fault,) = faults(head() + rib() + mast() + _trim(61))
    assert 'cut away the middle of "base plate"' in fault
    assert "60.00 mm" in fault


def test_a_line_that_is_not_known_is_refused() -> None:
    seam = '[[structure]]\nname = "seam"\nkind = "seam"\nfrom = [0, 0]\nto = [90, 0]\n'
    text = (
        head()
        + rib()
        + seam
        + mast()
        + _trim(10, line="heel").replace('structure = "rib"', 'structure = "seam"')
    )
    (fault,) = faults(text)
    assert 'heel of "seam" is not known' in fault
    assert '"rivet row"' in fault


def test_a_trim_that_reaches_nothing_is_known() -> None:
    assembly = laid(head() + rib() + mast() + _trim(5))
    trim = _plate_trim(assembly)
    assert (trim.cut_away, trim.new_edge, trim.depth) == ((), (), 0.0)
    assert not trim.reaches
    assert _plate_trim(laid(head() + rib() + mast() + _trim(30))).reaches


def test_new_edges_are_lines_of_the_final_outline() -> None:
    assembly = laid(head() + rib() + mast(angle=20) + _trim(35, 4))
    outline = assembly.faces["base plate"].outline
    assert outline is not None
    assert all(
        isinstance(edge, Line) and edge in outline.outer.segments for edge in _plate_trim(assembly).new_edge
    )
