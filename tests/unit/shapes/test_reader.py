"""Shape files that are wrong: one line that says where and why, and the nearest name."""

from __future__ import annotations

from pathlib import Path

import pytest

from templgen.errors import ShapeError
from templgen.shapes.reader import LARGEST_FILE, read_shape

GOOD = """
name = "plate"
title = "Plate"
kind = "outline"
path = [
    { start = ["-length/2", 0] },
    { line_by = ["length", 0] },
    { line_by = [0, "height"] },
    { close = true },
]

[parameters.length]
unit = "mm"
default = 40.0
required = true
minimum = 1
maximum = 100
meaning = "Length of the base."

[parameters.height]
unit = "mm"
default = "length/2"
minimum = 1
maximum = "2*length"
maximum_is = "twice the length"
meaning = "Height of the corner."

[derived]
area = "length*height/2"

[example]
parameters = { length = 20.0 }

[example.facts]
area = "area"
"""


def _read(tmp_path: Path, text: str) -> object:
    file = tmp_path / "plate.toml"
    file.write_text(text, encoding="utf-8")
    return read_shape(file)


def test_the_good_file_reads(tmp_path: Path) -> None:
    file = tmp_path / "plate.toml"
    file.write_text(GOOD, encoding="utf-8")
    shape = read_shape(file)
    assert shape.outline(length=20.0).contour.area == pytest.approx(100.0)
    assert shape.fact_values(shape.values({"length": 20.0})) == {"area": 100.0}


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('name = "plate"', 'name = "plates"', "name = 'plates' differs from the name of the file, 'plate'"),
        ('name = "plate"', 'name = "Plate"', "small letters"),
        ('name = "plate"', "", "plate.toml: name is missing"),
        ('title = "Plate"', "title = 3", "title is missing, a text is needed"),
        ('kind = "outline"', 'kind = "outlin"', "kind = 'outlin'; nearest: outline"),
        ('title = "Plate"', 'title = "Plate"\ntitel = "x"', "'titel' is not known here; nearest: title"),
        ("[derived]", "[derivd]", "'derivd' is not known here; nearest: derived"),
        (
            "maximum = 100",
            "maximun = 100",
            "parameters.length: 'maximun' is not known here; nearest: maximum",
        ),
        ("minimum = 1\nmaximum = 100", "minimum = true", "parameters.length.minimum: True is not a number"),
        ("maximum = 100", "maximum = nan", "is not a number or an expression"),
        ("default = 40.0", "", "parameters.length: default is missing"),
        ("default = 40.0", "default = 400.0", "parameters.length.default: length = 400 mm is above 100 mm"),
        ("default = 40.0", 'default = "forty"', "no value is called 'forty'"),
        ('unit = "mm"', 'unit = "cm"', "parameters.length: unit = 'cm'; allowed: count"),
        ("required = true", "required = 1", "required is true or false, not 1"),
        ('meaning = "Length of the base."', "", "parameters.length: meaning is missing"),
        ("[parameters.height]", "[parameters.sin]", "parameters.sin: not a name"),
        ("[parameters.height]", "[parameters.Height]", "parameters.Height: not a name"),
        (
            '"2*length"',
            '"2*lenth"',
            "parameters.height: '2*lenth': no value is called 'lenth'; nearest: length",
        ),
        ('"2*length"', '"2*length +"', "parameters.height.maximum: expression"),
        ('"length/2"', '"area"', "parameters.height.default: 'area': no value is called"),
        ('area = "length', 'length = "length', "derived.length: not a new name"),
        ('"length*height/2"', '"area/2"', "derived.area: 'area/2': no value is called 'area'"),
        ("{ close = true }", "{ close = false }", "path step 4, close: only true is allowed here"),
        ("{ close = true }", "{ clos = true }", "no step of an outline is called 'clos'; nearest: close"),
        ("{ close = true }", "{ point = [0, 0] }", "no step of an outline is called 'point'"),
        ("{ close = true }", "{ line_by = [1] }", "path step 4, line_by: [1] is not a point [x, y]"),
        ("{ close = true }", "{ line_by = [1, 2], turn = 3 }", "line_by has no option 'turn'"),
        ("{ close = true }", '{ line_by = [1, "hight"] }', "no value is called 'hight'; nearest: height"),
        ("{ close = true }", "{ arc_to = [0, 0] }", "arc_to needs exactly one of through, centre"),
        (
            "{ close = true }",
            "{ arc_to = [0, 0], tangent = true, turn = 'cw' }",
            "turn does not go with tangent",
        ),
        (
            "{ close = true }",
            "{ arc_to = [0, 0], radius = 3, turn = 'left' }",
            '\'left\' is not "ccw" or "cw"',
        ),
        ("{ close = true }", "{ repeat = 3 }", "repeat needs exactly one of turn, by"),
        ("{ close = true }", "{ repeat = 3, by = [1, 2], about = [0, 0] }", "about goes with turn"),
        ("{ close = true }", "{ mirror = 'z' }", '\'z\' is not "x", "y"'),
        ("{ close = true }", "7", "path step 4: 7 is not a step"),
        ('{ start = ["-length/2", 0] }', "{ line_to = [0, 0] }", "an outline begins with start"),
        ("path = [", 'construction = "ellipse"\npath = [', "exactly one of path, construction is needed"),
        ("[derived]", "[source]\ndocument = 'x'\n[derived]", "source: needed is seen = true"),
        ("[derived]", "[source]\nseen = true\n[derived]", "source: document is missing"),
        (
            "{ length = 20.0 }",
            "{ lenght = 20.0 }",
            "example: plate.toml has no parameter 'lenght'; nearest: length",
        ),
        ("{ length = 20.0 }", "{ length = 200.0 }", "example: length = 200 mm is above 100 mm"),
        ('area = "area"', 'aera = "area"', "example.facts: 'aera' is not known here; nearest: area"),
        ('area = "area"', "", "example: facts are missing"),
        ("[example]", "[example]\ntolerance = 3", "example.tolerance is a length from 0 to 1 mm"),
        ("[parameters.length]", "[parameters.length", "plate.toml:12:19: this is not TOML"),
    ],
)
def test_faults_of_a_file(tmp_path: Path, old: str, new: str, told: str) -> None:
    assert old in GOOD
    with pytest.raises(ShapeError) as refusal:
        _read(tmp_path, GOOD.replace(old, new, 1))
    message = str(refusal.value)
    assert told in message
    assert message.startswith("plate.toml")
    assert "\n" not in message


CONSTRUCTED = """
name = "plate"
title = "Plate"
kind = "outline"
construction = "ellipse"

[parameters.length]
unit = "mm"
default = 40.0
meaning = "Axis along x."

[parameters.width]
unit = "mm"
default = 20.0
meaning = "Axis along y."

[example.facts]
extent_x = 40.0
"""


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"ellipse"', '"elipse"', "no construction is called 'elipse'; nearest: ellipse"),
        ('"ellipse"', '"perimeter-row"', "makes an pattern, the file says outline"),
        ("[parameters.width]", "[parameters.breadth]", "construction ellipse needs a parameter width in mm"),
        (
            "[example.facts]",
            "[parameters.depth]\nunit = 'mm'\ndefault = 1\nmeaning = 'Not used.'\n[example.facts]",
            "does not use depth",
        ),
        ('"ellipse"', '"ellipse"\ninner = [[{ start = [0, 0] }]]', "inner is a list of paths and goes with"),
    ],
)
def test_faults_of_a_construction(tmp_path: Path, old: str, new: str, told: str) -> None:
    with pytest.raises(ShapeError) as refusal:
        _read(tmp_path, CONSTRUCTED.replace(old, new, 1))
    assert told in str(refusal.value)


def test_a_missing_file_and_a_huge_one(tmp_path: Path) -> None:
    with pytest.raises(ShapeError, match="can not be read"):
        read_shape(tmp_path / "none.toml")
    file = tmp_path / "big.toml"
    file.write_bytes(b"#" * (LARGEST_FILE + 1))
    with pytest.raises(ShapeError, match="a shape file has at most"):
        read_shape(file)


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    file = tmp_path / "plate.toml"
    file.write_bytes(b"name = '\xff'")
    with pytest.raises(ShapeError, match=r"plate.toml: byte 9 is not UTF-8 text"):
        read_shape(file)


def test_deep_nesting_is_no_traceback(tmp_path: Path) -> None:
    with pytest.raises(ShapeError):
        _read(tmp_path, "path = " + "[" * 5000 + "]" * 5000)
