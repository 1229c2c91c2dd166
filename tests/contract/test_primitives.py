"""Every kind of mark through every exporter, read back by readers that share no code with the writers."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from templgen.drawing import (
    Anchor,
    ArcMark,
    CircleMark,
    Correction,
    Drawing,
    LineMark,
    Meaning,
    PathMark,
    Text,
    style_of,
)
from templgen.errors import ExportError
from templgen.exporters.base import Exporter
from templgen.exporters.registry import EXPORTERS
from templgen.geometry import Arc, Contour, Line, Vec
from tests.contract.reading import PICTURES, READERS, WITHIN, Reading, apart
from tests.contract.zoo import CASES, WORDS, Case, round_points, sheet, whole

DRAWN = [
    exporter for name, exporter in EXPORTERS.items() if exporter.reads == "drawing" and name not in PICTURES
]
PAPER = [exporter for exporter in DRAWN if exporter.paper]
each = pytest.mark.parametrize("exporter", DRAWN, ids=lambda exporter: exporter.name)
each_paper = pytest.mark.parametrize("exporter", PAPER, ids=lambda exporter: exporter.name)


def read(exporter: Exporter, drawing: Drawing) -> Reading:
    return READERS[exporter.name](exporter.write(drawing))


def test_every_exporter_has_a_reader() -> None:
    assert {exporter.name for exporter in DRAWN} == set(READERS) == set(WITHIN)


@each
@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_mark_is_where_it_belongs(exporter: Exporter, case: Case) -> None:
    (outline,) = read(exporter, sheet(case.mark)).outlines
    assert apart(outline, case.truth) < WITHIN[exporter.name]
    if isinstance(case.mark, PathMark):
        assert outline.closed == case.mark.contour.closed


@each
@pytest.mark.parametrize("case", [c for c in CASES if isinstance(c.mark, CircleMark)], ids=str)
def test_a_circle_is_read_as_one(exporter: Exporter, case: Case) -> None:
    assert isinstance(case.mark, CircleMark)
    (outline,) = read(exporter, sheet(case.mark)).outlines
    circle = outline.round()
    assert circle is not None
    assert math.dist(circle.centre, (case.mark.centre.x, case.mark.centre.y)) < WITHIN[exporter.name]
    assert abs(circle.radius - case.mark.radius) < WITHIN[exporter.name]


@each
def test_nothing_is_left_out_of_a_full_page(exporter: Exporter) -> None:
    reading = read(exporter, whole())
    assert len(reading.outlines) == len(CASES)
    assert len(reading.words) == len(WORDS)


@each
def test_an_empty_drawing_is_an_empty_file(exporter: Exporter) -> None:
    reading = read(exporter, sheet())
    assert reading.outlines == ()
    assert reading.words == ()


@each
@settings(max_examples=25, deadline=None)
@given(
    radius=st.floats(0.5, 150.0),
    start=st.floats(-180.0, 180.0),
    sweep=st.floats(1.0, 359.5) | st.floats(179.9, 180.1),
    clockwise=st.booleans(),
)
def test_any_arc_is_where_it_belongs(
    exporter: Exporter, radius: float, start: float, sweep: float, clockwise: bool
) -> None:
    turn = -sweep if clockwise else sweep
    mark = ArcMark(Arc.from_centre(Vec(250.0, 200.0), radius, start, turn), Meaning.BEND)
    (outline,) = read(exporter, sheet(mark)).outlines
    assert apart(outline, round_points(250.0, 200.0, radius, start, turn)) < WITHIN[exporter.name]


@each
@pytest.mark.parametrize("text", WORDS, ids=lambda text: text.text[:7])
def test_words_stand_where_they_belong(exporter: Exporter, text: Text) -> None:
    (words,) = read(exporter, sheet(text)).words
    assert words.text == text.text
    assert words.angle == pytest.approx(text.angle, abs=1e-3)
    if exporter.paper and text.anchor is not Anchor.LEFT:
        # The start of the base line lies before the anchor, on the line at the text's angle.
        along = math.radians(text.angle)
        dx, dy = words.at[0] - text.at.x, words.at[1] - text.at.y
        assert abs(dx * -math.sin(along) + dy * math.cos(along)) < WITHIN[exporter.name]
        assert dx * math.cos(along) + dy * math.sin(along) < -1.0
    else:
        assert math.dist(words.at, (text.at.x, text.at.y)) < WITHIN[exporter.name]


# A sizes by ISO 216, the others by common practice; both from memory, confidence high.
PAPERS = {
    "letter": (8.5 * 25.4, 11 * 25.4),
    "legal": (8.5 * 25.4, 14 * 25.4),
    "tabloid": (11 * 25.4, 17 * 25.4),
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "a4 on its side": (297.0, 210.0),
}


@each_paper
@pytest.mark.parametrize("paper", PAPERS)
def test_the_page_has_its_size(exporter: Exporter, paper: str) -> None:
    width, height = PAPERS[paper]
    page = read(exporter, sheet(width=width, height=height)).page
    assert page == pytest.approx((width, height), abs=0.001)


@each_paper
@pytest.mark.parametrize("meaning", Meaning, ids=lambda meaning: meaning.value)
def test_a_line_has_the_style_of_its_meaning(exporter: Exporter, meaning: Meaning) -> None:
    (outline,) = read(exporter, sheet(LineMark(Line(Vec(10, 10), Vec(90, 10)), meaning))).outlines
    assert outline.width == pytest.approx(style_of(meaning).width, abs=1e-6)
    assert outline.dash == pytest.approx(style_of(meaning).pattern, abs=1e-5)
    assert not outline.filled


@each_paper
def test_a_filled_path_is_filled_and_has_no_line(exporter: Exporter) -> None:
    arrow = Contour.polygon([Vec(10, 10), Vec(13, 9), Vec(13, 11)])
    (outline,) = read(exporter, sheet(PathMark(arrow, Meaning.DIMENSION, filled=True))).outlines
    assert outline.filled
    assert outline.width is None


@each_paper
def test_a_correction_moves_every_place_about_the_lower_left_corner(exporter: Exporter) -> None:
    line = LineMark(Line(Vec(20.0, 30.0), Vec(220.0, 330.0)), Meaning.RULER)
    correction = Correction(1.002, 0.997, 0.25)
    (outline,) = read(exporter, replace(sheet(line), correction=correction)).outlines
    lean = math.tan(math.radians(0.25))
    truth = [(1.002 * x + lean * 0.997 * y, 0.997 * y) for x, y in ((20.0, 30.0), (220.0, 330.0))]
    assert apart(outline, truth) < WITHIN[exporter.name]


@each_paper
def test_a_drawing_without_a_page_is_refused(exporter: Exporter) -> None:
    with pytest.raises(ExportError, match="no page"):
        exporter.write(replace(sheet(), width=None, height=None))


def test_a_cut_file_refuses_a_correction() -> None:
    with pytest.raises(ExportError, match="correction"):
        EXPORTERS["dxf"].write(replace(sheet(), correction=Correction(1.0, 1.0)))


class Sticker:
    """A kind of mark that nobody knows."""


@pytest.mark.parametrize("name", [*READERS, *PICTURES])
def test_an_unknown_mark_raises(name: str) -> None:
    with pytest.raises(ExportError, match="Sticker"):
        EXPORTERS[name].write(sheet(Sticker()))  # type: ignore[arg-type]  # on purpose


@each
@pytest.mark.parametrize(
    ("mark", "words"),
    [
        (CircleMark(Vec(10, 10), 0.0, Meaning.HOLE), "radius"),
        (CircleMark(Vec(math.nan, 10), 1.0, Meaning.HOLE), "radius"),
        (Text("", Vec(10, 10), 2.5), "no words"),
        (Text("two\nlines", Vec(10, 10), 2.5), "line break"),
        (Text("flat", Vec(10, 10), 0.0), "height"),
        (PathMark(Contour.polyline([Vec(0, 0), Vec(5, 5)]), Meaning.NOTE, filled=True), "open path"),
    ],
)
def test_a_mark_that_would_leave_no_trace_raises(exporter: Exporter, mark: CircleMark, words: str) -> None:
    with pytest.raises(ExportError, match=words):
        exporter.write(sheet(mark))


@each_paper
def test_a_letter_without_a_glyph_is_refused(exporter: Exporter) -> None:
    with pytest.raises(ExportError, match=r"'漢' \(U\+6F22\)"):
        exporter.write(sheet(Text("漢", Vec(10, 10), 2.5)))
