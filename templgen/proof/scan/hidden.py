"""What a fit may hide: a distortion of paper or carriage that looks like a scale to the markers there are.

The worst of them is a step: a fold, or a slip of the carriage, that moves all markers beyond it by the same
amount. The fit turns part of a step into scale and leaves the rest as a pattern of residuals. So for every
gap between markers

    step allowed = |residuals . pattern| / pattern^2 + LIMITS noise / |pattern|

and the scale that it would feign is known. The largest of all gaps is the limit; a gap whose pattern is weak
(few markers beside it) is worth little and says so by itself. A smooth wave of one period bends the scale by
1.9 times its height over the sheet and leaves 0.44 of it as root mean square, 4.3 times as much.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["LIMITS", "affine_basis", "hidden_scale", "lens_basis"]

Floats = NDArray[np.float64]

LIMITS = 2.0
"""Limits are this many standard uncertainties wide, either way."""
_WAVE = 4.3
_SAME_LEVEL = 2.0
_LARGEST_STEP = 1.0
"""A larger step, mm, is seen by anyone."""


def affine_basis(places: Floats) -> Floats:
    """Columns of what an affine map can do to places: x parts first, then y parts; shape (2 n, 6)."""
    one_axis = np.column_stack([places, np.ones(len(places))])
    return np.asarray(np.kron(np.eye(2), one_axis), np.float64)


def lens_basis(places: Floats, centre: Floats) -> Floats:
    """The same for small changes of a homography with radial distortion about `centre`; shape (2 n, 9)."""
    unit = float(np.abs(places - centre).max())
    x, y = ((places - centre) / unit).T
    r2 = x * x + y * y
    perspective = [np.concatenate([x * x, x * y]), np.concatenate([x * y, y * y])]
    return np.column_stack([affine_basis(places / unit), *perspective, np.concatenate([r2 * x, r2 * y])])


def hidden_scale(places: Floats, residuals: Floats, noise: float, basis: Floats) -> tuple[float, float]:
    """Return how much of the scale along x and y may be feigned, as shares.

    Args:
        places: centres of the markers on the page, mm.
        residuals: how far each is off the fit, mm.
        noise: standard deviation of a centre along one axis, mm.
        basis: what the fit can do, see above.
    """
    fitted, _ = np.linalg.qr(basis)
    limits = []
    for axis in (0, 1):
        along = places[:, axis]
        span = max(float(np.ptp(along)), 1.0)
        freedom = max(len(along) - basis.shape[1] / 2.0, 1.0)
        square = float((residuals[:, axis] ** 2).sum()) / freedom - noise**2
        wave = _WAVE * math.sqrt(max(square, 0.0))
        steps = [_step(along, axis, at, residuals.T.ravel(), noise, fitted) for at in _gaps(along)]
        limits.append(max([wave, *steps]) / span)
    return limits[0], limits[1]


def _gaps(along: Floats) -> Floats:
    """The middle of every gap between neighbours along an axis."""
    levels = np.unique(along)
    wide = np.diff(levels) > _SAME_LEVEL
    middles: Floats = ((levels[1:] + levels[:-1]) / 2.0)[wide]
    return middles


def _step(along: Floats, axis: int, at: float, residuals: Floats, noise: float, fitted: Floats) -> float:
    """How much longer, mm over the whole span, a step at a place may make the fit."""
    step = np.zeros(len(residuals))
    step[axis * len(along) : (axis + 1) * len(along)] = along > at
    taken = fitted @ (fitted.T @ step)
    pattern = step - taken
    strength = float(np.linalg.norm(pattern))
    if strength < 1e-6:
        return _LARGEST_STEP
    allowed = abs(float(residuals @ pattern)) / strength**2 + LIMITS * noise / strength
    own = taken[axis * len(along) : (axis + 1) * len(along)]
    slope = float(np.polyfit(along, own, 1)[0])
    return min(allowed, _LARGEST_STEP) * abs(slope) * float(np.ptp(along))
