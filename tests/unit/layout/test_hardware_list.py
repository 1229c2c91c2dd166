"""The hardware list: every fastener once, grips with all layers, no length while a thickness is missing."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from templgen.job import read_job
from templgen.job.model import Job
from templgen.layout import lay_out
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.fastener_lengths import grip_of, length_of
from templgen.layout.hardware_list import hardware_list, spares_for
from templgen.shapes import ShapeLibrary
from tests.unit.layout.jobs import demo, head, mast, read, rib
from tests.unit.layout.opening_jobs import FASTENERS, opening_job

INCH = 25.4
OWN = """
[nutplate.own]
standard = "MS21047"
screw = "#8"
lug_thickness = 0.8
height = 5.6
"""
OWN_KIND = 'nutplates = { kind = "own" }\n'
BOX = """
[opening.hangs]
name = "box"
length = 60
width = 40
height = 20
{flange}
holes = [{{ fastener = "bolt", points = [[25, 15], [-25, -15]] }}]
"""
BOLT = """
[fastener.bolt]
kind = "screw"
size = "#6"
head = "protruding"
head_diameter = 6.9
behind_diameter = 9
behind_height = 5
"""


def made(text: str) -> tuple[Job, Assembly]:
    """Job and assembly of a text."""
    job = read(text)
    return job, lay_out(job, ShapeLibrary.standard())


def rows_of(text: str) -> list[dict[str, str]]:
    """The rows of the list by their column names."""
    table = hardware_list(*made(text))
    assert all(len(row) == len(table.columns) for row in table.rows)
    return [dict(zip(table.columns, row, strict=True)) for row in table.rows]


def one_of(assembly: Assembly, group: str) -> Fastener:
    """The first fastener of a group."""
    return next(each for each in assembly.fasteners if each.group == group)


@pytest.mark.parametrize(
    ("needed", "spares"), [(1, 2), (2, 2), (20, 2), (21, 3), (30, 3), (31, 4), (100, 10)]
)
def test_spares_are_a_tenth_and_two_at_least(needed: int, spares: int) -> None:
    assert spares_for(needed) == spares


@pytest.mark.parametrize(
    "text", [head() + rib() + mast(), opening_job(), opening_job(before=OWN, more=OWN_KIND)]
)
def test_every_new_fastener_is_bought_once_and_no_old_one(text: str) -> None:
    _, assembly = made(text)
    new = [each for each in assembly.fasteners if not each.exists and each.spec.kind != "hole"]
    rows = [
        row for row in rows_of(text) if row["what"].split(",")[0].split(" ")[0] in ("solid", "blind", "screw")
    ]
    assert sum(int(row["needed"]) for row in rows) == len(new)
    assert all(int(row["buy"]) == int(row["needed"]) + int(row["spares"]) for row in rows_of(text))


def test_grip_counts_every_face_with_the_leg_of_the_clip() -> None:
    assembly = demo()
    through_all = next(each for each in assembly.fasteners if "rib clip skin leg" in each.stack)
    assert grip_of(assembly, through_all).mm == pytest.approx((0.032 + 0.040 + 0.032) * INCH)


def test_grip_of_a_rivet_through_the_flange_counts_the_flange() -> None:
    _, assembly = made(head() + rib() + mast())
    rivet = next(each for each in assembly.fasteners if each.exists)
    assert grip_of(assembly, rivet).layers == (("skin", 0.8), ("rib flange", 1.0))


def test_structure_of_unknown_thickness_leaves_the_length_open() -> None:
    assembly = demo()
    rivet = next(each for each in assembly.fasteners if each.exists)
    unknown = replace(assembly.faces["rib 7 flange"], thickness=0.0)
    faces = {**assembly.faces, "rib 7 flange": unknown}
    length = length_of(replace(assembly, faces=faces), rivet, "in")
    assert not length.is_told
    assert length.mm is None
    assert "measure thickness of rib 7 flange" in length.words


def test_lug_rivets_need_the_lug_and_screws_the_height() -> None:
    """The tables know neither; then it is said what to measure, and no length stands there."""
    job, assembly = made(opening_job())
    lug = length_of(assembly, one_of(assembly, "hatch nutplate rivets"), job.unit)
    screw = length_of(assembly, one_of(assembly, "hatch screws"), job.unit)
    assert (lug.is_told, lug.mm, screw.is_told, screw.mm) == (False, None, False, None)
    assert "nutplate lug" in lug.words
    assert "height of the nutplate" in screw.words
    row = next(row for row in rows_of(opening_job()) if row["what"].startswith("nutplate"))
    assert "measure its lug thickness and height" in row["check against the part in hand"]
    assert "rivet spacing, rivet" in row["check against the part in hand"]


def test_lug_rivets_and_screws_with_a_measured_nutplate() -> None:
    job, assembly = made(opening_job(before=OWN, more=OWN_KIND))
    lug = one_of(assembly, "hatch nutplate rivets")
    ring = assembly.faces["hatch ring"].thickness
    assert grip_of(assembly, lug).mm == pytest.approx(ring + 0.8)
    told = length_of(assembly, lug, job.unit)
    assert told.wanted_mm == pytest.approx(ring + 0.8 + 1.5 * lug.spec.diameter)
    assert "over the head" in told.words
    screw = length_of(assembly, one_of(assembly, "hatch screws"), job.unit)
    cover, skin = assembly.faces["hatch cover"].thickness, 0.8
    assert screw.wanted_mm == pytest.approx(cover + skin + ring + 5.6 + INCH / 32)
    assert screw.mm is not None
    assert 0 <= screw.mm - (screw.wanted_mm or 0) < INCH / 16
    assert screw.mm / (INCH / 16) == pytest.approx(round(screw.mm / (INCH / 16)))


def test_lug_rivets_in_place_clamp_the_skin_too() -> None:
    more = 'nutplates = { kind = "own", riveted = "in place" }\n'
    _, assembly = made(opening_job(before=OWN, more=more))
    lug = one_of(assembly, "hatch nutplate rivets")
    assert [name for name, _ in grip_of(assembly, lug).layers] == ["skin", "hatch ring", "nutplate lug"]


def test_a_blind_rivet_goes_by_its_grip_range_and_never_by_the_rule_of_solid_ones() -> None:
    job, assembly = made(opening_job(more='rivets = { fastener = "pull" }\n'))
    held = length_of(assembly, one_of(assembly, "hatch ring rivets"), job.unit)
    assert (held.is_told, held.mm, held.wanted_mm) == (True, None, None)
    assert held.words == "grip 0.50 mm to 3.20 mm: holds it"
    thin = opening_job(more='rivets = { fastener = "pull" }\n').replace("grip_max = 3.2", "grip_max = 1.2")
    job, assembly = made(thin)
    lost = length_of(assembly, one_of(assembly, "hatch ring rivets"), job.unit)
    assert not lost.is_told
    assert "DOES NOT HOLD IT" in lost.words


def test_a_blind_rivet_without_its_range_says_what_it_must_hold() -> None:
    job, assembly = made(opening_job(more='rivets = { fastener = "pull" }\n'))
    rivet = one_of(assembly, "hatch ring rivets")
    length = length_of(assembly, replace(rivet, spec=replace(rivet.spec, grip_max=None)), job.unit)
    assert not length.is_told
    assert "it must hold" in length.words


@pytest.mark.parametrize("flange", ["", "flange = 1.2"])
def test_screws_of_the_box_need_its_flange(flange: str) -> None:
    text = opening_job(before=BOLT, more=BOX.format(flange=flange))
    job, assembly = made(text)
    mount = next(each for each in assembly.fasteners if each.spec.name == "bolt")
    length = length_of(assembly, mount, job.unit)
    if flange:
        cover = assembly.faces["hatch cover"].thickness
        assert length.wanted_mm == pytest.approx(cover + 1.2 + 5)
    else:
        assert "measure thickness of flange of box" in length.words


def test_a_metric_screw_has_no_length_of_the_tables() -> None:
    text = opening_job(before=OWN.replace("#8", "M4"), more=OWN_KIND, screws='{ fastener = "m4", count = 8 }')
    text = text.replace(
        FASTENERS,
        FASTENERS.replace(
            "screw = {",
            'm4 = { kind = "screw", size = "M4", head = "protruding", '
            'hole = "4.2 mm", head_diameter = 8 }\nscrew = {',
        ),
    ).replace('standard = "MS21047"', 'lugs = "two"\nrivet_spacing = 17.5\nrivet = "3/32"')
    job, assembly = made(text)
    screw = length_of(assembly, one_of(assembly, "hatch screws"), job.unit)
    assert screw.mm is None
    assert "and one thread" in screw.words


def test_the_hole_under_a_floating_nut_is_told_with_its_faces() -> None:
    floating = '[nutplate.own]\nstandard = "MS21059"\nscrew = "#8"\nrivet_spacing = 25.4\nfree_play = 0.8\n'
    row = rows_of(opening_job(before=floating, more=OWN_KIND))[0]
    assert "in skin and hatch ring" in row["drill"]


def test_the_holes_under_floating_nuts_are_told_for_both_halves_of_a_ring() -> None:
    floating = '[nutplate.own]\nstandard = "MS21059"\nscrew = "#8"\nrivet_spacing = 25.4\nfree_play = 0.8\n'
    halves = 'ring = { made = "halves" }\n'
    row = rows_of(opening_job(before=floating, more=OWN_KIND + halves))[0]
    assert "in skin, hatch ring 1 and hatch ring 2 #1" in row["drill"]


@pytest.mark.parametrize(("lugs", "said"), [("plain", True), ("countersunk", False)])
def test_plates_with_plain_lugs_under_dimples_are_not_listed_without_a_word(lugs: str, said: bool) -> None:
    """In place under a lying cover the thin skin is dimpled for the lug rivets, and the ring with it."""
    own = f'{OWN}lug_seat = "{lugs}"\n'
    nuts = 'nutplates = { kind = "own", riveted = "in place" }\n'
    rows = rows_of(opening_job(before=own, more=nuts))
    row = next(row for row in rows if row["what"].startswith("nutplate"))
    assert f"{lugs} lugs" in row["what"]
    assert ("plain lugs on dimples: see the findings" in row["check against the part in hand"]) is said
    (rivet,) = (row for row in rows if "solid rivet 3/32, flush" in row["what"])
    assert "dimple each sheet singly" in rivet["countersink or dimple"]


def test_a_countersink_is_told_with_its_sheet_and_its_cone() -> None:
    """3/32 flush head 0.179 in, hole #40 0.098 in, 100 degrees: (0.179 - 0.098) / 2 / tan 50 = 0.034 in."""
    row = next(row for row in rows_of(opening_job(before=OWN, more=OWN_KIND)) if "flush" in row["what"])
    assert row["countersink or dimple"] == "countersink hatch ring 100°, 4.55 mm wide, 0.86 mm deep"
    assert row["check against the part in hand"] == "hole, head, size for the nutplate"


def test_sheet_is_listed_with_its_blank() -> None:
    blanks = {row["joins"]: row["length"] for row in rows_of(head() + rib() + mast())}
    assert blanks["base plate"] == "blank 120.00 mm x 80.00 mm"


def test_rivets_of_one_length_are_bought_together_with_all_their_grips() -> None:
    job = read_job(Path(__file__).parents[3] / "templgen" / "build" / "jobs" / "mast.toml")
    row = hardware_list(job, demo()).rows[0]
    assert row[2] == "13"
    assert "0.072 in: 0.260 in; 0.104 in: 0.292 in" in row
