"""Poses of a flat plate that goes through a skin, and the ways between them.

The plate lies in its own plane: plan places as it will lie in the skin plane in the end, and `w` from its
outer face inwards. In the end it lies against the skin: z = w. A pose leads it there from outside:

    a, b   = plan place along the direction `turn` of the plate, and square to it (counter-clockwise)
    plan   = at + f (a cos(tilt) - w sin(tilt)) + g b
    z      = z + a sin(tilt) + w cos(tilt)

with f the unit vector at `heading` in the skin plane and g square to it: at tilt 90 the plate stands on edge
and its edge at +`turn` goes in first; z counts inwards from the inner face of the skin. Degrees and mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.geometry.bounds import Bounds
from templgen.geometry.solids import Solid, Standing, crossed, nearest_gaps
from templgen.geometry.vector import Vec

__all__ = ["Body", "Clearing", "Pose", "clearing_of", "is_turned", "pose_between", "pose_round"]

Floats = NDArray[np.float64]

_STEPS = (6.0, 2.0, 0.7, 0.25)
"""How far any point moves from look to look, mm: coarse first, finer only where it is tight."""

_ABOVE = 1e-6
"""By how much more than the most that is wanted to be known is told where that much is left, mm."""

_FLAT = np.zeros((1, 2))


class Pose(Struct, frozen=True):
    """Where a plate is; see the module."""

    turn: float
    heading: float
    tilt: float
    at: Vec
    z: float

    def place(self, plan: Vec, w: float) -> tuple[Vec, float]:
        """Return where a point of the plate is: place in the skin plane, and depth."""
        u = Vec.polar(1.0, self.turn)
        a, b = plan.dot(u), plan.dot(u.perp())
        c, s = math.cos(math.radians(self.tilt)), math.sin(math.radians(self.tilt))
        f = Vec.polar(1.0, self.heading)
        return self.at + f * (a * c - w * s) + f.perp() * b, self.z + a * s + w * c


class Body(Struct, frozen=True, eq=False):
    """A convex slab that holds the plate and all on it: corners of a polygon (n, 2), `thickness` mm deep.

    `sides` (k, 2) are the unit directions of its polygon's edges, each once. `centre` is a plan place, at
    half the thickness: ways turn about it.
    """

    corners: Floats
    sides: Floats
    thickness: float
    centre: Vec

    @property
    def reach(self) -> float:
        """How far any point of it lies from its centre, mm."""
        away = self.corners - np.array([self.centre.x, self.centre.y])
        return float(np.hypot(np.hypot(away[:, 0], away[:, 1]).max(), self.thickness / 2))


class Clearing(Struct, frozen=True):
    """The least gap (mm) along a way, never more than it is, and the name of what is nearest."""

    gap: float
    nearest: str


def pose_round(body: Body, turn: float, heading: float, tilt: float, centre: Vec, depth: float) -> Pose:
    """Return the pose that puts the body's centre at a place of the skin plane and a depth."""
    there, z = Pose(turn, heading, tilt, Vec(0.0, 0.0), 0.0).place(body.centre, body.thickness / 2)
    return Pose(turn, heading, tilt, centre - there, depth - z)


def pose_between(body: Body, start: Pose, end: Pose, t: float) -> Pose:
    """Return the pose at fraction `t` of a way: centre, tilt and heading change evenly."""
    half = body.thickness / 2
    (p, z0), (q, z1) = start.place(body.centre, half), end.place(body.centre, half)
    tilt, heading = (
        start.tilt + (end.tilt - start.tilt) * t,
        start.heading + (end.heading - start.heading) * t,
    )
    return pose_round(body, start.turn, heading, tilt, p.towards(q, t), z0 + (z1 - z0) * t)


def clearing_of(
    body: Body,
    start: Pose,
    end: Pose,
    solids: Standing | Sequence[Solid],
    area: Bounds | None,
    wanted: float,
    most: float = math.inf,
) -> Clearing:
    """Return the least gap between a body on its way and solids, and walls round an area.

    Between two looks no point moves more than a step, so the gap is at least what is seen less half a step;
    the step is made finer only where that is less than `wanted` and may be the least. It stops at the first
    touch. A body that is not turned is seen once. What is farther away than `most` is not measured: a gap
    above it is only known to be above it.
    """
    others = solids if isinstance(solids, Standing) else Standing(solids)
    if not others.solids and area is None:
        return Clearing(math.inf, "")
    if not is_turned(start, end):
        return _clearing_straight(body, start, end, others, area, most)
    travel = _travel(body, start, end)
    spans = [(0.0, 1.0)]
    gap, nearest = math.inf, ""
    least_seen = math.inf
    for step in _STEPS:
        spans = _cut(spans, travel, step)
        ends = np.array(spans)
        half = (ends[:, 1] - ends[:, 0]) * travel / 2
        seen, names = _seen(body, start, end, ends.mean(axis=1), others, area, most + half + _ABOVE)
        if seen.min() <= 0.0:
            return Clearing(float(seen.min()), names[int(np.argmin(seen))])
        sure = seen - half
        least_seen = min(least_seen, float(seen.min()))
        finest = step == _STEPS[-1]
        tight = np.zeros(len(sure), dtype=bool) if finest else sure < min(wanted, least_seen)
        done = np.flatnonzero(~tight)
        if len(done) and sure[done].min() < gap:
            index = int(done[np.argmin(sure[done])])
            gap, nearest = float(sure[index]), names[index]
        spans = [span for span, more in zip(spans, tight, strict=True) if more]
        if not spans:
            break
    return Clearing(gap, nearest)


def is_turned(start: Pose, end: Pose) -> bool:
    """Whether a body is turned on its way, so that it has to be looked at step by step."""
    return (start.turn, start.tilt, start.heading) != (end.turn, end.tilt, end.heading)


def _clearing_straight(
    body: Body, start: Pose, end: Pose, others: Standing, area: Bounds | None, most: float
) -> Clearing:
    """One look is enough: a convex body that is not turned sweeps a convex body."""
    points, edges, normals = _posed(body, start, end, np.array([0.0, 1.0]))
    step = points[1, 0] - points[0, 0]
    length = float(np.sqrt(step @ step))
    swept = points.reshape(1, -1, 3), edges[:1], normals[:1]
    if length > 0.0:
        along = np.broadcast_to(step / length, (1, 1, 3))
        (across,), (is_side,) = crossed(edges[:1], along[0])
        more = np.concatenate([normals[:1], across[None, is_side]], axis=1)
        swept = swept[0], np.concatenate([edges[:1], along], axis=1), more
    upright = start.tilt == 0.0 and (step[2] == 0.0 or length == abs(step[2]))
    (gap,), (nearest,) = _gaps(*swept, others, area, np.array([most + _ABOVE]), upright)
    return Clearing(float(gap), nearest)


def _cut(spans: Sequence[tuple[float, float]], travel: float, step: float) -> list[tuple[float, float]]:
    pieces: list[tuple[float, float]] = []
    for low, high in spans:
        count = max(1, math.ceil((high - low) * travel / step))
        pieces += [
            (low + (high - low) * i / count, low + (high - low) * (i + 1) / count) for i in range(count)
        ]
    return pieces


def _travel(body: Body, start: Pose, end: Pose) -> float:
    """How far a point of the body moves at most, mm."""
    half = body.thickness / 2
    (p, z0), (q, z1) = start.place(body.centre, half), end.place(body.centre, half)
    turned = math.radians(abs(end.tilt - start.tilt) + abs(end.heading - start.heading))
    return math.hypot(p.distance_to(q), z1 - z0) + body.reach * turned


def _seen(
    body: Body, start: Pose, end: Pose, at: Floats, others: Standing, area: Bounds | None, most: Floats
) -> tuple[Floats, list[str]]:
    """Gaps (p,) at fractions (p,) of a way, no more than `most` (p,), and what is nearest at each."""
    flat = start.tilt == 0.0 == end.tilt
    return _gaps(*_posed(body, start, end, at), others, area, most, flat)


def _gaps(
    points: Floats,
    edges: Floats,
    normals: Floats,
    others: Standing,
    area: Bounds | None,
    most: Floats,
    upright: bool,
) -> tuple[Floats, list[str]]:
    names = [*(solid.name for solid in others.solids), "the walls of the bay"]
    walls = most if area is None else np.minimum(most, _to_walls(points, area))
    gap, nearest = nearest_gaps(points, edges, normals, others, walls, upright)
    return gap, [names[index] for index in nearest]


def _to_walls(points: Floats, area: Bounds) -> Floats:
    x, y = points[:, :, 0], points[:, :, 1]
    sides = [
        x.min(axis=1) - area.xmin,
        area.xmax - x.max(axis=1),
        y.min(axis=1) - area.ymin,
        area.ymax - y.max(axis=1),
    ]
    walls: Floats = np.min(sides, axis=0)
    return walls


def _posed(body: Body, start: Pose, end: Pose, at: Floats) -> tuple[Floats, Floats, Floats]:
    """Corners, edge directions and face normals (p, n, 3) of the body at fractions of a way."""
    half = body.thickness / 2
    (p, z0), (q, z1) = start.place(body.centre, half), end.place(body.centre, half)
    tilt = np.radians(start.tilt + (end.tilt - start.tilt) * at)
    heading = np.radians(start.heading + (end.heading - start.heading) * at)
    (c, s), (x, y) = (np.cos(tilt), np.sin(tilt)), (np.cos(heading), np.sin(heading))
    # where the own axes of the plate point: along its turn, square to that, and inwards
    axes = np.array([[x * c, y * c, s], [-y, x, np.zeros(len(at))], [-x * s, -y * s, c]])
    middle = np.array([p.x + (q.x - p.x) * at, p.y + (q.y - p.y) * at, z0 + (z1 - z0) * at])
    own = _own(body, start.turn) @ axes.transpose(2, 0, 1)
    corners, sides = 2 * len(body.corners), len(body.sides) + 1
    points = own[:, :corners] + middle.T[:, None, :]
    return points, own[:, corners : corners + sides], own[:, corners + sides :]


@lru_cache(maxsize=8)
def _own(body: Body, turn: float) -> Floats:
    """Corners, edge directions and face normals (n, 3) along the plate's own axes, from its centre."""
    radians, half = math.radians(turn), body.thickness / 2
    c, s = math.cos(radians), math.sin(radians)
    axes = np.array([[c, -s], [s, c]])
    flat = (body.corners - np.array([body.centre.x, body.centre.y])) @ axes
    sides = body.sides @ axes
    across = np.column_stack([-sides[:, 1], sides[:, 0]])
    parts = [(flat, -half), (flat, half), (sides, 0.0), (_FLAT, 1.0), (across, 0.0), (_FLAT, 1.0)]
    return np.concatenate([np.column_stack([plan, np.full(len(plan), w)]) for plan, w in parts])
