"""What a PDF says besides its lines."""

from __future__ import annotations

import math
from io import BytesIO

import pikepdf
import pytest

from templgen.drawing import ArcMark, CircleMark, Drawing, Meaning, PageInfo, Text
from templgen.errors import ExportError
from templgen.exporters.pdf import pdf_bytes
from templgen.geometry import Arc, Vec
from templgen.proof.readers.model import Bezier
from templgen.proof.readers.pdf import read_pdf

INFO = PageInfo("Mast plate Ø", "feedface", "sheets to cut by", (("face", "outside"),))
LETTER = Drawing((Text("one", Vec(10, 10), 2.5),), INFO, 215.9, 279.4)
A3 = Drawing((Text("two", Vec(10, 10), 2.5, bold=True),), INFO, 297.0, 420.0)


def test_every_page_has_its_own_size_and_all_boxes_agree() -> None:
    pages = read_pdf(pdf_bytes([LETTER, A3])).pages
    for page, drawing in zip(pages, (LETTER, A3), strict=True):
        assert (page.width, page.height) == pytest.approx((drawing.width, drawing.height), abs=0.001)
        assert page.boxes["MediaBox"] == page.boxes["CropBox"] == page.boxes["TrimBox"]
        assert page.boxes["MediaBox"][:2] == (0.0, 0.0)


def test_letter_is_exact_in_points() -> None:
    """8.5 by 11 in is 612 by 792 pt of 1/72 in (ISO 32000-1, 8.3.2.3)."""
    with pikepdf.open(BytesIO(pdf_bytes([LETTER]))) as document:
        assert [float(side) for side in document.pages[0].MediaBox] == [0, 0, 612, 792]


def test_the_document_asks_not_to_be_scaled_and_says_what_it_is() -> None:
    document = read_pdf(pdf_bytes([LETTER, A3], bookmarks=["template", "schedule"]))
    assert document.print_scaling == "None"
    assert document.title == "Mast plate Ø"
    assert document.subject == "sheets to cut by"
    assert document.keywords == "digest: feedface; face: outside"
    assert document.bookmarks == ("template", "schedule")


def test_pages_go_by_their_titles_without_bookmarks() -> None:
    assert read_pdf(pdf_bytes([LETTER, A3])).bookmarks == ("Mast plate Ø", "Mast plate Ø")


def test_every_font_is_embedded() -> None:
    with pikepdf.open(BytesIO(pdf_bytes([LETTER, A3]))) as document:
        fonts = [font for page in document.pages for font in page.Resources.Font.values()]
        assert {str(font.BaseFont).partition("+")[2] for font in fonts} == {
            "DejaVuSansCondensed",
            "DejaVuSansCondensed-Bold",
        }
        assert all("/FontFile2" in font.FontDescriptor for font in fonts)


def test_an_arc_is_one_curve_per_45_degrees() -> None:
    for sweep, count in ((44.9, 1), (45.0, 1), (46.0, 2), (90.0, 2), (-180.0, 4), (359.0, 8)):
        arc = ArcMark(Arc.from_centre(Vec(100, 100), 20.0, 7.0, sweep), Meaning.BEND)
        (outline,) = read_pdf(pdf_bytes([Drawing((arc,), INFO, 215.9, 279.4)])).pages[0].outlines
        assert len(outline.pieces) == count
        assert all(isinstance(piece, Bezier) for piece in outline.pieces)


@pytest.mark.parametrize(("radius", "count"), [(25.0, 8), (200.0, 8), (250.0, 10), (2000.0, 12)])
def test_curves_stay_near_their_circle(radius: float, count: int) -> None:
    """As the module says: within 5 millionths of the radius, and never farther off than 0.001 mm.

    The factor to points, 2.834646, is written to seven digits; that counts on pages of metres only.
    """
    middle = radius + 10.0
    circle = CircleMark(Vec(middle, middle), radius, Meaning.HOLE)
    (outline,) = read_pdf(pdf_bytes([Drawing((circle,), INFO, 2 * middle, 2 * middle)])).pages[0].outlines
    assert len(outline.pieces) == count
    off = [abs(math.dist(point, (middle, middle)) - radius) for point in outline.points(200)]
    assert max(off) < min(5e-6 * radius, 0.001) + 2e-5 + 1.2e-7 * 2 * middle


def test_pages_of_different_jobs_do_not_mix() -> None:
    other = Drawing((), PageInfo("Other", "beefcafe"), 215.9, 279.4)
    with pytest.raises(ExportError, match="different jobs"):
        pdf_bytes([LETTER, other])


def test_no_page_is_refused() -> None:
    with pytest.raises(ExportError, match="at least one page"):
        pdf_bytes([])


def test_bookmarks_are_as_many_as_pages() -> None:
    with pytest.raises(ExportError, match="1 bookmarks for 2 pages"):
        pdf_bytes([LETTER, A3], bookmarks=["template"])


def test_a_document_before_leaves_no_trace_in_the_next() -> None:
    """The library keeps fonts for all documents; each document must still hold its own letters only."""
    first = pdf_bytes([LETTER])
    pdf_bytes([A3, Drawing((Text("quite other letters", Vec(1, 1), 5),), INFO, 100.0, 100.0)])
    assert pdf_bytes([LETTER]) == first
