"""PNG previews, made from the SVG of the same drawing.

A preview is to look at, never to cut by. It needs the system's libcairo, which no Python package
brings along; where that is missing a preview is refused in plain words and everything else works.
"""

from __future__ import annotations

from templgen.drawing import Drawing
from templgen.errors import ExportError
from templgen.exporters.base import Exporter
from templgen.exporters.svg import svg_bytes

__all__ = ["EXPORTER", "PREVIEW_DPI", "PreviewUnavailable", "png_bytes"]

PREVIEW_DPI = 150


class PreviewUnavailable(ExportError):
    """This machine can not make previews; its text says what is missing."""


def png_bytes(svg: bytes, dpi: int = PREVIEW_DPI) -> bytes:
    """Return a picture of an SVG sheet on white, `dpi` dots to the inch.

    Raises PreviewUnavailable where libcairo can not be loaded.
    """
    try:
        import cairosvg
    except OSError as error:
        raise PreviewUnavailable(
            "no PNG previews: the system library libcairo is not installed (SVG, PDF and DXF do not need it)"
        ) from error
    picture = cairosvg.svg2png(bytestring=svg, dpi=dpi, background_color="white")
    return bytes(picture)


def _write(drawing: Drawing) -> bytes:
    return png_bytes(svg_bytes(drawing))


EXPORTER = Exporter(name="png", suffix=".png", reads="drawing", paper=True, write=_write)
