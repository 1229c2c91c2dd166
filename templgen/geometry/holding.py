"""Where a convex figure lies in an opening so that most room is left all round: the best place, and the room.

For one angle this is a small linear programme. The opening is the meet of half-planes n . x <= h; the figure
at x keeps c from each of them when n . x + c <= h - max(n . p) over its points p. The largest c is found by
exchanging one of three half-planes at a time, as in the simplex method; it needs no start and no solver.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from templgen.geometry.contains import Side, contour_inside, locate
from templgen.geometry.contour import Contour
from templgen.geometry.convex import convex_half_planes, lines_of, widest_of
from templgen.geometry.distance import contours_apart, point_contour, point_segment
from templgen.geometry.symmetry import Mirror, half_turn_centre, mirror_of
from templgen.geometry.vector import Vec
from templgen.geometry.waves import Lowest, Wave, highest_between, wave_of

__all__ = [
    "Held",
    "HoleSpace",
    "Round",
    "clearance_held",
    "clearance_in",
    "hold",
    "hold_round",
    "hold_turned",
    "nearest_normal",
]

Floats = NDArray[np.float64]
Basis: TypeAlias = tuple[int, int, int]
Rows: TypeAlias = tuple[tuple[float, float], ...]

_FAR_NORMALS = np.array([(0.0, 1.0), (math.sqrt(0.75), -0.5), (-math.sqrt(0.75), -0.5)])
_FAR_LIMITS = np.full(3, 1e5)
_FAR = (-3, -2, -1)
"""Three half-planes so far away that they count for nothing, to begin with."""

_SLACK = 1e-9
_MOST_STEPS = 400
_MOST_LOOKS = 24
_CLOSE_ENOUGH = 1e-7
"""Room that may be missed beside the best place, mm."""


@dataclass(frozen=True, eq=False)
class HoleSpace:
    """A convex part of an opening as half-planes: rows of `normals` (n, 2) and their `limits` (n,), mm.

    `is_convex` says that the opening itself is convex, so that all of it but what was cut off counts;
    `is_whole` that nothing was cut off either.
    """

    contour: Contour
    normals: Floats
    limits: Floats
    is_convex: bool
    is_whole: bool

    @classmethod
    def of(cls, contour: Contour, keep_off: Iterable[tuple[Vec, Vec]] = ()) -> HoleSpace:
        """Return the space of a closed contour; each (point, normal) of `keep_off` cuts off what lies beyond.

        Of an opening that is not convex a large convex part is kept, so that a place found in it is one.
        """
        cuts = list(keep_off)
        if not cuts:
            return _space_of(contour)
        ring, normals, limits, convex = convex_half_planes(contour)
        more, farther = lines_of(cuts)
        return cls(ring, np.concatenate([normals, more]), np.concatenate([limits, farther]), convex, False)

    @cached_property
    def columns(self) -> Floats:
        """The normals (2, n + 3), with three far away behind them."""
        return np.ascontiguousarray(np.concatenate([self.normals, _FAR_NORMALS]).T)

    @cached_property
    def bounds(self) -> Floats:
        """The limits (n + 3,) of `columns`."""
        return np.concatenate([self.limits, _FAR_LIMITS])

    @cached_property
    def rows(self) -> Rows:
        """The normals of `columns`, one by one."""
        return tuple((x, y) for x, y in self.columns.T.tolist())

    @cached_property
    def centre(self) -> Vec | None:
        """Where half a turn leaves the half-planes as they are; None where none does."""
        return half_turn_centre(self.normals, self.limits)

    @cached_property
    def mirror(self) -> Mirror | None:
        """A line that mirrors the half-planes into themselves; None where none is known."""
        return None if self.centre is None else mirror_of(self.normals, self.limits, self.centre)

    @cached_property
    def widest(self) -> float:
        """A bound of how far two points of the opening stand apart, mm."""
        return widest_of(self.contour)

    @cached_property
    def rounds(self) -> dict[tuple[bytes, int], Round]:
        """What `hold_round` has found: pieces of a ring, and both ends of one, may cast the same shadow."""
        return {}


@lru_cache(maxsize=64)
def _space_of(contour: Contour) -> HoleSpace:
    ring, normals, limits, convex = convex_half_planes(contour)
    return HoleSpace(ring, normals, limits, convex, convex)


@dataclass(frozen=True, slots=True)
class Held:
    """A place of a figure: its origin at `at`, turned by `angle` degrees, `clearance` (mm) left all round.

    A clearance below 0 says by how much the opening would have to grow on every side.
    """

    at: Vec
    angle: float
    clearance: float
    basis: Basis | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Round:
    """The best places of a figure over all angles, the best first, and `most` (mm): there is nowhere more
    room."""

    places: tuple[Held, ...]
    most: float


def hold(space: HoleSpace, figure: Floats, angle: float, like: Held | None = None) -> Held:
    """Return the best place of a convex figure, points (n, 2), turned by an angle in degrees.

    `like` is the place of a like figure in the same opening; it only saves time.
    """
    return _held(space, _limits(space, figure, [angle])[0], angle, like)


def _limits(space: HoleSpace, figure: Floats, angles: Sequence[float]) -> Floats:
    """How far the origin of a figure turned by some angles may go along each half-plane (a, n), mm."""
    c, s = np.cos(np.radians(angles)), np.sin(np.radians(angles))
    axes = np.array([[c, s], [-s, c]]).transpose(2, 0, 1)
    limits: Floats = space.bounds - (figure @ axes @ space.columns).max(axis=1)
    return limits


def _held(space: HoleSpace, limits: Floats, angle: float, like: Held | None) -> Held:
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
    return _looked_round(space, figure, angles, best_of)[0]


def hold_round(space: HoleSpace, figure: Floats, angles: Sequence[float], best_of: int) -> Round:
    """Return the places of `hold_turned` for angles all round, and a bound of the room at any angle."""
    corner = figure.min(axis=0)
    shape = figure - corner
    key = _key(shape, angles, best_of)
    if key not in space.rounds:
        space.rounds[key] = _mirrored_round(space, shape, angles, best_of) or _round(
            space, shape, angles, best_of
        )
    found, away = space.rounds[key], Vec(float(corner[0]), float(corner[1]))
    places = tuple(replace(held, at=held.at - away.turned(held.angle)) for held in found.places)
    return Round(places, found.most)


def _key(shape: Floats, angles: Sequence[float], best_of: int) -> tuple[bytes, int]:
    ordered = shape[np.lexsort(shape.round(9).T)]
    return np.array([*ordered.ravel(), *angles]).round(9).tobytes(), best_of


def _mirrored_round(space: HoleSpace, shape: Floats, angles: Sequence[float], best_of: int) -> Round | None:
    """What is known of the figure's mirror image; None where that was not asked for at the same angles."""
    mirror, high = space.mirror, float(shape[:, 1].max())
    step = angles[1] - angles[0] if len(angles) > 1 else 0.0
    if mirror is None or not step or abs(math.remainder(mirror.twice, step)) > _SLACK:
        return None
    known = space.rounds.get(_key(np.array([0.0, high]) + shape * (1.0, -1.0), angles, best_of))
    if known is None or abs(step * len(angles) - 360.0) > _SLACK:
        return None
    return replace(known, places=tuple(_mirrored(space, mirror, held, high) for held in known.places))


def _mirrored(space: HoleSpace, mirror: Mirror, held: Held, high: float) -> Held:
    """The place of the mirror image of a figure that stands from 0 to `high`, as its mirror image does."""
    c, s = math.cos(math.radians(mirror.twice)), math.sin(math.radians(mirror.twice))
    away, angle = held.at - mirror.centre, (mirror.twice - held.angle) % 360.0
    at = mirror.centre + Vec(c * away.x + s * away.y, s * away.x - c * away.y)
    i, j, k = ((mirror.first - number) % len(space.limits) for number in held.basis or _FAR)
    return Held(at - Vec(0.0, high).turned(angle), angle, held.clearance, (i, j, k))


def _round(space: HoleSpace, figure: Floats, angles: Sequence[float], best_of: int) -> Round:
    places, (looks, peaks) = _looked_round(space, figure, angles, best_of)
    points = figure.tolist()
    turns = [held.angle for held in looks]
    most = highest_between([_wave(space, points, held) for held in looks], turns)
    best = places[0].clearance + _CLOSE_ENOUGH
    # beside the peaks it was looked nearer
    most[peaks] = most[[peak - 1 for peak in peaks]] = best
    return Round(tuple(places), max(best, float(most.max())))


def _looked_round(
    space: HoleSpace, figure: Floats, angles: Sequence[float], best_of: int
) -> tuple[list[Held], tuple[list[Held], list[int]]]:
    """The best places; and all looks, one more than angles, with the numbers of those that were refined.

    Where half a turn leaves the opening as it is, only half of the angles are looked at.
    """
    step = angles[1] - angles[0] if len(angles) > 1 else 0.0
    halved = space.centre is not None and len(angles) % 2 == 0 and abs(step * len(angles) - 360.0) < _SLACK
    found: list[Held] = []
    looked_at = angles[: len(angles) // 2] if halved else angles
    for angle, limits in zip(looked_at, _limits(space, figure, looked_at), strict=True):
        found.append(_held(space, limits, angle, found[-1] if found else None))
    before, after = found[-1], replace(found[0], angle=found[0].angle + 360.0)
    if halved:
        before, after = _half_turned(space, found[-1], -180.0), _half_turned(space, found[0], 180.0)
    looks = [before, *found, after]
    peaks = [
        number
        for number in range(len(found))
        if looks[number].clearance <= found[number].clearance >= looks[number + 2].clearance
    ]
    peaks.sort(key=lambda number: -found[number].clearance)
    del peaks[(best_of + 1) // 2 if halved else best_of :]
    places = [_refined(space, figure, looks[number : number + 3], step) for number in peaks]
    if halved:
        places += [_half_turned(space, held, 180.0) for held in places]
    return sorted(places, key=lambda held: -held.clearance)[:best_of], (looks[1:], peaks)


def _half_turned(space: HoleSpace, held: Held, turn: float) -> Held:
    """The same place half a turn round in an opening that is the same after half a turn."""
    if space.centre is None:
        raise ValueError("half a turn changes this opening")
    count = len(space.limits)
    # half a turn later each half-plane is the one that stands opposite
    i, j, k = ((number + count // 2) % count for number in held.basis or _FAR)
    return Held(space.centre * 2.0 - held.at, held.angle + turn, held.clearance, (i, j, k))


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
    return contours_apart(edges, contour, math.inf)


def clearance_held(space: HoleSpace, held: Held, figure: Sequence[Vec]) -> float:
    """Return `clearance_in` of the corners of a figure where it is held; what is known is not asked again.

    In the half-planes it lies in the opening; how far a place in a convex opening lies from the edge is a
    concave function of the place, so that it is least at a corner of the figure.
    """
    if held.clearance < 0.0:
        return held.clearance
    if not space.is_whole:
        return clearance_in(space.contour, figure)
    return min(point_contour(corner, space.contour).distance for corner in figure)


def _without_repeats(points: Sequence[Vec]) -> list[Vec]:
    kept: list[Vec] = []
    for point in points:
        if all(point.distance_to(other) > _SLACK for other in (*kept[-1:], *kept[:1])):
            kept.append(point)
    return kept


def _refined(space: HoleSpace, figure: Floats, looks: Sequence[Held], step: float) -> Held:
    """The best place within a step of the middle one of three looks.

    What holds the figure at one angle bounds its room at every other (see `waves`). The next look is where
    the lowest of these bounds is highest; where that much room is found, the place is the best.
    """
    best = looks[1]
    if not step:
        return best
    bounds = Lowest(best.angle - step, best.angle + step)
    points = figure.tolist()
    for held in looks:
        bounds.add(_wave(space, points, held), best.clearance + _CLOSE_ENOUGH)
    for _ in range(_MOST_LOOKS):
        angle = bounds.highest()
        if angle is None:
            break
        held = hold(space, figure, angle, best)
        best = max(best, held, key=lambda each: each.clearance)
        bounds.add(_wave(space, points, held), best.clearance + _CLOSE_ENOUGH)
    return best


def _wave(space: HoleSpace, points: Sequence[Sequence[float]], held: Held) -> Wave:
    i, j, k = held.basis or _FAR
    one, two, three = ((*space.rows[n], float(space.bounds[n])) for n in (i, j, k))
    return wave_of((one, two, three), points, held.angle)


def _deepest(space: HoleSpace, limits: Floats, start: Basis | None) -> tuple[float, float, float, Basis]:
    """Return x, y, the largest c with normals . (x, y) + c <= limits, and the three half-planes that hold it.

    Three that balance each other do so whatever their limits, so those of a like figure are a good start.
    """
    rows, across, along, last = space.rows, space.columns[0], space.columns[1], len(limits) - 1
    basis = start or (last - 2, last - 1, last)
    for _ in range(_MOST_STEPS):
        x, y, height = _meet(rows, limits, basis)
        heights = limits - across * x - along * y
        worst = int(heights.argmin())
        if worst in basis or heights[worst] >= height - _SLACK:
            break
        exchanged = _exchange(rows, limits, basis, worst)
        if exchanged is None:
            break
        basis = exchanged
    return x, y, float(heights[worst]), basis


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
    segment, least = contour.segments[0], math.inf
    for each in contour.segments:
        if each.bounds.near_point(point, least):
            away = point_segment(point, each).distance
            if away < least:
                segment, least = each, away
    t = min(max(segment.parameter_of(point), 0.0), 1.0)
    return -segment.tangent_at(t).perp()
