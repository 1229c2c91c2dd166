"""Points along a contour all at once are those that the contour gives one by one."""

from __future__ import annotations

import numpy as np
import pytest

from templgen.geometry import Contour, Vec
from templgen.geometry.sampling import EdgePlaces, evenly_along, points_along

ZOO = [
    Contour.rectangle(40, 20, 5, Vec(3, -7)),
    Contour.circle(Vec(1, 2), 9),
    Contour.circle(Vec(1, 2), 9).reversed(),
    Contour.polygon([Vec(0, 0), Vec(5, 1), Vec(2, 6)]),
    Contour.from_bulges([Vec(0, 0), Vec(10, 0), Vec(10, 8), Vec(0, 8)], [0.3, -0.4, 0, 1e-7], closed=True),
]


@pytest.mark.parametrize("contour", ZOO)
def test_same_points_and_tangents(contour: Contour) -> None:
    distances = np.linspace(-0.4 * contour.length, 1.3 * contour.length, 57)
    points, tangents = points_along(contour, distances)
    assert EdgePlaces(contour).points(distances) == pytest.approx(points, abs=1e-7)
    for at, point, tangent in zip(distances, points, tangents, strict=True):
        expected, along = contour.point_at(float(at))
        assert tuple(point) == pytest.approx((expected.x, expected.y), abs=1e-7)
        if point_is_smooth(contour, float(at)):
            assert tuple(tangent) == pytest.approx((along.x, along.y), abs=1e-6)


def point_is_smooth(contour: Contour, at: float) -> bool:
    before, after = contour.point_at(at - 1e-4)[1], contour.point_at(at + 1e-4)[1]
    return abs(before.cross(after)) < 1e-3


@pytest.mark.parametrize("contour", ZOO)
def test_even_steps(contour: Contour) -> None:
    points, _ = evenly_along(contour, 0.5)
    gaps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    assert gaps.max() <= 0.5 + 1e-9
    assert len(points) == pytest.approx(contour.length / 0.5, abs=1)
