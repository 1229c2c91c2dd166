"""The least work that gives the same files: bare calls of the same libraries on entities that lie ready.

Run as a process of its own with the file that `build.py` prepared; it imports what a build uses, writes the
same entities as SVG, PDF and DXF, and turns the same SVG files into PNG. No job, no layout, no sheets.
"""

from __future__ import annotations

import io
import pickle
import sys
from typing import Any

import cairosvg
import click  # noqa: F401  # a build imports it
import ezdxf
import pydantic  # noqa: F401
import shapely  # noqa: F401
import svgwrite
import tree_sitter_toml  # noqa: F401
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont as PdfFont
from reportlab.pdfgen.canvas import Canvas


def main(prepared: str, dpi: int) -> None:
    with open(prepared, "rb") as file:
        pages, cuts, svgs, fonts = pickle.load(file)  # written by build.py a moment ago
    paper(pages, fonts)
    for cut in cuts:
        _dxf(cut)
    for svg in svgs:
        cairosvg.svg2png(bytestring=svg, dpi=dpi)


def paper(pages: list[dict[str, Any]], fonts: dict[bool, str]) -> None:
    """Write pages as SVG, and all of them as one PDF."""
    for page in pages:
        _svg(page, fonts)
    _pdf(pages, fonts)


def _svg(page: dict[str, Any], fonts: dict[bool, str]) -> str:
    drawing = svgwrite.Drawing(size=("1mm", "1mm"), debug=False)
    group = drawing.add(drawing.g(fill="none", stroke="#000"))
    for steps in page["svg_paths"]:
        group.add(drawing.path(d=steps))
    for x, y, radius in page["circles"]:
        group.add(drawing.circle((x, y), radius))
    for words, x, y, height, bold in page["texts"]:
        for letter in words:
            group.add(
                drawing.path(d=_outline(letter, bold, fonts), transform=f"translate({x} {y}) scale({height})")
            )
    return drawing.tostring()


_OUTLINES: dict[tuple[str, bool], str] = {}
_FONTS: dict[bool, tuple[Any, Any]] = {}


def _outline(letter: str, bold: bool, fonts: dict[bool, str]) -> str:
    key = (letter, bold)
    if key not in _OUTLINES:
        if bold not in _FONTS:
            font = TTFont(fonts[bold])
            _FONTS[bold] = (font.getGlyphSet(), font.getBestCmap())
        glyphs, names = _FONTS[bold]
        pen = SVGPathPen(glyphs)
        glyphs[names[ord(letter)]].draw(pen)
        _OUTLINES[key] = pen.getCommands()
    return _OUTLINES[key]


def _pdf(pages: list[dict[str, Any]], fonts: dict[bool, str]) -> bytes:
    for bold, path in fonts.items():
        pdfmetrics.registerFont(PdfFont(str(bold), path))
    file = io.BytesIO()
    canvas = Canvas(file, pageCompression=1, invariant=1)
    for page in pages:
        canvas.scale(mm, mm)
        for start, curves in page["pdf_paths"]:
            path = canvas.beginPath()
            path.moveTo(*start)
            for curve in curves:
                path.curveTo(*curve) if len(curve) == 6 else path.lineTo(*curve)
            canvas.drawPath(path)
        for x, y, radius in page["circles"]:
            canvas.circle(x, y, radius)
        for words, x, y, height, bold in page["texts"]:
            canvas.setFont(str(bold), height)
            canvas.drawString(x, y, words)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _dxf(cut: dict[str, Any]) -> str:
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    for points, closed in cut["polylines"]:
        space.add_lwpolyline(points, format="xyb", close=closed)
    for x, y, radius in cut["circles"]:
        space.add_circle((x, y), radius)
    for words, x, y, height, _ in cut["texts"]:
        space.add_text(words, height=height).set_placement((x, y))
    file = io.StringIO()
    document.write(file)
    return file.getvalue()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
