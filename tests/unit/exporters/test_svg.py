"""What an SVG sheet says besides its lines."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from templgen.drawing import ArcMark, CircleMark, Correction, Drawing, LineMark, Meaning, PageInfo, Text
from templgen.exporters.svg import svg_bytes
from templgen.geometry import Arc, Line, Vec
from templgen.proof.readers.svg import ink_box, read_svg

INFO = PageInfo("Sheet 1 of 3 <A & B>", "feedface", "mast plate", (("face", "outside"),))


def write(*items: object, correction: Correction | None = None) -> bytes:
    return svg_bytes(Drawing(items, INFO, 215.9, 279.4, correction))  # type: ignore[arg-type]


def test_size_and_view_box_are_millimetres() -> None:
    root = ElementTree.fromstring(write())
    assert (root.get("width"), root.get("height")) == ("215.9mm", "279.4mm")
    assert root.get("viewBox") == "0 0 215.9 279.4"


def test_the_file_says_what_it_is() -> None:
    page = read_svg(write())
    assert page.title == INFO.title
    assert page.about == "mast plate; digest: feedface; face: outside"


def test_no_number_is_odd() -> None:
    """No exponent, no minus zero, nothing finer than 0.0001 mm in a place."""
    data = write(
        LineMark(Line(Vec(1e-7, 279.4), Vec(100 / 3, 1e-9)), Meaning.CUT),
        CircleMark(Vec(2 / 3, 279.4 + 1e-9), 1e-3, Meaning.HOLE),
        ArcMark(Arc(Vec(10, 10), Vec(20, 10), 1e-4), Meaning.BEND),
    ).decode()
    body = data[data.index("<g") :]
    assert not re.search(r"\d[eE][-+]?\d|-0(?![.\d])|nan|inf", body)
    assert not re.search(r"\.\d{5}", body)


def test_arcs_stay_arcs_and_circles_circles() -> None:
    arc = ArcMark(Arc.from_centre(Vec(100, 100), 20.0, 0.0, 200.0), Meaning.BEND)
    root = ElementTree.fromstring(write(arc, CircleMark(Vec(50, 50), 2.0, Meaning.HOLE, "12")))
    (path,) = root.iter("{http://www.w3.org/2000/svg}path")
    assert path.attrib["d"].count("A") == 3
    assert "C" not in path.attrib["d"]
    (circle,) = root.iter("{http://www.w3.org/2000/svg}circle")
    assert circle.findtext("{http://www.w3.org/2000/svg}title") == "12"


def test_lines_of_one_meaning_lie_in_one_group() -> None:
    line = LineMark(Line(Vec(0, 0), Vec(5, 5)), Meaning.STRUCTURE)
    hole = CircleMark(Vec(50, 50), 2.0, Meaning.LOCATING_HOLE)
    root = ElementTree.fromstring(write(line, hole, line))
    groups = list(root.iter("{http://www.w3.org/2000/svg}g"))
    assert [group.get("id") for group in groups] == ["structure-behind", "locating-hole"]
    assert [len(group) for group in groups] == [2, 1]


def test_words_are_outlines_with_a_label_and_no_font() -> None:
    data = write(Text("Ø4.2 <deburr>", Vec(10, 10), 2.5))
    root = ElementTree.fromstring(data)
    assert b"<text" not in data
    assert b"font" not in data
    (path,) = root.iter("{http://www.w3.org/2000/svg}path")
    assert path.get("aria-label") == "Ø4.2 <deburr>"


def test_words_are_not_mirrored() -> None:
    """The stem of an upright L stands at the left of its foot, above the base line."""
    (words,) = read_svg(write(Text("L", Vec(100, 100), 7.0))).words
    left, low, right, high = ink_box(words)
    assert low == pytest.approx(100.0, abs=0.001)
    assert high == pytest.approx(107.0, abs=0.001)
    root = ElementTree.fromstring(write(Text("L", Vec(100, 100), 7.0)))
    (path,) = root.iter("{http://www.w3.org/2000/svg}path")
    assert "-" not in re.findall(r"scale\(([^)]*)\)", path.attrib["transform"])[0]
    assert left > 100.0
    assert right - left < 7.0


def test_a_correction_is_one_group() -> None:
    data = write(LineMark(Line(Vec(0, 0), Vec(5, 5)), Meaning.CUT), correction=Correction(1.001, 0.999, 0.1))
    root = ElementTree.fromstring(data)
    moved = [element for element in root.iter() if element.get("transform")]
    assert [element.get("id") for element in moved] == ["printer-correction"]
