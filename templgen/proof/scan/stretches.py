"""From a fitted picture to the stretch of the print: scale along x and y, and skew, each with its limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.proof.scan.fit import FlatFit, LensFit, Spread
from templgen.proof.scan.hidden import LIMITS
from templgen.proof.scan.scale import Known, PixelSize
from templgen.proof.stretch import Solved, Stretch

__all__ = [
    "Focal",
    "Measured",
    "Numbers",
    "camera_height",
    "flat_stretch",
    "focal_of",
    "photo_stretch",
    "shape_of",
]

Floats = NDArray[np.float64]
Numbers = tuple[float, float, float]
"""Something of x, of y (shares) and of the skew (degrees)."""

SCANNER_SKEW = 0.03
"""How far a scanner's axes may be off square, degrees (own default)."""
_SQUARE_U = 0.0006
"""Standard uncertainty, radians, of a corner of a card by its measured edges (own default)."""
_FILM = 36.0
_ANY_FOCAL = (32.0, 0.45)
"""Focal length of any camera and its relative standard uncertainty: 13 to 79 mm on film of 36 mm."""
_KNOWN_FOCAL_U = 0.04


class Measured(Struct, frozen=True):
    """The stretch of a print as seen on the page of the drawing.

    Attributes:
        best: scale along x, along y, skew in degrees.
        own: limits of the estimator's own error, from the noise of the picture alone.
        limits: all limits together: of the scale, of what is not even, and of the estimator.
        scale_known: False for a photo without a reference: x and y are then relative to one another.
    """

    best: Numbers
    own: Numbers
    limits: Numbers
    scale_known: bool = True

    @property
    def solved(self) -> Solved:
        """The same as stretches: the best one, and the corners of the limits."""
        ways = product((-1.0, 1.0), repeat=3)
        corners = (
            tuple(b + way * u for b, way, u in zip(self.best, each, self.limits, strict=True))
            for each in ways
        )
        return Solved(
            _stretch(self.best), tuple(_stretch((c[0], c[1], c[2])) for c in corners), square_known=True
        )


def _stretch(numbers: Numbers) -> Stretch:
    x, y, skew = numbers
    return Stretch(x * x, x * y * math.sin(math.radians(skew)), y * y)


def _numbers(g: Floats) -> Numbers:
    """Scale along x and y, and skew, of the matrix of squares."""
    x, y = math.sqrt(g[0, 0]), math.sqrt(g[1, 1])
    return x, y, math.degrees(math.asin(g[0, 1] / (x * y)))


def _uneven(spread: Spread) -> Numbers:
    x, y = spread.hidden
    return x, y, math.degrees(math.hypot(x, y))


def _summed(*limits: Numbers) -> Numbers:
    x, y, skew = (sum(values) for values in zip(*limits, strict=True))
    return x, y, skew


def flat_stretch(fit: FlatFit, size: PixelSize) -> Measured:
    """Return the stretch of a print from a scan whose pixels have a known size."""
    scale = np.diag(size.mm)

    def numbers(matrix: Floats) -> Numbers:
        true = scale @ matrix
        return _numbers(true.T @ true)

    best = numbers(fit.matrix)
    step = 1e-5
    changes = [
        np.subtract(numbers(fit.matrix + step * np.reshape(unit, (2, 2))), best) / step for unit in np.eye(4)
    ]
    jacobian = np.column_stack(changes)
    spread = LIMITS * np.sqrt(np.diag(jacobian @ fit.covariance @ jacobian.T))
    own = (float(spread[0]), float(spread[1]), float(spread[2]))
    return Measured(best, own, _summed(own, _uneven(fit.spread), _of_pixels(fit, size)))


def _of_pixels(fit: FlatFit, size: PixelSize) -> Numbers:
    """What the sizes of a pixel leave open, along the axes of the page."""
    true = np.diag(size.mm) @ fit.matrix
    ways = (
        true / np.linalg.norm(true, axis=0)
    ) ** 2  # columns: shares of the scanner's axes in those of the page
    u = LIMITS * np.array(size.u)
    x, y = (float(value) for value in ways.T @ u)
    across = float(np.sqrt(ways[0, 0] * ways[1, 0]))
    return x, y, SCANNER_SKEW + math.degrees(2.0 * float(u.sum()) * across)


class Focal(Struct, frozen=True):
    """The focal length of a photo in pixels and its relative standard uncertainty."""

    pixels: float
    u: float


def focal_of(film: float | None, width: int, height: int) -> Focal:
    """Return the focal length from what the file says (mm on film of 36 mm), or that of any camera."""
    size, u = (film, _KNOWN_FOCAL_U) if film else _ANY_FOCAL
    return Focal(size / _FILM * max(width, height), u)


def _squares(homography: Floats, focal: float) -> Floats:
    """The matrix of squares of the print, up to a factor.

    K^-1 H is, up to a factor, [r1 r2 t] M with the rotation r of the camera and the stretch M of the print
    (Zhang 2000, A flexible new technique for camera calibration), so its first two columns give M^T M.
    """
    columns = np.diag([1.0 / focal, 1.0 / focal, 1.0]) @ homography[:, :2]
    squares: Floats = columns.T @ columns
    return squares / math.sqrt(float(np.linalg.det(squares)))


def camera_height(fit: LensFit, focal: Focal) -> float:
    """Return how high the camera stood over the page, mm."""
    columns = np.diag([1.0 / focal.pixels, 1.0 / focal.pixels, 1.0]) @ fit.homography
    factor = math.sqrt(abs(float(np.linalg.norm(np.cross(columns[:, 0], columns[:, 1])))))
    normal = np.cross(columns[:, 0], columns[:, 1]) / factor**2
    return abs(float(normal @ columns[:, 2])) / factor


def shape_of(fit: LensFit, focal: Focal) -> tuple[Floats, Numbers]:
    """Return the matrix of squares up to a factor (its determinant is 1), and limits of its numbers.

    x and y then mean their share of the mean scale.
    """

    def squares(numbers: Floats, pixels: float) -> Floats:
        h = np.append(numbers[:8], 1.0).reshape(3, 3)
        page = np.diag([1.0 / fit.scale, 1.0 / fit.scale, 1.0])
        return _squares(np.diag([fit.unit, fit.unit, 1.0]) @ h @ page, pixels)

    best = squares(fit.numbers, focal.pixels)
    start = np.array(_numbers(best))
    step = 1e-6
    columns = [
        (np.array(_numbers(squares(fit.numbers + step * unit, focal.pixels))) - start) / step
        for unit in np.eye(len(fit.numbers))
    ]
    jacobian = np.column_stack(columns)
    noise = np.sqrt(np.diag(jacobian @ fit.covariance @ jacobian.T))
    ends = [focal.pixels * math.exp(LIMITS * sign * focal.u) for sign in (-1.0, 1.0)]
    lens = np.max([np.abs(np.array(_numbers(squares(fit.numbers, end))) - start) for end in ends], axis=0)
    x, y, skew = (float(value) for value in LIMITS * noise + lens)
    return best, (x, y, skew)


def photo_stretch(
    fit: LensFit,
    focal: Focal,
    lengths: Sequence[Known],
    square: tuple[Floats, Floats] | None,
    common: float = 0.0,
) -> Measured:
    """Return the stretch of a print from a photo.

    Args:
        fit: the fit of its markers.
        focal: focal length of the camera.
        lengths: known lengths in it, along nominal mm of the page; without any only the shape is known.
        square: two sides of a card that are square to one another, on the page.
        common: limit of what makes all known lengths longer or shorter by the same share.
    """
    shape, shape_limits = shape_of(fit, focal)
    own = _own(fit)
    uneven = _uneven(fit.spread)
    if not lengths:
        return Measured(_numbers(shape), own, _summed(shape_limits, uneven), scale_known=False)
    g, covariance = _weighted(shape, shape_limits, lengths, square)
    best = np.array(_numbers(g))
    step = 1e-6
    units = (
        np.array([[1.0, 0.0], [0.0, 0.0]]),
        np.array([[0.0, 1.0], [1.0, 0.0]]),
        np.array([[0.0, 0.0], [0.0, 1.0]]),
    )
    jacobian = np.column_stack([(np.array(_numbers(g + step * unit)) - best) / step for unit in units])
    limits = LIMITS * np.sqrt(np.diag(jacobian @ covariance @ jacobian.T))
    x, y, skew = (float(value) for value in limits)
    return Measured(
        (float(best[0]), float(best[1]), float(best[2])),
        own,
        _summed(own, uneven, (x, y, skew), (common, common, 0.0)),
    )


def _weighted(
    shape: Floats, limits: Numbers, lengths: Sequence[Known], square: tuple[Floats, Floats] | None
) -> tuple[Floats, Floats]:
    """Least squares for the squares of the print (xx, xy, yy) and the factor of its shape; covariance."""
    rows: list[list[float]] = []
    wanted: list[float] = []
    for each in lengths:
        (x, y), u = each.along / each.length, 2.0 * each.u
        rows.append([x * x / u, 2.0 * x * y / u, y * y / u, 0.0])
        wanted.append(1.0 / u)
    if square:
        (a, b), (c, d) = (side / np.linalg.norm(side) for side in square)
        rows.append([a * c / _SQUARE_U, (a * d + b * c) / _SQUARE_U, b * d / _SQUARE_U, 0.0])
        wanted.append(0.0)
    u_x, u_y = (max(limit / LIMITS, 1e-6) * 2.0 for limit in limits[:2])
    u_skew = max(math.radians(limits[2]) / LIMITS, 1e-6)
    rows += [
        [1.0 / u_x, 0.0, 0.0, -shape[0, 0] / u_x],
        [0.0, 1.0 / u_skew, 0.0, -shape[0, 1] / u_skew],
        [0.0, 0.0, 1.0 / u_y, -shape[1, 1] / u_y],
    ]
    wanted += [0.0, 0.0, 0.0]
    matrix = np.array(rows)
    covariance = np.linalg.inv(matrix.T @ matrix)
    xx, xy, yy, _ = covariance @ matrix.T @ np.array(wanted)
    return np.array([[xx, xy], [xy, yy]]), covariance[:3, :3]


def _own(fit: LensFit) -> Numbers:
    """What the noise of the picture leaves open: of lengths across the markers, and of their angle."""
    (x, y), middle = fit.spread.span, fit.middle
    ends = np.array([(-x / 2, 0.0), (x / 2, 0.0), (0.0, -y / 2), (0.0, y / 2)]) + middle
    pixels = fit.to_pixels(ends)
    start = fit.to_page(pixels)
    step = 1e-6
    changes = []
    for unit in np.eye(9):
        moved = fit.to_page_by(fit.numbers + step * np.append(unit, 0.0), pixels)
        by = (moved - start) / step
        across, along = by[1] - by[0], by[3] - by[2]
        changes.append((across[0] / x, along[1] / y, math.degrees(across[1] / x + along[0] / y)))
    jacobian = np.array(changes).T
    limits = LIMITS * np.sqrt(np.diag(jacobian @ fit.covariance[:9, :9] @ jacobian.T))
    return float(limits[0]), float(limits[1]), float(limits[2])
