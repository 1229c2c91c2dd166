"""How large is a pixel? The scanner is a suspect too.

For a scan the unknowns are the true sizes of a pixel along x and y of the scanner. Each known length L that
shows (dx, dy) pixels gives

    L^2 = (dx px)^2 + (dy py)^2

and the resolution in the file, or a saved scanner record, gives each of them for itself. For a photo there
are no pixels of a size; known lengths on the page give the stretch of the print directly: `photo_stretch`.

All are brought together by least squares, weighted by how well each is known. "u" is a standard uncertainty,
limits are twice as wide.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct, field
from numpy.typing import NDArray

from templgen.proof.scan.picture import ScanError
from templgen.units import MM_PER_INCH

__all__ = ["FILE_U", "Known", "PixelSize", "pixel_size"]

Floats = NDArray[np.float64]

FILE_U = 0.005
"""Standard uncertainty of the resolution that a file states, each axis by itself (own default)."""
_TRUSTED = 0.004
"""An axis whose pixel is known worse than this proves nothing."""
_CONTRADICT = 4.0
_FILE_OFF = 0.03


class Known(Struct, frozen=True):
    """A known length in a picture.

    Attributes:
        what: "card, long side".
        along: from one end to the other: pixels with y up in a scan, nominal mm of the page in a photo.
        length: what it is, mm.
        u: relative standard uncertainty of the length and of its ends.
    """

    what: str
    along: Floats
    length: float
    u: float


class PixelSize(Struct, frozen=True):
    """The size of a pixel of a scanner.

    Attributes:
        mm: size along x and y, mm.
        u: relative standard uncertainty along x and y.
        proven: whether x and y rest on more than the file's word.
        source: where it comes from, in words.
    """

    mm: tuple[float, float]
    u: tuple[float, float]
    proven: tuple[bool, bool]
    source: tuple[str, ...] = field(default=())


def pixel_size(
    dpi: tuple[float, float] | None, lengths: Sequence[Known], record: PixelSize | None, name: str
) -> PixelSize | None:
    """Return the size of a pixel; None where nothing at all is known of it.

    Args:
        dpi: what the file states.
        lengths: known lengths in the scan.
        record: what a scanner record says.
        name: name of the picture, for messages.

    Raises:
        ScanError: what is known contradicts itself.
    """
    start = _start(dpi, lengths, record)
    if start is None:
        return None
    solid = _solved(start, lengths, record, [])
    proven = tuple(solid is not None and u <= _TRUSTED for u in (solid.u if solid else (1.0, 1.0)))
    stated = [_file_says(dpi, proven)] if dpi else []
    whole = _solved(start, lengths, record, stated)
    if whole is None:
        return None
    _require_agreement(whole, lengths, record, dpi, name)
    source = [*(each.what for each in lengths), *(record.source if record else ())]
    if not all(proven) and dpi:
        source.append("resolution in the file")
    return PixelSize(whole.mm, whole.u, (proven[0], proven[1]), tuple(source))


_Stated = tuple[tuple[float, float], tuple[float, float]]


def _file_says(dpi: tuple[float, float], proven: Sequence[bool]) -> _Stated:
    """Sizes by the file, and how well known; its word counts for nothing where there is better."""
    across, along = (np.inf if known else FILE_U for known in proven)
    return (MM_PER_INCH / dpi[0], MM_PER_INCH / dpi[1]), (across, along)


def _start(
    dpi: tuple[float, float] | None, lengths: Sequence[Known], record: PixelSize | None
) -> tuple[float, float] | None:
    if record:
        return record.mm
    if dpi:
        return MM_PER_INCH / dpi[0], MM_PER_INCH / dpi[1]
    if lengths:
        size = lengths[0].length / float(np.linalg.norm(lengths[0].along))
        return size, size
    return None


def _solved(
    start: tuple[float, float],
    lengths: Sequence[Known],
    record: PixelSize | None,
    stated: Sequence[_Stated],
) -> PixelSize | None:
    """Least squares for the relative changes of both sizes, in two steps; None if they stay undetermined."""
    mm = np.array(start)
    for _ in range(3):
        rows, wanted = [], []
        for each in lengths:
            parts = (each.along * mm) ** 2
            seen = parts.sum()
            rows.append(parts / seen / each.u)
            wanted.append((each.length / np.sqrt(seen) - 1.0) / each.u)
        for sizes, u in [*([(record.mm, record.u)] if record else []), *stated]:
            for axis in (0, 1):
                rows.append(np.eye(2)[axis] / u[axis])
                wanted.append((sizes[axis] / mm[axis] - 1.0) / u[axis])
        matrix = np.array(rows).reshape(-1, 2)
        normal = matrix.T @ matrix
        if len(rows) < 2 or np.linalg.matrix_rank(normal, tol=1.0) < 2:
            return _one_axis(mm, matrix, np.array(wanted)) if rows else None
        covariance = np.linalg.inv(normal)
        mm = mm * (1.0 + covariance @ matrix.T @ np.array(wanted))
    u = np.sqrt(np.diag(covariance))
    return PixelSize((float(mm[0]), float(mm[1])), (float(u[0]), float(u[1])), (False, False))


def _one_axis(mm: Floats, matrix: Floats, wanted: Floats) -> PixelSize | None:
    """Lengths along one axis only: the other one stays unknown."""
    share = (matrix**2).sum(axis=0)
    known = int(np.argmax(share))
    if share[1 - known] > 0.01 * share[known]:
        return None
    change = float(matrix[:, known] @ wanted / share[known])
    u = [np.inf, np.inf]
    u[known] = float(1.0 / np.sqrt(share[known]))
    sizes = mm.copy()
    sizes[known] *= 1.0 + change
    return PixelSize((float(sizes[0]), float(sizes[1])), (u[0], u[1]), (False, False))


def _require_agreement(
    size: PixelSize,
    lengths: Sequence[Known],
    record: PixelSize | None,
    dpi: tuple[float, float] | None,
    name: str,
) -> None:
    for each in lengths:
        seen = float(np.linalg.norm(each.along * size.mm))
        if abs(seen / each.length - 1.0) > _CONTRADICT * max(each.u, 0.0005):
            raise ScanError(
                f"{name}: {each.what} is {each.length:.2f} mm, but by all else that is known of this scan it "
                f"would be {seen:.2f} mm: look at the length, the pixels, and the scanner record"
            )
    if record and any(
        abs(mm / stated - 1.0) > _CONTRADICT * u
        for mm, stated, u in zip(size.mm, record.mm, record.u, strict=True)
    ):
        raise ScanError(
            f"{name}: what lies in the scan contradicts the scanner record; measure the scanner again"
        )
    if dpi and any(
        abs(mm * each / MM_PER_INCH - 1.0) > _FILE_OFF for mm, each in zip(size.mm, dpi, strict=True)
    ):
        told = " x ".join(f"{MM_PER_INCH / mm:.1f}" for mm in size.mm)
        raise ScanError(
            f"{name}: the file says {dpi[0]:.1f} x {dpi[1]:.1f} dpi, but by what lies in the scan it is "
            f"{told} dpi: no scanner is so far off; look at the length that was given and at its pixels"
        )
