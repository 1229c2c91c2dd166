"""The sheet of a ring under a flush cover: the edge of the skin hole, by which the ring is laid."""

from __future__ import annotations

import math

import pytest

from templgen.drawing import Meaning, PathMark
from templgen.geometry import Contour, contour_contour
from templgen.sheets import Sheet
from tests.unit.layout.opening_jobs import CIRCLE, RECTANGLE, flush_job, opening_job
from tests.unit.sheets.support import built, judged, texts


def pages(text: str, part: str) -> list[Sheet]:
    """The sheets of a part on paper that holds it in one piece."""
    found = [sheet for sheet in built(text, "tabloid") if part in sheet.title]
    assert found, [sheet.title for sheet in built(text, "tabloid")]
    return found


def dashed(sheet: Sheet) -> list[Contour]:
    marks = [item for item in sheet.drawing.items if isinstance(item, PathMark)]
    return [item.contour for item in marks if item.meaning is Meaning.HIDDEN and item.name == "skin hole"]


@pytest.mark.parametrize(
    "text", [flush_job(), flush_job().replace(RECTANGLE, CIRCLE)], ids=["rectangle", "circle"]
)
def test_a_ring_shows_the_edge_of_the_skin_hole_all_round_its_opening(text: str) -> None:
    (opening,) = judged(text)[1].openings
    (sheet,) = pages(text, "hatch ring")
    (line,) = dashed(sheet)
    assert line.closed
    assert line.length == pytest.approx(opening.skin_hole.length)
    cuts = [item.contour for item in sheet.drawing.items if getattr(item, "meaning", None) is Meaning.CUT]
    inner = min((each for each in cuts if each.closed), key=lambda each: abs(each.area))
    assert contour_contour(line, inner).distance == pytest.approx(opening.ledge)
    words = " ".join(texts(sheet.drawing))
    assert "edge of the skin hole" in words or "skin hole: not cut" in words


def test_every_half_shows_the_part_that_lies_on_it_and_no_more() -> None:
    text = flush_job('ring = { made = "halves", cut_at = 99 }\n')
    (opening,) = judged(text)[1].openings
    found = [dashed(sheet) for part in ("hatch ring 1", "hatch ring 2") for sheet in pages(text, part)]
    assert [len(lines) for lines in found] == [1, 1]
    assert not any(line.closed for lines in found for line in lines)
    drawn = sum(line.length for lines in found for line in lines)
    # two cuts of 0.8 mm through its straight sides, 9 degrees from square to them
    assert drawn == pytest.approx(opening.skin_hole.length - 2 * 0.8 / math.cos(math.radians(9)))


def test_no_other_sheet_shows_it_and_no_ring_under_a_lying_cover() -> None:
    text = flush_job()
    assert not any(dashed(sheet) for sheet in built(text, "tabloid") if "hatch ring" not in sheet.title)
    lying = opening_job(more='rivets = { fastener = "pull" }\n')
    assert not any(dashed(sheet) for sheet in built(lying, "tabloid"))


def test_the_sheets_tell_how_the_line_gets_on_the_metal() -> None:
    text = flush_job()
    (opening,) = judged(text)[1].openings
    words = " ".join(" ".join(texts(sheet.drawing)) for sheet in built(text, "tabloid"))
    assert f"edge of the skin hole, {opening.ledge:.2f} mm" in words
    assert "with a fine marker" in words
