"""What a picture says of the shape of a sheet: the fit of the markers, what it leaves, and how sure it is.

A flatbed scan is fitted by an affine map of the markers' centres: ink that spreads moves the corners of a
square, never its middle. A photo is fitted by a homography with one term of radial lens distortion (k1, from
the middle of the picture) and the spread of the ink, to all corners.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.proof.scan.hidden import affine_basis, hidden_scale, lens_basis
from templgen.proof.scan.markers import Found
from templgen.proof.scan.picture import ScanError

__all__ = ["FlatFit", "Leftovers", "LensFit", "Spread", "fit_flat", "fit_lens"]

Floats = NDArray[np.float64]

_LEAST_MARKERS = {"scan": 6, "photo": 7}
_LEAST_REACH = 0.55
"""The markers that are left must span this share of the crosses' distances, or the rest is a guess."""
_OUT_OF_SHAPE = 5.0
_LEAST_OUT = 0.35
_MOST_LEFT_OUT = 0.35
_STEP = 1e-6
_DIAGONAL = np.array([(-1.0, 1.0), (1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)])


class Spread(Struct, frozen=True):
    """How well a fit is known.

    Attributes:
        noise: standard deviation of a marker's centre, mm, from how far its corners are off its square.
        uneven: what stands off the fit beyond that noise, root mean square along x and y of the page, mm.
        hidden: how much of the scale along x and y a distortion may feign, shares; see `hidden`.
        span: distances of the outermost markers along x and y, mm.
    """

    noise: float
    uneven: tuple[float, float]
    hidden: tuple[float, float]
    span: tuple[float, float]


class Leftovers(Struct, frozen=True):
    """What a fit leaves.

    Attributes:
        slots: slot of each marker that was used.
        places: their nominal centres, mm; shape (n, 2).
        residuals: how far each is off the fit, mm on the page; shape (n, 2).
        left_out: slots of markers that were found but not used, torn or smeared.
    """

    slots: tuple[int, ...]
    places: Floats
    residuals: Floats
    left_out: tuple[int, ...]

    @property
    def largest(self) -> float:
        """The largest distance of a marker from the fit, mm."""
        return float(np.linalg.norm(self.residuals, axis=1).max())


class FlatFit(Struct, frozen=True):
    """An affine fit of a scan.

    Attributes:
        matrix: takes mm on the page (y up) to pixels with y up; shape (2, 2).
        offset: where the lower left cross falls, the same pixels.
        covariance: of the matrix, row by row, by noise alone; shape (4, 4).
        carriage: largest smooth bow of the pixels along the carriage, pixels; 0 where none is seen.
        leftovers: what it leaves.
        spread: how well it is known.
    """

    matrix: Floats
    offset: Floats
    covariance: Floats
    carriage: float
    leftovers: Leftovers
    spread: Spread

    @property
    def pixels_per_mm(self) -> float:
        """Pixels to a nominal mm, both axes together."""
        return float(np.sqrt(abs(np.linalg.det(self.matrix))))

    def to_pixels(self, points: Floats) -> Floats:
        """Return where points of the page (mm) are in the picture, y down."""
        moved: Floats = (points @ self.matrix.T + self.offset) * (1.0, -1.0)
        return moved

    def to_page(self, pixels: Floats) -> Floats:
        """Return which points of the page (mm) are at pixels, y down."""
        moved = np.linalg.solve(self.matrix, (pixels * (1.0, -1.0) - self.offset).T).T
        return np.asarray(moved, np.float64)


class LensFit(Struct, frozen=True):
    """A fit of a photo.

    Attributes:
        numbers: eight of the homography from page (unit `scale`) to the picture (unit `unit`), k1, ink.
        covariance: of these numbers by noise alone.
        centre: middle of the picture, pixels.
        unit: half of its diagonal, pixels.
        middle: middle of the markers on the page, mm.
        scale: mm to the unit of the page.
        leftovers: what it leaves.
        spread: how well it is known.
    """

    numbers: Floats
    covariance: Floats
    centre: Floats
    unit: float
    middle: Floats
    scale: float
    leftovers: Leftovers
    spread: Spread

    @property
    def k1(self) -> float:
        """Radial distortion: a height r, in half diagonals, becomes r (1 + k1 r^2); barrel: below 0."""
        return float(self.numbers[8])

    @property
    def homography(self) -> Floats:
        """From page (mm from the middle of the markers) to pixels from the middle of the picture, y down."""
        h = np.append(self.numbers[:8], 1.0).reshape(3, 3)
        whole: Floats = (
            np.diag([self.unit, self.unit, 1.0]) @ h @ np.diag([1.0 / self.scale, 1.0 / self.scale, 1.0])
        )
        return whole

    @property
    def pixels_per_mm(self) -> float:
        """Pixels to a nominal mm in the middle of the markers."""
        here = np.array([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]) + self.middle
        origin, right, up = self.to_pixels(here)
        return float(np.sqrt(abs(np.linalg.det(np.array([right - origin, up - origin])))))

    def to_pixels(self, points: Floats) -> Floats:
        """Return where points of the page (mm) are in the picture, y down."""
        moved: Floats = _shown(self.numbers, (points - self.middle) / self.scale) * self.unit + self.centre
        return moved

    def to_page(self, pixels: Floats) -> Floats:
        """Return which points of the page (mm) are at pixels, y down."""
        return self.to_page_by(self.numbers, pixels)

    def to_page_by(self, numbers: Floats, pixels: Floats) -> Floats:
        """The same by other numbers of the fit."""
        shown = (pixels - self.centre) / self.unit
        straight = _undistorted(shown, numbers[8])
        h = np.append(numbers[:8], 1.0).reshape(3, 3)
        flat = np.linalg.solve(h, np.column_stack([straight, np.ones(len(straight))]).T).T
        page: Floats = flat[:, :2] / flat[:, 2:] * self.scale + self.middle
        return page


def fit_flat(found: Found, name: str) -> FlatFit:
    """Return the affine fit of a scan.

    Raises:
        ScanError: too little of the sheet is seen.
    """
    kept, left_out = _in_shape(found, _affine_corners, "scan", name)
    places, centres = kept.nominal.mean(axis=1), kept.pixels.mean(axis=1) * (1.0, -1.0)
    rows = np.column_stack([places, np.ones(len(places))])
    solution = np.linalg.lstsq(rows, centres, rcond=None)[0]
    matrix, offset = solution[:2].T, solution[2]
    off = centres - rows @ solution
    residuals = np.linalg.solve(matrix, off.T).T
    noise = _corner_noise(kept, _affine_corners(kept)) / 2.0
    pixel = float(np.sqrt(abs(np.linalg.det(matrix))))
    one_axis = np.linalg.inv(rows.T @ rows)[:2, :2] * noise**2
    return FlatFit(
        matrix,
        offset,
        np.asarray(np.kron(np.eye(2), one_axis), np.float64),
        _carriage(centres[:, 1], off[:, 1], noise),
        Leftovers(kept.slots, places, residuals, left_out),
        _spread(places, residuals, noise / pixel, affine_basis(places)),
    )


def _carriage(along: Floats, off: Floats, noise: float) -> float:
    """The largest bow of the residuals along the carriage that square and cube explain, in pixels."""
    t = (along - along.mean()) / max(float(np.ptp(along)) / 2.0, 1.0)
    rows = np.column_stack([np.ones_like(t), t, t**2, t**3])
    if len(t) < 6 or np.linalg.matrix_rank(rows) < 4:
        return 0.0
    bow = rows @ np.linalg.lstsq(rows, off, rcond=None)[0]
    left = off - bow
    is_smooth = left.std() < 0.65 * off.std() and np.abs(bow).max() > 3.0 * noise
    return float(np.abs(bow).max()) if is_smooth else 0.0


def fit_lens(found: Found, width: int, height: int, name: str) -> LensFit:
    """Return the fit of a photo of `width` x `height` pixels.

    Raises:
        ScanError: too little of the sheet is seen.
    """
    kept, left_out = _in_shape(found, _perspective_corners, "photo", name)
    centre = np.array([(width - 1) / 2.0, (height - 1) / 2.0])
    unit = float(np.hypot(width, height)) / 2.0
    places = kept.nominal.reshape(-1, 2)
    middle = places.mean(axis=0)
    scale = float(np.abs(places - middle).max())
    page, shown = (places - middle) / scale, (kept.pixels.reshape(-1, 2) - centre) / unit
    diagonal = np.tile(_DIAGONAL, (len(kept.slots), 1))

    def model(numbers: Floats) -> Floats:
        return _shown(numbers, page + numbers[9] * diagonal)

    numbers, jacobian = _refined(model, np.append(_homography(page, shown), (0.0, 0.0)), shown)
    off = (shown - model(numbers)).reshape(-1, 4, 2)
    predicted = kept.pixels - off * unit
    noise = _corner_noise(kept, predicted)
    covariance = np.asarray(np.linalg.inv(jacobian.T @ jacobian) * (noise / unit) ** 2, np.float64)
    bare = Leftovers(
        kept.slots, places.reshape(-1, 4, 2).mean(axis=1), np.zeros((len(kept.slots), 2)), left_out
    )
    fit = LensFit(
        numbers,
        covariance,
        centre,
        unit,
        middle,
        scale,
        bare,
        Spread(0.0, (0.0, 0.0), (0.0, 0.0), (1.0, 1.0)),
    )
    seen = kept.pixels.mean(axis=1)
    residuals = fit.to_page(seen) - fit.to_page(seen - off.mean(axis=1) * unit)
    basis = lens_basis(bare.places, fit.to_page(centre[None, :]))
    spread = _spread(bare.places, residuals, noise / 2.0 / fit.pixels_per_mm, basis)
    leftovers = Leftovers(kept.slots, bare.places, residuals, left_out)
    return LensFit(numbers, covariance, centre, unit, middle, scale, leftovers, spread)


def _shown(numbers: Floats, page: Floats) -> Floats:
    """Page in its unit to picture in its unit, through the lens."""
    h = np.append(numbers[:8], 1.0).reshape(3, 3)
    flat = np.column_stack([page, np.ones(len(page))]) @ h.T
    straight = flat[:, :2] / flat[:, 2:]
    shown: Floats = straight * (1.0 + numbers[8] * (straight**2).sum(axis=1, keepdims=True))
    return shown


def _undistorted(shown: Floats, k1: float) -> Floats:
    """The inverse of r (1 + k1 r^2) by Newton's steps."""
    height = np.linalg.norm(shown, axis=1, keepdims=True)
    r = height.copy()
    for _ in range(20):
        r -= (r + k1 * r**3 - height) / np.maximum(1.0 + 3.0 * k1 * r**2, 0.1)
    straight: Floats = shown * np.where(height > 0.0, r / np.maximum(height, 1e-12), 1.0)
    return straight


def _homography(page: Floats, shown: Floats) -> Floats:
    import cv2

    matrix, _ = cv2.findHomography(page, shown, 0)
    numbers: Floats = (matrix / matrix[2, 2]).ravel()[:8]
    return numbers


def _refined(model: Callable[[Floats], Floats], start: Floats, wanted: Floats) -> tuple[Floats, Floats]:
    """Gauss-Newton with a numeric Jacobian; returns the numbers and the Jacobian there."""
    numbers = start
    for _ in range(12):
        here = model(numbers)
        columns = [(model(numbers + _STEP * unit) - here).ravel() / _STEP for unit in np.eye(len(numbers))]
        jacobian = np.column_stack(columns)
        change = np.linalg.lstsq(jacobian, (wanted - here).ravel(), rcond=None)[0]
        numbers = numbers + change
        if np.abs(change).max() < 1e-10:
            break
    return numbers, jacobian


def _in_shape(
    found: Found, corners_of: Callable[[Found], Floats], kind: str, name: str
) -> tuple[Found, tuple[int, ...]]:
    """Leave out markers whose corners make no square (torn, smeared), and ask for enough of the rest."""
    kept = found
    for _ in range(3):
        wrong = _own_errors(kept, corners_of(kept))
        limit = max(_OUT_OF_SHAPE * float(np.median(wrong)), _LEAST_OUT)
        if (wrong <= limit).all():
            break
        kept = kept.only(wrong <= limit)
        _require_enough(found, kept, kind, name)
    _require_enough(found, kept, kind, name)
    return kept, tuple(sorted(set(found.slots) - set(kept.slots)))


def _require_enough(found: Found, kept: Found, kind: str, name: str) -> None:
    from templgen.sheets.markers import crosses_of_code

    box = crosses_of_code(found.code)
    reach = np.ptp(kept.nominal.reshape(-1, 2), axis=0) if kept.slots else np.zeros(2)
    is_wide = reach[0] >= _LEAST_REACH * box.width and reach[1] >= _LEAST_REACH * box.height
    few = len(kept.slots) < max(_LEAST_MARKERS[kind], (1.0 - _MOST_LEFT_OUT) * len(found.slots))
    if few or not is_wide:
        raise ScanError(
            f"{name}: sheet {found.code.sheet} of job {found.code.digest}..., but only {len(kept.slots)} "
            f"markers can be measured, over {reach[0]:.0f} x {reach[1]:.0f} mm of {box.width:.0f} x "
            f"{box.height:.0f} mm: too little to judge the sheet by; all of it must be seen, flat and sharp"
        )


def _affine_corners(found: Found) -> Floats:
    places = found.nominal.reshape(-1, 2)
    rows = np.column_stack([places, np.ones(len(places))])
    pixels = found.pixels.reshape(-1, 2)
    predicted: Floats = (rows @ np.linalg.lstsq(rows, pixels, rcond=None)[0]).reshape(-1, 4, 2)
    return predicted


def _perspective_corners(found: Found) -> Floats:
    import cv2

    places, pixels = found.nominal.reshape(-1, 2), found.pixels.reshape(-1, 2)
    matrix, _ = cv2.findHomography(places, pixels, 0)
    predicted = cv2.perspectiveTransform(places[:, None, :], matrix)
    return np.asarray(predicted, np.float64).reshape(-1, 4, 2)


def _own_shapes(found: Found, predicted: Floats) -> Floats:
    """How far corners are off the predicted square, but for its place and the common spread of ink."""
    off = found.pixels - predicted
    off = off - off.mean(axis=1, keepdims=True)
    out = predicted - predicted.mean(axis=1, keepdims=True)
    out = out / np.linalg.norm(out, axis=2, keepdims=True)
    spread = np.median((off * out).sum(axis=2))
    own: Floats = off - spread * out
    return own


def _own_errors(found: Found, predicted: Floats) -> Floats:
    """Root mean square of the own errors of each marker, pixels."""
    own: Floats = np.sqrt((_own_shapes(found, predicted) ** 2).mean(axis=(1, 2)))
    return own


def _corner_noise(found: Found, predicted: Floats) -> float:
    """Standard deviation of a corner along one axis, pixels: eight numbers a marker, two for its place."""
    own = _own_shapes(found, predicted)
    freedom = 6.0 * len(found.slots) - 1.0
    return float(np.sqrt((own**2).sum() / freedom))


def _spread(places: Floats, residuals: Floats, noise: float, basis: Floats) -> Spread:
    freedom = max(len(places) - basis.shape[1] / 2.0, 1.0)
    x, y = (float(np.sqrt(max(value, 0.0))) for value in (residuals**2).sum(axis=0) / freedom - noise**2)
    across, along = (float(size) for size in np.ptp(places, axis=0))
    return Spread(noise, (x, y), hidden_scale(places, residuals, noise, basis), (across, along))
