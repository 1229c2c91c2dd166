"""Laws of motions, areas and flattening."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from templgen.geometry import Contour, Motion, Region, Segment, Side, Vec, flatten, locate, point_contour
from tests.properties.reference import polygon
from tests.properties.strategies import lengths, motions, points, regions, segments, simple_contours

few = settings(max_examples=40, deadline=None)


@few
@given(motions(), motions(), points())
def test_motions_combine_and_undo(first: Motion, second: Motion, point: Vec) -> None:
    assert first.then(second).apply(point).distance_to(second.apply(first.apply(point))) < 1e-11
    assert first.inverse().apply(first.apply(point)).distance_to(point) < 1e-11
    assert first.then(second).is_mirrored == (first.is_mirrored != second.is_mirrored)


@few
@given(motions(), st.floats(-360, 360))
def test_an_angle_moves_like_its_direction(motion: Motion, degrees: float) -> None:
    expected = motion.apply_direction(Vec.polar(1, degrees))
    assert Vec.polar(1, motion.apply_angle(degrees)).distance_to(expected) < 1e-12


@few
@given(segments(), motions(), st.floats(0, 1))
def test_a_moved_segment_passes_the_moved_points(segment: Segment, motion: Motion, t: float) -> None:
    moved = segment.moved(motion)
    assert moved.point_at(t).distance_to(motion.apply(segment.point_at(t))) < 1e-10
    assert moved.tangent_at(t).distance_to(motion.apply_direction(segment.tangent_at(t))) < 1e-9
    assert moved.length == pytest.approx(segment.length, rel=1e-12)


@few
@given(segments(), st.floats(0.01, 0.99))
def test_parts_of_a_segment_add_up(segment: Segment, t: float) -> None:
    first, second = segment.between(0, t), segment.between(t, 1)
    assert first.length + second.length == pytest.approx(segment.length, rel=1e-10)
    assert first.end == second.start
    assert segment.parameter_of(first.end) == pytest.approx(t, abs=1e-9)
    assert segment.reversed().point_at(1 - t).distance_to(first.end) < 1e-10


@few
@given(segments(), st.floats(0, 1))
def test_bounds_hold_every_point(segment: Segment, t: float) -> None:
    assert segment.bounds.grown(1e-10).contains(segment.point_at(t))


@few
@given(regions(), motions())
def test_motions_keep_area_length_and_centroid(region: Region, motion: Motion) -> None:
    moved = region.moved(motion)
    assert moved.area == pytest.approx(region.area, rel=1e-10)
    assert moved.length == pytest.approx(region.length, rel=1e-12)
    assert moved.centroid.distance_to(motion.apply(region.centroid)) < 1e-8


@few
@given(regions())
def test_area_length_and_centroid_against_shapely(region: Region) -> None:
    chords = polygon(region, sagitta=1e-4)
    assert chords.is_valid
    assert abs(chords.area - region.area) <= 1e-4 * region.length
    assert region.length * (1 + 1e-12) >= chords.length > 0.999 * region.length
    assert region.centroid.distance_to(Vec(chords.centroid.x, chords.centroid.y)) < 0.02


@few
@given(simple_contours(), points(45))
def test_sides_against_shapely(contour: Contour, point: Vec) -> None:
    from shapely import Point

    chords, place = polygon(contour, sagitta=1e-4), Point(point.x, point.y)
    if chords.exterior.distance(place) > 2e-4:
        assert (locate(point, contour) is Side.INSIDE) == chords.contains(place)


@few
@given(simple_contours(), st.floats(0, 1))
def test_own_points_lie_on_the_contour(contour: Contour, t: float) -> None:
    point, _ = contour.point_at(t * contour.length)
    assert locate(point, contour) is Side.ON


@few
@given(simple_contours(), lengths(0.001, 2))
def test_flattening_stays_within_its_sagitta(contour: Contour, sagitta: float) -> None:
    chain = flatten(contour, sagitta)
    middles = [a.towards(b, 0.5) for a, b in zip(chain, chain[1:] + chain[:1], strict=True)]
    assert max(point_contour(point, contour).distance for point in chain) < 1e-9
    # a contour can come nearer to a chord from elsewhere, never farther
    assert max(point_contour(middle, contour).distance for middle in middles) <= sagitta + 1e-9


@few
@given(simple_contours())
def test_reversing_turns_the_sign_of_the_area(contour: Contour) -> None:
    assert contour.reversed().area == pytest.approx(-contour.area, rel=1e-12)
    assert contour.reversed().as_ccw().is_ccw
    assert math.isclose(contour.reversed().length, contour.length)
