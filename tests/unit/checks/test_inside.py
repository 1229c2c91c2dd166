from __future__ import annotations

import random

import numpy as np
import pytest

from templgen.checks.inside import points_in_contour, points_in_region
from templgen.geometry import Contour, Region, Side, Vec, locate, region_contains

LENS = Contour.from_bulges([Vec(-10, 0), Vec(10, 0)], [0.4, 0.4], closed=True)
NOTCHED = Contour.from_bulges(
    [Vec(0, 0), Vec(30, 0), Vec(30, 20), Vec(20, 20), Vec(10, 20), Vec(0, 20)],
    [0, 0.3, 0, 1.0, 0, -0.2],
    closed=True,
)
CONTOURS = [
    Contour.circle(Vec(0, 0), 10),
    Contour.rectangle(30, 20, corner_radius=6),
    Contour.polygon([Vec(0, 0), Vec(30, 0), Vec(15, 5), Vec(0, 25)]),
    LENS,
    LENS.reversed(),
    NOTCHED,
]


@pytest.mark.parametrize("contour", CONTOURS)
def test_agrees_with_the_exact_location_of_one_point(contour: Contour) -> None:
    rng = random.Random(7)
    box = contour.bounds.grown(3)
    points = [Vec(rng.uniform(box.xmin, box.xmax), rng.uniform(box.ymin, box.ymax)) for _ in range(600)]
    # rays through vertices and along chords are where a crossing count goes wrong
    points += [Vec(x, v.y) for v in contour.vertices for x in np.linspace(box.xmin, box.xmax, 23)]
    points += [Vec(v.x, y) for v in contour.vertices for y in np.linspace(box.ymin, box.ymax, 23)]
    inside = points_in_contour(np.array([(p.x, p.y) for p in points]), contour)
    for point, found in zip(points, inside, strict=True):
        side = locate(point, contour)
        assert side is Side.ON or found == (side is Side.INSIDE), point


def test_an_opening_is_not_metal() -> None:
    ring = Region(Contour.circle(Vec(0, 0), 10), (Contour.circle(Vec(0, 0), 4),))
    points = [Vec(0, 0), Vec(5, 0), Vec(0, 9), Vec(11, 0), Vec(0, -3.9)]
    found = points_in_region(np.array([(p.x, p.y) for p in points]), ring)
    assert list(found) == [region_contains(ring, point) for point in points]


def test_no_points() -> None:
    assert len(points_in_contour(np.zeros((0, 2)), LENS)) == 0
