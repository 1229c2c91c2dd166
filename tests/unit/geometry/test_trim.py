"""Trimming by half-planes: areas by hand, tangency, corners on the line."""

from __future__ import annotations

import math

import pytest

from templgen.errors import GeometryError
from templgen.geometry import Arc, Contour, HalfPlane, Motion, Region, Vec, require_valid, trim_region

PLATE = Region(Contour.rectangle(20, 10))
DISC = Region(Contour.circle(Vec(0, 0), 10))
RING = Region(Contour.circle(Vec(0, 0), 10), (Contour.circle(Vec(0, 0), 6),))
ABOVE = HalfPlane(Vec(0, 0), Vec(1, 0))


def areas(region: Region, *planes: HalfPlane) -> tuple[list[float], list[float]]:
    trimmed = trim_region(region, planes)
    for part in (*trimmed.kept, *trimmed.cut):
        require_valid(part)
    return [part.area for part in trimmed.kept], [part.area for part in trimmed.cut]


def test_half_a_plate() -> None:
    assert areas(PLATE, ABOVE) == ([100], [100])
    assert areas(PLATE, ABOVE.shifted(2)) == ([60], [140])
    assert areas(PLATE, ABOVE.reversed().shifted(2)) == ([60], [140])


def test_a_slanted_corner() -> None:
    kept, cut = areas(PLATE, HalfPlane.through(Vec(6, -5), Vec(10, -1)))
    assert kept == pytest.approx([192])
    assert cut == pytest.approx([8])


def test_two_lines_cut_one_piece_off() -> None:
    kept, cut = areas(PLATE, ABOVE, HalfPlane(Vec(4, 0), Vec(0, 1)))
    assert kept == pytest.approx([70])  # x < 4 and y > 0
    assert cut == pytest.approx([130])  # one piece, bent round the corner


def test_a_circular_segment_keeps_its_arc() -> None:
    trimmed = trim_region(DISC, [ABOVE.shifted(5)])
    (cap,) = trimmed.kept
    assert cap.area == pytest.approx(100 * (math.pi / 3 - math.sqrt(3) / 4), rel=1e-14)
    (arc,) = [segment for segment in cap.segments if isinstance(segment, Arc)]
    assert arc.radius == pytest.approx(10, rel=1e-14)
    assert arc.sweep == pytest.approx(120)


def test_a_line_through_an_opening_cuts_it_open() -> None:
    kept, cut = areas(RING, ABOVE)
    assert kept == pytest.approx([32 * math.pi])
    assert cut == pytest.approx([32 * math.pi])
    kept, cut = areas(RING, ABOVE.shifted(8))
    assert (len(kept), len(cut)) == (1, 1)  # beside the opening


def test_three_pieces() -> None:
    fork = Region(
        Contour.polygon(
            [
                *(Vec(0, 0), Vec(50, 0), Vec(50, 20), Vec(40, 20), Vec(40, 10), Vec(30, 10)),
                *(Vec(30, 20), Vec(20, 20), Vec(20, 10), Vec(10, 10), Vec(10, 20), Vec(0, 20)),
            ]
        )
    )
    assert areas(fork, HalfPlane(Vec(0, 15), Vec(1, 0))) == ([50, 50, 50], [650])
    assert areas(fork, HalfPlane(Vec(0, 10), Vec(1, 0))) == ([100, 100, 100], [500])  # along edges


def test_a_line_that_touches_cuts_nothing() -> None:
    assert areas(DISC, ABOVE.shifted(-10)) == ([pytest.approx(100 * math.pi)], [])
    assert areas(DISC, ABOVE.shifted(10)) == ([], [pytest.approx(100 * math.pi)])
    assert areas(PLATE, HalfPlane(Vec(0, -5), Vec(1, 0))) == ([200], [])  # along an edge
    assert areas(PLATE, HalfPlane(Vec(0, 5), Vec(1, 0))) == ([], [200])
    assert areas(PLATE, HalfPlane.through(Vec(9, -6), Vec(11, -4))) == ([200], [])  # at a corner


def test_a_line_through_two_corners() -> None:
    kept, cut = areas(PLATE, HalfPlane.through(Vec(-10, -5), Vec(10, 5)))
    assert (kept, cut) == (pytest.approx([100]), pytest.approx([100]))


def test_a_line_that_touches_an_opening() -> None:
    trimmed = trim_region(RING, [ABOVE.shifted(6)])
    assert [len(part.inner) for part in (*trimmed.kept, *trimmed.cut)] == [0, 1]
    assert trimmed.kept[0].area + trimmed.cut[0].area == pytest.approx(RING.area)


def test_doubled_and_opposite_lines() -> None:
    assert areas(PLATE, ABOVE, ABOVE) == ([100], [100])
    assert areas(PLATE, ABOVE, ABOVE.reversed()) == ([], [200])
    assert areas(PLATE, ABOVE.shifted(1), ABOVE.reversed().shifted(1)) == ([], [200])
    assert areas(PLATE, ABOVE.shifted(-1), ABOVE.reversed().shifted(-1)) == ([40], [80, 80])


def test_without_lines_all_is_kept() -> None:
    assert trim_region(RING, []).kept == (RING,)


def test_original_corners_keep_their_coordinates() -> None:
    (kept,) = trim_region(PLATE, [HalfPlane(Vec(0.1, 0.2), Vec(1, 0.3))]).kept
    assert {Vec(10, 5), Vec(-10, 5)} <= set(kept.outer.vertices)


def test_half_plane() -> None:
    plane = HalfPlane(Vec(1, 1), Vec(0, 5))
    assert plane.direction == Vec(0, 1)
    assert plane.height_of(Vec(-2, 9)) == 3
    assert plane.shifted(2).height_of(Vec(-2, 9)) == 1
    assert plane.moved(Motion.mirror_x()).height_of(Vec(2, 9)) == 3
    with pytest.raises(GeometryError, match="no direction"):
        HalfPlane(Vec(0, 0), Vec(0, 0))
    with pytest.raises(GeometryError, match="is no line"):
        HalfPlane(Vec(math.nan, 0), Vec(0, 1))
