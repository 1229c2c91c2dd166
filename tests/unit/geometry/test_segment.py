"""Lines and arcs."""

from __future__ import annotations

import math

import pytest

from templgen.errors import GeometryError
from templgen.geometry import Arc, Bounds, Line, Motion, Vec, segment_between
from templgen.geometry.segment import split

HALF = Arc(Vec(1, 0), Vec(-1, 0), 1.0)
QUARTER_CW = Arc.from_centre(Vec(1, 1), 2, 90, -90)


def test_line() -> None:
    line = Line(Vec(0, 0), Vec(6, 8))
    assert (line.length, line.midpoint, line.bounds) == (10, Vec(3, 4), Bounds(0, 0, 6, 8))
    assert line.tangent_at(0.3) == Vec(0.6, 0.8)
    assert line.parameter_of(Vec(3 - 4, 4 + 3)) == pytest.approx(0.5)
    assert line.between(0.5, 1) == Line(Vec(3, 4), Vec(6, 8))


def test_half_circle() -> None:
    assert (HALF.centre, HALF.radius, HALF.sweep, HALF.start_angle, HALF.end_angle) == (
        Vec(0, 0),
        1,
        180,
        0,
        180,
    )
    assert HALF.length == pytest.approx(math.pi)
    assert HALF.midpoint == Vec(0, 1)
    assert HALF.bounds == Bounds(-1, 0, 1, 1)
    assert HALF.tangent_at(0) == Vec(0, 1)


def test_clockwise_arc() -> None:
    assert QUARTER_CW.sweep == pytest.approx(-90)
    assert (QUARTER_CW.start, QUARTER_CW.end) == (Vec(1, 3), Vec(3, 1))
    assert not QUARTER_CW.is_ccw
    assert QUARTER_CW.tangent_at(0).distance_to(Vec(1, 0)) < 1e-15
    assert QUARTER_CW.tangent_at(1).distance_to(Vec(0, -1)) < 1e-15
    assert QUARTER_CW.point_at(0.5).distance_to(Vec(1, 1) + Vec.polar(2, 45)) < 1e-14
    assert QUARTER_CW.parameter_of(Vec(9, 9)) == pytest.approx(0.5)


def test_mirroring_turns_the_sense_of_an_arc() -> None:
    moved = QUARTER_CW.moved(Motion.mirror_x())
    assert (moved.is_ccw, moved.start, moved.end) == (True, Vec(-1, 3), Vec(-3, 1))
    assert moved.centre.distance_to(Vec(-1, 1)) < 1e-15


def test_arc_through_three_points() -> None:
    arc = Arc.through(Vec(5, 0), Vec(0, 5), Vec(-5, 0))
    assert (arc.radius, arc.sweep) == (pytest.approx(5), pytest.approx(180))
    longer = Arc.through(Vec(5, 0), Vec(-5, 0), Vec(0, -5))
    assert longer.sweep == pytest.approx(270)
    clockwise = Arc.through(Vec(5, 0), Vec(0, -5), Vec(-5, 0))
    assert clockwise.sweep == pytest.approx(-180)


def test_tangent_arc() -> None:
    arc = Arc.tangent(Vec(0, 0), Vec(2, 0), Vec(3, 3))
    assert arc.centre.distance_to(Vec(0, 3)) < 1e-14
    assert arc.tangent_at(0).distance_to(Vec(1, 0)) < 1e-15
    assert Arc.tangent(Vec(0, 0), Vec(1, 0), Vec(0, -4)).sweep == pytest.approx(-180)


def test_very_flat_arc_keeps_its_points() -> None:
    arc = Arc(Vec(0, 0), Vec(1000, 0), 1e-9)  # the sagitta is 5e-7 mm
    assert arc.radius > 1e11
    assert arc.point_at(0.5).distance_to(arc.midpoint) < 1e-9
    assert arc.point_at(0.25).y == pytest.approx(-0.75 * 5e-7, rel=1e-6)


def test_bounds_of_an_arc_past_an_axis() -> None:
    arc = Arc.from_centre(Vec(0, 0), 10, -30, 90)
    assert arc.bounds.xmax == pytest.approx(10)
    assert arc.bounds.ymin == pytest.approx(-5)
    assert arc.bounds.ymax == pytest.approx(10 * math.sin(math.radians(60)))


def test_split_leaves_out_cuts_at_the_ends_and_doubled_ones() -> None:
    line = Line(Vec(0, 0), Vec(10, 0))
    assert split(line, [0.0, 1.0, 1e-12]) == [line]
    assert [part.length for part in split(line, [0.4, 0.4, 0.1])] == pytest.approx([1, 3, 6])


def test_segment_between() -> None:
    assert segment_between(Vec(0, 0), Vec(1, 0), 0.0) == Line(Vec(0, 0), Vec(1, 0))
    assert segment_between(Vec(0, 0), Vec(1, 0), 0.5) == Arc(Vec(0, 0), Vec(1, 0), 0.5)


@pytest.mark.parametrize(
    ("make", "text"),
    [
        (lambda: Line(Vec(1, 2), Vec(1, 2)), r"line from \(1.0000, 2.0000\) mm .* has no length"),
        (lambda: Line(Vec(1, math.nan), Vec(1, 2)), "is no number"),
        (lambda: Arc(Vec(1, 2), Vec(1, 2), 1), "arc .* has no length"),
        (lambda: Arc(Vec(0, 0), Vec(1, 0), 0.0), "is straight"),
        (lambda: Arc(Vec(0, 0), Vec(1, 0), math.nan), "is no arc"),
        (lambda: Arc(Vec(0, 0), Vec(1, 0), math.inf), "is no arc"),
        (lambda: Arc.from_centre(Vec(0, 0), -1, 0, 90), "radius above 0 mm, not -1 mm"),
        (lambda: Arc.from_centre(Vec(0, 0), math.nan, 0, 90), "radius above 0 mm, not nan mm"),
        (lambda: Arc.from_centre(Vec(0, 0), 1, 0, 360), "less than 360 degrees, not 360"),
        (lambda: Arc.through(Vec(0, 0), Vec(1, 1), Vec(2, 2)), "lie in line"),
        (lambda: Arc.through(Vec(0, 0), Vec(2, 2), Vec(1, 1)), "lie in line"),
        (lambda: Arc.tangent(Vec(0, 0), Vec(1, 0), Vec(2, 0)), "no arc leaves"),
    ],
)
def test_degenerate_segments_are_refused(make, text) -> None:
    with pytest.raises(GeometryError, match=text):
        make()
