"""Gaps between convex solids, against closed formulas and sampled distances."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from templgen.geometry import Bounds, Vec
from templgen.geometry.solids import Solid, block, gaps, nearest_gaps, prism, rod


def gap(one: Solid, other: Solid) -> float:
    return float(gaps(one.points[None], one.edges[None], one.normals[None], other)[0]) - one.radius


CUBE = block("cube", Bounds(0, 0, 10, 10), 0.0, 10.0)


def test_face_to_face_and_edge_to_edge() -> None:
    assert gap(CUBE, block("beside", Bounds(13, 2, 20, 5), 1.0, 4.0)) == pytest.approx(3.0)
    # a cube turned by 45 degrees about z, its edge 2 mm from the face
    diamond = prism("diamond", [Vec(12, 5), Vec(15, 2), Vec(18, 5), Vec(15, 8)], 0.0, 10.0)
    assert gap(CUBE, diamond) == pytest.approx(2.0)


def test_a_rod_beside_a_cube_and_through_it() -> None:
    assert gap(CUBE, rod("rod", (15, -20, 5), (15, 20, 5), 2.0)) == pytest.approx(3.0)
    assert gap(CUBE, rod("rod", (5, -20, 5), (5, 20, 5), 2.0)) < 0.0
    # crossing an edge of the cube askew: both edge directions decide
    assert gap(CUBE, rod("rod", (12, -30, 12), (12, 30, 12), 0.0)) == pytest.approx(2.0)


def test_a_web_without_thickness() -> None:
    web = prism("rib 7", [Vec(14, -50), Vec(14, 50)], 0.0, 100.0)
    assert gap(CUBE, web) == pytest.approx(4.0)


def sampled(solid: Solid, pick: np.random.Generator) -> np.ndarray:
    weights = pick.dirichlet(np.full(len(solid.points), 0.3), 4000)
    return weights @ solid.points


@pytest.mark.parametrize("seed", range(30))
def test_never_wider_than_the_true_gap_and_of_its_sign(seed: int) -> None:
    lot, pick = random.Random(seed), np.random.default_rng(seed)
    x, y = lot.uniform(-25, 25), lot.uniform(-25, 25)
    corners = [Vec.polar(lot.uniform(4, 8), angle) + Vec(x, y) for angle in (10, 100, 200, 290)]
    z = lot.uniform(-25, 20)
    other = prism("other", corners, z, z + lot.uniform(2, 10))
    a, b = sampled(CUBE, pick), sampled(other, pick)
    least = min(float(np.linalg.norm(a - point, axis=1).min()) for point in b[:800])
    found = gap(CUBE, other)
    assert found <= least + 1e-9
    if least < 0.05:
        assert found < 0.3
    if found <= 0.0:
        assert least < 3.0


def test_a_point_with_a_radius() -> None:
    assert gap(CUBE, rod("knob", (13, 5, 5), (13, 5, 5), 1.0)) == pytest.approx(2.0)
    assert math.isfinite(gap(CUBE, rod("knob", (13, 13, 13), (13, 13, 13), 1.0)))


@pytest.mark.parametrize("seed", range(20))
def test_between_upright_solids_edges_say_no_more_than_faces(seed: int) -> None:
    lot = random.Random(seed)
    corners = [Vec.polar(lot.uniform(4, 8), angle) for angle in (10, 100, 200, 290)]
    body = prism("body", corners, 0.0, lot.uniform(1, 9))
    at, z = Vec(lot.uniform(-15, 15), lot.uniform(-15, 15)), lot.uniform(-9, 9)
    web = prism("web", [at, at + Vec(9, 4)], z, z + 3)
    others = (
        CUBE,
        web,
        prism("three", [at, at - Vec(7, 2), at + Vec(3, 8)], z, z + 3),
        rod("rod", (*_xy(at), z), (20, 5, 9), 1),
    )
    looks = (body.points[None], body.edges[None], body.normals[None], others)
    (every,), (one,) = nearest_gaps(*looks)
    (found,), (other,) = nearest_gaps(*looks, upright=True)
    assert found == pytest.approx(every, abs=1e-9)
    assert one == other


def _xy(place: Vec) -> tuple[float, float]:
    return place.x, place.y
