"""Holes in the waste of a part that is made on the bench: sheet, schedules and steps say the same of them."""

from __future__ import annotations

from collections import Counter

import pytest

from templgen.drawing import CircleMark, LineMark, Meaning
from templgen.geometry import Vec
from templgen.layout.assembly import Assembly
from templgen.layout.work.marks import marks_in_short
from templgen.layout.work.steps import work_steps
from templgen.sheets import Sheet
from templgen.sheets.cutting import cutting_list
from templgen.sheets.overlaps import overlaps
from templgen.sheets.packet.drilling import by_part
from tests.unit.sheets.support import DEMO, built, judged, texts
from tests.unit.sheets.test_measure_marks import OPENING
from tests.unit.sheets.test_packet import FLUSH

OUTLINE = 'outline = { shape = "rectangle", length = 100, width = 76, corner_radius = 16 }'
ROUND = OPENING.replace(OUTLINE, 'outline = { shape = "circle", diameter = 90 }').replace(
    'fixed = "corners" ', "#"
)
SPLIT = OPENING.replace('made = "whole"', 'made = "split"\ncut_gap = 1.2')
HALVES = OPENING.replace('made = "whole"', 'made = "halves"\ncut_gap = 1.2')
JOBS = pytest.mark.parametrize("text", [DEMO, OPENING, FLUSH, ROUND], ids=["mast", "lying", "flush", "round"])


def planned(assembly: Assembly) -> set[tuple[str, str]]:
    """Every hole in waste with every part that it is drilled in."""
    parts = {name: face.part for name, face in assembly.faces.items()}
    return {
        (hole.name, parts[face]) for plan in assembly.cutting for hole in plan.holes for face in plan.faces
    }


def waste_holes(page: Sheet) -> dict[str, CircleMark]:
    found = (item for item in page.drawing.items if isinstance(item, CircleMark))
    return {item.name: item for item in found if item.meaning is Meaning.ROUGH and item.name[0] == "C"}


@JOBS
def test_steps_schedule_and_plan_name_the_same_holes_in_the_same_parts(text: str) -> None:
    job, assembly, _ = judged(text)
    wanted = planned(assembly)
    drilled = {
        (hole, part)
        for step in work_steps(job, assembly)
        for drilling in step.drills
        for hole in drilling.holes
        for part in drilling.parts
        if hole.startswith("C")
    }
    assert drilled == wanted
    counted = Counter(
        assembly.faces[row[0]].part
        for row in by_part(job, assembly).rows
        for _ in range(int(row[2]))
        if row[1].startswith("C")
    )
    assert counted == Counter(part for _, part in wanted)
    for row in cutting_list(job, assembly).rows:
        if row[0].startswith("C"):
            assert set(row[2].replace(" and ", ", ").split(", ")) == {
                p for hole, p in wanted if hole == row[0]
            }


@JOBS
def test_a_part_shows_its_own_waste_holes_with_centres_and_names(text: str) -> None:
    """Places: as far from each other as in the plan, and each inside the opening that it is to cut."""
    _, assembly, _ = judged(text)
    for plan in assembly.cutting:
        own = [assembly.faces[name].part for name in plan.faces if name != "skin"]
        for part in own:
            (page,) = [
                each for each in built(text, "a3") if each.name.endswith(f"part-{part.replace(' ', '-')}")
            ]
            shown = waste_holes(page)
            assert {hole.name for hole in plan.holes} <= shown.keys()
            first = plan.holes[0]
            crosses = [mark for mark in page.drawing.items if getattr(mark, "name", "") == "centre mark"]
            starts: list[Vec] = [mark.contour.segments[0].start for mark in crosses]  # type: ignore[union-attr]
            for hole in plan.holes:
                apart = shown[hole.name].centre.distance_to(shown[first.name].centre)
                assert apart == pytest.approx(hole.at.distance_to(first.at))
                assert sum(at.distance_to(shown[hole.name].centre) < 0.5 for at in starts) == 4
            told = " ".join(texts(page.drawing))
            marks = marks_in_short(hole.name for hole in plan.holes)
            assert marks in told or all(f"{hole.name} " in told for hole in plan.holes)
            cuts = [m for m in page.drawing.items if isinstance(m, LineMark) and m.meaning is Meaning.ROUGH]
            assert len(cuts) >= len(plan.cuts)
            assert overlaps(page.drawing) == []
    everything = " ".join(line for page in built(text, "a3") for line in texts(page.drawing))
    assert ("A shop that cuts the part by its cut file" in everything) is any(
        plan.faces != ("skin",) for plan in assembly.cutting
    )


@pytest.mark.parametrize(("text", "cuts"), [(SPLIT, 1), (HALVES, 2)], ids=["split", "halves"])
def test_a_parted_ring_says_how_wide_its_cut_is_and_how_its_inner_edge_is_made(text: str, cuts: int) -> None:
    """The width that the job gives, at each cut of each piece; no hole in the waste is told in it."""
    _, assembly, _ = judged(text)
    assert all(plan.faces == ("skin",) for plan in assembly.cutting)
    pages = [page for page in built(text, "a3") if "part-hatch-ring" in page.name]
    assert len(pages) == (1 if text is SPLIT else 2)
    for page in pages:
        words = texts(page.drawing)
        assert sum(line.startswith("cut 1.20 mm (0.047 in) wide") for line in words) == cuts
        assert waste_holes(page) == {}
        assert overlaps(page.drawing) == []
    told = " ".join(line for page in built(text, "a3") for line in texts(page.drawing))
    assert ("Saw the cut, 1.20 mm" if text is SPLIT else "Its inner edge is open") in told
