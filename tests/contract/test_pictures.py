"""Pages as pictures: rulers measured in what pdfium and cairo draw, and the two laid on each other."""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt
import pytest

from templgen.drawing import CircleMark, Drawing, LineMark, Meaning, Text
from templgen.drawing.font import em_size
from templgen.exporters.pdf import pdf_bytes
from templgen.exporters.png import PreviewUnavailable, png_bytes
from templgen.exporters.svg import svg_bytes
from templgen.geometry import Line, Vec
from templgen.proof.readers.svg import ink_box, read_svg
from tests.contract.zoo import CASES, INFO, WORDS
from tests.readers.raster import Picture, ink_centre, pdf_picture, pdf_words, svg_picture

LETTER = (215.9, 279.4)
DPI = 600


def letter(*items: LineMark | CircleMark | Text) -> Drawing:
    return Drawing(items, INFO, *LETTER)


def svg_or_skip(drawing: Drawing, dpi: int) -> Picture:
    """Cairo draws the SVG; where the machine has no libcairo there is nothing to measure."""
    try:
        return svg_picture(svg_bytes(drawing), dpi)
    except OSError:
        pytest.skip("libcairo is not installed")


MARKS = ((0.0, 54.0), (100.0, 64.0), (4 * 25.4, 44.0))
"""Scale marks at zero, 100 mm and 4 in (an inch is 25.4 mm by definition): distance, and place across."""


@cache
def measured(how: str) -> Picture:
    """Return a page to measure: scale marks across and up, a wide line, a capital."""
    marks: list[LineMark | Text] = []
    for distance, side in MARKS:
        first, second = Vec(20.0 + distance, side - 4.0), Vec(20.0 + distance, side + 4.0)
        marks.append(LineMark(Line(first, second), Meaning.CUT))
        marks.append(LineMark(Line(Vec(first.y, first.x), Vec(second.y, second.x)), Meaning.CUT))
    marks.append(LineMark(Line(Vec(150.0, 50.0), Vec(150.0, 150.0)), Meaning.CUT))
    marks.append(Text("H", Vec(100.0, 200.0), 7.0))
    drawing = letter(*marks)
    return pdf_picture(pdf_bytes([drawing]), DPI) if how == "pdf" else svg_or_skip(drawing, DPI)


def window(picture: Picture, x: float, y: float, half: float) -> tuple[Picture, float, float]:
    """Cut a square out of a picture round a place in mm; also give the mm of its upper left corner."""
    row, column = (round(place * DPI / 25.4) for place in (LETTER[1] - y - half, x - half))
    size = round(2 * half * DPI / 25.4)
    cut = picture[row : row + size, column : column + size]
    return cut, column * 25.4 / DPI, LETTER[1] - row * 25.4 / DPI


def place_of_mark(picture: Picture, distance: float, side: float, along_x: bool) -> float:
    """Return where the middle of a scale mark's ink lies, in mm from the left or from the bottom."""
    x, y = (20.0 + distance, side) if along_x else (side, 20.0 + distance)
    cut, left, top = window(picture, x, y, 0.75)
    inside = ink_centre(cut, 1 if along_x else 0) * 25.4 / DPI
    return left + inside if along_x else top - inside


@pytest.mark.parametrize("how", ["pdf", "svg"])
@pytest.mark.parametrize("along_x", [True, False], ids=["across", "up"])
def test_a_ruler_measures_100_mm_and_4_in(how: str, along_x: bool) -> None:
    picture = measured(how)
    assert picture.shape == (11 * DPI, 8.5 * DPI)
    zero, metric, inches = (place_of_mark(picture, *mark, along_x) for mark in MARKS)
    assert metric - zero == pytest.approx(100.0, abs=0.01)
    assert inches - zero == pytest.approx(101.6, abs=0.01)
    assert zero == pytest.approx(20.0, abs=0.01)


@pytest.mark.parametrize("how", ["pdf", "svg"])
def test_a_line_is_as_wide_as_its_style_says(how: str) -> None:
    ink = (1.0 - window(measured(how), 150.0, 100.0, 2.0)[0]).sum(axis=1)
    assert ink.mean() * 25.4 / DPI == pytest.approx(0.35, abs=0.01)


@pytest.mark.parametrize("how", ["pdf", "svg"])
def test_a_capital_has_its_height(how: str) -> None:
    """ISO 3098 (from memory): the nominal size of lettering is the height of its capitals."""
    ink = (1.0 - window(measured(how), 103.0, 203.0, 8.0)[0]).max(axis=1)
    assert ink.sum() * 25.4 / DPI == pytest.approx(7.0, abs=0.05)


def thick(dark: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    """Spread dark pixels to their eight neighbours."""
    out = dark.copy()
    out[1:] |= dark[:-1]
    out[:-1] |= dark[1:]
    across = out.copy()
    out[:, 1:] |= across[:, :-1]
    out[:, :-1] |= across[:, 1:]
    return out


def test_svg_and_pdf_show_the_same_page() -> None:
    """No dark dot of one without ink of the other beside it, at 300 dpi (0.085 mm a dot)."""
    drawing = Drawing((*(case.mark for case in CASES), *WORDS), INFO, 508.0, 406.4)
    one, other = svg_or_skip(drawing, 300), pdf_picture(pdf_bytes([drawing]), 300)
    assert one.shape == other.shape == (4800, 6000)
    for first, second in ((one, other), (other, one)):
        alone = (first < 0.5) & ~thick(second < 0.85)
        assert not alone.any(), np.argwhere(alone)[:5]
    assert (1 - one).sum() == pytest.approx((1 - other).sum(), rel=0.02)


def test_comparing_pictures_can_fail() -> None:
    """The comparison above sees a hole that is 0.2 mm off."""
    place = {
        name: letter(CircleMark(Vec(x, 100.0), 2.0, Meaning.HOLE)) for name, x in (("a", 100.0), ("b", 100.2))
    }
    one, other = (pdf_picture(pdf_bytes([place[name]]), 300) for name in "ab")
    assert ((one < 0.5) & ~thick(other < 0.85)).any()


@pytest.mark.parametrize("text", WORDS, ids=lambda text: text.text[:7])
def test_a_viewer_finds_the_words_of_a_pdf(text: Text) -> None:
    assert text.text in pdf_words(pdf_bytes([Drawing((text,), INFO, 300.0, 300.0)]))


@pytest.mark.parametrize("text", WORDS, ids=lambda text: text.text[:7])
def test_words_cover_the_same_field_in_svg_and_pdf(text: Text) -> None:
    """The outlines in the SVG, read as numbers, against the ink that pdfium draws."""
    drawing = Drawing((text,), INFO, 254.0, 254.0)
    (words,) = read_svg(svg_bytes(drawing)).words
    rows, columns = np.nonzero(pdf_picture(pdf_bytes([drawing]), DPI) < 0.5)
    mm = 25.4 / DPI
    box = (
        columns.min() * mm,
        254.0 - (rows.max() + 1) * mm,
        (columns.max() + 1) * mm,
        254.0 - rows.min() * mm,
    )
    # One and a half dots, and what pdfium adds: it counts widths in whole thousandths of the em.
    within = 1.5 * mm + len(text.text) * 0.0005 * em_size(text.height, text.bold)
    assert box == pytest.approx(ink_box(words), abs=within)


def test_a_preview_has_its_dots() -> None:
    from io import BytesIO

    from PIL import Image

    try:
        data = png_bytes(svg_bytes(letter()), dpi=150)
    except PreviewUnavailable:
        pytest.skip("libcairo is not installed")
    with Image.open(BytesIO(data)) as image:
        assert image.size == (1275, 1650)
        assert image.convert("L").getextrema() == (255, 255)
