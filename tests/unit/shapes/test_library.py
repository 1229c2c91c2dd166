"""The library as a whole: names, the builder's own folder, faults of values, and what a region is."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from templgen.errors import ShapeError
from templgen.geometry import Contour, Vec
from templgen.shapes import ShapeLibrary

LIBRARY = ShapeLibrary.standard()
OWN = """
name = "{name}"
title = "Own plate"
kind = "outline"
path = [{{ start = [0, 0] }}, {{ line_to = ["side", 0] }}, {{ line_to = [0, "side"] }}, {{ close = true }}]

[parameters.side]
unit = "mm"
default = 10.0
required = true
minimum = 1
meaning = "Length of the two short sides."

[example.facts]
area = "side**2/2"
"""


def test_names_are_sorted_and_iteration_follows_them() -> None:
    assert list(LIBRARY.names()) == sorted(LIBRARY.names())
    assert [shape.name for shape in LIBRARY] == list(LIBRARY.names())
    assert len(LIBRARY) == len(LIBRARY.names())
    assert "circle" in LIBRARY
    assert "none" not in LIBRARY
    assert ShapeLibrary.standard() is LIBRARY


def test_an_unknown_shape_gives_the_nearest_name() -> None:
    with pytest.raises(ShapeError, match=r"no shape is called 'rectangel'; nearest: rectangle"):
        LIBRARY.get("rectangel")
    with pytest.raises(ShapeError, match=r"no shape is called '{{{'; allowed: bolt-circle, circle, "):
        LIBRARY.get("{{{")


def test_a_folder_beside_the_job_adds_shapes(tmp_path: Path) -> None:
    (tmp_path / "own-plate.toml").write_text(OWN.format(name="own-plate"))
    (tmp_path / "notes.txt").write_text("left alone")
    library = ShapeLibrary.with_folder(tmp_path)
    assert library.get("own-plate").outline(side=8).contour.area == pytest.approx(32)
    assert set(library.names()) == {*LIBRARY.names(), "own-plate"}
    assert "own-plate" not in LIBRARY


def test_a_folder_may_not_take_a_name_of_the_library(tmp_path: Path) -> None:
    (tmp_path / "circle.toml").write_text(OWN.format(name="circle"))
    with pytest.raises(ShapeError, match=r"circle.toml: the library already has a shape called 'circle'"):
        ShapeLibrary.with_folder(tmp_path)


def test_a_faulty_file_in_the_folder_is_told_at_once(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("name = 'bad'")
    with pytest.raises(ShapeError, match=r"bad.toml: kind is missing"):
        ShapeLibrary.with_folder(tmp_path)
    with pytest.raises(ShapeError, match="there is no such folder"):
        ShapeLibrary.with_folder(tmp_path / "none")


def test_a_value_out_of_range_names_parameter_value_and_limit() -> None:
    mast = LIBRARY.get("mast-rounded")
    with pytest.raises(ShapeError) as refusal:
        mast.outline(length=60, width=10, nose_radius=12, tail_radius=2)
    assert str(refusal.value) == "nose_radius = 12 mm is above 5 mm (half the width)"


def test_a_limit_is_told_in_the_unit_of_the_job() -> None:
    mast = LIBRARY.get("mast-rounded")
    given = {"length": 50.8, "width": 10.16, "nose_radius": 12.7, "tail_radius": 2}
    (fault,) = mast.faults(given, "in")
    assert fault.message == "nose_radius = 0.5 in (12.7 mm) is above 0.2 in (5.08 mm) (half the width)"
    (fault,) = LIBRARY.get("bolt-circle").faults({"diameter": 50, "count": 4, "angle": 400}, "in")
    assert fault.message == "angle = 400 deg is above 360 deg"


def test_all_faults_are_found_at_once() -> None:
    faults = LIBRARY.get("rectangle").faults({"lenght": 3, "width": "wide", "corner_radius": True})
    assert [fault.parameter for fault in faults] == [
        "lenght",
        "length",
        "width",
        "corner_radius",
        "radius_forward_left",
        "radius_aft_left",
        "radius_aft_right",
        "radius_forward_right",
    ]
    assert faults[0].message == "rectangle has no parameter 'lenght'; nearest: length"
    assert faults[1].message.startswith("rectangle needs length: ")
    assert faults[2].message == "width = 'wide' is not a length"


def test_a_consequence_is_not_told_beside_its_cause() -> None:
    faults = LIBRARY.get("rectangle").faults({"length": 20, "width": 10, "corner_radius": 6})
    assert [fault.parameter for fault in faults] == ["corner_radius"]
    own = LIBRARY.get("rectangle").faults({"length": 20, "width": 10, "radius_aft_left": 11})
    assert [fault.parameter for fault in own] == ["radius_aft_left"]


@pytest.mark.parametrize(
    ("name", "values", "told"),
    [
        ("circle", {"diameter": math.nan}, "diameter = nan is not a length"),
        ("circle", {"diameter": math.inf}, "diameter = inf is not a length"),
        ("circle", {"diameter": 10**400}, "is not a length"),
        ("circle", {"diameter": None}, "diameter = None is not a length"),
        ("circle", {"diameter": [3]}, "diameter = [3] is not a length"),
        ("bolt-circle", {"diameter": 50, "count": 2.5}, "count = 2.5 is not a whole number"),
        ("bolt-circle", {"diameter": 50, "count": 4, "angle": "x"}, "angle = 'x' is not an angle in degrees"),
        ("polygon", {"points": 3}, "points = 3 is not a list of points [x, y]"),
        ("polygon", {"points": [[1, 2], [3]]}, "is not a list of points"),
        ("polygon", {"points": "ab"}, "points = 'ab' is not a list of points"),
        (
            "polygon",
            {"points": [[0, 0], [9, 0], [0, 9]], "corner_radii": [1, -1, 2]},
            "corner_radii[2] = -1 mm",
        ),
        ("polygon", {"points": [[0, 0], [9, 0]]}, "points: 2 given, a polygon has at least 3"),
        ("polygon", {"points": [[0, 0], [9, 0], [9, 0], [0, 9]]}, "points 2 and 3 lie in one place"),
        ("polygon", {"points": [[0, 0], [9, 9], [9, 0], [0, 5]]}, "crosses"),
        ("polygon", {"points": [[0, 0], [9, 0], [0, 9]], "corner_radii": [1]}, "1 given for 3 points"),
        ("polygon", {"points": [[0, 0], [9, 0], [0, 9]], "corner_radius": 5}, "does not fit the corner"),
        ("outline-points", {"points": [[0, 0], [9, 0], [0, 9]]}, "needs at least 4"),
        ("outline-points", {"points": [[0, 0], [9, 0], [9, 9], [0, 9]], "corners": [5]}, "5 is above 4"),
        ("perimeter-row", {"outline": [[0, 0], [9, 0]], "inset": 1, "count": 3}, "is not an outline"),
        ("perimeter-row", {"outline": 4, "inset": 1, "count": 3}, "outline = 4 is not an outline"),
    ],
)
def test_values_that_are_of_the_wrong_kind(name: str, values: dict[str, object], told: str) -> None:
    shape = LIBRARY.get(name)
    with pytest.raises(ShapeError) as refusal:
        shape.points(**values) if shape.kind == "pattern" else shape.outline(**values)
    assert told in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_an_outline_is_no_pattern() -> None:
    with pytest.raises(ShapeError, match="circle sets out no holes"):
        LIBRARY.get("circle").points(diameter=3)
    with pytest.raises(ShapeError, match="row draws no outline"):
        LIBRARY.get("row").outline(count=3, pitch=10)


def test_the_region_of_a_ring_has_its_opening() -> None:
    region = LIBRARY.get("ring").region(diameter=100, opening=60)
    assert len(region.inner) == 1
    assert region.area == pytest.approx(math.pi * 1600)
    assert LIBRARY.get("ring").outline(diameter=100, opening=60).contour.area == pytest.approx(math.pi * 2500)


def test_an_opening_that_leaves_the_outline_is_refused(tmp_path: Path) -> None:
    text = OWN.format(name="own-plate").replace(
        "[parameters.side]",
        "inner = [[{ start = [1, 1] }, { line_to = [9, 1] }, { line_to = [1, 9] }, { close = true }]]\n"
        "[parameters.side]",
    )
    (tmp_path / "own-plate.toml").write_text(text)
    shape = ShapeLibrary.with_folder(tmp_path).get("own-plate")
    assert len(shape.region(side=30).inner) == 1
    with pytest.raises(ShapeError, match="lies outside the part"):
        shape.outline(side=1.5)
    with pytest.raises(ShapeError, match="own-plate with these values: two outlines meet at"):
        shape.outline(side=10)


def test_free_corners_take_either_way_round() -> None:
    corners = [[0, 0], [0, 30], [40, 30], [40, 0]]
    shape = LIBRARY.get("polygon")
    clockwise = shape.outline(points=corners, corner_radii=[5, 0, 3, 0]).contour
    assert clockwise.is_ccw
    assert clockwise.area == pytest.approx(1200 - (1 - math.pi / 4) * 34)
    assert clockwise.as_ccw() == clockwise
    vectors = shape.outline(points=[Vec(x, y) for x, y in corners])
    assert vectors.contour.area == 1200


def test_a_measured_outline_keeps_its_corners() -> None:
    """A half disc of 10 mm by nine points of its arc: with its two corners the flat stays straight."""
    arc = [Vec.polar(10.0, 22.5 * step) for step in range(9)]
    points = [*arc, Vec(0, 0)]
    outline = LIBRARY.get("outline-points").outline(points=points, corners=[1, 9])
    assert outline.contour.area == pytest.approx(math.pi * 50, rel=1e-6)
    rounded = LIBRARY.get("outline-points").outline(points=points)
    assert rounded.contour.area > outline.contour.area + 1


def test_a_pattern_lies_about_its_middle_and_turns() -> None:
    row = LIBRARY.get("row").points(count=3, pitch=10, x=5, y=1, angle=90)
    assert [(round(p.x, 9), round(p.y, 9)) for p in row] == [(5, -9), (5, 1), (5, 11)]
    circle = LIBRARY.get("bolt-circle").points(diameter=20, count=4, x=1, y=2, angle=90)
    assert (round(circle[0].x, 9), round(circle[0].y, 9)) == (1, 12)


def test_holes_follow_an_outline_of_the_library() -> None:
    outline = LIBRARY.get("racecourse").outline(length=100, width=40).contour
    holes = LIBRARY.get("perimeter-row").points(outline=outline, inset=5, count=12)
    assert len(holes) == 12
    assert isinstance(outline, Contour)
    assert all(abs(hole.y) <= 15 + 1e-9 for hole in holes)
