"""Rigid fit of points that are known to points that were measured: turn and shift, never a scale or a mirror.

Least squares, each point weighted with 1 / doubt^2. In the plane the best turn has a closed form (weighted
Procrustes problem without scale; W. Kabsch, Acta Cryst. A32 (1976) 922, in two dimensions; from memory).
Doubts are bounds: no measurement is off by more than its doubt. What follows from them is a bound too, to the
first order in the errors.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.geometry.motion import Motion
from templgen.geometry.vector import Vec

__all__ = [
    "Network",
    "PairLength",
    "fits",
    "fits_mirrored",
    "measured_wrong",
    "network",
    "placement_doubts",
    "residual_bounds",
    "residuals",
    "rigid_fit",
]

Floats = NDArray[np.float64]

_MOST_WRONG = 3
_MOST_TRIALS = 5000
_STEPS = 100
_RANK = 1e-7
_ROUNDING = 1e-9


def rigid_fit(known: Floats, measured: Floats, doubts: Floats) -> Motion:
    """Return the motion that takes `known` (n, 2) best onto `measured` (n, 2), doubts (n,) > 0, all mm.

    One point, or points that fall together, give no turn: then it is a shift alone.
    """
    weights = 1.0 / doubts**2
    here, there = weights @ known / weights.sum(), weights @ measured / weights.sum()
    a, b = known - here, measured - there
    along = float(weights @ (a * b).sum(axis=1))
    across = float(weights @ (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]))
    length = math.hypot(along, across)
    cosine, sine = (along / length, across / length) if length > _ROUNDING else (1.0, 0.0)
    turn = Motion(cosine, sine, Vec(0.0, 0.0))
    return Motion(cosine, sine, Vec(*map(float, there)) - turn.apply(Vec(*map(float, here))))


def _moved(motion: Motion, points: Floats) -> Floats:
    cosine, sine = motion.cos, motion.sin
    turned: Floats = points @ np.array([[cosine, sine], [-sine, cosine]]) + (motion.shift.x, motion.shift.y)
    return turned


def residuals(motion: Motion, known: Floats, measured: Floats) -> Floats:
    """Return how far each measured point is from where the motion puts the known one, (n,), mm."""
    gaps: Floats = np.linalg.norm(_moved(motion, known) - measured, axis=1)
    return gaps


def _influence(measured: Floats, doubts: Floats, at: Floats) -> Floats:
    """How an error of each measured point moves a fitted point: (m, n, 2, 2).

    A point q moves by sum w_j e_j / W + perp(q - c) sum w_j perp(p_j - c) . e_j / S, S = sum w_j |p_j - c|^2.
    """
    weights = 1.0 / doubts**2
    centre = weights @ measured / weights.sum()
    arms, reach = _perp(measured - centre), _perp(at - centre)
    stiffness = float(weights @ (arms**2).sum(axis=1))
    shift = (weights / weights.sum())[None, :, None, None] * np.eye(2)
    turn = np.einsum("mi,nj->mnij", reach, arms * weights[:, None])
    whole: Floats = shift + turn / stiffness if stiffness > _ROUNDING else np.full(turn.shape, np.inf)
    return whole


def _perp(points: Floats) -> Floats:
    return np.column_stack([-points[:, 1], points[:, 0]])


def _bounds(blocks: Floats, doubts: Floats) -> Floats:
    """The most that errors within their doubts add up to: sum of the blocks' largest stretch times doubt."""
    if not np.isfinite(blocks).all():
        return np.full(len(blocks), np.inf)
    bound: Floats = np.linalg.norm(blocks, ord=2, axis=(2, 3)) @ doubts
    return bound


def placement_doubts(measured: Floats, doubts: Floats, at: Floats) -> Floats:
    """Return how far points `at` (m, 2) of the measured frame may be off once the fit is made, (m,), mm.

    Infinite where the turn is not fixed: one point, or points that fall together.
    """
    return _bounds(_influence(measured, doubts, at), doubts)


def residual_bounds(measured: Floats, doubts: Floats) -> Floats:
    """Return the largest residual that errors within their doubts can leave at each point, (n,), mm.

    What the first order leaves out is of the size of the bound times the angle of the turn's own doubt; it is
    added.
    """
    blocks = _influence(measured, doubts, measured)
    if not np.isfinite(blocks).all():
        return np.full(len(measured), np.inf)
    turn = _turn_doubt(measured, doubts)
    own = np.eye(len(measured))[:, :, None, None] * np.eye(2)
    return _bounds(own - blocks, doubts) * (1.0 + 2.0 * turn) + _ROUNDING


def _turn_doubt(measured: Floats, doubts: Floats) -> float:
    """How far the turn may be off, rad."""
    weights = 1.0 / doubts**2
    arms = np.linalg.norm(measured - weights @ measured / weights.sum(), axis=1)
    return float((weights * arms) @ doubts / (weights @ arms**2))


def fits(known: Floats, measured: Floats, doubts: Floats) -> bool:
    """Whether errors within the doubts explain all that is left over after the best fit."""
    motion = rigid_fit(known, measured, doubts)
    return bool((residuals(motion, known, measured) <= residual_bounds(measured, doubts)).all())


def fits_mirrored(known: Floats, measured: Floats, doubts: Floats) -> bool:
    """Whether the mirror image of the known points fits: then an axis was read backwards. It is never used.

    Points on one line (each within its doubt) have no hand and are never said to be mirrored.
    """
    flipped = known * (-1.0, 1.0)
    return len(known) > 2 and not fits(known, measured, doubts) and fits(flipped, measured, doubts)


def measured_wrong(known: Floats, measured: Floats, doubts: Floats) -> tuple[tuple[int, ...], ...]:
    """Return the smallest sets of points without which the rest fits; ((),) where all fit.

    One set names the points that were measured wrong; several sets: it can not be told which. No set: too
    few points to tell. More points must be left than are taken out (and two at least).
    """
    count = len(known)
    everyone = np.arange(count)
    for taken in range(min(_MOST_WRONG, count) + 1):
        if count - taken < max(2, taken + 1) or math.comb(count, taken) > _MOST_TRIALS:
            break
        found = []
        for wrong in combinations(range(count), taken):
            rest = np.setdiff1d(everyone, wrong)
            if fits(known[rest], measured[rest], doubts[rest]):
                found.append(wrong)
        if found:
            return tuple(found)
    return ()


class PairLength(Struct, frozen=True):
    """A measured distance between points `first` and `second` (indices), to `doubt` either way, mm."""

    first: int
    second: int
    length: float
    doubt: float


class Network(Struct, frozen=True, eq=False):
    """Places (n, 2) from measured places and distances, and how far each may be off (n,), mm.

    `is_rigid` is False where what was measured lets some point move against the others: then the places mean
    nothing.
    """

    places: Floats
    doubts: Floats
    is_rigid: bool


def network(start: Floats, at: Mapping[int, float], lengths: Sequence[PairLength]) -> Network:
    """Adjust places to measured places and distances: least squares by Gauss-Newton steps.

    Args:
        start: (n, 2) measured places, and a guess where a place was not measured.
        at: the points whose place in `start` was measured, with the doubt of each.
        lengths: the measured distances.

    The guess decides between the two mirror images that distances alone allow. Where no place was measured
    the whole is left as near to the guess as can be.
    """
    places, converged = start.copy(), False
    for _ in range(_STEPS):
        matrix, misfit = _equations(places, start, at, lengths)
        step = np.linalg.lstsq(matrix, misfit, rcond=_RANK)[0].reshape(-1, 2)
        places = places + step
        if converged := bool(np.abs(step).max(initial=0.0) < _ROUNDING):
            break
    matrix, _ = _equations(places, start, at, lengths)
    free = (3, 1, 0)[min(len(at), 2)]
    rank = int(np.linalg.matrix_rank(matrix, tol=_RANK * float(np.abs(matrix).max(initial=1.0))))
    inverse = np.asarray(np.linalg.pinv(matrix, rcond=_RANK), dtype=np.float64).reshape(len(start), 2, -1)
    return Network(places, _network_doubts(inverse, len(at)), converged and rank == 2 * len(start) - free)


def _equations(
    places: Floats, start: Floats, at: Mapping[int, float], lengths: Sequence[PairLength]
) -> tuple[Floats, Floats]:
    """One row for each coordinate and each distance, divided by its doubt."""
    matrix = np.zeros((2 * len(at) + len(lengths), 2 * len(places)))
    misfit = np.zeros(len(matrix))
    for row, (index, doubt) in enumerate(at.items()):
        for axis in (0, 1):
            matrix[2 * row + axis, 2 * index + axis] = 1.0 / doubt
            misfit[2 * row + axis] = (start[index, axis] - places[index, axis]) / doubt
    for row, each in enumerate(lengths, 2 * len(at)):
        way = places[each.second] - places[each.first]
        length = max(float(np.linalg.norm(way)), _ROUNDING)
        matrix[row, 2 * each.first : 2 * each.first + 2] = -way / length / each.doubt
        matrix[row, 2 * each.second : 2 * each.second + 2] = way / length / each.doubt
        misfit[row] = (each.length - length) / each.doubt
    return matrix, misfit


def _network_doubts(inverse: Floats, placed: int) -> Floats:
    """The sum of what every measurement, off by its whole doubt, moves a point by."""
    pairs = inverse[:, :, : 2 * placed].reshape(len(inverse), 2, placed, 2)
    by_place = np.linalg.norm(pairs.transpose(0, 2, 1, 3), ord=2, axis=(2, 3)).sum(axis=1)
    doubts: Floats = by_place + np.linalg.norm(inverse[:, :, 2 * placed :], axis=1).sum(axis=1)
    return doubts
