"""What templates, rough templates, fit pages and part sheets show, in numbers."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from templgen.drawing import Correction, Drawing, LineMark, Meaning, PathMark, Text
from templgen.geometry import Bounds, Side, Vec, contour_contour, locate
from templgen.job.starters import starter
from templgen.layout.cutting.plans import rough_allowance
from templgen.sheets import build_sheets
from templgen.trade.paper import find_paper
from tests.unit.sheets.support import DEMO, built, circles, contours, judged, sheet, texts

INSIDE = DEMO.replace('laid_on = "outside"', 'laid_on = "inside"')
RIGHT = DEMO.replace('hand = "left" ', 'hand = "right"')
STICK = DEMO.replace('use = "trace"', 'use = "stick"')
PLATE = (
    DEMO.split("[[bracket]]")[0]
    .replace("length = 6.0, width = 4.0, corner_radius = 0.5", 'length = "152 mm", width = "102 mm"')
    .replace(', through = ["skin", "base plate", "rib clip"]', "")
)
FAILING = DEMO.replace("[0.0, -1.745]", "[0.0, -1.9]")


def distances(points: list[Vec]) -> list[float]:
    """All distances between points: what no view may change."""
    return sorted(a.distance_to(b) for n, a in enumerate(points) for b in points[:n])


@pytest.mark.parametrize("text", [DEMO, INSIDE], ids=["outside", "inside"])
def test_template_shows_every_hole_of_the_skin_and_the_cutout_true_to_size(text: str) -> None:
    job, assembly, _ = judged(text)
    drawn = sheet("template", text).drawing
    holes = [f for f in assembly.fasteners if not f.exists and "skin" in f.stack]
    found = [*circles(drawn, Meaning.HOLE), *circles(drawn, Meaning.LOCATING_HOLE)]
    assert sorted(int(mark.name) for mark in found) == sorted(f.number for f in holes)
    by_number = {int(mark.name): mark for mark in found}
    assert all(by_number[f.number].radius == pytest.approx(f.spec.hole / 2) for f in holes)
    drawn_at = distances([by_number[f.number].centre for f in holes])
    assert drawn_at == pytest.approx(distances([f.at for f in holes]), abs=1e-9)
    (cut,) = contours(drawn, Meaning.CUT)
    (real,) = [c.contour for c in assembly.cutouts if "skin" in c.faces]
    assert cut.length == pytest.approx(real.length, abs=1e-9)
    assert abs(cut.area) == pytest.approx(abs(real.area), abs=1e-9)
    assert {int(mark.name) for mark in circles(drawn, Meaning.LOCATING_HOLE)} == {1, 2}
    assert job.laid_on in text


def turn_of(drawing_text: str) -> float:
    """Sense of the triangle of holes 1, 2 and 3 as drawn: positive is counter-clockwise."""
    drawn = sheet("template", drawing_text).drawing
    marks = {
        m.name: m.centre for m in [*circles(drawn, Meaning.HOLE), *circles(drawn, Meaning.LOCATING_HOLE)]
    }
    return (marks["2"] - marks["1"]).cross(marks["3"] - marks["1"])


def test_other_face_mirrors_the_view_and_no_word() -> None:
    assert turn_of(DEMO) * turn_of(INSIDE) < 0
    outside, inside = texts(sheet("template").drawing), texts(sheet("template", INSIDE).drawing)
    assert "OUTSIDE FACE" in outside
    assert "INSIDE FACE" in inside
    assert {"aft", "outboard", "nose", "tail"} <= set(outside) & set(inside)
    assert all(item.height > 0 for item in sheet("template", INSIDE).drawing.items if isinstance(item, Text))


def test_axis_words_go_with_their_arrows() -> None:
    def places(text: str) -> dict[str, float]:
        drawn = sheet("template", text).drawing
        return {item.text: item.at.x for item in drawn.items if isinstance(item, Text)}

    outside, inside = places(DEMO), places(INSIDE)
    # x points aft, the nose forward: whichever way the sheet is laid, "aft" is on the tail's side.
    assert (outside["tail"] > outside["nose"]) != (inside["tail"] > inside["nose"])


def test_template_says_the_rule_of_the_finish_line_and_what_to_do_at_the_trim() -> None:
    outside = " ".join(texts(sheet("template").drawing))
    assert "Cut the paper on the centre of the line." in outside
    assert "the outer edge of the ink is the finished edge, the ink is waste" in outside
    assert "Do not cut the paper here: lay the rivet row on the rivets." in outside
    inside = " ".join(texts(sheet("template", INSIDE).drawing))
    assert (
        "Cut the paper here: it butts against rib 7, stop at the web, do not push under the radius" in inside
    )
    assert "Trimmed away: 0.044 in (1.11 mm)" in outside


def test_nothing_that_is_needed_stands_inside_the_finish_line() -> None:
    drawn = sheet("template").drawing
    (cut,) = contours(drawn, Meaning.CUT)
    for item in drawn.items:
        place = (
            item.at if isinstance(item, Text) else item.line.midpoint if isinstance(item, LineMark) else None
        )
        assert place is None or locate(place, cut) is Side.OUTSIDE, item


def test_two_targets_on_rivets_that_exist_are_on_a_sheet_laid_outside() -> None:
    _, assembly, _ = judged(DEMO)
    targets = circles(sheet("template").drawing, Meaning.EXISTING)
    assert len(targets) >= 2
    pitch = sorted(a.centre.distance_to(b.centre) for n, a in enumerate(targets) for b in targets[:n])[0]
    assert pitch == pytest.approx(25.4, abs=1e-9)
    assert assembly.targets


def test_existing_rivets_and_finish_line_keep_their_place_to_each_other() -> None:
    _, assembly, _ = judged(DEMO)
    drawn = sheet("template").drawing
    locating = {mark.name: mark.centre for mark in circles(drawn, Meaning.LOCATING_HOLE)}
    real = {str(f.number): f.at for f in assembly.fasteners if f.locating}
    rivets = [f.at for f in assembly.fasteners if f.exists]
    for target in circles(drawn, Meaning.EXISTING):
        found = [target.centre.distance_to(locating[name]) for name in sorted(locating)]
        wanted = [[at.distance_to(real[name]) for name in sorted(real)] for at in rivets]
        assert any(found == pytest.approx(each, abs=1e-9) for each in wanted)


def test_rough_line_lies_its_allowance_inside_the_finish_line_on_the_same_locating_holes() -> None:
    job, assembly, _ = judged(DEMO)
    finish, rough = sheet("template").drawing, sheet("rough").drawing
    (cut,) = contours(finish, Meaning.CUT)
    (line,) = contours(rough, Meaning.ROUGH)
    shift = [
        next(m.centre for m in circles(each, Meaning.LOCATING_HOLE) if m.name == "1")
        for each in (finish, rough)
    ]
    assert contours(rough, Meaning.CUT) == []
    assert rough_allowance(job.unit) == pytest.approx(25.4 / 16)
    real = next(c.contour for c in assembly.cutouts if "skin" in c.faces)
    least = min(locate(p, cut) is Side.INSIDE for p in [v - shift[1] + shift[0] for v in line.vertices])
    assert least, "the rough line lies inside the finish line"
    assert abs(cut.length) == pytest.approx(real.length)
    for vertex in line.vertices:
        at = vertex - shift[1] + shift[0]
        assert min(_distance(at, segment) for segment in cut.segments) == pytest.approx(25.4 / 16, abs=1e-6)


def _distance(point: Vec, segment: object) -> float:
    from templgen.geometry import point_segment

    return point_segment(point, segment).distance  # type: ignore[arg-type]


def test_stick_use_has_all_lines_on_one_sheet() -> None:
    assert [each.kind for each in built(STICK)].count("rough") == 0
    drawn = sheet("template", STICK).drawing
    assert len(contours(drawn, Meaning.ROUGH)) == 1
    assert contour_contour(contours(drawn, Meaning.ROUGH)[0], contours(drawn, Meaning.CUT)[0]).distance == (
        pytest.approx(25.4 / 16, abs=1e-6)
    )


def test_fit_page_has_the_section_at_the_gap_and_a_quarter_millimetre_either_side() -> None:
    _, assembly, _ = judged(DEMO)
    (mast,) = assembly.masts
    holes = contours(sheet("fit").drawing, Meaning.CUT)
    lengths = sorted(hole.length for hole in holes)
    # A smooth convex outline at distance d is 2 pi d longer (Steiner).
    wanted = [mast.section.length + 2 * 3.141592653589793 * (mast.gap + step) for step in (-0.25, 0.0, 0.25)]
    assert lengths == pytest.approx(wanted, abs=1e-4)
    said = " ".join(texts(sheet("fit").drawing))
    assert "0.021 in (0.54 mm)" in said
    assert "0.031 in (0.79 mm)" in said
    assert "0.041 in (1.04 mm)" in said
    assert "scrap or card" in said


def test_a_plate_of_102_by_152_mm_fits_one_letter_page_with_everything() -> None:
    found = [each for each in built(PLATE) if each.kind == "template"]
    (template,) = found
    plate = next(i for i in template.drawing.items if isinstance(i, PathMark) and i.name == "base plate")
    assert sorted((plate.contour.bounds.width, plate.contour.bounds.height))[1] == pytest.approx(152.0)
    assert {template.drawing.width, template.drawing.height} == {215.9, 279.4}
    said = " ".join(texts(template.drawing))
    for word in (
        "OUTSIDE FACE",
        "LEFT HAND",
        "1 LOCATING",
        "aft",
        "outboard",
        "Lines on this sheet",
        "A to B",
    ):
        assert word in said
    assert not any(text.startswith("Not marked") for each in built(PLATE) for text in texts(each.drawing))


def test_a_finding_that_stops_cut_files_stamps_every_sheet() -> None:
    _, _, findings = judged(FAILING)
    assert any(finding.stops_cut_files for finding in findings)
    for each in built(FAILING):
        assert "DO NOT CUT" in texts(each.drawing), each.name
    assert not any("DO NOT CUT" in texts(each.drawing) for each in built())


def test_acceptance_stands_on_every_sheet_with_reason_who_and_when() -> None:
    for each in built():
        said = " ".join(texts(each.drawing))
        for word in ("2031-05-09", "by builder", "oved out past the old drain rivet"):
            assert word in said, (each.name, word)


def test_finding_numbers_on_the_drawing_are_those_of_the_notes() -> None:
    notes = " ".join(text for each in built() if each.kind == "notes" for text in texts(each.drawing))
    drawn = sheet("template").drawing
    rings = [i for i in drawn.items if getattr(i, "name", "") == "finding"]
    assert rings
    assert "Findings" in notes


def test_part_sheets_show_the_metal_as_seen_from_outside_whatever_the_paper_is_laid_on() -> None:
    for text in (DEMO, INSIDE):
        _, assembly, _ = judged(text)
        drawn = sheet("part", text).drawing
        outline = max(contours(drawn, Meaning.CUT), key=lambda c: abs(c.area))
        real = assembly.faces["base plate"].outline
        assert real is not None
        assert outline.area == pytest.approx(real.outer.area)
        assert "OUTSIDE FACE" in texts(drawn)
        marks = {
            # a plate inside gets its holes through the skin: on its sheet they are for reference
            m.name: m.centre
            for m in circles(drawn, Meaning.REFERENCE_HOLE)
        }
        at = {f.name: f.at for f in assembly.fasteners if not f.exists}
        seen = (marks["2"] - marks["1"]).cross(marks["3"] - marks["1"])
        assert seen == pytest.approx((at["2"] - at["1"]).cross(at["3"] - at["1"]))


def test_bracket_sheet_has_bend_lines_and_says_which_way() -> None:
    drawn = next(each for each in built() if each.title == "Flat pattern: rib clip").drawing
    said = " ".join(texts(drawn))
    assert "bend 90° away from you" in said
    assert "inside radius 0.156 in (3.97 mm)" in said
    bends = [i.line for i in drawn.items if isinstance(i, LineMark) and i.meaning is Meaning.BEND]
    assert len(bends) == 2
    # Bend allowance of AC 43.13-1B para 4-56: N (0.01743 R + 0.0078 T), here in inches.
    allowance = 90 * (0.01743 * 0.15625 + 0.0078 * 0.032) * 25.4
    assert abs(bends[0].start.y - bends[1].start.y) == pytest.approx(allowance, abs=1e-3)


def test_two_masts_have_two_templates() -> None:
    second = DEMO.split("[[mast]]")[1].split("[[bracket]]")[0]
    second = second.replace('name = "mast"', 'name = "other mast"').replace("along = 6.0", "along = 20.0")
    text = DEMO.replace("to = [12.0, 0.0]", "to = [30.0, 0.0]").replace(
        "[[bracket]]", "[[mast]]" + second + "[[bracket]]"
    )
    text = text.replace('edge = "butting"', 'edge = "butting"\nof = "mast"')
    text = text.replace('parts = ["paper", "base plate"]', 'parts = ["paper", "base plate of mast"]')
    text = text.replace('part = "base plate"', 'part = "base plate of mast"')
    text = text.replace(', through = ["skin", "base plate", "rib clip"]', "")
    titles = [each.title for each in built(text)]
    assert [title for title in titles if title.startswith("Template")] == [
        "Template: mast",
        "Template: other mast",
    ]
    assert [title for title in titles if title.startswith("Fit")] == [
        "Fit page: mast",
        "Fit page: other mast",
    ]


def test_extent_of_all_marks_is_inside_the_frame() -> None:
    for each in built():
        frame = next(
            i for i in each.drawing.items if isinstance(i, PathMark) and i.name == "frame"
        ).contour.bounds
        for item in each.drawing.items:
            box = Bounds.of([item.line.start, item.line.end]) if isinstance(item, LineMark) else None
            assert box is None or all(frame.grown(1e-6).contains(corner) for corner in box.corners)


def test_same_job_gives_the_same_sheets() -> None:
    again = build_sheets(*judged(DEMO), find_paper("letter"))
    assert again == built()


@pytest.mark.parametrize("kind", ["mast", "holes", "cutout", "part", "bracket"])
def test_a_sheet_that_speaks_of_targets_shows_two_at_least(kind: str) -> None:
    for each in built(starter(kind)):
        said = " ".join(texts(each.drawing))
        if each.kind == "template" and "the targets on the rivets" in said:
            assert len(circles(each.drawing, Meaning.EXISTING)) >= 2, each.name


def test_loose_holes_near_a_rib_are_placed_by_its_rivets_and_far_ones_by_measure() -> None:
    near = " ".join(text for each in built(starter("holes"), "a4") for text in texts(each.drawing))
    assert "the targets on the rivets of rib 3" in near
    bare = starter("holes").replace("rivets = [", "# rivets = [")
    far = " ".join(text for each in built(bare) for text in texts(each.drawing))
    assert "measured from the origin" in far
    assert "the targets on the rivets" not in far


def ringed(drawing: Drawing) -> set[str]:
    """Numbers of findings: bold words that are nothing but numbers."""
    bold = [item.text for item in drawing.items if isinstance(item, Text) and item.bold]
    return {number for words in bold for number in words.split(", ") if number.isdecimal()}


@pytest.mark.parametrize("text", [DEMO, INSIDE, RIGHT, STICK, FAILING])
def test_every_ringed_number_of_a_template_stands_in_the_notes_and_the_sheet_says_so(text: str) -> None:
    pages = built(text)
    explained = set().union(*(ringed(each.drawing) for each in pages if each.kind == "notes"))
    drawn = next(each.drawing for each in pages if each.kind == "template")
    assert ringed(drawn)
    assert ringed(drawn) <= explained
    assert "Findings, cautions: notes." in " ".join(texts(drawn))


def test_a_rough_sheet_says_how_little_the_drilled_holes_leave() -> None:
    job, assembly, _ = judged(DEMO)
    (plan,) = [each for each in assembly.cutting if each.holes and "skin" in each.faces]
    said = " ".join(texts(sheet("rough", DEMO).drawing))
    assert plan.allowance < rough_allowance(job.unit)
    assert f"at the drilled holes {plan.allowance / 25.4:.3f} in" in said


def moved_from_rib(off: str, laid_on: str) -> str:
    """The demo's mast farther from the rib, without the bracket: its plate does not reach the trim line."""
    text = DEMO.replace("off = 2.3", f"off = {off}").replace('laid_on = "outside"', f'laid_on = "{laid_on}"')
    before, after = text.split("[[bracket]]")
    trim = after.split("[[trim]]")[1].split("[[accept]]")[0]
    return before.replace(', through = ["skin", "base plate", "rib clip"]', "") + "[[trim]]" + trim


@pytest.mark.parametrize("laid_on", ["outside", "inside"])
def test_a_template_says_which_trim_line_does_not_reach_it(laid_on: str) -> None:
    # The plate's edge is 2 in from its middle, the paper 12 mm more: at 3.2 in the line misses both.
    said = " ".join(texts(sheet("template", moved_from_rib("3.2", laid_on)).drawing))
    missed = "No trim here: the line at rib 7 (web face, set back 0.031 in (0.79 mm)) does not reach the"
    assert f"{missed} paper and base plate." in said
    assert "thick ticked edge" not in said
    plate = " ".join(texts(sheet("part", moved_from_rib("3.2", laid_on)).drawing))
    assert f"{missed} base plate." in plate
    assert "No trim here" not in " ".join(texts(sheet("template").drawing))


@pytest.mark.parametrize(("off", "reached"), [("2.5", True), ("2.7", True), ("3.2", False)])
def test_paper_that_is_cut_shows_where_even_in_its_margin(off: str, reached: bool) -> None:
    drawn = sheet("template", moved_from_rib(off, "inside")).drawing
    edges = [item for item in drawn.items if isinstance(item, LineMark) and item.meaning is Meaning.BUTT]
    said = " ".join(texts(drawn))
    assert ("Cut the paper here: it butts against rib 7" in said) == reached
    assert any(edge.line.length > 100.0 for edge in edges) == reached


def test_the_fit_page_tells_its_steps_in_the_unit_of_the_job_first() -> None:
    said = texts(sheet("fit").drawing)
    assert {"0.010 in (0.25 mm) less", "0.010 in (0.25 mm) more"} <= set(said)
    job = Path(__file__).parents[2] / "golden" / "metric_mast" / "job.toml"
    metric = texts(sheet("fit", job.read_text(encoding="utf-8")).drawing)
    assert {"0.25 mm (0.010 in) less", "0.25 mm (0.010 in) more"} <= set(metric)


def test_without_locating_holes_no_sheet_speaks_of_them() -> None:
    rough = next(each for each in built(starter("existing"), "a4") if each.kind == "rough")
    told = " ".join(text for each in built(starter("existing"), "a4") for text in texts(each.drawing))
    assert "Laid as the finish one." in " ".join(texts(rough.drawing))
    assert "locating" not in told
    assert "on the same holes" not in told


def test_a_corrected_template_says_where_what_was_accepted_stands() -> None:
    """Its title block has a line more, for the printer, and takes the room of the block."""
    correction = Correction(1.0048, 1.0009, 0.05, printer="garage", number=1)
    pages = build_sheets(*judged(DEMO), find_paper("letter"), correction)
    on_notes = " ".join(text for each in pages if each.kind == "notes" for text in texts(each.drawing))
    assert "oved out past the old drain rivet" in on_notes
    for each in pages:
        if each.kind != "notes":
            said = " ".join(texts(each.drawing))
            pointed = re.search(r"On the notes sheets: [^.]*accepted finding \d", said)
            assert pointed or "oved out past the old drain rivet" in said, each.name
    template = " ".join(texts(pages[0].drawing))
    assert "oved out past" not in template
    assert re.search(r"accepted finding \d", template)


def test_the_notes_say_how_far_every_existing_hole_is_off() -> None:
    told = " ".join(text for each in built(starter("existing"), "a4") for text in texts(each.drawing))
    for name in ("fourth rivet", "tenth rivet", "tooling hole"):
        assert re.search(rf"{name}: 0\.\d\d mm \(0\.00\d in\) off, doubts explain", told), name


def test_a_sheet_whose_legend_found_no_room_points_to_the_notes() -> None:
    text = starter("cutout")
    pages = built(text, "letter")
    notes = [line for page in pages if page.kind == "notes" for line in texts(page.drawing)]
    titles = [line.removeprefix("More about: ") for line in notes if line.startswith("More about: ")]
    moved = [
        page for page in pages if page.title in titles and "Lines on this sheet" not in texts(page.drawing)
    ]
    assert moved
    for page in moved:
        assert any("notes sheets" in line for line in texts(page.drawing)), page.title
