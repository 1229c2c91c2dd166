"""Drilled corners and chains: nothing crosses a finish edge, wherever the pilot wanders.

Finish edges are checked with shapely on flattenings of 0.001 mm, not with our own distances.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from templgen.geometry import Contour, Line, Vec, flatten
from templgen.layout.cutting.chain import chain_plan
from templgen.layout.cutting.corners import MOST_LEFT, corner_plan
from templgen.layout.cutting.model import PlanHole
from templgen.shapes import ShapeLibrary
from templgen.trade.cutters import chain_web, common_cutters
from tests.properties.strategies import convex_contours, lengths, motions, simple_contours

SAGITTA = 0.001
ALLOWANCE = 0.3
ROUGH = 1.5875
CUTTERS = common_cutters()


def waste_of(contour: Contour) -> shapely.Polygon:
    """The waste, a hair too large: a flattened edge lies beside the true one."""
    polygon = shapely.Polygon([(point.x, point.y) for point in flatten(contour, SAGITTA)])
    return polygon.buffer(2 * SAGITTA, join_style="mitre")


def disc(at: Vec, radius: float) -> shapely.Polygon:
    return shapely.Polygon([(p.x, p.y) for p in (at + Vec.polar(radius, 5 * step) for step in range(72))])


def crossings(contour: Contour, holes: tuple[PlanHole, ...], off: float) -> list[str]:
    """The holes that cross the finish edge when their pilot is off in any of twelve directions."""
    waste = waste_of(contour)
    return [
        f"{hole.name} {hole.words} off {off} at {30 * step} deg"
        for hole in holes
        for step in range(12)
        if not waste.covers(disc(hole.at + Vec.polar(off, 30 * step), hole.diameter / 2))
    ]


def assert_plan_is_safe(contour: Contour, holes: tuple[PlanHole, ...], cuts: tuple[Line, ...]) -> None:
    assert crossings(contour, holes, ALLOWANCE) == []
    waste = waste_of(contour).buffer(-ALLOWANCE)
    for one in cuts:
        assert waste.covers(shapely.LineString([(one.start.x, one.start.y), (one.end.x, one.end.y)]))
    for one, other in combinations(holes, 2):
        assert one.at.distance_to(other.at) > (one.diameter + other.diameter) / 2


@st.composite
def rounded_polygons(draw: st.DrawFn) -> Contour:
    """Polygons with corners of any angle, each with a radius of its own, down to none."""
    from templgen.errors import GeometryError
    from templgen.geometry import fillet

    count = draw(st.integers(3, 6))
    reach = draw(lengths(15, 90))
    corners = [Vec.polar(reach, (k + draw(lengths(0.1, 0.9))) * 360 / count) for k in range(count)]
    polygon = Contour.polygon(corners)
    radii = [draw(st.just(0.0) | lengths(0.5, 25.0)) for _ in corners]
    while True:
        try:
            return fillet(polygon, radii).moved(draw(motions())).as_ccw()
        except GeometryError:
            radii = [radius / 2 if radius > 0.2 else 0.0 for radius in radii]


@given(rounded_polygons())
@settings(max_examples=60, deadline=None)
def test_no_corner_hole_and_no_cut_crosses_a_finish_edge(contour: Contour) -> None:
    found = corner_plan(contour, CUTTERS, ALLOWANCE, ROUGH)
    if found is not None:
        assert_plan_is_safe(contour, *found)


@given(st.one_of(convex_contours(), simple_contours()))
@settings(max_examples=60, deadline=None)
def test_any_outline_is_safe_or_refused(contour: Contour) -> None:
    found = corner_plan(contour, CUTTERS, ALLOWANCE, ROUGH)
    if found is not None:
        assert_plan_is_safe(contour, *found)


LEAST_WEB = 25.4 / 16
"""Through a thinner web the bit wanders into the hole beside it (common practice, no source)."""


def webs(holes: tuple[PlanHole, ...]) -> list[float]:
    return [a.at.distance_to(b.at) - (a.diameter + b.diameter) / 2 for a, b in combinations(holes, 2)]


@given(st.one_of(rounded_polygons(), convex_contours()))
@settings(max_examples=60, deadline=None)
def test_two_drilled_corners_leave_a_web_that_holds_the_bit(contour: Contour) -> None:
    found = corner_plan(contour, CUTTERS, ALLOWANCE, ROUGH)
    if found is not None:
        assert all(web >= LEAST_WEB - 1e-6 for web in webs(found[0]))


@pytest.mark.parametrize("width", [3.0, 4.0, 5.0, 5.6, 6.5, 7.5])
def test_a_narrow_square_tail_gets_one_hole(width: float) -> None:
    tail = [Vec(0, 15), Vec(0, -15), Vec(60, -width / 2), Vec(60, width / 2)]
    found = corner_plan(Contour.polygon(tail), CUTTERS, ALLOWANCE, ROUGH)
    assert found is not None
    holes, cuts = found
    assert_plan_is_safe(Contour.polygon(tail), *found)
    at_the_tail = [hole for hole in holes if hole.at.x > 30]
    assert len(at_the_tail) == 1
    assert at_the_tail[0].at.y == pytest.approx(0.0, abs=1e-6)
    for corner in tail[2:]:
        assert corner.distance_to(at_the_tail[0].at) - at_the_tail[0].diameter / 2 <= MOST_LEFT
    assert len(cuts) == len(holes)


def test_a_wide_square_tail_keeps_a_hole_in_either_corner() -> None:
    tail = Contour.polygon([Vec(0, 15), Vec(0, -15), Vec(60, -5), Vec(60, 5)])
    found = corner_plan(tail, CUTTERS, ALLOWANCE, ROUGH)
    assert found is not None
    assert len(found[0]) == 4
    assert min(webs(found[0])) >= LEAST_WEB


def test_measured_from_the_two_sides_alone_a_small_bit_would_cross_the_rounding() -> None:
    contour = Contour.rectangle(100, 80, corner_radius=12.7)
    radius = 11.90625
    naive = Vec(50 - radius - ALLOWANCE, 40 - radius - ALLOWANCE)
    hole = PlanHole("naive", naive, next(c for c in CUTTERS if c.name == "15/16"))
    assert crossings(contour, (hole,), ALLOWANCE)
    found = corner_plan(contour, CUTTERS, ALLOWANCE, ROUGH)
    assert found is not None
    assert not crossings(contour, found[0], ALLOWANCE)
    assert crossings(contour, found[0], ALLOWANCE + 0.05)


def test_where_the_bit_fits_exactly_its_centre_is_the_corners() -> None:
    radius = 12.7 + ALLOWANCE
    found = corner_plan(Contour.rectangle(100, 80, corner_radius=radius), CUTTERS, ALLOWANCE, ROUGH)
    assert found is not None
    assert {hole.cutter.name for hole in found[0]} == {"1"}
    assert sorted((round(h.at.x, 6), round(h.at.y, 6)) for h in found[0]) == sorted(
        (x * (50 - radius), y * (40 - radius)) for x in (-1, 1) for y in (-1, 1)
    )


def test_in_a_sharp_corner_the_hole_stands_off_both_sides() -> None:
    found = corner_plan(Contour.rectangle(100, 80), CUTTERS, ALLOWANCE, ROUGH)
    assert found is not None
    for hole in found[0]:
        clear = hole.diameter / 2 + ALLOWANCE
        assert abs(hole.at.x) == pytest.approx(50 - clear, abs=1e-6)
        assert abs(hole.at.y) == pytest.approx(40 - clear, abs=1e-6)


def test_cuts_run_from_hole_to_hole_and_free_the_waste() -> None:
    contour = Contour.rectangle(100, 80, corner_radius=12.7)
    found = corner_plan(contour, CUTTERS, ALLOWANCE, ROUGH)
    assert found is not None
    holes, cuts = found
    for cut, (one, other) in zip(cuts, pairwise([*holes, holes[0]]), strict=True):
        assert cut.start.distance_to(one.at) == pytest.approx(one.diameter / 2)
        assert cut.end.distance_to(other.at) == pytest.approx(other.diameter / 2)
    # holes and cuts, as wide as a saw, part the waste from the sheet
    opened = shapely.union_all(
        [disc(hole.at, hole.diameter / 2) for hole in holes]
        + [
            shapely.LineString([(c.start.x, c.start.y), (c.end.x, c.end.y)]).buffer(0.4, cap_style="square")
            for c in cuts
        ]
    )
    assert len(shapely.Polygon([(p.x, p.y) for p in flatten(contour, 0.01)]).difference(opened).geoms) == 2


@pytest.mark.parametrize(
    "shape", [shape for shape in ShapeLibrary.standard() if shape.kind == "outline"], ids=lambda s: s.name
)
def test_every_shape_of_the_library_is_opened(shape: object) -> None:
    contour = shape.outline(**shape.example.values).contour  # type: ignore[attr-defined]
    found = corner_plan(contour, CUTTERS, ALLOWANCE, ROUGH)
    if found is not None:
        assert_plan_is_safe(contour, *found)
    chain = chain_plan(contour, CUTTERS, 0.8)
    assert found is not None or chain is not None
    if chain is not None:
        assert crossings(contour, chain.holes, 0.8) == []


@given(st.one_of(convex_contours(), simple_contours(), rounded_polygons()))
@settings(max_examples=60, deadline=None)
def test_a_chain_lies_in_the_waste_and_its_holes_stay_apart(contour: Contour) -> None:
    chain = chain_plan(contour, CUTTERS, 0.8)
    if chain is None:
        return
    assert crossings(contour, chain.holes, 0.8) == []
    gaps = [one.at.distance_to(other.at) - one.diameter for one, other in combinations(chain.holes, 2)]
    assert min(gaps) == pytest.approx(chain.web)
    assert chain.web >= chain_web()[1] - 1e-9


def test_a_chain_is_as_long_as_its_number_says() -> None:
    radius = 50.0
    chain = chain_plan(Contour.circle(Vec(0, 0), radius), CUTTERS, 0.8)
    assert chain is not None
    drill = chain.holes[0].diameter
    assert drill == 3.175
    path = 2 * math.pi * (radius - 0.8 - drill / 2)
    assert len(chain.holes) == int(path / (drill + chain_web()[0]))
    assert chain.pitch == pytest.approx(path / len(chain.holes), abs=1e-6)
    chord = 2 * (radius - 0.8 - drill / 2) * math.sin(math.pi / len(chain.holes))
    assert chain.web == pytest.approx(chord - drill, abs=1e-6)
