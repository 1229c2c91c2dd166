"""Image files as grey pixels."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.errors import TemplgenError
from templgen.proof.scan.metadata import FileFacts, facts_of

__all__ = ["Grey", "Picture", "ScanError", "read_picture"]

Grey = NDArray[np.uint8]

_LEAST_SIDE = 200


class ScanError(TemplgenError):
    """A picture that can not be read, or that shows no sheet of this program."""


class Picture(Struct, frozen=True):
    """A picture: the file's name, its pixels (row 0 is the upper one), what the file says of itself."""

    name: str
    grey: Grey
    facts: FileFacts

    @property
    def width(self) -> int:
        """Pixels along x."""
        return int(self.grey.shape[1])

    @property
    def height(self) -> int:
        """Pixels along y."""
        return int(self.grey.shape[0])


def read_picture(path: Path) -> Picture:
    """Read an image file.

    Raises:
        ScanError: there is none, it is no image, or the extra `scan` is not installed.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise ScanError(f"{path}: {error.strerror or error}") from None
    if data.startswith(b"%PDF"):
        raise ScanError(f"{path}: this is a PDF; let the scanner write PNG, TIFF or JPEG, at 300 dpi or more")
    return Picture(path.name, _decoded(path, data), facts_of(data))


def _decoded(path: Path, data: bytes) -> Grey:
    try:
        import cv2
    except ImportError:
        raise ScanError(
            "reading scans needs OpenCV, which is not installed: pip install 'templgen[scan]'"
        ) from None
    grey = None
    if data:
        try:
            grey = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_GRAYSCALE)
        except cv2.error:
            grey = None
    if grey is None:
        raise ScanError(f"{path}: no image that can be read; PNG, TIFF and JPEG can")
    pixels = np.ascontiguousarray(grey, dtype=np.uint8)
    if min(pixels.shape) < _LEAST_SIDE:
        raise ScanError(
            f"{path}: {pixels.shape[1]} x {pixels.shape[0]} pixels are too few to measure anything"
        )
    return pixels
