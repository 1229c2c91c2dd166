"""Rings in pieces, structure in the way, the box on the cover, the room behind, order of work; the demo."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from shapely.geometry import Polygon

from templgen.checks import run_checks
from templgen.geometry import Vec, point_segment, region_contains
from templgen.job import read_job
from templgen.layout import flat_pattern, lay_out
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.shapes import ShapeLibrary
from tests.unit.layout.jobs import faults, head, laid, rib
from tests.unit.layout.opening_jobs import CIRCLE, RECTANGLE, by_name, laid_opening, opening_job

# --- a ring in pieces


def test_a_whole_ring_keeps_its_hole_as_a_cutout() -> None:
    assembly, hatch = laid_opening()
    pattern = flat_pattern(assembly, "hatch ring")
    assert pattern.outline.inner == ()
    assert [each.area for each in pattern.cutouts] == [pytest.approx(hatch.clear_hole.area)]
    assert hatch.ring_cuts == ()


@pytest.mark.parametrize("outline", [RECTANGLE, CIRCLE])
def test_a_split_ring_loses_a_strip_as_wide_as_the_cut(outline: str) -> None:
    assembly, hatch = laid_opening(outline=outline, more='ring = { made = "split", cut_gap = 2.0 }')
    face = assembly.faces["hatch ring"]
    assert face.outline is not None
    assert face.outline.inner == ()
    (cut,) = hatch.ring_cuts
    assert hatch.ring.area - face.outline.area == pytest.approx(2.0 * cut.length, rel=1e-3)
    assert "hatch ring" not in {name for each in assembly.cutouts for name in each.faces}
    assert not region_contains(face.outline, cut.midpoint)


def test_the_cut_keeps_two_diameters_and_a_half_from_every_hole() -> None:
    assembly, hatch = laid_opening(more='ring = { made = "split" }')
    for fastener in assembly.fasteners:
        if "hatch ring" in fastener.stack:
            least = (2.5 if fastener.spec.is_flush else 2.0) * fastener.spec.diameter
            assert point_segment(fastener.at, hatch.ring_cuts[0]).distance - 0.4 > least


def test_the_builder_says_where_the_ring_is_cut() -> None:
    _, hatch = laid_opening(outline=CIRCLE, more='ring = { made = "split", cut_at = 30 }')
    direction = hatch.ring_cuts[0].midpoint - hatch.centre
    assert direction.angle == pytest.approx(30)


def test_each_hole_lies_in_its_half_of_the_ring() -> None:
    assembly, hatch = laid_opening(more='ring = { made = "halves" }')
    assert hatch.ring_faces == ("hatch ring 1", "hatch ring 2")
    assert len(hatch.ring_cuts) == 2
    halves = [assembly.faces[name].outline for name in hatch.ring_faces]
    assert halves[0] is not None
    assert halves[1] is not None
    assert halves[0].area == pytest.approx(halves[1].area)
    for fastener in assembly.fasteners:
        assert fastener.stack[-1] in hatch.ring_faces
        own = assembly.faces[fastener.stack[-1]].outline
        assert own is not None
        assert region_contains(own, fastener.at)


# --- structure


def test_a_screw_under_a_rib_is_refused_with_its_distance() -> None:
    text = opening_job(before=rib(start=(200, 280), end=(400, 280)))
    (line,) = faults(text)
    assert "hatch: screw " in line
    assert "has its nutplate 0.00 mm (0.000 in) from rib, needs 1.59 mm (0.063 in)" in line


@pytest.mark.parametrize(("rib_at", "sign"), [(280, -1), (150, 1)])
def test_the_way_that_is_told_takes_the_whole_ring_off_the_rib(rib_at: float, sign: int) -> None:
    """Moved so far, the ring is 1/16 in and no more than a step of 1 mm farther off the flange."""
    before = rib(start=(200, rib_at), end=(400, rib_at))
    (line,) = faults(opening_job(before=before))
    told = re.search(r"\(move the opening ([\d.]+) mm \(.*\) away from rib, then its whole ring stands", line)
    assert told, line
    place = f"{{ x = 300, y = {200 + sign * float(told.group(1))} }}"
    assembly, hatch = laid_opening(before=before, place=place)
    flange = assembly.structures["rib"].flange
    assert flange is not None
    apart = Polygon([(p.x, p.y) for p in hatch.ring.outer.vertices]).distance(
        Polygon([(p.x, p.y) for p in flange.outer.vertices])
    )
    assert 25.4 / 16 - 1e-6 <= apart < 25.4 / 16 + 1


def test_a_screw_under_a_rib_is_left_out_where_the_job_says_so() -> None:
    screws = '{ fastener = "screw", count = 8, under_structure = "leave out" }'
    assembly, hatch = laid_opening(before=rib(start=(200, 280), end=(400, 280)), screws=screws)
    assert len(hatch.left_out) + len(hatch.screws) == 8
    assert hatch.left_out
    flange = assembly.structures["rib"].flange
    assert flange is not None
    assert all(each.reason.startswith("has its nutplate") for each in hatch.left_out)
    assert any("a screw was left out, because it has its nutplate" in note for note in assembly.notes)


# --- the box, the room, the hand

BOX = """
[opening.hangs]
name = "box"
length = 80
width = 50
height = 30
at = [5, -3]
angle = 90
holes = [{ fastener = "small", points = [[30, 15], [-30, -15]] }]
plugs = [
  { name = "a", side = "+x", at = [10, 12], width = 9, stands_out = 20, undone = "in reach" },
  { name = "b", side = "top", width = 20, height = 8, stands_out = 15, undone = "on" },
]

[[opening.hangs.leads]]
name = "wire"
plug = "a"
free_length = 300
support = [250, 150, 60]
rib = "rib"
slack_side = "left"

[opening.room]
depth = 140
area = [[200, 120], [420, 320]]

[[opening.room.obstacles]]
name = "pushrod"
kind = "line"
from = [200, 300, 90]
to = [400, 310, 80]
diameter = 20
moving = true
swing = 12

[[opening.room.obstacles]]
name = "tank"
kind = "box"
from = [400, 120, 140]
to = [380, 320, 100]

[opening.hand]
needs = ["bare hand", "hand with tool"]
width = 92
"""
FAR_RIB = rib(start=(200, 50), end=(400, 50))


def test_the_box_hangs_where_the_opening_and_its_frame_say() -> None:
    assembly, hatch = laid_opening(before=FAR_RIB, more=BOX)
    box = hatch.hangs
    assert box is not None
    assert box.footprint.bounds.centre.distance_to(Vec(305, 197)) < 1e-9
    assert (box.footprint.bounds.width, box.footprint.bounds.height) == pytest.approx((50, 80))
    assert box.cover_z == pytest.approx(-0.8)
    mounts = [by_name(assembly)[name] for name in box.mounts]
    assert {each.stack for each in mounts} == {("hatch cover",)}
    assert mounts[0].at.distance_to(Vec(305 - 15, 197 + 30)) < 1e-9


def test_plugs_leave_the_box_on_the_side_they_are_on() -> None:
    """The box is turned by 90 degrees: its +x points along y, its +y against x."""
    box = laid_opening(before=FAR_RIB, more=BOX)[1].hangs
    assert box is not None
    side, top = box.plugs
    assert side.at.distance_to(Vec(305 - 10, 197 + 40)) < 1e-9
    assert side.direction.distance_to(Vec(0, 1)) < 1e-9
    assert (side.z, side.width, side.height) == pytest.approx((12, 9, 9))
    assert top.at.distance_to(Vec(305, 197)) < 1e-9
    assert (top.z, top.width, top.height, top.direction.length) == pytest.approx((30, 20, 8, 0))


def test_the_room_keeps_its_places_in_the_skin_plane() -> None:
    hatch = laid_opening(before=FAR_RIB, more=BOX)[1]
    room = hatch.room
    assert room is not None
    assert (room.depth, len(room.obstacles)) == (140, 2)
    assert room.area is not None
    assert (room.area.xmin, room.area.ymax) == (200, 320)
    rod, tank = room.obstacles
    assert rod.start is not None
    assert (rod.start.at, rod.start.z, rod.radius, rod.swing, rod.moving) == (Vec(200, 300), 90, 10, 12, True)
    assert tank.box is not None
    assert (tank.box.xmin, tank.box.xmax, tank.z_from, tank.z_to) == (380, 400, 100, 140)
    assert (hatch.hand.needs, hatch.hand.width) == (("bare hand", "hand with tool"), 92)


def test_what_was_measured_on_the_inside_is_mirrored_with_its_sides() -> None:
    hatch = laid_opening(top=head(measured_on="inside"), before=FAR_RIB, more=BOX)[1]
    assert hatch.hangs is not None
    lead = hatch.hangs.leads[0]
    assert lead.support.at.distance_to(Vec(-250, 150)) < 1e-9
    assert (lead.support.z, lead.structure, lead.slack_side) == (60, "rib", "right")
    assert hatch.room is not None
    assert hatch.room.area is not None
    assert (hatch.room.area.xmin, hatch.room.area.xmax) == (-420, -200)


# --- order of work


def test_closings_and_tasks_are_taken_apart() -> None:
    steps = """
[[closing]]
name = "far skin on"
closes = "the bay"
[[closing]]
name = "sealed"
closes = "the hatch"
takes = "hand through hatch"
after = ["connect"]
[[task]]
name = "connect"
access = "hand through hatch"
after = ["far skin on"]
"""
    assembly = laid(opening_job() + steps)
    first, second = assembly.closings
    assert (first.name, first.takes, first.opening) == ("far skin on", "inside", "")
    assert (second.takes, second.opening, second.after) == ("hand through", "hatch", ("connect",))
    (task,) = assembly.tasks
    assert (task.access, task.opening, task.after) == ("hand through", "hatch", ("far skin on",))


def test_a_hole_set_says_what_access_it_needs() -> None:
    hole = '[[hole]]\nname = "vent"\nat = { x = 0, y = 0 }\ndiameter = 6\naccess = "hand through hatch"\n'
    assembly = laid(opening_job() + hole)
    assert {each.access for each in assembly.fasteners if each.feature == "vent"} == {"hand through hatch"}


def test_the_lip_of_a_cover_tells_how_far_its_blank_reaches() -> None:
    """Height less 2 (R + t) tan 45 degrees plus the arc at R + 0.44 t is the trade's bend deduction."""
    from templgen.trade.bending import bend_deduction

    cover = '{ kind = "lying", lip = { height = 8, bend_radius = 2.4 } }'
    assembly, hatch = laid_opening(cover=cover)
    assert hatch.lip is not None
    assert hatch.lip.blank_growth == pytest.approx(8 - bend_deduction(90, 2.4, 0.8))
    assert any("its blank reaches" in note for note in assembly.notes)


def test_self_locking_nuts_are_not_for_every_flight() -> None:
    assembly, _ = laid_opening(more='opened = "every flight"')
    assert any("opened at every flight; self-locking nuts" in note for note in assembly.notes)
    assert not any("every flight" in note for note in laid_opening()[0].notes)


# --- a builder's figures: common practice, no source

FIGURES = """
title = "figures of a builder"
unit = "in"
hand = "left"
measured_on = "outside"
measured_to = "0.3 mm"
drilled_to = {{ locating = "0.2 mm", rivet = "0.2 mm", screw = "0.2 mm", hole = "0.3 mm", cut = "0.3 mm" }}
axes = {{ origin = "corner", x = "aft", y = "outboard" }}
skin = {{ material = "2024-T3 clad", thickness = 0.032 }}

[fastener]
cover = {{ kind = "screw", size = "{size}", head = "protruding", head_diameter = 0.27 }}

[[opening]]
name = "hatch"
at = {{ x = 6.0, y = 6.0 }}
outline = {{ shape = "rectangle", length = 3.5, width = 3.5, corner_radius = 0.5 }}
screws = {{ fastener = "cover", count = 8, from_cover_edge = 0.30 }}
cover = {{ kind = "lying", overlap = 0.6 }}
ring = {{ width = 1.1 }}
nutplates = {{ turned = "along" }}
"""


# Warnings of the small hole: 3.5 in square is less than the 4 in that a flat bare hand needs (MIL-STD-1472,
# from memory), and a whole ring goes in from behind, before a skin is closed.
TOLD_OF_A_SMALL_HOLE = {"hand-does-not-go-in", "ring-can-not-be-fed-in"}


def _judged(size: str) -> tuple[Assembly, tuple[Finding, ...]]:
    assembly = laid(FIGURES.format(size=size))
    return assembly, run_checks(assembly)


def test_the_figures_are_those_of_the_builder() -> None:
    assembly, _ = _judged("#6")
    widths = {
        name: face.outline.bounds.width / 25.4
        for name, face in assembly.faces.items()
        if face.outline is not None and name.startswith("hatch")
    }
    assert widths == {"hatch cover": pytest.approx(4.7), "hatch ring": pytest.approx(5.7)}


def test_the_figures_pass_with_number_six_screws() -> None:
    _, findings = _judged("#6")
    unsound = {each.rule for each in findings if each.verdict in (Verdict.FAIL, Verdict.DOUBTFUL)}
    assert unsound == TOLD_OF_A_SMALL_HOLE
    assert not [each for each in findings if each.stops_cut_files]
    checked = {each.rule for each in findings if each.verdict is Verdict.PASS}
    assert {"hole-too-near-edge", "flush-hole-near-edge", "pitch-too-small", "head-on-structure"} <= checked


def test_the_figures_fail_with_number_eight_screws_and_say_what_is_needed() -> None:
    _, findings = _judged("#8")
    failed = [each for each in findings if each.verdict is Verdict.FAIL]
    errors = {each.rule for each in failed if each.severity is Severity.ERROR}
    assert errors == {"hole-too-near-edge"}
    assert {each.rule for each in failed} == {"hole-too-near-edge"} | TOLD_OF_A_SMALL_HOLE
    on_cover = [each for each in failed if each.face == "hatch cover"]
    assert sum(each.count for each in on_cover) == 8
    assert all(
        "0.300 in" in each.message and "needs 0.328 in (8.33 mm) = 2 D" in each.message for each in on_cover
    )


# --- the demo


def test_the_demo_of_an_opening_lays_out_and_no_rule_fails() -> None:
    path = Path(__file__).parents[3] / "templgen" / "build" / "jobs" / "opening.toml"
    job = read_job(path)
    assembly = lay_out(job, ShapeLibrary.standard())
    assert [each.name for each in assembly.openings] == ["hatch"]
    findings = run_checks(assembly, job.accept)
    assert not [each.message for each in findings if each.verdict in (Verdict.FAIL, Verdict.DOUBTFUL)]


@pytest.mark.parametrize("ledge", ["", ", ledge = 22"])
def test_a_flush_ring_is_placed_by_what_shows_of_it_and_its_cover_by_strips(ledge: str) -> None:
    cover = f'{{ kind = "flush", gap = 0.4{ledge} }}'
    assembly, hatch = laid_opening(cover=cover, more='outline_is = "clear hole"\n')
    between = hatch.skin_hole.bounds.width - hatch.clear_hole.bounds.width
    assert hatch.ledge == pytest.approx(between / 2)
    assert ledge == "" or hatch.ledge == pytest.approx(22)
    (note,) = [each for each in assembly.notes if "inside the skin hole" in each]
    assert f"hatch: the ring shows {hatch.ledge:.2f} mm" in note
    assert "strips 0.40 mm (0.016 in) thick in its gap" in note
    lying, under = laid_opening()
    assert under.ledge == 0.0
    assert not any("inside the skin hole" in each for each in lying.notes)
