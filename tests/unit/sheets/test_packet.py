"""The bench packet: what is in it, that nothing overlaps, and that its sheets are those of the job."""

from __future__ import annotations

import math
import re
from functools import cache
from importlib.resources import files
from io import BytesIO

import pikepdf
import pytest

from templgen.drawing import CircleMark, Meaning, PathMark, Text
from templgen.exporters.pdf import pdf_bytes
from templgen.layout.work.steps import work_steps
from templgen.sheets import Sheet, drill_schedule
from templgen.sheets.lettering import TITLE
from templgen.sheets.overlaps import overlaps
from templgen.sheets.packet.build import packet_sheets, page_words
from templgen.sheets.packet.drilling import by_part, by_step
from templgen.sheets.packet.joints import joints_of
from templgen.sheets.packet.section import NOT_TO_SCALE
from templgen.trade.paper import find_paper
from tests.unit.layout.opening_jobs import flush_job
from tests.unit.sheets.support import DEMO, built, circles, judged, texts

OPENING = files("templgen.build").joinpath("jobs/opening.toml").read_text(encoding="utf-8")
INSIDE = DEMO.replace('laid_on = "outside"', 'laid_on = "inside"')
FAILING = DEMO.replace("[0.0, -1.745]", "[0.0, -1.9]")
FLUSH = OPENING.replace('kind = "lying"\nthickness = 0.040', 'kind = "flush"\ngap = 0.015').replace(
    'outline = { shape = "rectangle", length = 4.0',
    'outline_is = "clear hole"\noutline = { shape = "rectangle", length = 4.0',
)


@cache
def packet(text: str, paper: str = "letter") -> tuple[Sheet, ...]:
    """The packet of a job file on a paper."""
    job, assembly, findings = judged(text)
    steps = work_steps(job, assembly)
    return packet_sheets(job, assembly, findings, built(text, paper), steps, find_paper(paper))


def titled(text: str, title: str) -> list[Sheet]:
    """The pages whose title begins so."""
    found = [page for page in packet(text) if page.title.startswith(title)]
    assert found, title
    return found


def words_of(pages: list[Sheet]) -> str:
    """All words of some pages, line after line."""
    return "\n".join(line for page in pages for line in texts(page.drawing))


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("text", [DEMO, OPENING], ids=["mast", "opening"])
def test_no_page_has_a_fault(text: str, paper: str) -> None:
    assert {page.title: found for page in packet(text, paper) if (found := overlaps(page.drawing))} == {}


@pytest.mark.parametrize("text", [INSIDE, FAILING, FLUSH], ids=["inside", "failing", "flush"])
def test_other_jobs_have_no_fault(text: str) -> None:
    assert {page.title: found for page in packet(text) if (found := overlaps(page.drawing))} == {}


@pytest.mark.heavy
@pytest.mark.parametrize("paper", ["legal", "tabloid", "a3", "letter, margin 12 mm", "a4, margin 12 mm"])
@pytest.mark.parametrize("text", [DEMO, OPENING], ids=["mast", "opening"])
def test_no_page_of_other_papers_has_a_fault(text: str, paper: str) -> None:
    assert {page.title: found for page in packet(text, paper) if (found := overlaps(page.drawing))} == {}


@pytest.mark.parametrize("text", [DEMO, OPENING], ids=["mast", "opening"])
def test_every_page_has_its_number_once(text: str) -> None:
    pages = packet(text)
    for number, page in enumerate(pages, 1):
        found = [line for line in texts(page.drawing) if re.fullmatch(r"Page \d+ of \d+", line)]
        assert found == [page_words(number, len(pages))]


@pytest.mark.parametrize("text", [DEMO, OPENING], ids=["mast", "opening"])
def test_the_sheets_are_those_of_the_job_with_one_mark_more(text: str) -> None:
    """One drawing, two files: what is proved of a sheet holds in the packet too."""
    own = {page.name: page for page in packet(text)}
    for sheet in built(text):
        assert own[sheet.name].drawing.items[:-1] == sheet.drawing.items
        assert isinstance(own[sheet.name].drawing.items[-1], Text)


@pytest.mark.parametrize("text", [DEMO, OPENING], ids=["mast", "opening"])
def test_the_contents_name_the_page_on_which_each_title_begins(text: str) -> None:
    pages = packet(text)
    front = words_of(titled(text, "Front page"))
    for title in dict.fromkeys(page.title for page in pages if page.title != "Front page"):
        first = next(number for number, page in enumerate(pages, 1) if page.title == title)
        assert re.search(rf"^{re.escape(title)}[ .]*\n{first}$", front, re.MULTILINE), title


def test_the_front_page_tells_decisions_checks_and_cautions() -> None:
    words = words_of(titled(DEMO, "Front page"))
    for heading in ("BENCH PACKET", "Contents", "Decisions", "Checks", "Accepted", "Cautions"):
        assert heading in words.splitlines()
    assert "This is a drawing aid, not approved data." in words
    assert "No error stands." in words


def test_a_job_with_errors_is_stamped_on_every_page() -> None:
    for page in packet(FAILING):
        assert "DO NOT CUT" in texts(page.drawing), page.title
    assert "ERRORS STAND: nothing is cut by this packet." in words_of(titled(FAILING, "Front page"))


@pytest.mark.parametrize("text", [DEMO, OPENING, FLUSH], ids=["mast", "opening", "flush"])
def test_every_tick_of_every_step_has_its_box(text: str) -> None:
    job, assembly, _ = judged(text)
    steps = work_steps(job, assembly)
    boxes = [
        item
        for page in titled(text, "Steps")
        for item in page.drawing.items
        if isinstance(item, PathMark) and item.name == "tick box"
    ]
    assert len(boxes) == sum(len(step.ticks) for step in steps) > 0
    words = words_of(titled(text, "Steps")).splitlines()
    assert all(str(step.number) in words for step in steps)


def test_the_steps_tell_what_saves_a_skin() -> None:
    words = words_of(titled(OPENING, "Steps")).lower().replace("\n", " ")
    for told in ("tape", "swarf", "wood behind", "stop short of the line", "deburr"):
        assert told in words, told


@pytest.mark.parametrize("text", [DEMO, OPENING], ids=["mast", "opening"])
def test_the_section_is_marked_not_to_scale_and_names_every_face(text: str) -> None:
    _, assembly, _ = judged(text)
    words = words_of(titled(text, "The stack in section"))
    assert "NOT TO SCALE: measure nothing here" in words
    joined = {name for each in assembly.fasteners if not each.exists for name in each.stack}
    assert all(re.search(rf"\b{re.escape(name)}\b", words) for name in joined)


def test_the_section_has_a_break_where_a_part_is_not() -> None:
    """Screws A, lug rivets B, ring rivets C, the box D: the cover ends before C, skin and ring before D."""
    page = titled(OPENING, "The stack in section")[0]
    bars = [item.contour.bounds for item in page.drawing.items if getattr(item, "name", "") == "section"]
    tops = sorted({round(bar.ymax, 3) for bar in bars}, reverse=True)
    assert len(tops) == 3
    cover, skin, ring = ([bar for bar in bars if round(bar.ymax, 3) == top] for top in tops)
    # Every hole parts a bar: the cover has A and, in a second bar, D; the skin A and C; the ring A to C.
    assert [len(cover), len(skin), len(ring)] == [4, 3, 4]


DIMPLED = (
    FLUSH.replace(
        'head = "protruding", hole = "#19", pilot = "#40", head_diameter = 0.322, head_height = 0.115',
        "{seat}",
    )
    .replace("{seat}", 'head = "flush", seat = "dimpled", hole = "#19"')
    .replace("gap = 0.015", "gap = 0.015\nthickness = 0.032")
    .replace("length = 4.0, width = 3.0", "length = 4.6, width = 3.6")
)
INTO_RING = DIMPLED.replace(
    "[opening.ring]\n", '[opening.ring]\nthickness = 0.090\nunder_dimples = "countersunk"\n'
)


@pytest.mark.parametrize(
    ("text", "out"), [(INTO_RING, False), (DIMPLED, True)], ids=["countersunk", "dimpled"]
)
def test_the_section_bends_what_is_dimpled_and_not_the_ring_that_is_countersunk(text: str, out: bool) -> None:
    """A dimpled bar has metal below its foot, at the hole; plain nutplates stand on it, and touch a ring that
    takes the dimples."""
    page = titled(text, "The stack in section")[0]
    marks = [item for item in page.drawing.items if isinstance(item, PathMark)]
    bars = [item.contour for item in marks if item.name == "section"]
    tops = sorted({round(bar.bounds.ymax, 3) for bar in bars}, reverse=True)
    assert len(tops) == 2
    cover, ring = ([bar for bar in bars if round(bar.bounds.ymax, 3) == top] for top in tops)
    assert min(bar.bounds.ymin for bar in cover) < tops[1] - 1.0
    foot = max(bar.bounds.ymin for bar in ring)
    assert (min(bar.bounds.ymin for bar in ring) < foot - 1.0) is out
    plates = [
        item.contour.bounds for item in marks if item.name == "fastener" and item.contour.bounds.width > 17
    ]
    behind = sorted({round(foot - plate.ymax, 3) for plate in plates if plate.ymax < tops[1] - 1.0})
    assert behind == ([0.0, 4.2] if out else [0.0])


def test_the_schedule_by_part_tells_dimples_in_the_cover_and_countersinks_in_the_ring() -> None:
    """#8 over 0.032 in: 0.332 + 2 x 0.032 (1 / sin 50 - 1) tan 50 = 0.355 in wide, 0.079 in deep to #19."""
    job, assembly, _ = judged(INTO_RING)
    table = by_part(job, assembly)
    rows = [dict(zip(table.columns, row, strict=True)) for row in table.rows]
    told = {row["part"]: row["countersink or dimple"] for row in rows if row["holes"].startswith("1")}
    assert told["hatch cover"] == "dimple it singly, #8 die"
    screws = [row["countersink or dimple"] for row in rows if row["part"].startswith("hatch ring")]
    assert "countersink hatch ring 1 100° for the dimples, 0.355 in wide, 0.079 in deep" in screws


@pytest.mark.parametrize("text", [DEMO, OPENING], ids=["mast", "opening"])
def test_the_plan_shows_every_hole_of_the_skin_plane_at_1_to_1(text: str) -> None:
    """Distances between holes on the page are those of the assembly."""
    _, assembly, _ = judged(text)
    page = titled(text, "Plan of the set")[0]
    kinds = (Meaning.HOLE, Meaning.REFERENCE_HOLE)
    drawn = {i.name: i.centre for kind in kinds for i in circles(page.drawing, kind) if i.name}
    wanted = [each for each in assembly.fasteners if not each.exists and each.plane == "skin"]
    assert set(drawn) == {str(each.number) for each in wanted}
    first = wanted[0]
    for each in wanted[1:]:
        apart = drawn[str(first.number)].distance_to(drawn[str(each.number)])
        assert apart == pytest.approx(first.at.distance_to(each.at), abs=1e-9)


def test_every_part_that_is_drilled_stands_in_the_schedule_by_part() -> None:
    job, assembly, _ = judged(OPENING)
    table = by_part(job, assembly)
    drilled = [each for each in assembly.fasteners if not each.exists]
    counted = sum(int(row[2]) for row in table.rows if not row[1].startswith("C"))
    assert counted == sum(len(each.stack) for each in drilled)


UNPILOTED = flush_job()
"""A flush cover; no fastener of the job names a pilot."""


def test_every_table_and_sheet_names_the_same_pilot_for_a_hole() -> None:
    job, assembly, _ = judged(UNPILOTED)
    table = drill_schedule(job, assembly)
    by_number = {row[0]: row[table.columns.index("pilot drill")] for row in table.rows}
    screw = next(each for each in assembly.fasteners if each.spec.kind == "screw" and each.locating)
    lug = next(each for each in assembly.fasteners if each.is_from_nutplate)
    assert (by_number[screw.name], by_number[lug.name]) == ("#40", "")
    schedule = by_part(job, assembly)
    pilots = {row[schedule.columns.index("pilot")] for row in schedule.rows if not row[1].startswith("C")}
    assert pilots == {"#40", ""}
    first: dict[str, str] = {}
    for step in work_steps(job, assembly):
        for drilling in step.drills:
            for hole in drilling.holes:
                first.setdefault(hole, drilling.drill)
    for number, pilot in by_number.items():
        if pilot:
            assert first[number] == pilot, number
    words = [line for each in built(UNPILOTED, "a3") for line in texts(each.drawing)]
    # on the cover, at both locating screws; the ring gets them through the cover
    assert words.count("drill #40, then #15") == 2
    assert not any("undersize" in line for line in words)


def test_every_hole_reaches_its_final_size_in_some_step() -> None:
    job, assembly, _ = judged(OPENING)
    steps = work_steps(job, assembly)
    final = {
        (hole, round(drilling.diameter, 4))
        for step in steps
        for drilling in step.drills
        for hole in drilling.holes
    }
    for each in assembly.fasteners:
        if not each.exists:
            assert (each.name, round(each.spec.hole, 4)) in final, each.name
    assert len(by_step(job, steps).rows) == sum(len(step.drills) for step in steps)


def test_hardware_and_weights_and_sign_off_are_there() -> None:
    hardware = words_of(titled(OPENING, "Hardware and weights"))
    assert "Spares: one in 10, at least 2 of each" in hardware
    assert "change of the aircraft" in hardware.replace("\n", " ")
    signed = words_of(titled(OPENING, "Sign-off")).splitlines()
    assert signed.count("name") == signed.count("date") >= 8


def test_the_pdf_has_bookmarks_searchable_words_and_equal_bytes() -> None:
    pages = packet(OPENING)
    data, again = (
        pdf_bytes([page.drawing for page in pages], bookmarks=[page.title for page in pages])
        for _ in range(2)
    )
    assert data == again
    with pikepdf.open(BytesIO(data)) as document, document.open_outline() as outline:
        assert [str(item.title) for item in outline.root] == [page.title for page in pages]
        assert len(document.pages) == len(pages)


def test_black_is_the_only_colour_and_no_letter_is_small() -> None:
    """Everything is drawn by the line kinds of the sheets, which are told apart without colour."""
    for page in packet(OPENING):
        for item in page.drawing.items:
            assert item.meaning in Meaning
            assert not isinstance(item, Text) or item.height >= 2.2
            assert not isinstance(item, CircleMark) or item.radius > 0


def test_what_reading_back_has_shown_stands_on_the_front_page() -> None:
    job, assembly, findings = judged(DEMO)
    told = "ead back: 12 shapes in 3 files, largest deviation 0.1 um"
    front, *_ = packet_sheets(
        job,
        assembly,
        findings,
        built(DEMO),
        work_steps(job, assembly),
        find_paper("letter"),
        proven=f"r{told}",
    )
    assert told in " ".join(texts(front.drawing))


def test_the_way_that_was_found_for_each_half_of_a_ring_is_drawn() -> None:
    (page,) = titled(OPENING, "The way in")
    _, _, findings = judged(OPENING)
    told = " ".join(texts(page.drawing))
    for finding in findings:
        if finding.way is not None:
            assert finding.message[1:] in told
    assert "NOT TO SCALE" in told
    drawn = [item for item in page.drawing.items if isinstance(item, PathMark) and item.name == "way in"]
    assert len(drawn) == 3 * sum(finding.way is not None for finding in findings) == 6


def _tilted() -> str:
    """The opening with a shorter, taller box and one long plug low on it that stays on."""
    start, end = OPENING.index("plugs = ["), OPENING.index("[[closing]]")
    sizes = "width = 0.6, height = 0.25, at = [0.0, 2.2], stands_out = 1.9"
    plug = f'{{ name = "power", side = "+x", {sizes}, undone = "on" }}'
    text = f"{OPENING[:start]}plugs = [{plug}]\n\n{OPENING[end:]}"
    for old, new in (
        ("length = 3.0\nwidth = 2.0\nheight = 1.1", "length = 2.2\nwidth = 2.0\nheight = 2.4"),
        ("1.25, 0.75]", "0.9, 0.75]"),
        ("1.25, -0.75]", "0.9, -0.75]"),
    ):
        assert old in text
        text = text.replace(old, new)
    return text


def test_a_box_that_comes_out_tilted_is_drawn_in_every_pose() -> None:
    text = _tilted()
    (found,) = [each for each in judged(text)[2] if each.rule == "box-can-not-come-out"]
    assert "tilt it 30 degrees" in found.message
    (page,) = titled(text, "The way out")
    assert overlaps(page.drawing) == []
    told = words_of([page])
    assert "tilted 30 degrees; from here straight out." in told
    assert "NOT TO SCALE" in told
    paths = [item for item in page.drawing.items if isinstance(item, PathMark)]
    covers = [path.contour for path in paths if path.name == "way out: cover"]
    # the cover lies flat in its place and lifted, and leans by what the message says
    leans = [abs(max(cover.segments, key=lambda edge: edge.length).tangent_at(0.0).angle) for cover in covers]
    assert [min(lean % 180.0, 180.0 - lean % 180.0) for lean in leans] == pytest.approx(
        [0.0, 0.0, 30.0], abs=1e-6
    )
    assert len([path for path in paths if path.name == "way out"]) == 2 * len(covers)
    assert len([path for path in paths if path.name == "sheet"]) == 4 * len(covers)
    # lifted by what the message says, in the scale in which the cover is drawn
    scale = covers[0].bounds.width / judged(text)[1].openings[0].cover.bounds.width
    lifted = (covers[1].bounds.centre.y - covers[0].bounds.centre.y) / scale
    assert f"lift the cover {lifted / 25.4:.3f} in" in found.message


@pytest.mark.parametrize("text", [DEMO, OPENING], ids=["mast", "straight out"])
def test_what_comes_straight_out_needs_no_drawing(text: str) -> None:
    assert all(page.title != "The way out" for page in packet(text))


CUTOUT = files("templgen.job.starters").joinpath("cutout.toml").read_text(encoding="utf-8")
BARE = CUTOUT[: CUTOUT.index("[[hole]]")]


def sized(length: float, width: float) -> str:
    """A cutout without any hole."""
    return BARE.replace("length = 4.0, width = 3.0", f"length = {length}, width = {width}")


@pytest.mark.parametrize(("length", "width", "pages"), [(4.0, 3.0, 1), (6.5, 5.5, 2), (10.0, 8.0, 4)])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_plan_of_a_cutout_without_fasteners_is_at_scale(
    length: float, width: float, pages: int, paper: str
) -> None:
    found = [page for page in packet(sized(length, width), paper) if page.title.startswith("Plan of the set")]
    assert 1 <= len(found) <= pages
    assert NOT_TO_SCALE not in words_of(found)
    cut = [
        item.contour
        for page in found
        for item in page.drawing.items
        if isinstance(item, PathMark) and item.meaning is Meaning.CUT and item.name == "access opening"
    ]
    # whole on one page; on tiles no piece is larger, and together they are as long, with what laps twice
    whole = 2 * (length + width) * 25.4 - (8 - 2 * math.pi) * 12.7
    assert sum(piece.length for piece in cut) >= whole - 1e-6
    assert len(found) > 1 or sum(piece.length for piece in cut) == pytest.approx(whole)
    assert [fault for page in found for fault in overlaps(page.drawing)] == []
    assert "F1" not in words_of(found)


STARTER = files("templgen.job.starters").joinpath("opening.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("text", [OPENING, STARTER], ids=["demo", "starter"])
def test_every_fastener_of_the_plan_is_told_by_the_page_that_it_names(text: str) -> None:
    pages = packet(text)
    plan = next(page for page in pages if page.title.startswith("Plan of the set"))
    names = {name for line in texts(plan.drawing) for name in re.findall(r"\bF\d+", line)}
    _, assembly, _ = judged(text)
    marks = {joint.mark for joint in joints_of(assembly)}
    assert marks <= names
    (named,) = re.findall('F1, F2 ...: the fasteners of "([^"]+)"', " ".join(texts(plan.drawing)))
    told = [line for page in pages if page.title == named for line in texts(page.drawing)]
    assert marks <= set(told)


def test_the_boxes_of_a_step_stay_with_it() -> None:
    pages = titled(OPENING, "Steps")
    assert len(pages) > 2
    assert [page.name for page in pages if first_is_a_box(page)] == []


def first_is_a_box(page: Sheet) -> bool:
    """Whether no step's title stands above the first box of a page."""
    boxes = [each for each in page.drawing.items if isinstance(each, PathMark) and each.name == "tick box"]
    bold = [each for each in page.drawing.items if isinstance(each, Text) and each.bold]
    first = max(each.at.y for each in bold if each.text.isdigit())
    return max(box.contour.bounds.ymax for box in boxes) > first


def test_a_plan_on_very_many_tiles_is_for_orientation_and_says_so_in_bold() -> None:
    text = sized(40.0, 20.0).replace("to = [16.0, 0.0]", "to = [60.0, 0.0]")
    (page,) = titled(text, "Plan of the set")
    (told,) = [each for each in page.drawing.items if isinstance(each, Text) and each.text == NOT_TO_SCALE]
    assert told.bold
    assert told.height >= TITLE


def test_a_job_without_a_ring_has_no_way_in() -> None:
    assert all(page.title != "The way in" for page in packet(DEMO))
