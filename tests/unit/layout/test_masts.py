"""Masts: section, cutout, plate, bore, holes; the demo as a whole."""

from __future__ import annotations

import math

import pytest

from templgen.geometry import Arc, Vec, contour_contour, point_contour
from templgen.layout.assembly import CutPurpose
from tests.unit.layout.jobs import demo, head, laid, mast, near, rib


def test_the_cutout_stands_one_gap_round_the_section() -> None:
    assembly = laid(head() + rib() + mast(angle=25))
    fit, cutout = assembly.masts[0], assembly.cutouts[0]
    assert cutout.name == fit.cutout == "mast cutout"
    assert contour_contour(fit.section, cutout.contour).distance == pytest.approx(0.8, abs=1e-9)
    for segment in cutout.contour.segments:
        for t in (0.0, 0.3, 0.5, 0.8):
            assert point_contour(segment.point_at(t), fit.section).distance == pytest.approx(0.8, abs=1e-9)
    assert any(isinstance(segment, Arc) for segment in cutout.contour.segments)
    assert (cutout.purpose, cutout.doubt) == (CutPurpose.FIT, 0.4)


def test_area_of_the_cutout_of_a_convex_section() -> None:
    # Steiner's formula for a convex outline: A + L d + pi d^2.
    assembly = laid(head() + rib() + mast())
    section, cutout = assembly.masts[0].section, assembly.cutouts[0].contour
    assert cutout.area == pytest.approx(section.area + section.length * 0.8 + math.pi * 0.64)


@pytest.mark.parametrize("angle", [0, 90, 180, -37])
def test_the_nose_points_as_told_from_the_line(angle: float) -> None:
    assembly = laid(head() + rib(start=(0, 0), end=(0, 200), flange_side="left") + mast(angle))
    fit = assembly.masts[0]
    assert near(fit.forward, Vec.polar(1.0, 90 + angle))
    assert near(fit.centre, Vec(-60, 100))
    # The nose is the end of the section that lies farthest forward: half its length of 60.
    reach = max((point - fit.centre).dot(fit.forward) for point in fit.section.vertices)
    assert reach <= 30 + 1e-9
    assert point_contour(fit.centre + fit.forward * 30, fit.section).distance == pytest.approx(0, abs=1e-9)


def test_plate_and_holes_turn_with_the_mast() -> None:
    assembly = laid(head() + rib() + mast(angle=90))
    outline = assembly.faces["base plate"].outline
    assert outline is not None
    box = outline.bounds
    assert (box.xmin, box.xmax, box.ymin, box.ymax) == pytest.approx((60, 140, 0, 120))
    new = [each for each in assembly.fasteners if not each.exists]
    assert near(new[0].at, Vec(100 - 30, 60 + 50))
    assert [each.locating for each in new] == [True, False, True]
    assert [each.name for each in new] == ["1", "2", "3"]
    assert {each.stack for each in new} == {("skin", "base plate")}


def test_the_flange_centre_moves_plate_and_holes() -> None:
    text = head() + rib() + mast().replace("[mast.flange]", "[mast.flange]\ncentre = [5, -2]")
    moved, plain = laid(text), laid(head() + rib() + mast())
    assert near(moved.fasteners[0].at, plain.fasteners[0].at + Vec(5, -2))
    assert moved.masts[0].centre == plain.masts[0].centre


def test_the_plate_has_the_bore_and_the_skin_has_not() -> None:
    assembly = laid(head() + rib() + mast())
    (bore,) = assembly.cutouts_of("base plate")
    assert bore.contour.area == pytest.approx(math.pi * 25)
    assert [cutout.name for cutout in assembly.cutouts_of("skin")] == ["mast cutout"]
    assert assembly.masts[0].bore_passes == (("tube", 8.0, 1),)


def test_two_masts_name_their_plates_and_papers() -> None:
    second = mast().replace('name = "mast"', 'name = "second"').replace("along = 100", "along = 400")
    assembly = laid(head() + rib(end=(600, 0)) + mast() + second)
    for name in ("base plate of mast", "base plate of second", "paper of mast", "paper of second"):
        assert assembly.parts[name].faces == (name,)
    stacks = {each.feature: each.stack for each in assembly.fasteners if not each.exists}
    assert stacks == {"mast": ("skin", "base plate of mast"), "second": ("skin", "base plate of second")}


def test_the_demo_stands_where_its_file_says() -> None:
    assembly = demo()
    # 6.0 along and 2.3 off the rib's row, nose against the rib: hole 3 at (-2.5, 1.6) of the mast's frame.
    assert near(assembly.masts[0].centre, Vec(6.0, 2.3) * 25.4)
    assert near(assembly.fasteners[2].at, Vec(6.0 + 2.5, 2.3 - 1.6) * 25.4)
    assert [each.name for each in assembly.fasteners if each.locating] == ["1", "2"]
    # The plate's lower edge stood at 2.3 - 2.0 = 0.3 in; the web face at 0.3125, the set-back is 1/32.
    trim = next(each for each in assembly.trims if each.face == "base plate")
    assert trim.depth / 25.4 == pytest.approx(0.3125 + 0.03125 - 0.3)
    assert {each.plane for each in assembly.fasteners if each.feature == "rib clip"} >= {"rib 7 web"}
    assert len({each.name for each in assembly.fasteners}) == len(assembly.fasteners)
