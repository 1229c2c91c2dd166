"""Where a convex figure lies in an opening so that most room is left all round: the best place, and the room.

For one angle this is a small linear programme. The opening is the meet of half-planes n . x <= h; the figure
at x keeps c from each of them when n . x + c <= h - max(n . p) over its points p. The largest c is found by
exchanging one of three half-planes at a time, as in the simplex method; it needs no start and no solver.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from templgen.geometry.contains import Side, contour_inside, locate
from templgen.geometry.contour import Contour
from templgen.geometry.convex import convex_half_planes, lines_of
from templgen.geometry.distance import contour_contour, point_contour, point_segment
from templgen.geometry.vector import Vec

__all__ = [
    "Held",
    "HoleSpace",
    "clearance_in",
    "hold",
    "hold_turned",
    "nearest_normal",
]

Floats = NDArray[np.float64]
Basis: TypeAlias = tuple[int, int, int]
Rows: TypeAlias = tuple[tuple[float, float], ...]

_FAR_NORMALS = np.array([(0.0, 1.0), (math.sqrt(0.75), -0.5), (-math.sqrt(0.75), -0.5)])
_FAR_LIMITS = np.full(3, 1e5)
"""Three half-planes so far away that they count for nothing, to begin with."""

_SLACK = 1e-9
_MOST_STEPS = 400
_ZOOMS = 16


@dataclass(frozen=True, slots=True, eq=False)
class HoleSpace:
    """A convex part of an opening as half-planes: rows of `normals` (n, 2) and their `limits` (n,), mm.

    `is_convex` says that the opening itself is convex, so that all of it but what was cut off counts.
    """

    contour: Contour
    normals: Floats
    limits: Floats
    is_convex: bool
    balanced: Floats = field(init=False, repr=False, compare=False)
    rows: Rows = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        balanced = np.concatenate([self.normals, _FAR_NORMALS])
        object.__setattr__(self, "balanced", balanced)
        object.__setattr__(self, "rows", tuple((float(x), float(y)) for x, y in balanced))

    @classmethod
    def of(cls, contour: Contour, keep_off: Iterable[tuple[Vec, Vec]] = ()) -> HoleSpace:
        """Return the space of a closed contour; each (point, normal) of `keep_off` cuts off what lies beyond.

        Of an opening that is not convex a large convex part is kept, so that a place found in it is one.
        """
        ring, normals, limits, convex = convex_half_planes(contour)
        cuts = list(keep_off)
        if cuts:
            more, farther = lines_of(cuts)
            normals, limits = np.concatenate([normals, more]), np.concatenate([limits, farther])
        return cls(ring, normals, limits, convex)


@dataclass(frozen=True, slots=True)
class Held:
    """A place of a figure: its origin at `at`, turned by `angle` degrees, `clearance` (mm) left all round.

    A clearance below 0 says by how much the opening would have to grow on every side.
    """

    at: Vec
    angle: float
    clearance: float
    basis: Basis | None = field(default=None, repr=False, compare=False)


def hold(space: HoleSpace, figure: Floats, angle: float, like: Held | None = None) -> Held:
    """Return the best place of a convex figure, points (n, 2), turned by an angle in degrees.

    `like` is the place of a like figure in the same opening; it only saves time.
    """
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    turned = figure @ np.array([[c, s], [-s, c]])
    limits = space.limits - (space.normals @ turned.T).max(axis=1)
    x, y, clearance, basis = _deepest(space, limits, like.basis if like else None)
    return Held(Vec(x, y), angle, clearance, basis)


def hold_turned(space: HoleSpace, figure: Floats, angles: Sequence[float], best_of: int = 1) -> list[Held]:
    """Return the best places over all angles, the best first.

    Args:
        space: the opening.
        figure: points (n, 2) of a convex figure, mm.
        angles: evenly spaced angles at which to look; the best are refined between their neighbours.
        best_of: how many different places are wanted.
    """
    found: list[Held] = []
    for angle in angles:
        found.append(hold(space, figure, angle, found[-1] if found else None))
    peaks = [
        held
        for before, held, after in zip([found[-1], *found[:-1]], found, [*found[1:], found[0]], strict=True)
        if held.clearance >= before.clearance and held.clearance >= after.clearance
    ]
    peaks.sort(key=lambda held: -held.clearance)
    step = angles[1] - angles[0] if len(angles) > 1 else 0.0
    refined = [_refined(space, figure, held, step) for held in peaks[:best_of]]
    return sorted(refined, key=lambda held: -held.clearance)


def clearance_in(contour: Contour, figure: Sequence[Vec]) -> float:
    """Return the least distance from a convex figure to an opening that holds it, exactly; below 0 outside.

    Args:
        contour: the opening, closed.
        figure: corners of the figure, in order; one or two are a point or a stretch.

    Returns:
        mm; for a figure that is not held, less the farthest distance of a corner outside (at most -1e-9).
    """
    corners = _without_repeats(figure)
    outside = [point_contour(p, contour).distance for p in corners if locate(p, contour) is Side.OUTSIDE]
    if outside:
        return -max(*outside, _SLACK)
    if len(corners) == 1:
        return point_contour(corners[0], contour).distance
    edges = Contour.polygon(corners) if len(corners) > 2 else Contour.polyline(corners)
    if not contour_inside(edges, contour):
        return -_SLACK
    return contour_contour(edges, contour).distance


def _without_repeats(points: Sequence[Vec]) -> list[Vec]:
    kept: list[Vec] = []
    for point in points:
        if all(point.distance_to(other) > _SLACK for other in (*kept[-1:], *kept[:1])):
            kept.append(point)
    return kept


def _refined(space: HoleSpace, figure: Floats, held: Held, step: float) -> Held:
    """Look nearer and nearer round an angle; the clearance has one peak between two looks."""
    best = held
    for _ in range(_ZOOMS if step else 0):
        nearer = [hold(space, figure, best.angle + step * part, best) for part in (-0.5, 0.5)]
        best = max(best, *nearer, key=lambda each: each.clearance)
        step *= 0.5 if best.angle in {each.angle for each in nearer} else 0.45
    return best


def _deepest(space: HoleSpace, limits: Floats, start: Basis | None) -> tuple[float, float, float, Basis]:
    """Return x, y, the largest c with normals . (x, y) + c <= limits, and the three half-planes that hold it.

    Three that balance each other do so whatever their limits, so those of a like figure are a good start.
    """
    m = np.concatenate([limits, _FAR_LIMITS])
    n, rows, last = space.balanced, space.rows, len(m) - 1
    basis = start or (last - 2, last - 1, last)
    for _ in range(_MOST_STEPS):
        x, y, height = _meet(rows, m, basis)
        heights = m - n @ (x, y)
        worst = int(heights.argmin())
        if worst in basis or heights[worst] >= height - _SLACK:
            break
        exchanged = _exchange(rows, m, basis, worst)
        if exchanged is None:
            break
        basis = exchanged
    return x, y, float(heights.min()), basis


def _meet(rows: Rows, m: Floats, basis: Basis) -> tuple[float, float, float]:
    """The point at one distance from three half-planes, and that distance."""
    i, j, k = basis
    (ax, ay), (bx, by), (cx, cy) = rows[i], rows[j], rows[k]
    third = float(m[k])
    ux, uy, vx, vy = ax - cx, ay - cy, bx - cx, by - cy
    p, q = float(m[i]) - third, float(m[j]) - third
    det = ux * vy - uy * vx
    x, y = (p * vy - q * uy) / det, (q * ux - p * vx) / det
    return x, y, third - cx * x - cy * y


def _exchange(rows: Rows, m: Floats, basis: Basis, new: int) -> Basis | None:
    """The three of four half-planes that hold each other in balance at the least height."""
    best: Basis | None = None
    least = math.inf
    cx, cy = rows[new]
    for i, j in ((basis[0], basis[1]), (basis[0], basis[2]), (basis[1], basis[2])):
        (ax, ay), (bx, by) = rows[i], rows[j]
        p, q, r = bx * cy - by * cx, cx * ay - cy * ax, ax * by - ay * bx
        total = p + q + r
        if abs(total) < 1e-12 or p / total < -1e-9 or q / total < -1e-9 or r / total < -1e-9:
            continue
        value = (p * float(m[i]) + q * float(m[j]) + r * float(m[new])) / total
        if value < least:
            best, least = (i, j, new), value
    return best


def nearest_normal(point: Vec, contour: Contour) -> Vec:
    """Return the outward unit normal of a counter-clockwise contour at the place nearest to a point."""
    segment = min(contour.segments, key=lambda s: point_segment(point, s).distance)
    t = min(max(segment.parameter_of(point), 0.0), 1.0)
    return -segment.tangent_at(t).perp()
