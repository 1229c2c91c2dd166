"""A rigid set of convex solids that leaves through a hole while it leans: does it stay clear all the way?

Places are (x, y, z): x and y in the skin plane, z inwards, mm. A pose leans the whole set by some degrees
about a line parallel to the skin and shifts it; from pose to pose angle and shift change evenly. A way is cut
into pieces so short that from the middle of a piece no point moves farther than what is clear there: what is
said to stay clear does, also between two looks. What is merely not proven counts as touching.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.geometry.bounds import Bounds
from templgen.geometry.holding import HoleSpace
from templgen.geometry.solids import Solid, Standing, nearest_gaps
from templgen.geometry.vector import Vec

__all__ = ["Around", "Hinge", "Lean", "LeaningWay", "Sheet", "leaned", "part_behind", "stays_clear"]

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_FINEST = 0.1
"""Pieces of a way are not cut shorter than this, mm of travel."""

_AT_ONCE = 256


class Hinge(Struct, frozen=True):
    """The line about which a set leans: a place on it, its depth, and its direction in the skin plane.

    A lean above 0 takes what lies to the left of the direction deeper.
    """

    at: Vec
    z: float
    along: Vec


class Lean(Struct, frozen=True):
    """A pose: degrees about the hinge, then a shift."""

    angle: float
    shift: tuple[float, float, float]


class LeaningWay(Struct, frozen=True, eq=False):
    """The way out that was found for a rigid set: its bodies at home, the cover first, and its poses."""

    bodies: tuple[Solid, ...]
    hinge: Hinge
    poses: tuple[Lean, ...]


class Sheet(Struct, frozen=True, eq=False):
    """A flat sheet without end that has a hole, from one depth to another; the hole's convex part counts."""

    hole: HoleSpace
    z_from: float
    z_to: float


class Around(Struct, frozen=True, eq=False):
    """What a set must stay clear of: sheets, solids, walls round an area, the far skin at a depth."""

    sheets: tuple[Sheet, ...]
    standing: Standing
    area: Bounds | None = None
    depth: float = math.inf


def leaned(points: Floats, hinge: Hinge, angles: Floats, shifts: Floats) -> Floats:
    """Return points (n, 3) in poses of `angles` (p,) degrees and `shifts` (p, 3): (p, n, 3)."""
    pivot = np.array([hinge.at.x, hinge.at.y, hinge.z])
    turned: Floats = _turned(points - pivot, hinge, angles) + pivot + shifts[:, None, :]
    return turned


def _turned(vectors: Floats, hinge: Hinge, angles: Floats) -> Floats:
    """Vectors (n, 3) turned about the hinge's direction: (p, n, 3)."""
    along = np.array([hinge.along.x, hinge.along.y, 0.0])
    aside = np.array([hinge.along.perp().x, hinge.along.perp().y, 0.0])
    c, s = np.cos(np.radians(angles)), np.sin(np.radians(angles))
    zero, one = np.zeros(len(angles)), np.ones(len(angles))
    low = np.column_stack([c, s]) @ np.array([aside, [0.0, 0.0, 1.0]])
    deep = np.column_stack([-s, c]) @ np.array([aside, [0.0, 0.0, 1.0]])
    axes = np.stack([np.outer(one, along) + np.outer(zero, along), low, deep], axis=1)
    own = np.column_stack([vectors @ along, vectors @ aside, vectors[:, 2]])
    turned: Floats = np.einsum("nk,pkj->pnj", own, axes)
    return turned


def part_behind(body: Solid, points: Floats, z: float) -> Floats:
    """Return the corners (k, 3) of that part of a body, its corners at `points` (n, 3), that lies deeper
    than z."""
    pairs = _edge_pairs(body)
    low, high = points[pairs[:, 0]], points[pairs[:, 1]]
    rise = high[:, 2] - low[:, 2]
    crosses = (low[:, 2] - z) * (high[:, 2] - z) < 0.0
    t = (z - low[crosses, 2]) / rise[crosses]
    cut = low[crosses] + (high[crosses] - low[crosses]) * t[:, None]
    return np.concatenate([points[points[:, 2] >= z], cut])


def stays_clear(
    bodies: Sequence[Solid], hinge: Hinge, poses: Sequence[Lean], around: Around, margin: float
) -> bool:
    """Return whether bodies that move as one are proven to stay `margin` (mm) clear along all their poses."""
    return all(
        _piece_is_clear(body, hinge, start, end, around, margin)
        for start, end in pairwise(poses)
        for body in bodies
    )


class _Posed(Struct, frozen=True, eq=False):
    """A body in many poses: its corners, edge directions and face normals, (p, n, 3) each."""

    points: Floats
    edges: Floats
    normals: Floats

    def some(self, chosen: Flags) -> _Posed:
        return _Posed(self.points[chosen], self.edges[chosen], self.normals[chosen])


def _piece_is_clear(body: Solid, hinge: Hinge, start: Lean, end: Lean, around: Around, margin: float) -> bool:
    """Pieces are halved until all are proven clear, one is seen to touch, or they get too short."""
    travel = _travel(body, hinge, start, end)
    middles, length = np.array([0.5]), 1.0
    while len(middles):
        left = []
        for first in range(0, len(middles), _AT_ONCE):
            some = middles[first : first + _AT_ONCE]
            posed = _posed(body, hinge, start, end, some)
            unsure = ~_clear_in(body, posed, around, travel * length / 2 + margin)
            if unsure.any() and not _clear_in(body, posed.some(unsure), around, margin).all():
                return False
            left.append(some[unsure])
        middles = np.concatenate(left)
        if len(middles) and travel * length <= _FINEST:
            return False
        middles = np.concatenate([middles - length / 4, middles + length / 4])
        length /= 2
    return True


def _travel(body: Solid, hinge: Hinge, start: Lean, end: Lean) -> float:
    """How far a point of the body moves at most, mm."""
    away = body.points - np.array([hinge.at.x, hinge.at.y, hinge.z])
    aside = away[:, :2] @ np.array([hinge.along.perp().x, hinge.along.perp().y])
    arm = float(np.hypot(aside, away[:, 2]).max()) + body.radius
    return math.dist(start.shift, end.shift) + arm * math.radians(abs(end.angle - start.angle))


def _posed(body: Solid, hinge: Hinge, start: Lean, end: Lean, at: Floats) -> _Posed:
    """The body at fractions `at` (p,) of a piece."""
    angles = start.angle + (end.angle - start.angle) * at
    shifts = np.array(start.shift) + np.outer(at, np.array(end.shift) - np.array(start.shift))
    return _Posed(
        leaned(body.points, hinge, angles, shifts),
        _turned(body.edges, hinge, angles),
        _turned(body.normals, hinge, angles),
    )


def _clear_in(body: Solid, posed: _Posed, around: Around, reach: float) -> Flags:
    """Whether the body is `reach` clear of everything, in each pose (p,)."""
    clear: Flags = posed.points[:, :, 2].max(axis=1) + reach <= around.depth
    for sheet in around.sheets:
        clear = clear & _in_hole(body, posed.points, sheet, reach)
    if around.area is not None:
        clear = clear & _within(posed.points, around.area, reach)
    if around.standing.solids and clear.any():
        near = posed.some(clear)
        gaps = nearest_gaps(near.points, near.edges, near.normals, around.standing)[0]
        clear[clear] = gaps >= reach
    return clear


def _within(points: Floats, box: Bounds, reach: float) -> Flags:
    low, high = points[:, :, :2].min(axis=1), points[:, :, :2].max(axis=1)
    room = np.minimum(low - np.array([box.xmin, box.ymin]), np.array([box.xmax, box.ymax]) - high)
    inside: Flags = room.min(axis=1) >= reach
    return inside


def _in_hole(body: Solid, points: Floats, sheet: Sheet, reach: float) -> Flags:
    """Whether what lies between the faces of a sheet, and `reach` beyond them, is `reach` inside its hole."""
    z_from, z_to = sheet.z_from - reach, sheet.z_to + reach
    z = points[:, :, 2]
    support = _support(points[:, :, :2], (z >= z_from) & (z <= z_to), sheet.hole.normals)
    pairs = _edge_pairs(body)
    low, high = points[:, pairs[:, 0]], points[:, pairs[:, 1]]
    rise = high[:, :, 2] - low[:, :, 2]
    for plane in (z_from, z_to):
        crosses = (low[:, :, 2] - plane) * (high[:, :, 2] - plane) < 0.0
        t = (plane - low[:, :, 2]) / np.where(crosses, rise, 1.0)
        cut = low[:, :, :2] + (high[:, :, :2] - low[:, :, :2]) * t[:, :, None]
        support = np.maximum(support, _support(cut, crosses, sheet.hole.normals))
    held: Flags = np.all(support <= sheet.hole.limits - reach, axis=1)
    return held


def _support(flat: Floats, counts: Flags, normals: Floats) -> Floats:
    """How far those of some places (p, n, 2) that count reach along each normal: (p, k)."""
    reach: Floats = np.where(counts[:, :, None], flat @ normals.T, -np.inf).max(axis=1)
    return reach


def _edge_pairs(body: Solid) -> NDArray[np.intp]:
    """The edges of a prism as pairs of its corners: round both ends, and from end to end."""
    half = len(body.points) // 2
    ring = np.arange(half)
    ends = np.column_stack([ring, np.roll(ring, -1)])
    return np.concatenate([ends, ends + half, np.column_stack([ring, ring + half])])
