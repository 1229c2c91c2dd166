"""How a mast lies on its plate's sheet and on the fit page: a lopsided section has one right way only."""

from __future__ import annotations

from functools import cache

import pytest

from templgen.drawing import LineMark, Meaning, PathMark, Text
from templgen.geometry import Contour, Line, Vec
from templgen.sheets import Sheet
from templgen.sheets.cut_drawings import cut_drawings
from templgen.sheets.marks import SAMPLE
from tests.unit.sheets.support import DEMO, circles, contours, judged, sheet, texts
from tests.unit.sheets.test_placing import BESIDE_RIB


def words_at(drawn: Sheet, word: str) -> list[Vec]:
    return [item.at for item in drawn.drawing.items if isinstance(item, Text) and item.text == word]


def axis(drawn: Sheet) -> list[Line]:
    return [
        item.line
        for item in drawn.drawing.items
        if isinstance(item, LineMark) and item.meaning is Meaning.CENTRE
    ]


def section(drawn: Sheet) -> Contour:
    return next(
        item.contour
        for item in drawn.drawing.items
        if isinstance(item, PathMark) and item.meaning is Meaning.HIDDEN and item.name != SAMPLE
    )


@cache
def plate(text: str) -> Sheet:
    return sheet("part", text)


@pytest.mark.parametrize("text", [DEMO, BESIDE_RIB], ids=["demo", "lopsided"])
def test_the_plate_shows_the_mast_where_it_stands_and_cuts_nothing_for_it(text: str) -> None:
    _, assembly, _ = judged(text)
    (mast,) = assembly.masts
    drawn = plate(text)
    shown = section(drawn)
    assert shown.length == pytest.approx(mast.section.length)
    holes = {f.number: f.at for f in assembly.fasteners if f.locating}
    seen = [item for item in contours(drawn.drawing, Meaning.CUT) if item.length > 200.0]
    assert len(seen) == 1
    # The section keeps its place to the locating holes.
    marks = {mark.name: mark.centre for mark in circles(drawn.drawing, Meaning.REFERENCE_HOLE)}
    for number, at in holes.items():
        real = [at.distance_to(vertex) for vertex in mast.section.vertices]
        found = [marks[str(number)].distance_to(vertex) for vertex in shown.vertices]
        assert found == pytest.approx(real, abs=1e-6)
    for drawing in cut_drawings(*judged(text)[:2]).values():
        assert all(getattr(item, "meaning", Meaning.CUT) not in (Meaning.HIDDEN,) for item in drawing.items)
    assert len(words_at(drawn, "nose")) == len(words_at(drawn, "tail")) == 1


def test_nose_and_tail_of_the_plate_stand_where_they_are() -> None:
    _, _assembly, _ = judged(BESIDE_RIB)
    drawn = plate(BESIDE_RIB)
    nose, tail = words_at(drawn, "nose")[0], words_at(drawn, "tail")[0]
    # Stations count from the nose, the widest is 1.0 of 2.5 in behind it: more area lies ahead.
    box = section(drawn).bounds
    middle = section(drawn).centroid
    assert middle.distance_to(nose) < box.centre.distance_to(nose)
    assert middle.distance_to(tail) > box.centre.distance_to(tail)
    assert "middle of the mast" in texts(drawn.drawing)
    assert "middle of the mast" not in texts(plate(DEMO).drawing), "a bore is cut there"


def test_the_fit_page_says_nose_tail_and_which_side_is_which() -> None:
    drawn = sheet("fit", BESIDE_RIB)
    loops = contours(drawn.drawing, Meaning.CUT)
    assert len(axis(drawn)) == 2 * len(loops) == 6
    assert len(words_at(drawn, "nose")) == len(words_at(drawn, "tail")) == 3
    assert max(at.x for at in words_at(drawn, "nose")) < min(loop.bounds.xmin for loop in loops)
    assert min(at.x for at in words_at(drawn, "tail")) > max(loop.bounds.xmax for loop in loops)
    # Nose forward and to the left, seen from outside on a lower left surface: outboard is up on the page
    # (forward x up = left = outboard, and what is looked at faces down), so inboard is down.
    sides = words_at(drawn, "this side inboard")
    assert len(sides) == 3
    for at, loop in zip(sorted(sides, key=lambda each: each.y), sorted(loops, key=_low), strict=True):
        assert at.y < loop.bounds.ymin
        line = next(each for each in axis(drawn) if loop.bounds.ymin < each.start.y < loop.bounds.ymax)
        above, below = loop.bounds.ymax - line.start.y, line.start.y - loop.bounds.ymin
        # Forward is -x as measured on the inside, so its left is -y, outboard: 0.4 in there, 0.3 in inboard;
        # each gap adds the same to both.
        assert above - below == pytest.approx(0.1 * 25.4, abs=0.02)


def _low(contour: Contour) -> float:
    return contour.bounds.ymin
