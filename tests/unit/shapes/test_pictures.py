"""Pictures and descriptions of the shapes."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from templgen.shapes import ShapeLibrary
from templgen.shapes.pictures import describe, thumbnail_svg, thumbnail_text

LIBRARY = ShapeLibrary.standard()


@pytest.mark.parametrize("name", LIBRARY.names())
def test_every_shape_has_its_pictures(name: str) -> None:
    shape = LIBRARY.get(name)
    root = ET.fromstring(thumbnail_svg(shape))
    assert root.attrib["width"] == "40mm"
    drawn = [node for node in root.iter() if node.tag.endswith(("path", "circle"))]
    assert drawn
    text = thumbnail_text(shape)
    assert text.isascii()
    assert all(len(line) <= 48 for line in text.splitlines())
    assert ("#" if shape.kind == "outline" else "o") in text


def test_the_text_picture_shows_the_opening_of_a_ring() -> None:
    lines = thumbnail_text(LIBRARY.get("ring")).splitlines()
    middle = lines[len(lines) // 2]
    assert middle.startswith("#")
    assert "   " in middle.strip()


def test_forward_is_to_the_right_and_left_is_up() -> None:
    """The tapered mast has its thick end at +x; the D hole has its flat, the lowest line, at -y."""
    lines = thumbnail_text(LIBRARY.get("mast-tapered")).splitlines()
    columns = [sum(line[column : column + 1] == "#" for line in lines) for column in (3, 40)]
    assert columns[0] < columns[1]
    lines = thumbnail_text(LIBRARY.get("d-hole")).splitlines()
    assert lines[-1].count("#") > lines[0].count("#")


def test_the_picture_of_a_rectangle_is_to_shape() -> None:
    root = ET.fromstring(thumbnail_svg(LIBRARY.get("rectangle")))
    (path,) = [node for node in root.iter() if node.tag.endswith("path")]
    numbers = [float(word) for word in path.attrib["d"].replace("Z", "").split() if word not in "MLA"]
    xs, ys = numbers[0::2], numbers[1::2]
    assert max(xs) - min(xs) == pytest.approx(34.0, abs=0.01)
    assert max(ys) - min(ys) == pytest.approx(34.0 * 40 / 60, abs=0.01)


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("name", LIBRARY.names())
def test_descriptions_name_every_parameter(name: str, unit: str) -> None:
    shape = LIBRARY.get(name)
    text = describe(shape, unit)  # type: ignore[arg-type]  # a literal of the two
    assert text.startswith(f"{name}: ")
    for parameter in shape.parameters.values():
        assert f"  {parameter.name}: " in text
    assert max(map(len, text.splitlines())) <= 100


def test_a_description_in_each_unit() -> None:
    inches, millimetres = (describe(LIBRARY.get("circle"), unit) for unit in ("in", "mm"))
    assert "diameter: length in inches, must be given, at least 0.0197, at most 78.7402" in inches
    assert "diameter: length in millimetres, must be given, at least 0.5, at most 2000" in millimetres
    assert "Source: NACA Report 460" in describe(LIBRARY.get("mast-four-digit"), "mm")
