"""A sheet that shows no two rivets and no edge to lay it by has centre lines with their figures."""

from __future__ import annotations

from importlib.resources import files

import pytest

from templgen.drawing import Drawing, LineMark, Meaning
from templgen.geometry import Line
from templgen.sheets.overlaps import overlaps
from tests.unit.sheets.support import built, contours, sheet, texts

PINNED = files("templgen.job.starters").joinpath("cutout.toml").read_text(encoding="utf-8")
OPENING = files("templgen.job.starters").joinpath("opening.toml").read_text(encoding="utf-8")
BARE = PINNED[: PINNED.index("[[hole]]")]
INSIDE = BARE.replace('measured_on = "outside"', 'measured_on = "inside"').replace(
    'y = "outboard"', 'y = "inboard"'
)
NEAR = BARE.replace("off = 4.5", "off = 2.5")
LARGE = BARE.replace("length = 4.0", "length = 10.0")


def ends(drawing: Drawing) -> list[Line]:
    """The pieces of the centre lines."""
    found = [each for each in drawing.items if isinstance(each, LineMark)]
    return [each.line for each in found if each.meaning is Meaning.CENTRE]


@pytest.mark.parametrize("kind", ["template", "rough"])
@pytest.mark.parametrize("text", [BARE, INSIDE], ids=["outside", "inside"])
def test_the_lines_cross_in_the_middle_and_end_outside_the_cutout(text: str, kind: str) -> None:
    drawing = sheet(kind, text).drawing
    meaning = Meaning.CUT if kind == "template" else Meaning.ROUGH
    (outline,) = contours(drawing, meaning)
    middle, box = outline.bounds.centre, outline.bounds
    lines = ends(drawing)
    assert len(lines) == 4
    for line in lines:
        across = abs(line.direction.cross(middle - line.start))
        assert across == pytest.approx(0.0, abs=1e-9)
        assert not box.contains(line.start)
        assert line.length == pytest.approx(8.0)
    words = texts(drawing)
    # the starter's place: 8 in along the rib, 4.5 in off it
    assert "x = 8.000 in" in words
    assert "y = 4.500 in" in words
    assert overlaps(drawing) == []


def test_the_order_of_work_says_how_it_is_laid() -> None:
    told = " ".join(line for page in built(BARE) for line in texts(page.drawing))
    assert "draw the lines x = 8.000 in (aft) and y = 4.500 in (outboard), measured from the origin" in told
    assert "drill schedule" not in told


def test_what_is_placed_by_rivets_needs_none() -> None:
    assert ends(sheet("template", NEAR).drawing) == []


@pytest.mark.parametrize(("text", "paper"), [(PINNED, "letter"), (OPENING, "a4")], ids=["cutout", "opening"])
def test_what_is_only_pinned_has_them_on_the_sheet_that_is_laid_first(text: str, paper: str) -> None:
    """Holes that are drilled through the sheet do not say where it lies; pinned on them it needs nothing."""
    assert len(ends(sheet("template", text, paper).drawing)) == 4
    rough = sheet("rough", text, paper).drawing
    assert ends(rough) == []
    assert "Laid by" not in " ".join(texts(rough))
    told = " ".join(line for page in built(text, paper) for line in texts(page.drawing))
    assert "Lay the sheet with its four centre line ends on them." in told


def test_the_legend_keeps_its_room_beside_short_lines() -> None:
    assert "Lines on this sheet" in texts(sheet("template", PINNED).drawing)


def test_on_a_full_page_the_lines_are_short_before_a_template_is_tiled() -> None:
    text = BARE.replace("length = 4.0, width = 3.0", "length = 6.0, width = 5.0")
    (page,) = [page for page in built(text) if page.kind == "template"]
    assert [line.length for line in ends(page.drawing)] == pytest.approx([3.0] * 4)
    assert overlaps(page.drawing) == []
    told = " ".join(texts(page.drawing))
    assert "Laid by x = 8.000 in and y = 4.500 in." in told
    assert "the outer edge of the ink is the finished edge" in told


def test_tiles_show_the_figures_too() -> None:
    pages = [page for page in built(LARGE) if page.kind == "template"]
    assert len(pages) > 1
    told = " ".join(line for page in pages for line in texts(page.drawing))
    assert "x = 8.000 in" in told
    assert "y = 4.500 in" in told
