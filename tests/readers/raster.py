"""Pictures of pages, to measure them as an eye would: PDF by pdfium, SVG by cairo."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import numpy as np
import numpy.typing as npt

Picture = npt.NDArray[np.float64]
"""Grey values from 0 (black) to 1 (white), rows from the top of the page."""


def pdf_picture(data: bytes, dpi: float, page: int = 0) -> Picture:
    """Return a page of a PDF as pdfium renders it."""
    import pypdfium2

    document: Any = pypdfium2.PdfDocument(data)
    try:
        # A hair less, so that a page of whole pixels is not rounded up by one and stretched.
        image = document[page].render(scale=dpi / 72.0 * (1.0 - 1e-9), grayscale=True).to_numpy().copy()
    finally:
        document.close()
    return np.asarray(image, dtype=np.float64).reshape(image.shape[0], image.shape[1]) / 255.0


def pdf_words(data: bytes, page: int = 0) -> str:
    """Return the words of a page as pdfium finds them, so as a viewer's search would."""
    import pypdfium2

    document: Any = pypdfium2.PdfDocument(data)
    try:
        return str(document[page].get_textpage().get_text_range())
    finally:
        document.close()


def svg_picture(data: bytes, dpi: float) -> Picture:
    """Return an SVG as cairo renders it, on white. Raises OSError where libcairo is missing."""
    import cairosvg
    from PIL import Image

    png = cairosvg.svg2png(bytestring=data, dpi=dpi, background_color="white")
    with Image.open(BytesIO(png)) as image:
        return np.asarray(image.convert("L"), dtype=np.float64) / 255.0


def ink_centre(picture: Picture, axis: int) -> float:
    """Return the middle of the ink along an axis (0 down, 1 across) in pixels from the edge."""
    ink = (1.0 - picture).sum(axis=1 - axis)
    if ink.sum() == 0.0:
        raise ValueError("there is no ink here")
    return float((ink * (np.arange(ink.size) + 0.5)).sum() / ink.sum())
