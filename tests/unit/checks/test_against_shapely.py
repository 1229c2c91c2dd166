"""Edge distances and overlaps of the rules against shapely on fine flattenings (an independent library)."""

from __future__ import annotations

import random

import pytest
import shapely

from templgen.checks import find_rule, run_checks
from templgen.checks.footprints import contour_to_region
from templgen.geometry import Contour, Motion, Region, Vec, flatten
from templgen.layout.finding import Verdict
from tests.unit.checks.builder import assembly

SAGITTA = 0.0005
SPECS = {"rivet": {"diameter": 3.2, "hole": 3.3}}


def polygon(contour: Contour) -> shapely.Polygon:
    return shapely.Polygon([(point.x, point.y) for point in flatten(contour, SAGITTA)])


@pytest.mark.parametrize("seed", range(12))
def test_least_edge_distance(seed: int) -> None:
    rng = random.Random(seed)
    plate = {"rectangle": [160, 120], "corner": rng.uniform(5, 30)}
    cut = {
        "rectangle": [50, 30],
        "corner": rng.uniform(2, 15),
        "centre": [rng.uniform(-20, 20), rng.uniform(-10, 10)],
    }
    points = [[rng.uniform(-80, 80), rng.uniform(-60, 60)] for _ in range(40)]
    case = {
        "faces": {"plate": {"outline": plate}},
        "cutouts": [{"name": "cut", "outline": cut}],
        "fasteners": [{"spec": "rivet", "at": points, "stack": ["plate"]}],
    }
    built = assembly(case, SPECS)
    outline = built.faces["plate"].outline
    assert outline is not None
    metal = polygon(outline.outer).difference(polygon(built.cutouts[0].contour))
    on = [shapely.Point(point) for point in points if metal.contains(shapely.Point(point))]
    near = sorted(distance for point in on if (distance := point.distance(metal.boundary)) < 6.4)
    found = run_checks(built, rules=[find_rule("hole-too-near-edge")])
    measured = sorted(f.measured or 0.0 for f in found if f.verdict is Verdict.FAIL)
    assert measured == pytest.approx(near, abs=2 * SAGITTA)
    off = run_checks(built, rules=[find_rule("hole-off-the-part")])
    wrong = [p for p in points if not metal.contains(shapely.Point(p).buffer(1.65, quad_segs=64))]
    assert sum(finding.verdict is Verdict.FAIL for finding in off) == len(wrong)


@pytest.mark.parametrize("seed", range(12))
def test_the_least_way_off_a_flange_just_frees_the_outline(seed: int) -> None:
    rng = random.Random(seed)
    flange = Region(Contour.rectangle(300, 16))
    turned = Motion.rotation(rng.uniform(0, 90)).then(Motion.translation(Vec(0, rng.uniform(-20, 20))))
    part = Contour.rectangle(60, 40, corner_radius=rng.uniform(0, 15)).moved(turned)
    clear = contour_to_region(part, flange)
    apart = polygon(part).distance(polygon(flange.outer))
    assert max(clear, 0.0) == pytest.approx(apart, abs=2 * SAGITTA)
    if clear < 0:
        way = 1.0 if part.bounds.centre.y >= 0 else -1.0
        freed = polygon(part.moved(Motion.translation(Vec(0, -clear * way))))
        assert freed.intersection(polygon(flange.outer)).area == pytest.approx(0, abs=0.1)
        still = polygon(part.moved(Motion.translation(Vec(0, (-clear - 0.5) * way))))
        assert still.intersection(polygon(flange.outer)).area > 0.1
