"""The face and an axis stand on the metal of a part: they are still there when the paper is cut out."""

from __future__ import annotations

import pytest

from templgen.drawing import CircleMark, Meaning, PathMark, Text
from templgen.geometry import Bounds, Side, Vec, locate
from templgen.sheets import Sheet
from templgen.sheets.lettering import bounds_of
from tests.unit.sheets.support import built, contours, texts
from tests.unit.sheets.test_part_waste import HALVES, OPENING, ROUND, SPLIT


def parts(text: str) -> list[Sheet]:
    found = [page for page in built(text, "a3") if page.kind == "part"]
    assert len(found) >= 2
    return found


def arrow(page: Sheet) -> tuple[Vec, Vec]:
    """Tail and tip of the arrow on the metal."""
    shaft, head = (m for m in page.drawing.items if isinstance(m, PathMark) and m.name == "face arrow")
    return shaft.contour.segments[0].start, head.contour.segments[0].start


@pytest.mark.parametrize("text", [OPENING, ROUND, SPLIT, HALVES], ids=["ring", "round", "split", "halves"])
def test_words_and_arrow_lie_in_the_metal_and_on_no_hole(text: str) -> None:
    for page in parts(text):
        lines = contours(page.drawing, Meaning.CUT)
        outer = max(lines, key=lambda each: each.bounds.width * each.bounds.height)
        tail, tip = arrow(page)
        (face,) = [m for m in page.drawing.items if isinstance(m, Text) and m.text == "outside"]
        near = [m for m in page.drawing.items if isinstance(m, Text) and m.text == "aft"]
        name = min(near, key=lambda m: m.at.distance_to(face.at))
        boxes = [bounds_of(face), bounds_of(name)]
        for place in [tail, tip, *(corner for box in boxes for corner in box.corners)]:
            assert locate(place, outer) is Side.INSIDE, page.name
            assert all(locate(place, line) is Side.OUTSIDE for line in lines if line is not outer), page.name
        assert face.height == name.height == 2.5
        whole = Bounds.of([tail, tip, *(corner for box in boxes for corner in box.corners)])
        assert whole is not None
        for hole in (m for m in page.drawing.items if isinstance(m, CircleMark)):
            if hole.meaning in (Meaning.HOLE, Meaning.LOCATING_HOLE, Meaning.REFERENCE_HOLE):
                centre = Bounds(hole.centre.x, hole.centre.y, hole.centre.x, hole.centre.y)
                assert centre.distance_to(whole) > hole.radius or hole.name == "legend", page.name


@pytest.mark.parametrize("text", [OPENING, HALVES], ids=["whole", "halves"])
def test_the_arrow_points_as_the_one_at_the_head_of_the_sheet(text: str) -> None:
    for page in parts(text):
        tail, tip = arrow(page)
        heads = [
            m for m in page.drawing.items if isinstance(m, PathMark) and m.name == "axis arrow" and m.filled
        ]
        words = [m for m in page.drawing.items if isinstance(m, Text) and m.text == "aft"]
        at_head = max(words, key=lambda m: m.at.y)
        nearest = min(heads, key=lambda m: bounds_of(at_head).distance_to(m.contour.bounds))
        corners = [segment.start for segment in nearest.contour.segments]
        middle = corners[1].towards(corners[2], 0.5)
        assert (tip - tail).unit().dot((corners[0] - middle).unit()) == pytest.approx(1.0)
        told = " ".join(line for each in built(text, "a3") for line in texts(each.drawing))
        assert "write on the metal: outside, and an arrow: aft." in told
