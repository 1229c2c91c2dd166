"""Gaps on a way that are measured up to a limit, against those that are measured all and sampled ones."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from msgspec.structs import replace

from templgen.geometry import Bounds, Contour, Vec
from templgen.geometry.plate import Plate, body_of
from templgen.geometry.poses import Body, Pose, clearing_of, pose_between
from templgen.geometry.solids import Solid, block, prism, rod


def _solids(lot: random.Random) -> tuple[Solid, ...]:
    x, y, z = (lot.uniform(-60, 60) for _ in range(3))
    corner = Vec(lot.uniform(-60, 60), lot.uniform(-60, 60))
    return (
        rod("rod", (x, y, z), (y, z, x), lot.uniform(0, 4)),
        block("block", Bounds(x, z, x + 12, z + 9), y, y + 7),
        prism("prism", [corner, corner + Vec(9, 4), corner + Vec(2, 11)], z, z + 5),
    )


def _pose(lot: random.Random) -> Pose:
    angles = [lot.uniform(0, 90) for _ in range(2)]
    return Pose(
        20.0, angles[0], angles[1], Vec(lot.uniform(-30, 30), lot.uniform(-30, 30)), lot.uniform(-20, 40)
    )


def _sampled_gap(body: Body, start: Pose, end: Pose, solids: tuple[Solid, ...]) -> float:
    """An upper bound of the least gap, from points of both at some places of the way."""
    pick, gap = np.random.default_rng(1), math.inf
    others = [(pick.dirichlet(np.full(len(s.points), 0.4), 120) @ s.points, s.radius) for s in solids]
    for t in np.linspace(0.0, 1.0, 15):
        pose = pose_between(body, start, end, float(t))
        corners = [pose.place(Vec(*c), w) for c in body.corners.tolist() for w in (0.0, body.thickness)]
        own = pick.dirichlet(np.full(len(corners), 0.2), 150) @ np.array([(p.x, p.y, z) for p, z in corners])
        gap = min(
            gap, *(float(np.linalg.norm(own[:, None] - p, axis=2).min()) - radius for p, radius in others)
        )
    return gap


@pytest.mark.parametrize("seed", range(24))
def test_what_is_farther_than_the_most_is_only_said_to_be_farther(seed: int) -> None:
    lot = random.Random(seed)
    body = body_of(Plate(Contour.rectangle(30, 14, 2), 2.0))
    start, end, solids = _pose(lot), _pose(lot), _solids(lot)
    area = Bounds(-90, -90, 90, 90) if seed % 2 else None
    most = lot.uniform(0.0, 15.0)
    full = clearing_of(body, start, end, solids, area, math.inf).gap
    found = clearing_of(body, start, end, solids, area, math.inf, most).gap
    assert (full > 0.0) == (found > 0.0)
    if found > most:
        assert found == pytest.approx(most + 1e-6)
        assert _sampled_gap(body, start, end, solids) >= most
    else:
        # boxes may show more room than faces and edges do, never less
        assert found >= full - 1e-9
        assert found <= _sampled_gap(body, start, end, solids)


@pytest.mark.parametrize("seed", range(60))
def test_a_body_that_is_not_turned_is_seen_once_for_its_whole_way(seed: int) -> None:
    lot = random.Random(seed)
    body = body_of(Plate(Contour.rectangle(30, 14, 2), 2.0))
    start = replace(_pose(lot), tilt=(0.0, 37.0, 90.0)[seed % 3])
    end = replace(start, at=start.at if seed % 2 else Vec(20, -35), z=start.z + lot.uniform(-50, 50))
    solids = _solids(lot)
    seen = clearing_of(body, start, end, solids, None, math.inf).gap
    assert seen <= _sampled_gap(body, start, end, solids)
    # a turn too small to see has its way looked at in steps; of rods only a bound is known
    turned = replace(end, heading=end.heading + 1e-9)
    steps = clearing_of(body, start, turned, solids[1:], None, math.inf).gap
    once = clearing_of(body, start, end, solids[1:], None, math.inf).gap
    assert once > 0.0 or steps <= 0.0
    assert steps > 0.0 or once < 0.25
