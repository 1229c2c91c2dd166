"""Mast sections: tangent arcs, measured stations, rounded and opened tails."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from templgen.errors import ShapeError
from templgen.geometry import Arc, Contour, Line, Vec, intersections
from templgen.geometry.distance import point_contour
from templgen.shapes import MeasureError, ShapeLibrary
from templgen.shapes.airfoil import CLOSED, half_thickness, leading_edge_radius
from templgen.shapes.curves import flank
from templgen.shapes.spline import Spline
from templgen.units import format_length

LIBRARY = ShapeLibrary.standard()
ROUNDED = LIBRARY.get("mast-rounded")
STATIONS = LIBRARY.get("mast-stations")
CLOSED_TAIL = LIBRARY.get("mast-four-digit-closed")
BLUNT_TAIL = LIBRARY.get("mast-four-digit")


def _turns(contour: Contour) -> list[float]:
    """The angle between the directions of neighbouring segments at every joint, degrees."""
    turns = []
    for before, after in pairwise([*contour.segments, contour.segments[0]]):
        one, other = before.tangent_at(1.0), after.tangent_at(0.0)
        turns.append(math.degrees(math.atan2(one.cross(other), one.dot(other))))
    return turns


def _half_width(contour: Contour, x: float) -> float:
    level = Line(Vec(x, 0.0), Vec(x, 1000.0))
    return max((place.y for part in contour.segments for place in intersections(level, part)), default=0.0)


@settings(max_examples=80, deadline=None)
@given(st.floats(1.01, 10), st.floats(0.05, 1), st.floats(0.05, 1), st.floats(0, 0.95))
def test_a_rounded_section_is_smooth_and_keeps_its_measures(
    slenderness: float, nose: float, tail: float, straight: float
) -> None:
    width = 20.0
    length = slenderness * width
    values = {"nose_radius": nose * width / 2, "tail_radius": tail * width / 2}
    contour = ROUNDED.outline(
        length=length, width=width, straight=straight * (length - width), **values
    ).contour
    assert contour.bounds.width == pytest.approx(length, abs=1e-6)
    assert contour.bounds.height == pytest.approx(width, abs=1e-6)
    assert contour.bounds.xmax == pytest.approx(length / 2, abs=1e-6)
    assert max(map(abs, _turns(contour))) < 0.02
    for end, radius in ((Vec(length / 2, 0), "nose_radius"), (Vec(-length / 2, 0), "tail_radius")):
        arcs = [s for s in contour.segments if isinstance(s, Arc) and end in (s.start, s.end)]
        assert [arc.radius for arc in arcs] == pytest.approx([values[radius]] * len(arcs), rel=1e-6)


def test_an_end_radius_that_shapes_next_to_nothing_is_told() -> None:
    """Straight sides of length - width leave half-round ends whatever the radii say."""
    ends = {"nose_radius": 10, "tail_radius": 4}
    outline = ROUNDED.outline(length=60, width=20, straight=39.9, **ends)
    (note,) = outline.told("mm")
    assert note.startswith("tail_radius of 4.00 mm (0.157 in) shapes only the last ")
    assert ROUNDED.outline(length=60, width=20, straight=20, **ends).notes == ()


def test_the_flank_of_a_rounded_section() -> None:
    """Worked by hand: half width 5, nose 5, tail 1, length 26: centres of the end arcs at 8 and -12.

    The nose is as wide as the section, so that the flank's centre lies k below the nose's:
    (12 + 8)^2 = 2 k 4 + 4^2, k = 48, radius 48 + 5.
    """
    x, k = flank(26.0, 5.0, 5.0, 1.0)
    assert (x, k) == (pytest.approx(8.0), pytest.approx(48.0))
    contour = ROUNDED.outline(length=26, width=10, nose_radius=5, tail_radius=1).contour
    assert max(s.radius for s in contour.segments if isinstance(s, Arc)) == pytest.approx(53.0)


def test_straight_sides_stand_at_the_widest_place() -> None:
    plain = ROUNDED.outline(length=50, width=16, nose_radius=5, tail_radius=2).contour
    longer = ROUNDED.outline(length=60, width=16, nose_radius=5, tail_radius=2, straight=10).contour
    assert longer.area == pytest.approx(plain.area + 160, abs=1e-6)
    lines = [segment for segment in longer.segments if isinstance(segment, Line)]
    assert [line.length for line in lines] == pytest.approx([10.0, 10.0])
    assert {abs(line.start.y) for line in lines} == {8.0}


def test_a_tapered_section_is_smooth() -> None:
    contour = LIBRARY.get("mast-tapered").outline(length=60, width=18, tail_radius=1.5).contour
    assert max(map(abs, _turns(contour))) < 1e-6
    assert contour.bounds.width == pytest.approx(60)


@pytest.mark.parametrize("radius", [0.4, 1.0, 3.0])
def test_a_round_tail_touches_both_sides(radius: float) -> None:
    outline = CLOSED_TAIL.outline(chord=80, thickness_ratio=0.18, tail_radius=radius)
    contour = outline.contour
    assert max(map(abs, _turns(contour))) < 1.0
    lost = contour.bounds.xmin + 40
    half_angle = math.atan(-5 * 0.18 * (0.2969 / 2 - 0.126 - 0.7032 + 0.8529 + 4 * CLOSED))
    straight = radius / math.sin(half_angle) - radius
    assert lost == pytest.approx(straight, rel=0.2)
    assert f"takes {format_length(lost, 'mm')} off the chord" in outline.told("mm")[0]
    assert f"takes {format_length(lost, 'in')} off the chord" in outline.told("in")[0]
    at_tail = [
        s for s in contour.segments if isinstance(s, Arc) and min(s.start.x, s.end.x) < -40 + lost + 1e-9
    ]
    assert [arc.radius for arc in at_tail] == pytest.approx([radius, radius], rel=1e-6)


def test_a_blunt_tail_gets_round_corners_or_a_round_end() -> None:
    sharp = BLUNT_TAIL.outline(chord=200, thickness_ratio=0.3)
    assert sharp.told("mm") == ("blunt tail, 1.26 mm (0.050 in) thick, with sharp corners",)
    assert sharp.told("in") == ("blunt tail, 0.050 in (1.26 mm) thick, with sharp corners",)
    corners = BLUNT_TAIL.outline(chord=200, thickness_ratio=0.3, tail_radius=0.3)
    assert corners.notes == ()
    assert corners.contour.bounds.xmin == -100
    assert max(map(abs, _turns(corners.contour))) < 1.0
    whole = BLUNT_TAIL.outline(chord=200, thickness_ratio=0.3, tail_radius=2.0)
    assert whole.contour.bounds.xmin > -100
    assert max(map(abs, _turns(whole.contour))) < 1.0


def test_a_sharp_tail_says_so_and_a_relief_hole_opens_it() -> None:
    sharp = CLOSED_TAIL.outline(chord=80, thickness_ratio=0.18)
    assert sharp.told("mm") == ("the tail is sharp, 25 degrees between its sides; a cutout needs it opened",)
    opened = CLOSED_TAIL.outline(chord=80, thickness_ratio=0.18, relief_hole=3.2)
    assert opened.notes == ()
    assert opened.contour.bounds.xmin == pytest.approx(-41.6)
    rim = [s for s in opened.contour.segments if isinstance(s, Arc) and abs(s.radius - 1.6) < 1e-6]
    assert sum(arc.length for arc in rim) == pytest.approx(1.6 * math.radians(360 - 24.9), rel=0.01)
    for arc in rim:
        assert arc.centre.distance_to(Vec(-40, 0)) < 1e-6
    with pytest.raises(ShapeError, match="give only one of them"):
        CLOSED_TAIL.outline(chord=80, thickness_ratio=0.18, relief_hole=3.2, tail_radius=1)


def _measured(half: Callable[[float], float], length: float, shares: list[float], **ends: float) -> Contour:
    stations = [share * length for share in shares]
    widths = [half(station) for station in stations]
    return STATIONS.outline(stations=stations, left=widths, **ends).contour


def _farthest(contour: Contour, half: Callable[[float], float], length: float) -> float:
    places = [length * (step / 300) ** 2 for step in range(301)]
    return max(point_contour(Vec(length / 2 - x, half(x)), contour).distance for x in places)


EIGHT = [0, 0.05, 0.15, 0.3, 0.45, 0.6, 0.8, 1]


def test_eight_stations_give_an_airfoil_section_back() -> None:
    def half(x: float) -> float:
        return 80 * half_thickness(x / 80, 0.18, CLOSED) if x < 80 else 0.0

    assert _farthest(_measured(half, 80, EIGHT), half, 80) < 0.03
    radius = 80 * leading_edge_radius(0.18)
    assert _farthest(_measured(half, 80, EIGHT, nose_radius=radius), half, 80) < 0.01


def test_eight_stations_give_a_rounded_section_back() -> None:
    """Arcs that meet without a corner but with a jump of curvature: the guess between stations is worse."""
    true = ROUNDED.outline(length=60, width=18, nose_radius=6, tail_radius=1.5).contour

    def half(x: float) -> float:
        return _half_width(true, 30 - x) if 0 < x < 60 else 0.0

    contour = _measured(half, 60, EIGHT, nose_radius=6, tail_radius=1.5)
    assert _farthest(contour, half, 60) < 0.15
    close = _measured(half, 60, [0, 0.02, 0.05, 0.1, *EIGHT[2:]], nose_radius=6, tail_radius=1.5)
    assert _farthest(close, half, 60) < 0.03


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(2, 6), st.floats(0.85, 1.15), st.floats(0.85, 1.15)), min_size=4, max_size=8
    ),
    st.sampled_from(["round", "sharp", "blunt"]),
    st.sampled_from(["round", "flat"]),
)
def test_the_outline_passes_the_measured_places(
    steps: list[tuple[float, float, float]], tail: str, nose: str
) -> None:
    """Half-widths about those of an ellipse with some play on both sides."""
    stations = [0.0]
    for step, _, _ in steps:
        stations.append(stations[-1] + step)
    length = stations[-1] + 4.0
    stations.append(length)

    def width(x: float) -> float:
        return 0.6 * math.sqrt(x * (length - x))

    left = [width(x) * play for x, (_, play, _) in zip(stations[1:-1], steps, strict=True)]
    right = [width(x) * play for x, (_, _, play) in zip(stations[1:-1], steps, strict=True)]
    first = 0.0 if nose == "round" else 1.5
    last = 1.0 if tail == "blunt" else 0.0
    values = {"stations": stations, "left": [first, *left, last], "right": [first, *right, last]}
    if tail == "round":
        values["tail_radius"] = 1.0  # type: ignore[assignment]  # a number beside lists
    try:
        outline = STATIONS.outline(**values)
    except ShapeError as refusal:
        assert "crosses" in str(refusal) or "does not go with" in str(refusal)  # noqa: PT017
        return
    for station, one, other in list(zip(stations, [first, *left], [first, *right], strict=False)):
        for y in (one, -other):
            assert point_contour(Vec(length / 2 - station, y), outline.contour).distance < 0.006


def test_an_asymmetric_section_keeps_left_at_plus_y() -> None:
    contour = STATIONS.outline(
        stations=[0, 6, 20, 40, 60], left=[0, 5, 8, 5, 0], right=[0, 7, 11, 7, 0], tail_radius=1
    ).contour
    assert contour.bounds.ymax == pytest.approx(8.0, abs=0.2)
    assert contour.bounds.ymin == pytest.approx(-11.0, abs=0.2)
    assert contour.bounds.width == pytest.approx(60)


def test_a_blunt_end_has_round_corners_of_the_radius() -> None:
    values = {"stations": [0, 6, 20, 40, 60], "left": [0, 5, 8, 6, 3], "right": [0, 6, 9, 7, 4]}
    sharp = STATIONS.outline(**values)
    assert "the flat tail has sharp corners" in sharp.told("mm")
    contour = STATIONS.outline(**values, tail_radius=1.5).contour
    corners = [s for s in contour.segments if isinstance(s, Arc) and abs(s.radius - 1.5) < 1e-6]
    assert len(corners) == 2
    assert max(map(abs, _turns(contour))) < 1.5
    assert contour.area < sharp.contour.area
    with pytest.raises(ShapeError, match="the two corners of the flat end overlap"):
        STATIONS.outline(**values, tail_radius=5)


def test_a_flat_nose_has_round_corners_too() -> None:
    values = {"stations": [0, 10, 20, 30], "left": [4, 5, 5, 4], "nose_radius": 2, "tail_radius": 1}
    contour = STATIONS.outline(**values).contour
    radii = sorted(round(s.radius, 6) for s in contour.segments if isinstance(s, Arc) and s.radius < 3)
    assert radii == [1.0, 1.0, 2.0, 2.0]
    assert contour.bounds.width == pytest.approx(30)


def test_a_nose_radius_from_the_stations_is_told() -> None:
    """Stations of an ellipse of 60 x 20: radius at the end of the long axis b^2 / a = 100/30 = 3.33 mm."""
    stations = [0, 2, 6, 14, 26, 38, 50, 55]
    left = [10 * math.sqrt(1 - (1 - x / 30) ** 2) for x in stations]
    outline = STATIONS.outline(stations=[*stations, 60], left=[*left, 0], tail_radius=10 / 3)
    (note,) = outline.notes
    assert note.lengths == pytest.approx((100 / 30,), rel=0.05)
    (radius,) = note.lengths
    said = "the stations give a nose radius of {} in ({} mm); compare it with a radius gauge"
    assert note.told("in") == said.format(f"{radius / 25.4:.3f}", f"{radius:.2f}")


def test_a_station_within_a_round_tail_is_compared_with_it() -> None:
    stations, left = [0, 8, 20, 40, 59, 60], [0, 7, 9, 5, 3.0, 0]
    outline = STATIONS.outline(stations=stations, left=left, tail_radius=1.5)
    told = [n for n in outline.told("mm") if "left half-width 3.00 mm (0.118 in) at station 59.00 mm" in n]
    assert len(told) == 1
    assert "off the outline, which follows the tail radius" in told[0]


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"stations": [0, 60]}, "stations: 2 given, at least 3 are needed"),
        ({"left": [0, 5, 8, 0]}, "left: 4 half-widths for 5 stations"),
        ({"right": [0, 5, 8, 4, 3, 0]}, "right: 6 half-widths for 5 stations"),
        ({"left": [0, 5, 0, 5, 0]}, "left[3] = 0 mm: only the first and the last may be 0"),
        ({"stations": [1, 6, 20, 40, 60]}, "stations[1] = 1 mm: the first station is 0"),
        ({"stations": [0, 6, 6, 40, 60]}, "stations[3] = 6 mm does not lie behind 6 mm"),
        ({"stations": [0, 6, 50, 40, 60]}, "stations[4] = 40 mm does not lie behind 50 mm"),
        ({"nose_radius": 30}, "nose_radius = 30 mm does not go with half-width 5 mm at station 6 mm"),
        ({"tail_radius": 58}, "tail_radius = 58 mm leaves no station ahead of the tail"),
        ({"tail_radius": 20}, "tail_radius = 20 mm does not go with the half-widths ahead of it"),
    ],
)
def test_measures_that_do_not_belong_together(values: dict[str, object], told: str) -> None:
    good: dict[str, object] = {"stations": [0, 6, 20, 40, 60], "left": [0, 5, 8, 5, 0]}
    with pytest.raises(ShapeError) as refusal:
        STATIONS.outline(**{**good, **values})
    assert told in str(refusal.value)


def test_a_spline_with_given_slopes_is_a_cubic() -> None:
    """x^3 on 0..3 with its slopes 0 and 27 at the ends: a cubic spline gives every cubic back."""
    spline = Spline.through([0, 1, 1.5, 3], [0, 1, 3.375, 27], 0.0, 27.0)
    for place in (0.3, 1.2, 2.0, 2.9):
        assert spline(place) == pytest.approx(place**3, abs=1e-12)
        assert spline.slope(place) == pytest.approx(3 * place**2, abs=1e-12)


def test_a_spline_of_two_nodes() -> None:
    assert Spline.through([0, 2], [1, 5])(0.5) == 2.0
    bent = Spline.through([0, 2], [0, 0], 1.0, -1.0)
    assert bent(1.0) == pytest.approx(0.5)


def test_measures_are_told_in_the_unit_of_the_job() -> None:
    """25.4 mm are 1 in: an inch job reads its own numbers back, with the millimetres behind them."""
    with pytest.raises(MeasureError) as refusal:
        STATIONS.outline(stations=[0, 6.35, 50.8, 25.4, 60], left=[0, 5, 8, 5, 0])
    assert str(refusal.value) == "stations[4] = 25.4 mm does not lie behind 50.8 mm"
    told = "stations[4] = 1.000 in (25.40 mm) does not lie behind 2.000 in (50.80 mm)"
    assert refusal.value.told("in") == told
