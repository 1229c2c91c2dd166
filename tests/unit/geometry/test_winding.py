"""A cut ring wound in through an opening: the ramp against sampled pieces of band, the swing against
walls."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import numpy as np
import pytest
import shapely

from templgen.geometry import Bounds, Contour, Region, Vec, flatten, offset_contour
from templgen.geometry.holding import HoleSpace
from templgen.geometry.plate import Bay
from templgen.geometry.solids import block, rod
from templgen.geometry.winding import Winding, band_of, ramp_length, wind

DEEP = Bay(300.0)


def ring_round(hole: Contour, band: float) -> Region:
    return Region(offset_contour(hole, band)[0], (hole,))


def polygon(contour: Contour, sagitta: float = 0.005) -> shapely.Polygon:
    return shapely.Polygon([(p.x, p.y) for p in flatten(contour, sagitta)])


def test_ramp_of_a_strip_built_in_at_both_ends() -> None:
    # 12 E I d / l^3 of force and 6 E I d / l^2 of moment (beam tables): strain = 6 d / l^2 x t / 2
    length = ramp_length(1.8, 1.0, 0.004)
    assert 6 * 1.8 / length**2 * 1.0 / 2 == pytest.approx(0.004)


def circle_round_sector(inner: float, outer: float, angle: float) -> float:
    """Radius of the circle through the four corners of a sector of a ring, `angle` to either side
    (radians)."""
    x, y, v = outer * math.sin(angle), outer * math.cos(angle), inner * math.cos(angle)
    u = inner * math.sin(angle)
    middle = (x * x + y * y - u * u - v * v) / (2 * (y - v))
    return math.hypot(x, y - middle)


def test_a_round_band_is_as_wide_as_it_is() -> None:
    # a ring 60 to 100 mm across its edges, ramp 30 mm: the piece of band is 20 mm wide and 31 long at most
    hole = Contour.circle(Vec(0, 0), 60)
    wound = wind(band_of(ring_round(hole, 20.0), Vec(70, 0)), 1.0, HoleSpace.of(hole), DEEP, 30.0, 1.8)
    assert wound.passes
    # the ramp is taken up to 2 mm longer at either end, for the steps in which the band is looked at
    assert wound.clearance >= 60 - circle_round_sector(60, 80, 17 / 70) - 0.2
    assert wound.clearance <= 60 - circle_round_sector(60, 80, 15 / 70)


def ramps_in_opening(ring: Region, hole: Contour, wound: Winding, ramp: float, seed: int) -> bool:
    """Whether pieces of band, cut out by shapely at places drawn by lot, lie in the opening at the ramp's
    place."""
    pick = random.Random(seed)
    inner = ring.inner[0].as_ccw()
    width = (
        -min(inner.bounds.width - ring.outer.bounds.width, inner.bounds.height - ring.outer.bounds.height) / 2
    )
    line = offset_contour(inner, width / 2)[0]
    metal = polygon(ring.outer).difference(polygon(inner))
    opening = polygon(hole, 0.0005).buffer(0.002)
    for _ in range(40):
        along = pick.uniform(0, line.length)
        middle, tangent = line.point_at(along)
        pieces = [line.point_at(along + ramp * (i / 40 - 0.5)) for i in range(41)]
        quads = []
        for (a, ta), (b, tb) in pairwise(pieces):
            # a little longer than the step, so that neighbours overlap
            na, nb = ta.perp() * width, tb.perp() * width
            quads.append(shapely.Polygon([(p.x, p.y) for p in (a - na, b - nb, b + nb, a + na)]).convex_hull)
        piece = shapely.union_all(quads).intersection(metal)
        piece = max(shapely.get_parts(piece), key=lambda part: part.area)
        turned = [
            wound.at + (Vec(x, y) - middle).turned(wound.angle - tangent.angle)
            for x, y in shapely.get_coordinates(piece)
        ]
        if not shapely.contains_xy(opening, [p.x for p in turned], [p.y for p in turned]).all():
            return False
    return True


@pytest.mark.parametrize("seed", range(10))
def test_every_ramp_lies_in_the_opening(seed: int) -> None:
    pick = random.Random(seed)
    w = pick.uniform(90, 150)
    h = pick.uniform(70, w)
    hole = Contour.rectangle(w, h, pick.uniform(12, h / 2 - 1))
    ring, ramp = ring_round(hole, pick.uniform(15, 30)), pick.uniform(25, 50)
    wound = wind(band_of(ring, Vec(w, 0)), 1.0, HoleSpace.of(hole), DEEP, ramp, 1.8)
    assert wound.passes
    assert ramps_in_opening(ring, hole, wound, ramp, seed)


def test_a_ramp_longer_than_the_opening_does_not_pass() -> None:
    hole = Contour.rectangle(100, 76, 16)
    wound = wind(band_of(ring_round(hole, 25.0), Vec(60, 0)), 6.6, HoleSpace.of(hole), DEEP, 110.0, 7.4)
    assert not wound.passes
    assert wound.clearance < 0.0
    assert wound.tightest == ""


def swung(ring: Region, wound: Winding, cut: Vec, back: bool) -> list[np.ndarray]:
    """Points of the part under the skin in many poses, placed here from the ramp's place alone."""
    inner = ring.inner[0].as_ccw()
    width = (ring.outer.bounds.width - inner.bounds.width) / 2
    line = offset_contour(inner, width / 2)[0]
    count = 240
    frames = [line.point_at(line.length * i / count) for i in range(count)]
    first = min(range(count), key=lambda i: frames[i][0].distance_to(cut))
    frames = frames[first:] + frames[:first]
    poses = []
    for number, (middle, tangent) in enumerate(frames):
        under = frames[number:] if back else frames[: number + 1]
        band = [p + t.perp() * side for p, t in under for side in (-width / 2, 0.0, width / 2)]
        turned = [wound.at + (p - middle).turned(wound.angle - tangent.angle) for p in band]
        poses.append(np.array([(p.x, p.y) for p in turned]))
    return poses


@pytest.mark.parametrize("seed", range(6))
def test_the_swing_stays_between_the_walls_and_off_a_web(seed: int) -> None:
    pick = random.Random(seed)
    hole = Contour.rectangle(127, 101.6, 20)
    ring = ring_round(hole, 22.0)
    x, y = pick.uniform(160, 300), pick.uniform(150, 300)
    area = Bounds(-x, -y, x, y)
    post = block("post", Bounds(110, 100, 118, 108), 0.0, 300.0)
    cut = Vec(75, 0)
    wound = wind(band_of(ring, cut), 1.0, HoleSpace.of(hole), Bay(300.0, area, (post,)), 36.0, 1.8)
    assert wound.passes
    ways = [np.concatenate(swung(ring, wound, cut, back)) for back in (False, True)]
    assert any(stays_clear(points, area) for points in ways), "neither end goes round clear"


def stays_clear(points: np.ndarray, area: Bounds) -> bool:
    in_post = ((points > (110, 100)) & (points < (118, 108))).all(axis=1)
    inside = (abs(points[:, 0]) < area.xmax) & (abs(points[:, 1]) < area.ymax)
    return bool((inside & ~in_post).all())


def test_a_bay_hardly_larger_than_the_ring_is_too_small_to_swing_it() -> None:
    hole = Contour.rectangle(127, 101.6, 20)
    bay = Bay(300.0, Bounds(-95, -82, 95, 82))
    wound = wind(band_of(ring_round(hole, 25.0), Vec(75, 0)), 1.0, HoleSpace.of(hole), bay, 36.0, 1.8)
    assert not wound.passes
    assert wound.tightest == "the walls of the bay"


def test_what_stands_deep_in_the_bay_does_not_matter() -> None:
    hole = Contour.rectangle(127, 101.6, 20)
    bay = Bay(300.0, None, (rod("pushrod", (-300, 0, 60), (300, 0, 60), 10),))
    assert wind(band_of(ring_round(hole, 25.0), Vec(75, 0)), 1.0, HoleSpace.of(hole), bay, 36.0, 1.8).passes
