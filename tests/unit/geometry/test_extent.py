"""How far outlines reach: closed formulas, shapely's points, and many directions at once like one by one."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from templgen.geometry import Contour, Vec, flatten
from templgen.geometry.convex import widest_of
from templgen.geometry.extent import Reach, extent_along
from templgen.geometry.plate import Lump, Plate

OUTLINES = [
    Contour.rectangle(40, 20, 5, Vec(3, -7)),
    Contour.circle(Vec(10, 2), 9),
    Contour.circle(Vec(1, 2), 9).reversed(),
    Contour.polygon([Vec(0, 0), Vec(5, 1), Vec(2, 6)]),
    Contour.from_bulges([Vec(0, 0), Vec(10, 0), Vec(10, 8), Vec(0, 8)], [0.3, -0.4, 0, 0.9], closed=True),
]
DIRECTIONS = [Vec.polar(1.0, 7.5 * number) for number in range(48)]


@pytest.mark.parametrize("outline", OUTLINES)
def test_like_the_farthest_of_many_points(outline: Contour) -> None:
    points = flatten(outline, 1e-5)
    for direction, reached in zip(DIRECTIONS, Reach([outline]).along(DIRECTIONS), strict=True):
        assert reached == pytest.approx(max(point.dot(direction) for point in points), abs=1e-4)
        assert reached == pytest.approx(extent_along(outline, direction)[1], abs=1e-12)


def test_of_several_the_farthest_counts_and_of_none_nothing() -> None:
    reached = Reach(OUTLINES[:2]).along([Vec(1.0, 0.0), Vec(0.0, -1.0)])
    assert tuple(reached) == (23.0, 17.0)
    assert Reach([]).along([Vec(1.0, 0.0)])[0] == -math.inf


def test_what_is_taken_off_a_plate_leaves_its_lumps() -> None:
    plate = Plate(
        Contour.rectangle(100, 60), 1.0, (Lump(Contour.rectangle(10, 8, centre=Vec(48, 0)), 5.0),), 3.0
    )
    assert plate.extent(Vec(1.0, 0.0)) == (-47.0, 53.0)
    assert plate.metal_extent(Vec(1.0, 0.0)) == (-47.0, 47.0)
    assert plate.across_all([0.0, 90.0]) == [54.0, 100.0]


@pytest.mark.parametrize("seed", range(5))
def test_the_widest_place_is_no_less_than_that_of_points(seed: int) -> None:
    pick = random.Random(seed)
    outline = Contour.rectangle(
        pick.uniform(50, 90), pick.uniform(40, 90), pick.uniform(1, 20), Vec(500, -300)
    )
    points = np.array([(p.x, p.y) for p in flatten(outline, 1e-4)])
    apart = np.hypot(*(points[:, None, :] - points[None, :, :]).transpose(2, 0, 1)).max()
    assert apart <= widest_of(outline) <= apart + 0.003
