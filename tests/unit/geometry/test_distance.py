"""Meeting points, distances, sides and flattening."""

from __future__ import annotations

import math

import numpy as np
import pytest

from templgen.errors import GeometryError
from templgen.geometry import (
    Arc,
    Contour,
    Line,
    Region,
    Segment,
    Side,
    Vec,
    contour_contour,
    contour_inside,
    flatten,
    intersections,
    locate,
    point_contour,
    point_region_edge,
    point_segment,
    points_to_segments,
    region_contains,
    segment_segment,
)
from templgen.geometry.bulk import near_pairs

ARC = Arc.from_centre(Vec(0, 0), 10, 0, 90)
AXIS = Line(Vec(-20, 0), Vec(20, 0))


def meet(a: Segment, b: Segment) -> list[tuple[float, float]]:
    return sorted((round(p.x, 6) + 0.0, round(p.y, 6) + 0.0) for p in intersections(a, b))


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        (AXIS, Line(Vec(1, -1), Vec(3, 1)), [(2, 0)]),
        (AXIS, Line(Vec(1, 5), Vec(1, 0)), [(1, 0)]),  # ends on it
        (AXIS, Line(Vec(1, 5), Vec(1, 0.1)), []),
        (AXIS, Line(Vec(-5, 1), Vec(5, 1)), []),  # parallel
        (AXIS, Line(Vec(20, 0), Vec(30, 0)), [(20, 0)]),  # in line, end to end
        (AXIS, Line(Vec(10, 0), Vec(30, 0)), [(10, 0), (20, 0)]),  # a shared stretch
        (AXIS, ARC, [(10, 0)]),
        (Line(Vec(-20, 10), Vec(20, 10)), ARC, [(0, 10)]),  # touches at the arc's end
        (Line(Vec(-20, 6), Vec(20, 6)), ARC, [(8, 6)]),  # the other point is off the arc
        (Line(Vec(-20, 10), Vec(20, 10)), Arc.from_centre(Vec(0, 0), 10, 30, 120), [(0, 10)]),  # tangent
        (Line(Vec(-20, 10.0001), Vec(20, 10.0001)), Arc.from_centre(Vec(0, 0), 10, 30, 120), []),
        (ARC, Arc.from_centre(Vec(12, 0), 10, 90, 90), [(6, 8)]),
        (ARC, Arc.from_centre(Vec(20, 0), 10, 120, 120), [(10, 0)]),  # touches from outside
        (ARC, Arc.from_centre(Vec(4, 0), 6, -60, 120), [(10, 0)]),  # touches from inside
        (ARC, Arc.from_centre(Vec(0, 0), 10, 45, 90), [(0, 10), (7.071068, 7.071068)]),  # one circle
        (ARC, Arc.from_centre(Vec(0, 0), 9, 0, 90), []),  # one centre
        (ARC, Arc.from_centre(Vec(0, 0), 10, 180, 90), []),
    ],
)
def test_intersections(a: Segment, b: Segment, expected: list[tuple[float, float]]) -> None:
    assert meet(a, b) == meet(b, a) == expected


@pytest.mark.parametrize(
    ("a", "b", "distance"),
    [
        (AXIS, Line(Vec(-5, 3), Vec(5, 3)), 3),
        (AXIS, Line(Vec(23, 4), Vec(30, 9)), 5),
        (AXIS, Line(Vec(0, -5), Vec(0, 5)), 0),
        (Line(Vec(-20, 13), Vec(20, 13)), Arc.from_centre(Vec(0, 0), 10, 30, 120), 3),  # top of the arc
        (
            Line(Vec(20, 13), Vec(-20, 13)),
            Arc.from_centre(Vec(0, 0), 10, 200, 60),
            13 + 10 * math.sin(math.radians(20)),
        ),
        (ARC, Arc.from_centre(Vec(0, 0), 7, 45, 90), 3),  # one centre
        (ARC, Arc.from_centre(Vec(30, 40), 10, 180, 90), 30),  # along the line of centres
        (ARC, Arc.from_centre(Vec(3, 3), 2, 0, 90), 10 - math.hypot(3, 3) - 2),  # one inside the other
    ],
)
def test_segment_distances(a: Segment, b: Segment, distance: float) -> None:
    for nearest in (segment_segment(a, b), segment_segment(b, a).reversed()):
        assert nearest.distance == pytest.approx(distance, abs=1e-12)
        assert point_segment(nearest.on_a, a).distance < 1e-12
        assert point_segment(nearest.on_b, b).distance < 1e-12


def test_point_to_arc() -> None:
    assert point_segment(Vec(3, 4), ARC).distance == pytest.approx(5)
    assert point_segment(Vec(3, 4), ARC).on_b.distance_to(Vec(6, 8)) < 1e-14
    assert point_segment(Vec(0, 0), ARC).distance == 10
    assert point_segment(Vec(10, -4), ARC).distance == 4
    assert point_segment(Vec(-3, -3), ARC).distance == pytest.approx(math.hypot(13, 3))


def test_contour_distances() -> None:
    outer, inner = Contour.rectangle(40, 20, 3), Contour.circle(Vec(4, 1), 5)
    assert contour_contour(outer, inner).distance == pytest.approx(4)
    assert point_contour(Vec(4, 1), outer).distance == pytest.approx(9)
    region = Region(outer, (inner,))
    assert point_region_edge(Vec(4, 7.5), region).distance == pytest.approx(1.5)
    assert contour_contour(outer, Contour.circle(Vec(20, 0), 5)).distance == 0


@pytest.mark.parametrize(
    ("point", "side"),
    [
        (Vec(0, 0), Side.INSIDE),
        (Vec(12.9, 0), Side.INSIDE),  # in the rounded end, beyond the chord
        (Vec(10, 0), Side.INSIDE),  # on the chord of the rounded end
        (Vec(13, 0), Side.ON),
        (Vec(13 + 1e-9, 0), Side.ON),
        (Vec(13.001, 0), Side.OUTSIDE),
        (Vec(10, 3), Side.ON),
        (Vec(12.9, 2.9), Side.OUTSIDE),
        (Vec(-30, 3), Side.OUTSIDE),  # level with an edge
        (Vec(-30, -3), Side.OUTSIDE),
    ],
)
def test_locate_in_a_slot(point: Vec, side: Side) -> None:
    slot = Contour.from_bulges(
        [Vec(-10, -3), Vec(10, -3), Vec(10, 3), Vec(-10, 3)], [0, 1, 0, 1], closed=True
    )
    assert locate(point, slot) is side
    assert locate(point, slot.reversed()) is side


def test_locate_beside_an_arc_of_more_than_half_a_turn() -> None:
    keyhole = Contour.from_bulges(
        [Vec(-1, 0), Vec(-1, -9), Vec(1, -9), Vec(1, 0)], [0, 0, 0, 5.0], closed=True
    )
    bulb = keyhole.segments[-1]
    assert isinstance(bulb, Arc)
    assert locate(bulb.centre, keyhole) is Side.INSIDE
    assert locate(Vec(1.5, 0.4), keyhole) is Side.INSIDE
    assert locate(Vec(1.5, -0.4), keyhole) is Side.OUTSIDE


def test_locate_needs_a_closed_contour() -> None:
    with pytest.raises(GeometryError, match="no inside"):
        locate(Vec(0, 0), Contour.polyline([Vec(0, 0), Vec(1, 0)]))


def test_region_contains_its_edges_but_not_its_openings() -> None:
    region = Region(Contour.rectangle(20, 20), (Contour.circle(Vec(0, 0), 5),))
    assert region_contains(region, Vec(7, 0))
    assert region_contains(region, Vec(10, 0))
    assert region_contains(region, Vec(5, 0))
    assert not region_contains(region, Vec(4.9, 0))
    assert not region_contains(region, Vec(10.1, 0))


def test_contour_inside() -> None:
    outer = Contour.rectangle(20, 20)
    assert contour_inside(Contour.circle(Vec(0, 0), 10), outer)  # touches four times
    assert not contour_inside(Contour.circle(Vec(0.1, 0), 10), outer)
    assert not contour_inside(Contour.circle(Vec(40, 0), 10), outer)
    assert contour_inside(outer, outer)
    assert not contour_inside(outer, Contour.circle(Vec(0, 0), 14))


def test_many_points() -> None:
    segments = [*Contour.rectangle(40, 20, 3).segments, ARC]
    points = np.array([[0, 0], [19.5, 9.5], [50, 0], [6, 8]], dtype=float)
    distances, indices = points_to_segments(points, segments)
    expected = [10, 3 - math.hypot(2.5, 2.5), 30, 0]
    assert distances == pytest.approx([abs(value) for value in expected], abs=1e-12)
    for point, distance, index in zip(points, distances, indices, strict=True):
        assert point_segment(Vec(*map(float, point)), segments[index]).distance == pytest.approx(
            distance, abs=1e-12
        )
    assert indices[3] == len(segments) - 1


def test_many_points_beyond_one_block() -> None:
    generator = np.random.default_rng(1)
    points = generator.uniform(-60, 60, (10_000, 2))
    segments = Contour.rectangle(40, 20, 3).segments
    distances, indices = points_to_segments(points, segments)
    for row in range(0, 10_000, 97):
        point = Vec(*map(float, points[row]))
        assert distances[row] == pytest.approx(
            min(point_segment(point, s).distance for s in segments), abs=1e-12
        )
        assert distances[row] == pytest.approx(
            point_segment(point, segments[indices[row]]).distance, abs=1e-12
        )


@pytest.mark.parametrize(
    ("points", "segments", "text"),
    [
        (np.zeros((3, 3)), [AXIS], r"shape \(n, 2\), not \(3, 3\)"),
        (np.array([[0.0, np.nan]]), [AXIS], "finite numbers"),
        (np.zeros((3, 2)), [], "no segments"),
    ],
)
def test_many_points_refuse(points: np.ndarray, segments: list[Segment], text: str) -> None:
    with pytest.raises(GeometryError, match=text):
        points_to_segments(points, segments)


def test_near_pairs_of_few() -> None:
    low, high = near_pairs(np.array([[0.0, 0.0], [3.0, 0.0], [3.0, 4.0]]), 4.0)
    assert list(zip(low, high, strict=True)) == [(0, 1), (1, 2)]
    assert len(near_pairs(np.empty((0, 2)), 1.0)[0]) == 0
    assert len(near_pairs(np.zeros((1, 2)), 1.0)[0]) == 0
    assert len(near_pairs(np.zeros((3, 2)), 0.0)[0]) == 3  # holes on one centre
    with pytest.raises(GeometryError, match="reach"):
        near_pairs(np.zeros((2, 2)), -1.0)


def test_flatten() -> None:
    square = Contour.rectangle(2, 2)
    assert flatten(square, 0.1) == list(square.vertices)
    chain = flatten(ARC, 0.01)
    assert (chain[0], chain[-1]) == (ARC.start, ARC.end)
    sagitta = 10 * (1 - math.cos(math.radians(90 / (len(chain) - 1)) / 2))
    assert 0.008 < sagitta <= 0.01
    assert len(flatten(Contour.circle(Vec(0, 0), 1), 99)) == 4  # still round to look at
    with pytest.raises(GeometryError, match="sagitta above 0 mm"):
        flatten(ARC, 0)
