"""Words keep clear of words, ink, hole centres and edges, leaders of each other and of cut lines."""

from __future__ import annotations

import pytest

from templgen.drawing import CircleMark, Drawing, Item, LineMark, Meaning, PageInfo, PathMark
from templgen.geometry import Contour, Line, Vec
from templgen.sheets import measuring_sheet
from templgen.sheets.lettering import words
from templgen.sheets.overlaps import overlaps
from templgen.sheets.placement import leader_marks
from templgen.trade.paper import find_paper
from tests.unit.sheets.random_jobs import random_job
from tests.unit.sheets.support import DEMO, built, sheets_of

INSIDE = DEMO.replace('laid_on = "outside"', 'laid_on = "inside"')
STICK = DEMO.replace('use = "trace"', 'use = "stick"')
FAILING = DEMO.replace("[0.0, -1.745]", "[0.0, -1.9]")


def page(*items: Item) -> Drawing:
    return Drawing(items, PageInfo("test", "0"), 100.0, 100.0)


@pytest.mark.parametrize(
    ("items", "fault"),
    [
        ((words("one", 10, 10), words("two", 12, 11)), "'one' meets 'two'"),
        ((words("one", 98, 10),), "runs over the page's edge"),
        ((words("one", 10, 10, 2.0),), "2.0 mm high"),
        ((words("one", 10, 10), LineMark(Line(Vec(0, 11), Vec(50, 11)), Meaning.CUT)), "meets a line: cut"),
        ((words("one", 10, 10), CircleMark(Vec(12, 11), 9.0, Meaning.HOLE, name="3")), "centre of a hole 3"),
        ((words("one", 10, 10, angle=90.0), LineMark(Line(Vec(0, 12), Vec(50, 12)), Meaning.FRAME)), "frame"),
    ],
)
def test_planted_fault_of_words_is_found(items: tuple[Item, ...], fault: str) -> None:
    assert any(fault in found for found in overlaps(page(*items)))


def test_words_a_little_apart_are_no_fault() -> None:
    assert overlaps(page(words("one", 10, 10), words("two", 10, 14.2), words("three", 20, 10))) == []


def test_crossing_leaders_are_found() -> None:
    crossed = [*leader_marks(Line(Vec(10, 10), Vec(30, 30))), *leader_marks(Line(Vec(10, 30), Vec(30, 10)))]
    assert any("leaders cross" in fault for fault in overlaps(page(*crossed)))


def test_leader_over_a_cut_line_is_found_and_one_that_ends_on_it_is_not() -> None:
    cut = PathMark(Contour.rectangle(20, 20, centre=Vec(50, 50)), Meaning.CUT)
    over = leader_marks(Line(Vec(50, 50), Vec(50, 80)))
    onto = leader_marks(Line(Vec(50, 60), Vec(50, 80)))
    assert any("crosses a line: cut" in fault for fault in overlaps(page(cut, *over)))
    assert overlaps(page(cut, *onto)) == []


def test_leader_past_a_hole_centre_is_found_and_one_to_its_rim_is_not() -> None:
    hole = CircleMark(Vec(50, 50), 3.0, Meaning.HOLE, name="4")
    over = leader_marks(Line(Vec(40, 50), Vec(80, 50)))
    onto = leader_marks(Line(Vec(53, 50), Vec(80, 50)))
    assert any("centre of hole 4" in fault for fault in overlaps(page(hole, *over)))
    assert overlaps(page(hole, *onto)) == []


@pytest.mark.parametrize("paper", ["letter", "a4", "a3"])
@pytest.mark.parametrize("text", [DEMO, INSIDE, STICK, FAILING], ids=["demo", "inside", "stick", "failing"])
def test_demo_sheets_have_no_fault(text: str, paper: str) -> None:
    assert {each.name: found for each in built(text, paper) if (found := overlaps(each.drawing))} == {}


@pytest.mark.parametrize("paper", ["letter", "legal", "tabloid", "a4", "a3"])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_measuring_sheet_has_no_fault(paper: str, unit: str) -> None:
    for each in measuring_sheet(find_paper(paper), unit):  # type: ignore[arg-type]
        assert overlaps(each.drawing) == []


def faults_of(seed: int) -> dict[str, list[str]]:
    return {each.name: found for each in sheets_of(seed) if (found := overlaps(each.drawing))}


@pytest.mark.parametrize("seed", range(8))
def test_random_sheets_have_no_fault(seed: int) -> None:
    assert faults_of(seed) == {}, random_job(seed)


@pytest.mark.heavy
@pytest.mark.parametrize("seed", range(8, 300))
def test_many_random_sheets_have_no_fault(seed: int) -> None:
    assert faults_of(seed) == {}, random_job(seed)
