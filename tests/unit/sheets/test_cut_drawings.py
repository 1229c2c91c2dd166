"""Drawings for cut files and the drill schedule."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from templgen.drawing import CircleMark, Drawing, LineMark, Meaning, PathMark, Text
from templgen.geometry import Side, locate
from templgen.sheets import cut_drawings, drill_schedule, left_out_of_cuts
from tests.unit.layout.opening_jobs import flush_job, opening_job
from tests.unit.sheets.support import DEMO, built, circles, judged, texts

OPENING = files("templgen.build").joinpath("jobs/opening.toml").read_text(encoding="utf-8")
INSIDE = DEMO.replace('laid_on = "outside"', 'laid_on = "inside"')


def cuts(text: str = DEMO) -> dict[str, Drawing]:
    job, assembly, findings = judged(text)
    return cut_drawings(job, assembly, findings)


def test_there_is_one_drawing_for_each_made_part() -> None:
    assert list(cuts()) == ["base plate", "rib clip"]


def test_outlines_are_closed_and_carry_no_words() -> None:
    for drawing in cuts().values():
        assert drawing.width is None
        paths = [item for item in drawing.items if isinstance(item, PathMark)]
        assert paths
        assert all(path.contour.closed and path.meaning is Meaning.CUT for path in paths)
        assert all(item.meaning is Meaning.NOTE for item in drawing.items if isinstance(item, Text))
        kinds = {item.meaning for item in drawing.items if isinstance(item, LineMark)}
        assert kinds <= {Meaning.BEND}


def test_no_outline_is_doubled_and_holes_lie_in_the_metal() -> None:
    for drawing in cuts().values():
        outlines = [item.contour for item in drawing.items if isinstance(item, PathMark)]
        boxes = [(c.bounds, round(abs(c.area), 6)) for c in outlines]
        assert len(set(boxes)) == len(boxes)
        outer = max(outlines, key=lambda contour: abs(contour.area))
        holes = [item for item in drawing.items if isinstance(item, CircleMark)]
        assert holes
        assert all(locate(hole.centre, outer) is Side.INSIDE for hole in holes)


def test_holes_are_the_assemblys_those_that_are_only_shown_at_their_final_size() -> None:
    _, assembly, _ = judged(DEMO)
    found = {i.name: i for i in cuts()["base plate"].items if isinstance(i, CircleMark)}
    wanted = {hole.fastener.name: hole for hole in assembly.holes("base plate")}
    assert found.keys() == wanted.keys()
    for name, hole in wanted.items():
        assert found[name].meaning is Meaning.NOT_CUT
        assert found[name].centre == hole.fastener.at
        assert found[name].radius == pytest.approx(hole.diameter / 2)


# Number drills by ASME B94.11M: #40 is 0.0980 in.
NUMBER_40 = 0.0980 * 25.4


def test_a_hole_with_a_pilot_is_cut_at_the_size_of_its_pilot_drill() -> None:
    """Common practice, no source: no hole burned to its final size, with the starter notch in its edge."""
    for text, part in ((FLUSH, "hatch cover"), (DEMO, "rib clip")):
        _, assembly, _ = judged(text)
        drawing = cuts(text)[part]
        holes = circles(drawing, Meaning.HOLE)
        piloted = {each.name for each in assembly.fasteners if each.spec.pilot == "#40"}
        assert holes
        assert {hole.name for hole in holes} <= piloted
        assert all(2 * hole.radius == pytest.approx(NUMBER_40, abs=1e-6) for hole in holes)
        assert any("circles are the pilot" in line for line in texts(drawing))
        assert "at pilot size" in left_out_of_cuts(assembly)[part]


def test_a_hole_without_a_pilot_is_cut_at_its_final_size() -> None:
    text = flush_job('nutplates = { made_from = "paper" }\n')
    _, assembly, _ = judged(text)
    lugs = {name for plate in assembly.openings[0].nutplates for name in plate.rivets}
    sizes = {each.name: each.spec.hole for each in assembly.fasteners if each.name in lugs}
    ring = cuts(text)["hatch ring"]
    shown = {i.name: 2 * i.radius for i in circles(ring, Meaning.HOLE) if i.name in lugs}
    assert shown == pytest.approx(sizes)
    assert any("circles are the final size" in line for line in texts(ring))


FLUSH = flush_job()


def test_lug_holes_are_the_nutplates_not_the_shops() -> None:
    # common practice, no source: a lug hole is drilled through the lug, whose place only the part in hand has
    _, assembly, _ = judged(FLUSH)
    lugs = {name for plate in assembly.openings[0].nutplates for name in plate.rivets}
    drawn = cuts(FLUSH)
    ring = {i.name for i in drawn["hatch ring"].items if isinstance(i, CircleMark)}
    assert lugs
    assert ring == {hole.fastener.name for hole in assembly.holes("hatch ring")} - lugs
    said = [i.text for i in drawn["hatch ring"].items if isinstance(i, Text)]
    assert any(f"without {len(lugs)} lug holes" in line and "nutplates" in line for line in said)
    counted = [re.match(r"(?:holes|drilled): (\d+) x", line) for line in said]
    assert sum(int(found[1]) for found in counted if found) == len(ring)
    without = [part for part, told in left_out_of_cuts(assembly).items() if "lug holes" in told]
    assert without == ["hatch ring"]


def test_holes_that_are_drilled_through_another_part_are_not_cut() -> None:
    _, assembly, _ = judged(FLUSH)
    ring, cover = cuts(FLUSH)["hatch ring"], cuts(FLUSH)["hatch cover"]
    assert not circles(ring, Meaning.HOLE)
    assert len(circles(ring, Meaning.NOT_CUT)) > 20
    assert {i.name for i in circles(cover, Meaning.HOLE)} == {
        hole.fastener.name for hole in assembly.holes("hatch cover")
    }
    assert not circles(cover, Meaning.NOT_CUT)
    assert "drilled through skin" in left_out_of_cuts(assembly)["hatch ring"]


def test_lug_holes_that_the_builder_takes_from_paper_are_cut() -> None:
    text = flush_job('nutplates = { made_from = "paper" }\n')
    _, assembly, _ = judged(text)
    ring = {i.name for i in cuts(text)["hatch ring"].items if isinstance(i, CircleMark)}
    assert ring == {hole.fastener.name for hole in assembly.holes("hatch ring")}
    assert "lug holes" not in left_out_of_cuts(assembly)["hatch ring"]


FLOATING = """
[nutplate.float]
standard = "MS21059"
screw = "#8"
rivet_spacing = 25.4
free_play = 0.8
"""


@pytest.mark.parametrize("cover", ['{ kind = "lying" }', '{ kind = "flush", gap = 0.4 }'])
def test_the_hole_under_a_floating_nut_is_its_own_on_every_sheet(cover: str) -> None:
    """Screw (0.164 in) and free play both ways: 0.227 in, drill #1 (0.228 in). The cover keeps its hole."""
    more = 'rivets = { fastener = "pull" }\nnutplates = { kind = "float" }\n'
    more += 'outline_is = "clear hole"\n' if "flush" in cover else ""
    text = opening_job(cover=cover, before=FLOATING, more=more)
    job, assembly, _ = judged(text)
    screws = assembly.openings[0].screws
    drawn, sheets = cuts(text), built(text, "a3")
    for face, sheet in (
        ("hatch ring", "part-hatch-ring"),
        ("hatch cover", "part-hatch-cover"),
        ("skin", "template-skin"),
    ):
        shown = [
            item
            for each in sheets
            if sheet in each.name
            for meaning in (Meaning.HOLE, Meaning.LOCATING_HOLE, Meaning.REFERENCE_HOLE)
            for item in circles(each.drawing, meaning)
        ]
        shown += circles(drawn[face], Meaning.NOT_CUT) if face in drawn else []
        wanted = {h.fastener.name: h.diameter for h in assembly.holes(face) if h.fastener.name in screws}
        found = [(wanted[item.name], 2 * item.radius) for item in shown if item.name in wanted]
        assert len(found) >= len(wanted)
        assert all(size == pytest.approx(want) for want, size in found)
    ring = [i.text for i in drawn["hatch ring"].items if isinstance(i, Text)]
    counts = [re.match(r"drilled: (\d+) x #1 \(5.79 mm\)", line) for line in ring]
    assert sum(int(found[1]) for found in counts if found) == len(screws)
    words = " ".join(
        text for each in sheets if "part-hatch-ring" in each.name for text in texts(each.drawing)
    )
    assert "then #1 " in f"{words} "
    remarks = [row[-1] for row in drill_schedule(job, assembly).rows if row[0] in screws]
    assert len(remarks) == len(screws)
    assert all("hatch ring" in each and "final #1, 5.79 mm" in each for each in remarks)


def test_on_paper_lug_holes_are_drawn_for_reference_without_a_centre_to_prick() -> None:
    _, assembly, _ = judged(FLUSH)
    lugs = {name for plate in assembly.openings[0].nutplates for name in plate.rivets}
    rings = [each for each in built(FLUSH, "a3") if each.name.split("-", 1)[1].startswith("part-hatch-ring")]
    shown = {i.name for each in rings for i in circles(each.drawing, Meaning.REFERENCE_HOLE)}
    final = {i.name for each in rings for i in circles(each.drawing, Meaning.HOLE)}
    assert lugs < shown, "the others come through the skin and the cover"
    assert shown == {each.fastener.name for each in assembly.holes("hatch ring")}
    assert not final & shown
    words = " ".join(text for each in built(FLUSH, "a3") for text in texts(each.drawing))
    assert "are drilled through the lugs" in words


def test_notes_stand_outside_the_outline_and_say_what_the_shop_needs() -> None:
    for name, drawing in cuts().items():
        outer = next(item.contour for item in drawing.items if isinstance(item, PathMark)).bounds
        notes = [item for item in drawing.items if isinstance(item, Text)]
        assert all(note.at.y + note.height < outer.ymin for note in notes)
        said = " ".join(note.text for note in notes)
        job, _, _ = judged(DEMO)
        words = ("2024-T3 clad", "as seen from outside", "left hand", job.digest, "pilot #40")
        for word in (name, *words):
            assert word in said, (name, word)


def test_an_accepted_finding_is_noted_in_the_file_cut_under_it() -> None:
    said = " ".join(item.text for item in cuts()["base plate"].items if isinstance(item, Text))
    assert "accepted" in said
    assert "2031-05-09" in said


def test_the_face_on_which_paper_is_laid_changes_no_cut_file() -> None:
    one, other = cuts()["base plate"], cuts(INSIDE)["base plate"]
    assert [i for i in one.items if not isinstance(i, Text)] == [
        i for i in other.items if not isinstance(i, Text)
    ]


def test_schedule_has_a_row_for_every_hole_that_is_drilled() -> None:
    job, assembly, _ = judged(DEMO)
    table = drill_schedule(job, assembly)
    assert [row[0] for row in table.rows] == [str(number) for number in range(1, 16)]
    assert all(len(row) == len(table.columns) for row in table.rows)
    made = {row[table.columns.index("made from")] for row in table.rows}
    # the clip's rivets in the rib's web are drilled through the clip, the plate's through the skin
    assert made == {"paper, through rib clip", "paper, through skin"}


def test_schedule_gives_places_from_both_datums_as_measured() -> None:
    job, assembly, _ = judged(DEMO)
    table = drill_schedule(job, assembly)
    row = dict(zip(table.columns, table.rows[0], strict=True))
    # Hole 1: 2.5 in ahead of the mast, its middle 6.0 along rib 7 and 2.3 off; x grows aft.
    assert (row["x"], row["y"]) == ("3.500", "2.300")
    assert (row["line"], row["along"], row["off"]) == ("rib 7 rivet row", "3.500", "2.300")
    assert (row["pilot drill"], row["final drill"], row["head side"]) == ("#40", "#30", "outside")
    assert row["final size"] == "0.129 in"
    assert row["remark"] == "locating hole"


def test_schedule_of_a_job_measured_inside_keeps_the_measured_numbers() -> None:
    inside = DEMO.replace('measured_on = "outside"', 'measured_on = "inside"')
    job, assembly, _ = judged(inside)
    assert assembly.view.is_mirrored
    row = drill_schedule(job, assembly).rows[0]
    assert row[2:4] == ("3.500", "2.300")


def test_a_cover_with_a_lip_is_cut_as_its_flat_pattern() -> None:
    text = OPENING.replace(
        "thickness = 0.040", "thickness = 0.040\nlip = { height = 0.4, bend_radius = 0.16 }"
    )
    _, assembly, _ = judged(text)
    drawing = cuts(text)["hatch cover"]
    (outline,) = [item.contour for item in drawing.items if isinstance(item, PathMark)]
    bends = [item.line for item in drawing.items if isinstance(item, LineMark)]
    (hatch,) = assembly.openings
    assert hatch.lip is not None
    assert outline.bounds.width == pytest.approx(hatch.cover.bounds.width + 2 * hatch.lip.blank_growth)
    assert len(bends) == 8
    assert all(locate(line.midpoint, outline) is Side.INSIDE for line in bends)
    assert len([item for item in drawing.items if isinstance(item, Text) and "bend 90" in item.text]) == 1
