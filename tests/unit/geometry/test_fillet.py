"""Rounded corners between lines and arcs."""

from __future__ import annotations

import math

import pytest

from templgen.errors import GeometryError
from templgen.geometry import Arc, Contour, Region, Segment, Vec, fillet, require_valid

BOX = Contour.rectangle(20, 10)
D_HOLE = Contour.from_bulges(
    [Vec(3, -8), Vec(3, 8)], [0, math.tan((math.pi - math.atan2(8, 3)) / 2)], closed=True
)
LENS = Contour.from_bulges([Vec(-10, 0), Vec(10, 0)], [0.4, 0.4], closed=True)
BITE = Contour.from_bulges(
    [Vec(0, 0), Vec(20, 0), Vec(20, 10), Vec(14, 10), Vec(6, 10), Vec(0, 10)],
    [0, 0, 0, -1, 0, 0],
    closed=True,
)


def kinks(segments: tuple[Segment, ...]) -> list[float]:
    pairs = zip((segments[-1], *segments[:-1]), segments, strict=True)
    return [before.tangent_at(1).distance_to(after.tangent_at(0)) for before, after in pairs]


@pytest.mark.parametrize("radius", [0.5, 2, 5])
def test_box(radius: float) -> None:
    rounded = fillet(BOX, radius)
    assert rounded.area == pytest.approx(200 - (4 - math.pi) * radius**2)
    assert len(rounded.segments) == (6 if radius == 5 else 8)
    assert max(kinks(rounded.segments)) < 1e-9


def test_one_radius_per_corner() -> None:
    rounded = fillet(BOX, [1, 0, 2, 3])
    assert rounded.area == pytest.approx(200 - (4 - math.pi) / 4 * (1 + 4 + 9))
    assert [round(s.radius, 9) for s in rounded.segments if isinstance(s, Arc)] == [1, 2, 3]
    assert fillet(BOX, 0) is BOX


@pytest.mark.parametrize("contour", [D_HOLE, LENS])
@pytest.mark.parametrize("radius", [0.5, 2])
def test_corners_with_arcs(contour: Contour, radius: float) -> None:
    rounded = fillet(contour, radius)
    require_valid(Region(rounded))
    assert max(kinks(rounded.segments)) < 1e-7
    assert rounded.area < contour.area
    found = sorted(round(s.radius, 9) for s in rounded.segments if isinstance(s, Arc))
    assert found[:2] == [radius, radius]


def test_corners_at_a_concave_arc() -> None:
    rounded = fillet(BITE, [0, 0, 0, 1, 1, 0])
    require_valid(Region(rounded))
    arcs = [s for s in rounded.segments if isinstance(s, Arc)]
    assert [round(arc.radius, 9) for arc in arcs] == [1, 4, 1]
    # centres of the fillet and of the bite are 5 apart, the fillet's 1 below the edge
    assert arcs[0].centre.distance_to(Vec(10 + math.sqrt(24), 9)) < 1e-9
    assert len([kink for kink in kinks(rounded.segments) if kink > 1e-9]) == 4


def test_reflex_corner_gains_metal() -> None:
    elbow = Contour.polygon([Vec(0, 0), Vec(20, 0), Vec(20, 8), Vec(8, 8), Vec(8, 20), Vec(0, 20)])
    assert fillet(elbow, [0, 0, 0, 3, 0, 0]).area == pytest.approx(elbow.area + (1 - math.pi / 4) * 9)


def test_open_chain_rounds_inner_corners_only() -> None:
    chain = Contour.polyline([Vec(0, 0), Vec(10, 0), Vec(10, 10)])
    rounded = fillet(chain, 4)
    assert (rounded.vertices[0], rounded.vertices[-1]) == (Vec(0, 0), Vec(10, 10))
    assert rounded.length == pytest.approx(12 + 2 * math.pi)


def test_smooth_joints_are_left_alone() -> None:
    assert fillet(Contour.rectangle(20, 10, 3), 1) == Contour.rectangle(20, 10, 3)
    assert fillet(Contour.circle(Vec(0, 0), 3), 1) == Contour.circle(Vec(0, 0), 3)


@pytest.mark.parametrize(
    ("contour", "radius", "text"),
    [
        (BOX, 5.1, r"radius 5.1 mm does not fit the corner at \(10.0000, 5.0000\) mm; .* fits is 4.9 mm"),
        (BOX, [0, 12, 0, 0], r"radius 12 mm .* at \(10.0000, -5.0000\) mm; the largest that fits is 10 mm"),
        (BOX, [0, 6, 6, 0], r"radius 6 mm .* at \(10.0000, 5.0000\) mm; the largest that fits is 4 mm"),
        (BOX, [0, 10, 1, 0], r"at \(10.0000, 5.0000\) mm; none fits"),
        (BOX, -1, "0 mm or more, not -1 mm"),
        (BOX, math.nan, "0 mm or more, not nan mm"),
        (BOX, [1, 2], "4 corners need 4 radii, not 2"),
        (LENS, 9, r"at \(-10.0000, 0.0000\) mm; the largest that fits is 4 mm"),
    ],
)
def test_what_does_not_fit_is_named(contour: Contour, radius: float | list[float], text: str) -> None:
    with pytest.raises(GeometryError, match=text):
        fillet(contour, radius)


def test_the_radius_named_as_largest_fits() -> None:
    with pytest.raises(GeometryError, match=r"fits is (\d+\.\d+) mm") as caught:
        fillet(D_HOLE, 50)
    named = float(str(caught.value).split("fits is ")[1].split()[0])
    for radii in ([named, 0], [0, named]):
        fillet(D_HOLE, radii)
    with pytest.raises(GeometryError):
        fillet(D_HOLE, [named + 1e-3, 0])
