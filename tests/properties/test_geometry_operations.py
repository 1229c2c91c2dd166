"""Laws of trimming, offsetting, rounding and fitting."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from templgen.geometry import (
    Arc,
    Contour,
    HalfPlane,
    Motion,
    Region,
    Segment,
    Side,
    Vec,
    arcs_from_curve,
    arcs_through_points,
    fillet,
    locate,
    offset_contour,
    offset_region,
    point_contour,
    region_contains,
    require_valid,
    trim_region,
)
from templgen.geometry.distance import distances_to_segments
from tests.properties.reference import moved_by
from tests.properties.strategies import (
    convex_contours,
    half_planes,
    lengths,
    motions,
    regions,
    simple_contours,
)

few = settings(max_examples=30, deadline=None)
PLACES = (0.0, 0.13, 0.5, 0.77)
distances = lengths(0.05, 12).flatmap(lambda value: st.sampled_from([value, -value]))


def along(segments: tuple[Segment, ...]) -> list[Vec]:
    return [segment.point_at(t) for segment in segments for t in PLACES]


def total(regions_: tuple[Region, ...]) -> float:
    return math.fsum(region.area for region in regions_)


@few
@given(regions(), st.lists(half_planes(), min_size=1, max_size=4))
def test_kept_and_cut_make_the_whole(region: Region, planes: list[HalfPlane]) -> None:
    trimmed = trim_region(region, planes)
    assert total(trimmed.kept) + total(trimmed.cut) == pytest.approx(region.area, rel=1e-9)
    for point in (p for part in trimmed.kept for p in along(part.segments)):
        assert all(plane.height_of(point) > -1e-6 for plane in planes)
    for part in (*trimmed.kept, *trimmed.cut):
        assert max(-_depth(point, region) for point in along(part.segments)) < 1e-6


def _depth(point: Vec, region: Region) -> float:
    """Negative outside the region, by the distance to its edge."""
    distance = min(point_contour(point, contour).distance for contour in region.contours)
    return distance if region_contains(region, point) else -distance


@few
@given(regions(), half_planes(), half_planes())
def test_trimming_in_one_go_or_in_two_is_the_same(region: Region, one: HalfPlane, other: HalfPlane) -> None:
    at_once = trim_region(region, [one, other]).kept
    in_turn = [part for first in trim_region(region, [one]).kept for part in trim_region(first, [other]).kept]
    assert total(at_once) == pytest.approx(total(tuple(in_turn)), rel=1e-9, abs=1e-6)


@few
@given(regions(), half_planes(), motions())
def test_trimming_moves_with_the_part(region: Region, plane: HalfPlane, motion: Motion) -> None:
    here, there = trim_region(region, [plane]), trim_region(region.moved(motion), [plane.moved(motion)])
    assert total(there.kept) == pytest.approx(total(here.kept), rel=1e-9, abs=1e-6)


@few
@given(regions(), distances)
def test_offset_points_lie_at_the_distance(region: Region, distance: float) -> None:
    for part in offset_region(region, distance):
        found = distances_to_segments(along(part.segments), region.segments)
        assert found == pytest.approx([abs(distance)] * len(found), abs=1e-6)


@few
@given(regions(), distances)
def test_offsets_are_valid_and_on_the_right_side(region: Region, distance: float) -> None:
    for part in offset_region(region, distance):
        require_valid(part)
        for point in along(part.segments):
            assert region_contains(region, point) == (distance < 0)


@settings(max_examples=15, deadline=None)
@given(regions(), distances)
def test_offset_areas_against_shapely(region: Region, distance: float) -> None:
    sagitta = 2e-3
    expected = moved_by(region, distance, sagitta).area
    # shapely's round ends have 32 chords a quarter: 0.0003 of the distance inside the circle
    slack = (sagitta + 3.1e-4 * abs(distance)) * (
        region.length + 2 * math.pi * abs(distance) * len(region.contours)
    )
    assert total(offset_region(region, distance)) == pytest.approx(expected, abs=2 * slack)


@few
@given(convex_contours(), lengths(0.05, 30))
def test_a_convex_outline_grows_by_steiners_formula(contour: Contour, distance: float) -> None:
    # Steiner 1840: area of the parallel body = A + L d + pi d^2 (formula from memory)
    (grown,) = offset_contour(contour, distance)
    expected = contour.area + contour.length * distance + math.pi * distance**2
    assert grown.area == pytest.approx(expected, rel=1e-9)
    assert grown.length == pytest.approx(contour.length + 2 * math.pi * distance, rel=1e-9)


@few
@given(regions(), lengths(0.05, 12))
def test_out_then_in_contains_the_original(region: Region, distance: float) -> None:
    (grown,) = offset_region(region, distance)
    back = offset_region(grown, -distance)
    for point in along(region.segments):
        assert max(_depth(point, part) for part in back) > -1e-5


@few
@given(convex_contours(), lengths(0.05, 30))
def test_out_then_in_gives_a_convex_outline_back(contour: Contour, distance: float) -> None:
    (grown,) = offset_contour(contour, distance)
    (back,) = offset_contour(grown, -distance)
    assert_same(back, contour)


@few
@given(simple_contours(), lengths(0.5, 4), st.floats(0.1, 0.9))
def test_out_then_in_gives_the_original_back_below_its_least_concave_radius(
    contour: Contour, radius: float, part: float
) -> None:
    # shrinking by r rounds every concave corner to at least r and leaves no gap below 2 r
    smooth = offset_contour(contour, -radius)
    assume(len(smooth) == 1)
    (grown, *openings) = offset_contour(smooth[0], part * radius)
    assert not openings
    (back,) = offset_contour(grown, -part * radius)
    assert_same(back, smooth[0])


def assert_same(one: Contour, other: Contour) -> None:
    assert one.area == pytest.approx(other.area, abs=2e-6 * other.length)
    assert max(distances_to_segments(along(one.segments), other.segments)) < 1e-5
    assert max(distances_to_segments(along(other.segments), one.segments)) < 1e-5


@few
@given(regions(), distances, motions())
def test_offsetting_moves_with_the_part(region: Region, distance: float, motion: Motion) -> None:
    here, there = offset_region(region, distance), offset_region(region.moved(motion), distance)
    assert total(there) == pytest.approx(total(here), rel=1e-7, abs=1e-3)


@few
@given(convex_contours(), st.floats(0.01, 0.5))
def test_fillets_stay_inside_a_convex_outline_and_have_their_radius(contour: Contour, part: float) -> None:
    radius = 0.2 * part * point_contour(contour.centroid, contour).distance
    rounded = fillet(contour, radius)
    require_valid(Region(rounded))
    assert rounded.area <= contour.area + 1e-9
    for segment in rounded.segments:
        assert point_contour(segment.midpoint, contour).distance < radius
        if isinstance(segment, Arc):
            assert segment.radius >= radius - 1e-9
        assert locate(segment.midpoint, contour) is not Side.OUTSIDE


@settings(max_examples=10, deadline=None)
@given(lengths(2, 60), lengths(0.5, 1), st.sampled_from([0.1, 0.005, 0.0005]))
def test_ellipses_are_followed_within_the_tolerance(half: float, ratio: float, tolerance: float) -> None:
    def at(angle: float) -> Vec:
        return Vec(half * math.cos(angle), half * ratio * math.sin(angle))

    fit = arcs_from_curve(at, 0, math.tau, tolerance, closed=True)
    assert fit.deviation <= tolerance
    dense = [at(k * math.tau / 3000) for k in range(3000)]
    measured = max(distances_to_segments(dense, fit.contour.segments))
    assert measured == pytest.approx(fit.deviation, rel=0.05, abs=1e-9)
    assert abs(fit.contour.area - math.pi * half**2 * ratio) <= tolerance * fit.contour.length
    assert fit.contour.is_simple


@few
@given(st.lists(lengths(8, 12), min_size=5, max_size=24), st.sampled_from([1.0, 0.005]))
def test_arcs_pass_all_points_within_the_tolerance(radii: list[float], tolerance: float) -> None:
    points = [Vec.polar(radius, k * 360 / len(radii)) for k, radius in enumerate(radii)]
    fit = arcs_through_points(points, tolerance, closed=True)
    assert fit.deviation <= tolerance
    assert max(point_contour(point, fit.contour).distance for point in points) <= tolerance + 1e-12
    for before, after in zip(fit.contour.segments, fit.contour.segments[1:], strict=False):
        assert before.tangent_at(1).distance_to(after.tangent_at(0)) < 1e-6
