"""Where a hole is made from: schedules, sheets and cut files say what the steps say."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from templgen.drawing import Meaning
from templgen.layout.work.steps import work_steps
from templgen.sheets import cut_drawings
from templgen.sheets.packet.drilling import by_part
from tests.unit.sheets.support import DEMO, built, circles, judged, texts
from tests.unit.sheets.test_packet import FLUSH, OPENING


@pytest.mark.parametrize("text", [DEMO, OPENING, FLUSH], ids=["mast", "opening", "flush"])
def test_every_schedule_and_sheet_says_of_a_hole_what_the_step_says_that_drills_it(text: str) -> None:
    """Where a step drills it first: from a paper, clamped through a part, or through a nutplate."""
    job, assembly, _ = judged(text)
    remark: dict[tuple[str, str], str] = {}
    for step in work_steps(job, assembly):
        for drilling in step.drills:
            for hole in drilling.holes:
                for part in drilling.parts:
                    remark.setdefault((hole, part), drilling.remark)
    said = {
        key: "paper" if words.startswith("centre from") else words.removeprefix("clamped, ")
        for key, words in remark.items()
        if not key[0].startswith("C")
    }
    schedule = by_part(job, assembly)
    made, note = (schedule.columns.index(name) for name in ("made from", "remark"))
    listed: dict[tuple[str, str], str] = {}
    for row in schedule.rows:
        if row[1].startswith("C"):
            continue
        part = assembly.faces[row[0]].part
        for first, last in re.findall(r"(\d+)(?: to (\d+))?", row[1]):
            for number in range(int(first), int(last or first) + 1):
                listed[str(number), part] = row[made].replace("a nutplate", "the nutplate")
        assert "locating" not in row[note] or row[made] == "paper"
    assert listed == said
    on_paper = {"template": "skin"} | {f"part-{name.replace(' ', '-')}": name for name in assembly.parts}
    for sheet in built(text, "a3"):
        name = next((part for key, part in on_paper.items() if sheet.name[3:].startswith(key)), None)
        for kind in (Meaning.HOLE, Meaning.LOCATING_HOLE, Meaning.REFERENCE_HOLE) if name else ():
            for mark in circles(sheet.drawing, kind):
                if (mark.name, name) in said:
                    papered = said[mark.name, name or ""] == "paper"
                    assert papered == (kind is not Meaning.REFERENCE_HOLE), (sheet.name, mark.name)


def test_a_cut_file_says_which_holes_the_order_of_work_drills_through_another_part() -> None:
    job, assembly, _ = judged(OPENING)
    drawn = cut_drawings(job, assembly)
    notes = {name: "\n".join(texts(drawing)) for name, drawing in drawn.items()}
    layer = "on the layer do_not_cut: "
    assert f"{layer}1, 31 to 45, 62, since they are drilled through skin, clamped" in notes["hatch ring 1"]
    assert f"{layer}2 to 5, since they are drilled through hatch cover, clamped" in notes["hatch ring 1"]
    assert 'made_from = "through hatch ring 1"' in notes["hatch ring 1"]
    assert "do_not_cut" not in notes["hatch cover"]


def test_the_sheet_of_a_ring_asks_for_no_hole_from_paper() -> None:
    words = " ".join(text for each in built(OPENING, "a3") for text in texts(each.drawing))
    assert "Holes 1, 31 to 45, 62 are drilled through the skin, clamped to it" in words
    ring = next(each for each in built(OPENING, "a3") if "part-hatch-ring-1" in each.name)
    assert not circles(ring.drawing, Meaning.LOCATING_HOLE)
    assert "drill this first" not in " ".join(texts(ring.drawing))


def test_every_page_on_which_a_measure_from_memory_stands_says_so() -> None:
    starter = files("templgen.job.starters").joinpath("opening.toml").read_text(encoding="utf-8")
    for text, paper in ((starter, "a4"), (OPENING, "letter")):
        pages = {each.name[3:]: " ".join(texts(each.drawing)) for each in built(text, paper)}
        for name, words in pages.items():
            if name.startswith("part-hatch-ring"):
                assert "from memory" in words, name
                assert "against the part in hand" in words, name
        assert "From memory, check against the part in hand: solid rivet" in pages["drill-schedule"]
        notes = " ".join(words for name, words in pages.items() if name.startswith("notes"))
        assert len(re.findall(r'utplate "[^"]*"(?: for #8)?: [a-z ]*from memory', notes)) == (
            text == OPENING
        ), "once"
