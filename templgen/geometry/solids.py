"""Convex solids in space and how far they stand apart.

Places are (x, y, z): x and y in a plane seen from outside, z inwards from it, mm. The gap is found by
separating directions: face normals of both solids and cross products of their edges decide whether two convex
solids meet (separating axis theorem), and the widest separation along them is never more than their distance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.geometry.bounds import Bounds
from templgen.geometry.vector import Vec

__all__ = ["Solid", "Standing", "block", "crossed", "gaps", "nearest_gaps", "prism", "rod"]

Floats = NDArray[np.float64]

_PARALLEL = 1e-9
_UP = (0.0, 0.0, 1.0)


class Solid(Struct, frozen=True, eq=False):
    """A convex solid, grown by `radius` on all sides.

    Attributes:
        name: what a finding calls it.
        points: (n, 3) corners, mm.
        edges: (m, 3) directions of its edges, unit vectors, each once.
        normals: (k, 3) normals of its faces, unit vectors, one of each opposite pair.
        radius: a rod is a stretch with a radius, mm.
        upright: it stands straight over a level polygon: of its edges all that cross do so square.
    """

    name: str
    points: Floats
    edges: Floats
    normals: Floats
    radius: float = 0.0
    upright: bool = False


def block(name: str, box: Bounds, z_from: float, z_to: float) -> Solid:
    """Return a block along the axes."""
    points = [(p.x, p.y, z) for z in (z_from, z_to) for p in box.corners]
    return Solid(name, np.array(points), np.eye(3), np.eye(3), upright=True)


def rod(
    name: str, start: tuple[float, float, float], end: tuple[float, float, float], radius: float
) -> Solid:
    """Return a straight rod with round ends; a point with a radius where both ends are one."""
    points = np.array([start, end], dtype=np.float64)
    along = points[1] - points[0]
    length = float(np.linalg.norm(along))
    edges = (along / length)[None, :] if length > _PARALLEL else np.zeros((0, 3))
    return Solid(name, points, edges, np.zeros((0, 3)), radius)


def prism(name: str, corners: Sequence[Vec], z_from: float, z_to: float) -> Solid:
    """Return the prism over a convex polygon (at least two corners, in order), from one depth to another."""
    flat = np.array([(p.x, p.y) for p in corners])
    points = np.empty((2 * len(flat), 3))
    points[: len(flat), :2] = points[len(flat) :, :2] = flat
    points[: len(flat), 2], points[len(flat) :, 2] = z_from, z_to
    sides = _directions([(b.x - a.x, b.y - a.y) for a, b in pairwise([*corners, corners[0]])])
    edges = np.array([*((x, y, 0.0) for x, y in sides), _UP])
    normals = np.array([*((-y, x, 0.0) for x, y in sides), _UP])
    return Solid(name, points, edges, normals, upright=True)


def gaps(points: Floats, edges: Floats, normals: Floats, other: Solid) -> Floats:
    """Return for each pose of a convex solid a gap to another that is never wider than the true one.

    Args:
        points: (p, n, 3) its corners in each pose, mm.
        edges, normals: (p, m, 3), (p, k, 3) unit directions of its edges and face normals in each pose.
        other: the solid that stands still.

    Returns:
        (p,) mm; at most 0 where they meet.
    """
    return nearest_gaps(points, edges, normals, Standing((other,)))[0]


class _Faces(Struct, frozen=True, eq=False):
    """Corners and face normals of some solids, one solid after the other.

    `counts` and `owned` say how many of either each solid has, `low` and `high` how far a solid reaches along
    each of its normals.
    """

    points: Floats
    counts: NDArray[np.intp]
    normals: Floats
    owned: NDArray[np.intp]
    low: Floats
    high: Floats
    radii: Floats

    @classmethod
    def of(cls, solids: Sequence[Solid]) -> _Faces:
        reached = [solid.points @ solid.normals.T for solid in solids]
        return cls(
            np.concatenate([solid.points for solid in solids] or [np.empty((0, 3))]),
            np.array([len(solid.points) for solid in solids], dtype=np.intp),
            np.concatenate([solid.normals for solid in solids] or [np.empty((0, 3))]),
            np.array([len(solid.normals) for solid in solids], dtype=np.intp),
            np.concatenate([each.min(axis=0) for each in reached] or [np.empty(0)]),
            np.concatenate([each.max(axis=0) for each in reached] or [np.empty(0)]),
            np.array([solid.radius for solid in solids]),
        )

    def where(self, chosen: NDArray[np.bool_]) -> _Faces:
        """Return those of the chosen solids."""
        points, normals = np.repeat(chosen, self.counts), np.repeat(chosen, self.owned)
        return _Faces(
            self.points[points],
            self.counts[chosen],
            self.normals[normals],
            self.owned[chosen],
            self.low[normals],
            self.high[normals],
            self.radii[chosen],
        )


class Standing:
    """Solids that stand still, prepared to be asked about together."""

    def __init__(self, solids: Sequence[Solid]) -> None:
        self.solids = tuple(solids)
        self.faces = _Faces.of(self.solids)
        grown = self.faces.radii[:, None]
        self.box_low = np.array([solid.points.min(axis=0) for solid in solids]).reshape(-1, 3) - grown
        self.box_high = np.array([solid.points.max(axis=0) for solid in solids]).reshape(-1, 3) + grown

    def near(self, points: Floats, least: Floats) -> NDArray[np.bool_]:
        """Return for poses (p, n, 3) which solids come nearer than `least` (p,), by boxes."""
        low, high = points.min(axis=1)[:, None], points.max(axis=1)[:, None]
        apart = np.maximum(low - self.box_high, self.box_low - high).max(axis=2)
        near: NDArray[np.bool_] = apart < least[:, None]
        return near


def nearest_gaps(
    points: Floats,
    edges: Floats,
    normals: Floats,
    others: Standing | Sequence[Solid],
    least: Floats | None = None,
    upright: bool = False,
) -> tuple[Floats, NDArray[np.intp]]:
    """Return for each pose the least of the `gaps` to some solids, and the number of the solid it is to.

    Where all are at least `least` (p,) away, that is returned with the number of solids. Boxes come first,
    then face normals, for all; edges are looked at only where neither puts a solid farther away than another,
    and not where both are `upright`: there the cross products of their edges are normals of their faces.
    """
    others = others if isinstance(others, Standing) else Standing(others)
    least = np.full(len(points), np.inf) if least is None else least.copy()
    number = np.full(len(points), len(others.solids), dtype=np.intp)
    if not others.solids:
        return least, number
    by_boxes = others.near(points, least)
    rows, chosen = np.flatnonzero(by_boxes.any(axis=1)), np.logical_or.reduce(by_boxes, axis=0)
    if not len(rows):
        return least, number
    apart = _apart_by_faces(points[rows], normals[rows], others.faces.where(chosen))
    sure = np.where(by_boxes[rows][:, chosen], apart, np.inf)
    indices = np.flatnonzero(chosen)
    for column in np.argsort(sure.min(axis=0), kind="stable"):
        near, index = np.flatnonzero(sure[:, column] < least[rows]), indices[column]
        if len(near):
            poses, found = rows[near], sure[near, column]
            if not (upright and others.solids[index].upright):
                by_edges = _apart_by_edges(points[poses], edges[poses], others.solids[index])
                found = np.maximum(found, by_edges)
            nearer = found < least[poses]
            least[poses[nearer]], number[poses[nearer]] = found[nearer], index
    return least, number


def _apart_by_faces(points: Floats, normals: Floats, others: _Faces) -> Floats:
    """The widest separation (p, s) along the face normals of both, for each of the solids."""
    across = normals.transpose(0, 2, 1)
    own, theirs = points @ across, others.points @ across
    first = others.counts.cumsum() - others.counts
    low, high = (which.reduceat(theirs, first, axis=1) for which in (np.minimum, np.maximum))
    apart = np.maximum(own.min(axis=1)[:, None] - high, low - own.max(axis=1)[:, None]).max(axis=2)
    along = points @ others.normals.T
    sides = np.maximum(along.min(axis=1) - others.high, others.low - along.max(axis=1))
    owners = np.flatnonzero(others.owned)
    if len(owners):
        by_own = np.maximum.reduceat(sides, (others.owned.cumsum() - others.owned)[owners], axis=1)
        apart[:, owners] = np.maximum(apart[:, owners], by_own)
    widest: Floats = apart - others.radii
    return widest


def _apart_by_edges(points: Floats, edges: Floats, other: Solid) -> Floats:
    """The widest separation (p,) along the cross products of the edges of both."""
    if not len(other.edges):
        return np.full(len(points), -np.inf)
    axes, crossing = crossed(edges, other.edges)
    own, theirs = points @ axes.transpose(0, 2, 1), other.points @ axes.transpose(0, 2, 1)
    apart = np.maximum(own.min(axis=1) - theirs.max(axis=1), theirs.min(axis=1) - own.max(axis=1))
    widest: Floats = np.where(crossing, apart, -np.inf).max(axis=1) - other.radius
    return widest


def crossed(edges: Floats, others: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Return unit cross products (p, m * j, 3) of (p, m, 3) with (j, 3), and which are any: not of parallel
    ones."""
    (ax, ay, az), (bx, by, bz) = np.moveaxis(edges[:, :, None, :], -1, 0), others.T
    products = np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)
    products = products.reshape(len(edges), -1, 3)
    lengths = np.sqrt((products**2).sum(axis=2))
    return products / np.maximum(lengths, _PARALLEL)[:, :, None], lengths > _PARALLEL


def _directions(steps: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Unit directions of some steps, one of those that are parallel."""
    kept: list[tuple[float, float]] = []
    for x, y in steps:
        length = math.hypot(x, y)
        if length <= _PARALLEL:
            continue
        along = x / length, y / length
        if all(abs(along[0] * other[1] - along[1] * other[0]) > _PARALLEL for other in kept):
            kept.append(along)
    return kept
