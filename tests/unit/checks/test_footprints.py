from __future__ import annotations

import numpy as np
import pytest

from templgen.checks.footprints import contour_to_region, lies_within, overlap_of, signed_to_region
from templgen.geometry import Contour, Motion, Region, Vec

FLANGE = Region(Contour.rectangle(200, 16))


def at(contour: Contour, x: float, y: float) -> Contour:
    return contour.moved(Motion.translation(Vec(x, y)))


@pytest.mark.parametrize(("y", "clear"), [(30, 12), (18, 0), (15, -3), (0, -18), (-15, -3), (-20, 2)])
def test_a_round_outline_beside_over_and_on_a_flange(y: float, clear: float) -> None:
    assert contour_to_region(at(Contour.circle(Vec(0, 0), 10), 0, y), FLANGE) == pytest.approx(clear)


def test_an_outline_that_holds_the_flange_or_lies_in_it_overlaps() -> None:
    assert contour_to_region(Contour.rectangle(400, 100), FLANGE) == pytest.approx(-58)
    assert contour_to_region(Contour.circle(Vec(0, 0), 2), FLANGE) == pytest.approx(-10)


def test_moving_by_the_depth_frees_the_outline() -> None:
    plate = at(Contour.rectangle(60, 40), 0, 22)
    depth = -contour_to_region(plate, FLANGE)
    assert contour_to_region(at(plate, 0, depth), FLANGE) == pytest.approx(0, abs=1e-9)


def test_overlap_is_the_shared_metal() -> None:
    plate = Region(at(Contour.rectangle(60, 40), 0, 22))
    assert sum(piece.area for piece in overlap_of(plate, FLANGE)) == pytest.approx(60 * 6)
    assert overlap_of(Region(at(Contour.rectangle(60, 40), 0, 28)), FLANGE) == ()


def test_lies_within() -> None:
    assert lies_within(Region(Contour.rectangle(50, 16)), FLANGE)
    assert not lies_within(Region(Contour.rectangle(50, 16.1)), FLANGE)


def test_signed_distance_is_negative_on_the_flange() -> None:
    points = np.array([(0.0, 0.0), (0.0, 8.0), (0.0, 11.0), (103.0, 12.0)])
    assert signed_to_region(points, FLANGE) == pytest.approx([-8, 0, 3, 5])
