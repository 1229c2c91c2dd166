"""The vocabulary of paths: every verb, against figures known from elementary geometry."""

from __future__ import annotations

import math
from typing import Any

import pytest

from templgen.errors import ShapeError
from templgen.geometry import Arc, Contour, Vec
from templgen.shapes.path import read_steps
from templgen.shapes.pen import MOST_POINTS, MOST_STEPS, draw_outline, set_out


def _draw(*steps: dict[str, Any], **values: float) -> Contour:
    return draw_outline(read_steps(list(steps), "outline", "test"), values)


def _holes(*steps: dict[str, Any], **values: float) -> tuple[Vec, ...]:
    return set_out(read_steps(list(steps), "pattern", "test"), values)


SQUARE = [{"start": [0, 0]}, {"line_to": [10, 0]}, {"line_by": [0, 10]}, {"line_by": ["-side", 0]}]


def test_lines() -> None:
    contour = _draw(*SQUARE, {"close": True}, side=10.0)
    assert contour.vertices == (Vec(0, 0), Vec(10, 0), Vec(10, 10), Vec(0, 10))
    assert contour.area == 100.0


def test_a_clockwise_path_is_turned() -> None:
    contour = _draw({"start": [0, 0]}, {"line_to": [0, 10]}, {"line_to": [10, 0]}, {"close": True})
    assert contour.is_ccw
    assert contour.area == 50.0


@pytest.mark.parametrize(
    "arc",
    [
        {"arc_to": [0, 10], "through": [5, 5]},
        {"arc_to": [0, 10], "centre": [0, 5]},
        {"arc_to": [0, 10], "centre": [0, 5], "turn": "ccw"},
        {"arc_to": [0, 10], "radius": 5},
        {"arc_to": [0, 10], "tangent": True},
    ],
)
def test_four_ways_to_one_arc(arc: dict[str, Any]) -> None:
    """Half a circle of 5 mm on the side of a rectangle of 10 x 10."""
    contour = _draw({"start": [-10, 0]}, {"line_to": [0, 0]}, arc, {"line_to": [-10, 10]}, {"close": True})
    assert contour.area == pytest.approx(100 + math.pi * 12.5, abs=1e-9)
    assert contour.length == pytest.approx(30 + 5 * math.pi, abs=1e-9)


def test_an_arc_by_radius_the_long_and_the_clockwise_way() -> None:
    """Chord 6 of a circle of 5: distance 4 from the centre; caps by r^2 (angle - sin angle) / 2."""
    angle = 2 * math.asin(0.6)
    small = 12.5 * (angle - math.sin(angle))
    large = math.pi * 25 - small
    for options, cap in (({}, small), ({"large": True}, large), ({"turn": "cw"}, -small)):
        steps = [{"start": [0, 0]}, {"line_to": [20, 0]}, {"line_to": [20, 6]}, {"line_to": [0, 6]}]
        contour = _draw(*steps, {"arc_to": [0, 0], "radius": 5, **options})
        assert contour.area == pytest.approx(120 + cap, abs=1e-9)


def test_a_clockwise_arc_about_a_centre_cuts_in() -> None:
    steps = [{"start": [0, 0]}, {"line_to": [20, 0]}, {"line_to": [20, 6]}, {"line_to": [0, 6]}]
    contour = _draw(*steps, {"arc_to": [0, 0], "centre": [0, 3], "turn": "cw"})
    assert contour.area == pytest.approx(120 - math.pi * 4.5, abs=1e-9)


def test_fillets_round_the_corner_at_the_pen_and_at_the_start() -> None:
    rounded = [*SQUARE[:3], {"fillet": 2}, *SQUARE[3:], {"close": True}, {"fillet": 1}]
    contour = _draw(*rounded, side=10.0)
    assert contour.area == pytest.approx(100 - (1 - math.pi / 4) * (4 + 1), abs=1e-9)
    radii = sorted(segment.radius for segment in contour.segments if isinstance(segment, Arc))
    assert radii == pytest.approx([1.0, 2.0])


def test_a_fillet_that_does_not_fit_names_the_largest() -> None:
    with pytest.raises(ShapeError, match="largest that fits is 10 mm"):
        _draw(*SQUARE[:3], {"fillet": 12}, *SQUARE[3:], {"close": True}, side=10.0)
    with pytest.raises(ShapeError, match="step 2: a fillet of -1 mm is below 0 mm"):
        _draw({"start": [0, 0]}, {"fillet": -1})


def test_a_mirror_goes_back_with_its_fillets() -> None:
    half = [
        {"start": [10, 0]},
        {"line_to": [10, 4]},
        {"fillet": 1},
        {"line_to": [-10, 4]},
        {"line_to": [-10, 0]},
    ]
    contour = _draw(*half, {"mirror": "x"})
    assert contour.area == pytest.approx(160 - 2 * (1 - math.pi / 4), abs=1e-9)
    assert contour.bounds.ymin == -4
    along = _draw({"start": [0, 5]}, {"line_to": [-3, 0]}, {"line_to": [0, -5]}, {"mirror": [[0, 0], [0, 1]]})
    assert along.area == pytest.approx(30.0)
    assert _draw({"start": [0, 5]}, {"line_to": [-3, 0]}, {"line_to": [0, -5]}, {"mirror": "y"}) == along


def test_a_repeat_closes_a_polygon() -> None:
    """Area of a regular n-gon of side s: n s^2 / (4 tan(180/n))."""
    start = Vec.polar(10.0, 0.0)
    end = Vec.polar(10.0, 72.0)
    contour = _draw(
        {"start": [start.x, start.y]}, {"line_to": [end.x, end.y]}, {"repeat": 5, "turn": "360/5"}
    )
    side = start.distance_to(end)
    assert contour.area == pytest.approx(5 * side**2 / (4 * math.tan(math.radians(36))), abs=1e-9)
    assert len(contour.segments) == 5


def test_a_repeat_along_a_line() -> None:
    tooth = [{"start": [0, 0]}, {"line_by": [1, -1]}, {"line_by": [1, 1]}, {"repeat": 4, "by": [2, 0]}]
    contour = _draw(*tooth, {"line_to": [8, 5]}, {"line_to": [0, 5]}, {"close": True})
    assert contour.area == pytest.approx(40 + 4)


def test_steps_of_no_length_draw_nothing() -> None:
    steps = [{"start": ["l", -5]}, {"arc_to": ["l", 5], "centre": ["l", 0]}, {"line_to": ["-l", 5]}]
    contour = _draw(*steps, {"arc_to": ["-l", -5], "centre": ["-l", 0]}, {"close": True}, l=0.0)
    assert len(contour.segments) == 2
    assert contour.area == pytest.approx(math.pi * 25)


@pytest.mark.parametrize(
    ("steps", "told"),
    [
        ([{"start": [0, 0]}, {"line_to": [5, 0]}, {"line_to": [5, 5]}], "step 3: the outline is not closed"),
        ([{"start": [0, 0]}, {"close": True}], "encloses nothing"),
        ([{"start": [0, 0]}, {"line_to": [5, 0]}, {"close": True}], "encloses"),
        ([{"start": [0, 0]}, {"start": [1, 0]}], "step 2: an outline starts once"),
        ([{"start": [0, 0]}, {"arc_to": [5, 5], "tangent": True}], "needs a step before it"),
        (
            [{"start": [0, 0]}, {"line_to": [5, 0]}, {"arc_to": [2, 0], "tangent": True}],
            "straight behind the pen",
        ),
        ([{"start": [0, 0]}, {"arc_to": [10, 0], "radius": 4}], "an arc of radius 4 mm can not span 10 mm"),
        (
            [{"start": [0, 0]}, {"arc_to": [10, 0], "centre": [4, 0]}],
            "4 mm from the start of the arc and 6 mm",
        ),
        ([{"start": [0, 0]}, {"arc_to": [10, 0], "through": [5, 0]}], "lie in line"),
        ([{"start": [0, 1]}, {"line_to": [5, 1]}, {"mirror": "x"}], "has to stand on the mirror line"),
        (
            [{"start": [0, 1]}, {"line_to": [5, 1]}, {"repeat": 3, "turn": 90}],
            "does not begin where the pen is",
        ),
        (
            [{"start": [0, 1]}, {"line_to": [5, 1]}, {"repeat": 1.5, "turn": 90}],
            "repeat = 1.5 is not a whole",
        ),
        ([{"start": [0, 1]}, {"line_to": [5, 1]}, {"repeat": 0, "turn": 90}], "repeat = 0 is not a whole"),
        (
            [{"start": [0, 0]}, {"line_to": ["1/0", 1]}],
            "step 2: expression '1/0', column 1: a division by zero",
        ),
        ([*SQUARE, {"close": True}, {"line_to": [1, 1]}], "line_to after the outline was closed"),
    ],
)
def test_paths_that_draw_nothing_say_why(steps: list[dict[str, Any]], told: str) -> None:
    with pytest.raises(ShapeError) as refusal:
        _draw(*steps, side=10.0)
    assert told in str(refusal.value)
    assert str(refusal.value).startswith("test step")


def test_patterns() -> None:
    row = _holes({"point": [0, 0]}, {"repeat": 3, "by": [5, 0]})
    assert row == (Vec(0, 0), Vec(5, 0), Vec(10, 0))
    grid = _holes({"point": [0, 0]}, {"repeat": 3, "by": [5, 0]}, {"repeat": 2, "by": [0, 4]})
    assert len(grid) == 6
    assert grid[5] == Vec(10, 4)
    circle = _holes({"point": [6, 1]}, {"repeat": 4, "turn": 90, "about": [1, 1]})
    assert [(round(p.x, 9), round(p.y, 9)) for p in circle] == [(6, 1), (1, 6), (-4, 1), (1, -4)]
    image = _holes({"point": [3, 2]}, {"point": [3, 0]}, {"mirror": "x"})
    assert image == (Vec(3, 2), Vec(3, 0), Vec(3, -2))


def test_too_many_holes_are_refused() -> None:
    with pytest.raises(ShapeError, match=f"more than {MOST_POINTS} holes"):
        _holes({"point": [0, 0]}, {"repeat": 1000, "by": [1, 0]}, {"repeat": 1000, "by": [0, 1]})


def test_too_many_lines_are_refused() -> None:
    with pytest.raises(ShapeError, match=f"more than {MOST_STEPS} lines and arcs"):
        _draw({"start": [0, 0]}, {"line_by": [1, 0]}, {"repeat": MOST_STEPS + 1, "by": [1, 0]})
