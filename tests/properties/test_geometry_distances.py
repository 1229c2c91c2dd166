"""Laws of distances and meeting points."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from templgen.geometry import (
    Contour,
    Motion,
    Region,
    Segment,
    Vec,
    contour_contour,
    flatten,
    intersections,
    point_contour,
    point_region_edge,
    point_segment,
    points_to_segments,
    segment_segment,
)
from templgen.geometry.bulk import near_pairs
from tests.properties.strategies import lengths, motions, points, regions, segments, simple_contours

few = settings(max_examples=40, deadline=None)
SAGITTA = 1e-4


def chords(segment: Segment) -> LineString:
    return LineString([(point.x, point.y) for point in flatten(segment, SAGITTA)])


@few
@given(simple_contours(), simple_contours(), motions(), motions())
def test_contour_distances_are_symmetric_and_rigid(
    a: Contour, b: Contour, away: Motion, motion: Motion
) -> None:
    b = b.moved(away)
    there = contour_contour(a, b)
    assert contour_contour(b, a).distance == pytest.approx(there.distance, abs=1e-9)
    assert contour_contour(a.moved(motion), b.moved(motion)).distance == pytest.approx(
        there.distance, abs=1e-9
    )
    assert there.on_a.distance_to(there.on_b) == pytest.approx(there.distance, abs=1e-7)
    assert point_contour(there.on_a, a).distance < 1e-7
    assert point_contour(there.on_b, b).distance < 1e-7


@few
@given(regions(), points(), motions())
def test_point_distances_are_rigid(region: Region, point: Vec, motion: Motion) -> None:
    there = point_region_edge(point, region)
    moved = point_region_edge(motion.apply(point), region.moved(motion))
    assert moved.distance == pytest.approx(there.distance, abs=1e-9)
    assert point.distance_to(there.on_b) == pytest.approx(there.distance, abs=1e-9)


@few
@given(segments(), segments(), motions())
def test_segment_distances_against_shapely(a: Segment, b: Segment, away: Motion) -> None:
    b = b.moved(away)
    nearest = segment_segment(a, b)
    assert nearest.distance == pytest.approx(chords(a).distance(chords(b)), abs=2 * SAGITTA)
    assert segment_segment(b, a).distance == pytest.approx(nearest.distance, abs=1e-9)


@few
@given(segments(), points())
def test_point_distances_against_shapely(segment: Segment, point: Vec) -> None:
    nearest = point_segment(point, segment)
    assert nearest.distance == pytest.approx(chords(segment).distance(Point(point.x, point.y)), abs=SAGITTA)


@few
@given(segments(), segments(), motions())
def test_meeting_points_lie_on_both(a: Segment, b: Segment, away: Motion) -> None:
    b = b.moved(away)
    found = intersections(a, b)
    assert len(found) == len(intersections(b, a))
    for place in found:
        assert point_segment(place, a).distance < 1e-7
        assert point_segment(place, b).distance < 1e-7


@few
@given(segments(), segments(), motions())
def test_what_crosses_in_shapely_meets_here(a: Segment, b: Segment, away: Motion) -> None:
    b = b.moved(away)
    if chords(a).distance(chords(b)) > 2 * SAGITTA:
        assert intersections(a, b) == ()
    elif _crosses_clearly(a, b):
        assert intersections(a, b)


def _crosses_clearly(a: Segment, b: Segment) -> bool:
    """Whether the chords cross, and still do when one of them is cut back a little."""
    inner = [segment.between(0.01, 0.99) for segment in (a, b)]
    crossing = chords(inner[0]).intersection(chords(inner[1]))
    return chords(inner[0]).crosses(chords(inner[1])) and crossing.geom_type == "Point"


@few
@given(regions(), st.lists(points(), min_size=1, max_size=20))
def test_many_points_are_measured_like_one(region: Region, some: list[Vec]) -> None:
    array = np.array([(point.x, point.y) for point in some])
    distances, indices = points_to_segments(array, region.segments)
    for point, distance, index in zip(some, distances, indices, strict=True):
        assert distance == pytest.approx(point_region_edge(point, region).distance, abs=1e-9)
        assert distance == pytest.approx(point_segment(point, region.segments[index]).distance, abs=1e-9)


@few
@given(st.lists(st.tuples(points(), lengths(0, 80)), max_size=30))
def test_near_pairs_are_all_pairs_in_reach(some: list[tuple[Vec, float]]) -> None:
    array = np.array([(point.x, point.y) for point, _ in some]).reshape(-1, 2)
    reach = np.array([length for _, length in some])
    expected = [
        (i, j)
        for i, (a, near) in enumerate(some)
        for j, (b, far) in enumerate(some)
        if i < j and np.hypot(a.x - b.x, a.y - b.y) <= max(near, far)
    ]
    low, high = near_pairs(array, reach)
    assert list(zip(low.tolist(), high.tolist(), strict=True)) == expected
