"""Rulers, crosses, title block, legend and upper edge of a sheet."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from templgen.drawing import LineMark, Meaning, PathMark, Text, style_of
from templgen.exporters.pdf import pdf_bytes
from templgen.geometry import Bounds, Vec
from templgen.sheets import measuring_sheet
from templgen.sheets.crosses import corner_crosses
from templgen.sheets.legend import meanings_of
from templgen.sheets.lettering import LEAST, WARNING
from templgen.sheets.marks import SAMPLE
from templgen.sheets.rulers import RULER_WIDTH, ruler_pair
from templgen.sheets.title_block import WIDEST
from templgen.trade.paper import find_paper, printer_margin
from templgen.units import Unit
from tests.readers.raster import pdf_picture
from tests.unit.sheets.support import DEMO, built, sheet, texts

DRAWN = ("template", "rough", "part", "fit")


def ticks(length_x: float, length_y: float) -> list[tuple[Vec, Vec]]:
    items = ruler_pair(Vec(20.0, 30.0), length_x, length_y)
    lines = [item.line for item in items if isinstance(item, LineMark)]
    return [(line.start, line.end) for line in lines if line.length < 4.0]


def test_bottom_ruler_has_inches_at_its_upper_and_millimetres_at_its_lower_edge() -> None:
    upper = sorted({a.x for a, b in ticks(150, 120) if a.x == b.x and a.y == 30.0})
    lower = sorted({a.x for a, b in ticks(150, 120) if a.x == b.x and abs(b.y - 30.0 + RULER_WIDTH) < 1e-9})
    assert upper == pytest.approx([20.0 + 25.4 / 8 * step for step in range(48)], abs=1e-9)
    assert lower == pytest.approx([20.0 + step for step in range(151)], abs=1e-9)


def test_left_ruler_begins_in_the_same_corner() -> None:
    right = sorted({a.y for a, b in ticks(150, 120) if a.y == b.y and a.x == 20.0})
    left = sorted({a.y for a, b in ticks(150, 120) if a.y == b.y and abs(b.x - 20.0 + RULER_WIDTH) < 1e-9})
    assert right == pytest.approx([30.0 + 25.4 / 8 * step for step in range(38)], abs=1e-9)
    assert left == pytest.approx([30.0 + step for step in range(121)], abs=1e-9)


def test_ruler_numbers_stand_at_their_inch_and_millimetre() -> None:
    items = ruler_pair(Vec(0.0, 0.0), 150.0, 120.0)
    upright = {item.text: item.at.x for item in items if isinstance(item, Text) and item.angle == 0.0}
    assert upright["4"] == pytest.approx(101.6)
    assert upright["100"] == pytest.approx(100.0)


@pytest.mark.parametrize(("unit", "step"), [("in", 6.35), ("mm", 5.0)])
def test_crosses_stand_at_the_distances_written_beside_them(unit: str, step: float) -> None:
    found = corner_crosses(Bounds(13.0, 17.0, 181.3, 207.9), unit)  # type: ignore[arg-type]
    box = found.centres
    assert math.remainder(box.width, step) == pytest.approx(0.0, abs=1e-9)
    assert math.remainder(box.height, step) == pytest.approx(0.0, abs=1e-9)
    size = 25.4 if unit == "in" else 1.0
    said = {item.text for item in found.items if isinstance(item, Text)}
    values = {text[:6]: float(re.findall(r"[0-9.]+", text)[0]) * size for text in said if " to " in text}
    assert (
        values["A to B"] == values["D to C"] == pytest.approx(box.width, abs=0.013 if unit == "in" else 0.005)
    )
    assert (
        values["A to D"]
        == values["B to C"]
        == pytest.approx(box.height, abs=0.013 if unit == "in" else 0.005)
    )
    assert values["A to C"] == values["D to B"] == pytest.approx(math.hypot(box.width, box.height), abs=0.013)
    other = "mm" if unit == "in" else " in"
    assert not any(text.endswith(other) for text in said), "one nominal only"


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_every_drawing_sheet_has_full_rulers_and_crosses_round_all_that_is_cut(paper: str) -> None:
    for each in built(DEMO, paper):
        if each.kind not in DRAWN:
            continue
        crosses = [
            i.line.midpoint
            for i in each.drawing.items
            if isinstance(i, LineMark) and i.meaning is Meaning.CROSS
        ]
        box = Bounds.of(crosses)
        assert box is not None
        assert len(crosses) == 8
        cuts = [i for i in each.drawing.items if isinstance(i, PathMark) and i.meaning is Meaning.CUT]
        shown = [i.contour.bounds for i in cuts if i.name != "legend"]
        assert all(box.contains(corner) for bounds in shown for corner in bounds.corners)
        rulers = [
            i.line for i in each.drawing.items if isinstance(i, LineMark) and i.meaning is Meaning.RULER
        ]
        assert sum(line.length >= 101.6 for line in rulers) == 4


def test_frame_stands_inside_the_printers_margin() -> None:
    margin, _ = printer_margin()
    for each in built():
        frame = next(
            i for i in each.drawing.items if isinstance(i, PathMark) and i.name == "frame"
        ).contour.bounds
        assert (frame.xmin, frame.ymin) == pytest.approx((margin, margin))
        assert each.drawing.width == pytest.approx(frame.xmax + margin)
        assert each.drawing.height == pytest.approx(frame.ymax + margin)


@pytest.mark.parametrize("paper", ["letter", "legal", "a4", "tabloid", "a3"])
def test_page_has_the_papers_exact_size(paper: str) -> None:
    size = {find_paper(paper).width_mm, find_paper(paper).height_mm}
    assert all({each.drawing.width, each.drawing.height} == size for each in built(DEMO, paper))


def test_every_sheet_says_title_digest_revision_sheet_scale_and_paper() -> None:
    sheets = built()
    for number, each in enumerate(sheets, 1):
        said = texts(each.drawing)
        digest = each.drawing.info.digest
        assert len(digest) == 12
        for word in (digest, "A", f"{number} of {len(sheets)}", "1:1", "in", "left", "test.toml"):
            assert word in said, (each.name, word)
        assert "Air-data mast" in " ".join(said)
        assert "Drawing aid, not approved data" in " ".join(said)


def test_title_block_is_at_most_180_mm_wide() -> None:
    for each in built():
        marks = [i for i in each.drawing.items if isinstance(i, Text) and i.text in ("Title", "Part")]
        assert each.drawing.width is not None
        assert each.drawing.width - min(mark.at.x for mark in marks) <= WIDEST + 6.36


def test_no_date_in_the_job_leaves_a_blank_and_a_date_is_printed() -> None:
    dated = DEMO.replace('revision = "A"', 'revision = "A"\ndate = "2031-06-07"')
    assert "2031-06-07" not in texts(sheet("template").drawing)
    assert "2031-06-07" in texts(sheet("template", dated).drawing)


def test_legend_names_the_kinds_that_occur_and_only_those() -> None:
    for each in built():
        if each.kind not in DRAWN:
            continue
        drawn = [i for i in each.drawing.items if getattr(i, "name", "") != SAMPLE]
        samples = {i.meaning for i in each.drawing.items if getattr(i, "name", "") == SAMPLE}
        assert samples - {Meaning.HATCH} == set(meanings_of(drawn)), each.name
        said = " ".join(texts(each.drawing))
        assert all(style_of(kind).legend in said for kind in meanings_of(drawn)), each.name


def test_letters_are_never_lower_than_the_limit_and_the_great_words_are_7_mm() -> None:
    for each in built():
        heights = {item.text: item.height for item in each.drawing.items if isinstance(item, Text)}
        assert min(heights.values()) >= LEAST
        if each.kind in ("template", "rough", "part"):
            assert heights["OUTSIDE FACE"] == heights["LEFT HAND"] == WARNING


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_measuring_sheet_leaves_room_over_its_title_block(paper: str, unit: Unit) -> None:
    """At least 3 mm of blank paper, measured in the picture, so that one more word does not overflow it."""
    dots = 150.0 / 25.4
    for each in measuring_sheet(find_paper(paper), unit):
        picture = pdf_picture(pdf_bytes([each.drawing]), 150.0)
        title = next(item for item in each.drawing.items if isinstance(item, Text) and item.text == "Title")
        # Right of the ruler, and inside the frame.
        columns = slice(int((title.at.x + 1.0) * dots), int((title.at.x + 150.0) * dots))
        blank = (picture[:, columns] > 0.98).all(axis=1)
        row = picture.shape[0] - int((title.at.y + title.height + 0.5) * dots)
        top = row - int(np.argmin(blank[row::-1]))  # the line along the top of the title block
        above = top - int(np.argmax(blank[top::-1]))
        lowest = above - int(np.argmin(blank[above::-1]))
        assert (above - lowest) / dots >= 3.0, each.title


def test_a_measuring_sheet_says_what_left_is() -> None:
    (section, _) = measuring_sheet(find_paper("letter"), "in")
    said = " ".join(item.text for item in section.drawing.items if isinstance(item, Text))
    assert "left and right as you look at the face you measure, nose away from you" in said
    assert "under a wing, seen from outside, that is not left in flight" in said
    found = [item for item in section.drawing.items if isinstance(item, Text)]
    places = {item.text: item.at for item in reversed(found)}  # the first of each is the figure's
    # Nose to the left: turned until the nose points away from you, the lower side is the left one.
    assert places["nose"].x < places["left"].x < places["tail"].x
    assert places["left"].y < places["nose"].y < places["right"].y
