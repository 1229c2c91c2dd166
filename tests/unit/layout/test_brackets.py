"""Brackets: legs from the mold lines, the bend between them, holes of both planes; and their flat pattern."""

from __future__ import annotations

import pytest

from templgen.errors import GeometryError
from templgen.geometry import Contour, Vec
from templgen.layout import flat_pattern
from templgen.layout.assembly import Assembly, Face
from tests.unit.layout.jobs import demo, faults, head, laid, mast, near, rib

BRACKET = """
[[bracket]]
name = "clip"
structure = "rib"
along = 100
length = 40
web_leg = 25
skin_leg = 18
bend_radius = 3
material = "2024-T3 clad"
thickness = 0.8
side = "{side}"
lift = 1.2
web_holes = [{{ fastener = "plate", points = [[-10, 15], [12, 16]] }}]
skin_holes = [{{ fastener = "plate", points = [[-10, 10]] }}]
"""
EXAMPLE = """
[[bracket]]
name = "angle"
structure = "rib"
along = 100
length = 40
web_leg = "0.75 in"
skin_leg = "0.75 in"
bend_radius = "0.125 in"
material = "2024-T3 clad"
thickness = "0.032 in"
side = "left"
"""
SETBACK = 3.8


def _face(assembly: Assembly, name: str) -> tuple[float, float, float, float]:
    face: Face = assembly.faces[name]
    assert face.outline is not None
    box = face.outline.bounds
    return (box.xmin, box.xmax, box.ymin, box.ymax)


def test_legs_on_the_free_side_start_at_the_webs_outer_face() -> None:
    # Mold line on the heel (y = 0), 1.2 above the skin; the flats begin one setback t + R = 3.8 from it.
    assembly = laid(head() + rib() + BRACKET.format(side="left"))
    assert _face(assembly, "clip skin leg") == pytest.approx((80, 120, SETBACK, 18))
    assert _face(assembly, "clip web leg") == pytest.approx((80, 120, 1.2 + SETBACK, 1.2 + 25))


def test_legs_on_the_flange_side_start_at_the_webs_inner_face() -> None:
    assembly = laid(head() + rib() + BRACKET.format(side="right"))
    assert _face(assembly, "clip skin leg") == pytest.approx((80, 120, -1 - 18, -1 - SETBACK))


def test_each_leg_has_its_bend_tangent_as_a_formed_edge() -> None:
    assembly = laid(head() + rib() + BRACKET.format(side="left"))
    (bend,) = assembly.bends
    assert assembly.faces[bend.face_a].formed == (bend.tangent_a,)
    assert assembly.faces[bend.face_b].formed == (bend.tangent_b,)
    assert (bend.inside_radius, bend.angle) == (3.0, 90.0)
    assert near(bend.tangent_b.start, Vec(80, 1.2 + SETBACK))


def test_web_holes_lie_in_the_web_and_join_leg_and_web() -> None:
    assembly = laid(head() + rib() + BRACKET.format(side="left"))
    web = [each for each in assembly.fasteners if each.plane == "rib web"]
    assert [each.at for each in web] == [Vec(90, 15), Vec(112, 16)]
    assert {each.stack for each in web} == {("clip web leg", "rib web")}
    assert {each.made_from for each in web} == {"through clip"}
    assert len(assembly.holes("rib web")) == 2


@pytest.mark.parametrize(("side", "y"), [("left", 10.0), ("right", -11.0)])
def test_skin_leg_holes_count_from_the_webs_face(side: str, y: float) -> None:
    assembly = laid(head() + rib() + BRACKET.format(side=side))
    (hole,) = [each for each in assembly.fasteners if each.feature == "clip" and each.plane == "skin"]
    assert near(hole.at, Vec(90, y))
    assert hole.stack == ("skin", "clip skin leg")
    assert hole.made_from == "paper"


def test_developed_width_of_the_worked_example() -> None:
    # Bend allowance formula of AC 43.13-1B para 4-56 with its worked example (derived, not printed there):
    # 0.032 sheet, R 0.125, 90 degrees, legs of 0.75: flats 0.593 each, allowance 0.218552, width 1.404552 in.
    flat = flat_pattern(laid(head() + rib() + EXAMPLE), "angle")
    assert flat.outline.bounds.height / 25.4 == pytest.approx(1.404552, abs=5e-7)
    (bend,) = flat.bends
    assert bend.allowance / 25.4 == pytest.approx(0.218552, abs=5e-7)
    assert flat.outline.bounds.ymax / 25.4 == pytest.approx(0.593)
    assert bend.tangents[1].start.y == pytest.approx(-bend.allowance)


@pytest.mark.parametrize("side", ["left", "right"])
def test_holes_keep_their_distance_to_the_bend_in_the_flat(side: str) -> None:
    assembly = laid(head() + rib() + BRACKET.format(side=side))
    flat = flat_pattern(assembly, "clip")
    (bend,) = flat.bends
    tangent_of = {"clip skin leg": bend.tangents[0], "clip web leg": bend.tangents[1]}
    from_skin, from_web = (tangent_of[name].start.y for name in ("clip skin leg", "clip web leg"))
    away = 1 if side == "left" else -1
    places = [(hole.face, hole.at) for hole in flat.holes]
    assert (places[0][0], places[1][0], places[2][0]) == ("clip skin leg", "clip web leg", "clip web leg")
    assert near(places[0][1], Vec(-10, from_skin + away * (10 - SETBACK)))
    assert near(places[1][1], Vec(-10, from_web - away * (15 - 1.2 - SETBACK)))
    assert near(places[2][1], Vec(12, from_web - away * (16 - 1.2 - SETBACK)))
    assert all(flat.outline.bounds.contains(at) for _, at in places)


def test_the_flat_of_the_other_hand_is_its_mirror_image() -> None:
    text = rib() + BRACKET.format(side="left")
    left = flat_pattern(laid(head() + text), "clip")
    right = flat_pattern(laid(head(measured_hand="right") + text), "clip")
    for ours, theirs in zip(left.holes, right.holes, strict=True):
        assert near(Vec(ours.at.x, -ours.at.y), theirs.at)


def test_a_flat_part_is_its_own_flat_pattern() -> None:
    assembly = laid(head() + rib() + mast())
    flat = flat_pattern(assembly, "base plate")
    assert flat.outline == assembly.faces["base plate"].outline
    assert [hole.at for hole in flat.holes] == [hole.fastener.at for hole in assembly.holes("base plate")]
    assert [cutout.area for cutout in flat.cutouts] == pytest.approx([Contour.circle(Vec(0, 0), 5).area])
    assert flat.bends == ()


def test_a_skin_that_goes_on_has_no_flat_pattern() -> None:
    with pytest.raises(GeometryError, match="skin has no outline"):
        flat_pattern(demo(), "skin")


def test_a_leg_shorter_than_its_bend_is_refused() -> None:
    text = head() + rib() + BRACKET.format(side="left").replace("skin_leg = 18", "skin_leg = 3.5")
    assert any("skin_leg" in fault and "3.80 mm" in fault for fault in faults(text))


def test_a_bracket_beyond_the_measured_line_is_refused() -> None:
    text = head() + rib() + BRACKET.format(side="left").replace("along = 100", "along = 190")
    assert any("beyond the measured line" in fault for fault in faults(text))
