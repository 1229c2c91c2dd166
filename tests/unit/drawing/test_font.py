"""The shipped font: measures and outlines."""

from __future__ import annotations

import math

import pytest

from templgen.drawing import Anchor, Text
from templgen.drawing.font import (
    em_size,
    font_path,
    glyph,
    glyph_outlines,
    start_of,
    text_bounds,
    text_width,
    unit_size,
)
from templgen.errors import ExportError
from templgen.geometry import Vec

SIGNS = "0123456789 abcxyzABCXYZ ØøµΩ°×±−–—½¼¾²≤≥→←↑↓“”'\"#/&()[]+=%"


def test_a_capital_is_as_high_as_asked() -> None:
    """ISO 3098 (from memory): the nominal size is the height of the capitals."""
    assert glyph("H").high * unit_size(3.5) == pytest.approx(3.5)
    assert glyph("H", True).high * unit_size(3.5, True) == pytest.approx(3.5)


@pytest.mark.parametrize("bold", [False, True])
def test_widths_are_those_that_another_library_reads(bold: bool) -> None:
    """Pillow measures with FreeType, which shares nothing with the tables read here."""
    from PIL import ImageFont

    size = 1000
    font = ImageFont.truetype(str(font_path(bold)), size, layout_engine=ImageFont.Layout.BASIC)
    for character in SIGNS:
        expected = font.getlength(character) / size  # in ems, FreeType rounds to whole dots
        assert text_width(character, 1.0, bold) / em_size(1.0, bold) == pytest.approx(expected, abs=0.0006)


def test_a_line_is_as_wide_as_its_letters() -> None:
    words = "3 holes #30"
    assert text_width(words, 2.5) == pytest.approx(sum(text_width(letter, 2.5) for letter in words))
    assert text_width("", 2.5) == 0.0


@pytest.mark.parametrize("bold", [False, True])
def test_the_font_has_every_sign_of_the_trade(bold: bool) -> None:
    for character in SIGNS:
        assert glyph(character, bold).advance > 0
        ((_, _, outline),) = glyph_outlines(character, bold)
        assert bool(outline) is (character != " ")


def test_a_letter_that_is_missing_is_named() -> None:
    with pytest.raises(ExportError, match=r"'漢' \(U\+6F22\)"):
        text_width("abc漢", 2.5)


@pytest.mark.parametrize(("anchor", "back"), [(Anchor.LEFT, 0.0), (Anchor.MIDDLE, 0.5), (Anchor.RIGHT, 1.0)])
@pytest.mark.parametrize("angle", [0.0, 90.0, -33.0, 180.0])
def test_the_anchor_stands_at_its_place(anchor: Anchor, back: float, angle: float) -> None:
    text = Text("anchor", Vec(10.0, 20.0), 3.5, anchor, angle)
    width = text_width("anchor", 3.5)
    start = start_of(text)
    end = start + Vec.polar(width, angle)
    at = start.towards(end, back)
    assert at.distance_to(text.at) < 1e-9


def test_the_box_of_words_holds_their_ink() -> None:
    text = Text("Øgl|", Vec(10.0, 20.0), 3.5, angle=25.0)
    corners = text_bounds(text)
    size = unit_size(3.5)
    along = Vec.polar(1.0, 25.0)
    for _, place, outline in glyph_outlines("Øgl|"):
        for letter, numbers in outline:
            if letter == "Z":
                continue
            x, y = numbers[-2:]
            point = Vec(10.0, 20.0) + along * ((place + x) * size) + along.perp() * (y * size)
            for first, second in zip(corners, [*corners[1:], corners[0]], strict=True):
                assert (second - first).cross(point - first) > -1e-9


def test_the_box_of_capitals_is_their_height() -> None:
    lower_left, lower_right, upper_right, upper_left = text_bounds(Text("HE", Vec(5.0, 7.0), 5.0))
    assert (lower_left.x, lower_left.y) == (5.0, 7.0)
    assert upper_left.y - lower_left.y == pytest.approx(5.0)
    assert lower_right.x - lower_left.x == pytest.approx(text_width("HE", 5.0))
    assert upper_right.distance_to(lower_left) == pytest.approx(math.hypot(5.0, text_width("HE", 5.0)))


def test_outlines_are_closed_and_begin_with_a_move() -> None:
    for _, _, outline in glyph_outlines("Ag8%", bold=True):
        letters = "".join(letter for letter, _ in outline)
        assert letters[0] == "M"
        assert letters[-1] == "Z"
        assert letters.count("M") == letters.count("Z")
