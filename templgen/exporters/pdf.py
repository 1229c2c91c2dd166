"""PDF sheets: one document, each page with its own size, at 1:1 and with no wish to be scaled.

Places are written in millimetres under one transform to the points of PDF (ISO 32000-1: 1/72 in). An
arc is one Bezier curve per 45 degrees or less, drawn from the ends and the bulge; such a curve stays
within 5 millionths of the radius of its circle. On large radii the curves are shorter, so that none leaves
its arc by more than a thousandth of a millimetre. Words are real text in
the embedded font, so they can be searched.

The library keeps the document, the pages and the fonts; the steps of paths are written here, to
0.00001 mm, because its own number formatter is most of its time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from io import BytesIO
from typing import Any

from templgen.drawing import (
    ArcMark,
    CircleMark,
    Drawing,
    LineMark,
    Meaning,
    PathMark,
    Text,
    style_of,
)
from templgen.drawing.font import em_size, font_path, start_of
from templgen.errors import ExportError
from templgen.exporters.base import Exporter, Writer, described, page_size
from templgen.geometry import Arc, Contour, Vec
from templgen.units import MM_PER_INCH

__all__ = ["EXPORTER", "pdf_bytes"]

_POINTS_PER_MM = 72.0 / MM_PER_INCH
_WIDEST_CURVE = 45.0  # degrees
_LARGE_RADIUS = 200.0  # mm: there a curve of 45 degrees leaves its arc by 0.001 mm
_PDF_VERSION = (1, 6)  # the first that knows PrintScaling
_BUTT_ENDS, _ROUND_JOINS = 0, 1  # dashes keep their length; sharp corners grow no spikes


@cache
def _font_name(bold: bool) -> str:
    """Make the shipped font known to the library once, and return its name there."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    name = "templgen-bold" if bold else "templgen"
    pdfmetrics.registerFont(TTFont(name, str(font_path(bold))))
    return name


class _PdfWriter(Writer):
    def __init__(self, first: Drawing) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self._file = BytesIO()
        self._canvas: Any = Canvas(
            self._file,
            pdfVersion=_PDF_VERSION,
            pageCompression=1,
            invariant=1,
            initialFontName=_font_name(False),  # or every page would name a font that is not embedded
        )
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._canvas.setTitle(first.info.title)
        self._canvas.setSubject(first.info.subject)
        self._canvas.setKeywords("; ".join(described(first, subject=False)))
        self._canvas.setAuthor("")
        self._canvas.setCreator("templgen")

    def page(self, drawing: Drawing, bookmark: str) -> None:
        """Write one drawing as the next page."""
        key = f"page-{self._canvas.getPageNumber()}"
        self._canvas.bookmarkPage(key)
        self._canvas.addOutlineEntry(bookmark, key)
        self.draw(drawing)

    def begin(self, drawing: Drawing) -> None:
        width, height = (side * _POINTS_PER_MM for side in page_size(drawing, "PDF"))
        canvas = self._canvas
        canvas.setPageSize((width, height))
        canvas.setCropBox((0, 0, width, height))
        canvas.setTrimBox((0, 0, width, height))
        canvas.scale(_POINTS_PER_MM, _POINTS_PER_MM)
        if drawing.correction:
            canvas.transform(*drawing.correction.matrix, 0.0, 0.0)
        canvas.setLineCap(_BUTT_ENDS)
        canvas.setLineJoin(_ROUND_JOINS)
        self._meaning: Meaning | None = None

    def line(self, mark: LineMark) -> None:
        start, end = mark.line.start, mark.line.end
        self._stroke(mark.meaning, f"{_move(start)} {_straight(end)}")

    def arc(self, mark: ArcMark) -> None:
        self._stroke(mark.meaning, f"{_move(mark.arc.start)} {_bowed(mark.arc)}")

    def circle(self, mark: CircleMark) -> None:
        x, y, radius = mark.centre.x, mark.centre.y, mark.radius
        if radius > _LARGE_RADIUS:
            self._stroke(mark.meaning, _steps(Contour.circle(mark.centre, radius)))
            return
        places = [(y if odd else x) + radius * unit for odd, unit in _unit_circle()]
        self._stroke(mark.meaning, _CIRCLE % tuple(places))

    def path(self, mark: PathMark) -> None:
        steps = _steps(mark.contour)
        if mark.filled:
            self._canvas.addLiteral(f"{steps} f")
        else:
            self._stroke(mark.meaning, steps)

    def _stroke(self, meaning: Meaning, steps: str) -> None:
        if meaning is not self._meaning:
            style = style_of(meaning)
            self._canvas.setLineWidth(style.width)
            self._canvas.setDash(list(style.pattern))
            self._meaning = meaning
        self._canvas.addLiteral(f"{steps} S")

    def text(self, text: Text) -> None:
        start = start_of(text)  # measures every letter, and so refuses one that the font does not have
        along = Vec.polar(1.0, text.angle)
        words = self._canvas.beginText()
        words.setTextTransform(along.x, along.y, -along.y, along.x, start.x, start.y)
        words.setFont(_font_name(text.bold), em_size(text.height, text.bold))
        words.textOut(text.text)
        self._canvas.drawText(words)

    def end(self) -> None:
        self._canvas.showPage()

    def to_bytes(self) -> bytes:
        """Return the file."""
        self._canvas.save()
        return self._file.getvalue()


# Operators of ISO 32000-1, 8.5.2: m begins a path, l and c add a line and a curve, h closes it.


def _move(point: Vec) -> str:
    return f"{point.x:.5f} {point.y:.5f} m"


def _straight(point: Vec) -> str:
    return f"{point.x:.5f} {point.y:.5f} l"


def _bowed(arc: Arc) -> str:
    return " ".join(
        f"{a.x:.5f} {a.y:.5f} {b.x:.5f} {b.y:.5f} {c.x:.5f} {c.y:.5f} c" for a, b, c in _curves(arc)
    )


def _steps(contour: Contour) -> str:
    steps = [_bowed(part) if isinstance(part, Arc) else _straight(part.end) for part in contour.segments]
    return " ".join([_move(contour.segments[0].start), *steps, *(["h"] if contour.closed else [])])


def _curves(arc: Arc) -> list[tuple[Vec, Vec, Vec]]:
    """Return the two control points and the end of each Bezier curve along an arc.

    The usual handle of a piece of sweep s, 4/3 tan(s/4) times the radius, is chord / (3 cos(s/4)^2): so
    written it needs no centre, and arcs that are nearly straight lose nothing.
    """
    pieces = math.ceil(abs(arc.sweep) / _widest(arc.radius))
    sweep = arc.sweep / pieces
    share = 1.0 / (3.0 * math.cos(math.radians(sweep) / 4.0) ** 2)
    curves: list[tuple[Vec, Vec, Vec]] = []
    start = arc.start
    for piece in range(1, pieces + 1):
        end = arc.point_at(piece / pieces)
        handle = (end - start) * share
        curves.append((start + handle.turned(-sweep / 2.0), end - handle.turned(sweep / 2.0), end))
        start = end
    return curves


def _widest(radius: float) -> float:
    """Return the widest sweep of one curve in degrees: its error grows with the radius and the sweep^6."""
    return _WIDEST_CURVE * min(1.0, math.pow(_LARGE_RADIUS / radius, 1.0 / 6.0))


_CIRCLE = " ".join(["%.5f %.5f m", *["%.5f %.5f %.5f %.5f %.5f %.5f c"] * 8, "h"])


@cache
def _unit_circle() -> tuple[tuple[bool, float], ...]:
    """Return the numbers of `_CIRCLE` for the unit circle, each with whether it is a y."""
    halves = (Arc(Vec(1.0, 0.0), Vec(-1.0, 0.0), 1.0), Arc(Vec(-1.0, 0.0), Vec(1.0, 0.0), 1.0))
    points = [Vec(1.0, 0.0), *(point for half in halves for curve in _curves(half) for point in curve)]
    return tuple(entry for point in points for entry in ((False, point.x), (True, point.y)))


def pdf_bytes(drawings: Sequence[Drawing], *, bookmarks: Sequence[str] | None = None) -> bytes:
    """Return drawings as one PDF document, one page each, every page in its own size.

    Title, subject and digest of the document are those of the first drawing. `bookmarks` are the names of
    the pages in the viewer's list; without it each page goes by its title. Raises ExportError when there is
    no drawing, when a drawing has no page, or when the pages do not come from one job.
    """
    if not drawings:
        raise ExportError("a PDF needs at least one page")
    digests = {drawing.info.digest for drawing in drawings}
    if len(digests) > 1:
        raise ExportError(
            f"the pages of one PDF come from different jobs: digests {', '.join(sorted(digests))}"
        )
    names = [drawing.info.title for drawing in drawings] if bookmarks is None else bookmarks
    if len(names) != len(drawings):
        raise ExportError(f"{len(names)} bookmarks for {len(drawings)} pages")
    writer = _PdfWriter(drawings[0])
    for drawing, name in zip(drawings, names, strict=True):
        writer.page(drawing, name)
    return writer.to_bytes()


def _write(drawing: Drawing) -> bytes:
    return pdf_bytes([drawing])


EXPORTER = Exporter(name="pdf", suffix=".pdf", reads="drawing", paper=True, write=_write)
