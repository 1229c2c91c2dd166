"""DXF cut files: R2000, millimetres said in the header, one layer per meaning, arcs as true arcs.

What a machine or a shop would cut wrongly is refused: open or doubled outlines, filled marks, a printer's
correction, words anywhere but on the layer of notes. Written files pass the library's own audit first.
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from io import StringIO
from typing import TYPE_CHECKING

from templgen.drawing import (
    Anchor,
    ArcMark,
    CircleMark,
    Drawing,
    LineMark,
    Meaning,
    PathMark,
    Text,
    style_of,
)
from templgen.drawing.font import text_bounds
from templgen.errors import ExportError
from templgen.exporters.base import Exporter, Writer, described
from templgen.geometry import Arc, Bounds, Contour, Segment, Vec

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["CUT_MEANINGS", "EXPORTER", "dxf_bytes", "layer_name"]

CUT_MEANINGS = frozenset({Meaning.CUT, Meaning.HOLE, Meaning.LOCATING_HOLE})
"""What is cut or drilled along: whole outlines only, each of them once."""

_SAME_PLACE = 0.001  # mm: nearer than a cutter could tell apart
_OFF_GRID = 0.000317  # so that no dimension a person writes lies on the border between two cells
_SAME_CIRCLE = 1e-9  # mm: the two halves of one circle come from one centre and one radius


def layer_name(meaning: Meaning) -> str:
    """Return the name of the layer for lines of a meaning: its own words, without spaces.

    >>> layer_name(Meaning.LOCATING_HOLE)
    'locating_hole'
    """
    return meaning.value.replace(" ", "_")


class _DxfWriter(Writer):
    def begin(self, drawing: Drawing) -> None:
        from ezdxf import units
        from ezdxf.filemanagement import new

        if drawing.correction is not None:
            raise ExportError(
                f"{drawing.info.title!r} carries the correction of a printer: a cut file is true as it is"
            )
        self._about = [f"templgen: {drawing.info.title}", *described(drawing)]
        self._document = new("R2000", units=units.MM)
        self._document.header["$MEASUREMENT"] = 1  # metric
        self._space = self._document.modelspace()
        self._boxes: list[Bounds] = []
        self._layers: dict[Meaning, str] = {}
        self._circles: set[tuple[int, int, int]] = set()
        self._edges: set[tuple[int, int, int, int, int]] = set()

    def _layer(self, meaning: Meaning) -> dict[str, str]:
        name = self._layers.get(meaning)
        if name is None:
            name = self._layers[meaning] = layer_name(meaning)
            self._document.layers.add(name, lineweight=round(style_of(meaning).width * 100))
        return {"layer": name}

    def line(self, mark: LineMark) -> None:
        _refuse_open(mark.meaning, mark.line.start)
        start, end = mark.line.start, mark.line.end
        self._boxes.append(mark.line.bounds)
        self._space.add_line((start.x, start.y), (end.x, end.y), self._layer(mark.meaning))

    def arc(self, mark: ArcMark) -> None:
        _refuse_open(mark.meaning, mark.arc.start)
        arc, layer = mark.arc, self._layer(mark.meaning)
        self._boxes.append(arc.bounds)
        ends = (arc.start_angle, arc.end_angle) if arc.is_ccw else (arc.end_angle, arc.start_angle)
        self._space.add_arc((arc.centre.x, arc.centre.y), arc.radius, *ends, dxfattribs=layer)

    def circle(self, mark: CircleMark) -> None:
        self._add_circle(mark.centre, mark.radius, mark.meaning)

    def _add_circle(self, centre: Vec, radius: float, meaning: Meaning) -> None:
        if meaning in CUT_MEANINGS:
            cell = (_cell(centre.x), _cell(centre.y), _cell(radius))
            if cell in self._circles:
                raise ExportError(f"two circles of {2 * radius:.4g} mm lie on each other at {centre}")
            self._circles.add(cell)
        self._boxes.append(Bounds(centre.x - radius, centre.y - radius, centre.x + radius, centre.y + radius))
        self._space.add_circle((centre.x, centre.y), radius, self._layer(meaning))

    def path(self, mark: PathMark) -> None:
        contour, meaning = mark.contour, mark.meaning
        if mark.filled:
            raise ExportError(f"a filled mark of the kind {meaning.value!r} has no place in a cut file")
        whole = _whole_circle(contour)
        if whole is not None:
            self._add_circle(whole.centre, whole.radius, meaning)
            return
        if not contour.closed:
            _refuse_open(meaning, contour.segments[0].start)
        if meaning in CUT_MEANINGS:
            self._refuse_doubled(contour)
        self._boxes.append(contour.bounds)
        self._space.add_lwpolyline(
            _bulge_points(contour), format="xyb", close=contour.closed, dxfattribs=self._layer(meaning)
        )

    def _refuse_doubled(self, contour: Contour) -> None:
        for segment in contour.segments:
            edge = _edge(segment)
            if edge in self._edges:
                raise ExportError(f"two outlines share the edge from {segment.start} to {segment.end}")
            self._edges.add(edge)

    def text(self, text: Text) -> None:
        from ezdxf.enums import TextEntityAlignment

        if text.meaning is not Meaning.NOTE:
            raise ExportError(
                f"the text {text.text!r} lies on the layer {text.meaning.value!r}, not on 'note'"
            )
        align = {
            Anchor.LEFT: TextEntityAlignment.LEFT,
            Anchor.MIDDLE: TextEntityAlignment.CENTER,
            Anchor.RIGHT: TextEntityAlignment.RIGHT,
        }[text.anchor]
        entity = self._space.add_text(
            text.text, height=text.height, rotation=text.angle, dxfattribs=self._layer(text.meaning)
        )
        entity.set_placement((text.at.x, text.at.y), align=align)
        self._boxes += [box for box in [Bounds.of(text_bounds(text))] if box is not None]

    def _say_extent(self) -> None:
        """Say the corners of all marks: the library writes them as $EXTMIN and $EXTMAX, to zoom and nest by.

        Words have the widths of our own font; a drawing without marks keeps the box that says nothing.
        """
        if self._boxes:
            low = min(box.xmin for box in self._boxes), min(box.ymin for box in self._boxes)
            high = max(box.xmax for box in self._boxes), max(box.ymax for box in self._boxes)
            self._space.dxf.extmin, self._space.dxf.extmax = (*low, 0.0), (*high, 0.0)

    def end(self) -> None:
        self._say_extent()
        audit = self._document.audit()
        faults = [*audit.errors, *audit.fixes]
        if faults:
            raise ExportError(f"the cut file is not clean: {faults[0].message} ({len(faults)} in all)")

    def to_bytes(self) -> bytes:
        """Return the file, with what it says about itself in comments (group code 999) at its head."""
        stream = StringIO()
        self._document.write(stream)
        about = "".join(f"999\n{line}\n" for line in self._about)
        return _encoded(about + stream.getvalue())


def _encoded(text: str) -> bytes:
    """Encode a file in the part of its code page (1252) that is the same in ISO 8859-1.

    Programs differ in how they take the rest; the DXF form of any other character is \\U+XXXX, which has
    room for four digits.
    """
    if beyond := re.search(r"[^\x00-\uffff]", text):
        raise ExportError(f"{beyond[0]!r} can not be written in a DXF file")
    return re.sub(r"[^\x00-\x7f\xa0-\xff]", lambda m: f"\\U+{ord(m[0]):04X}", text).encode("latin-1")


def _refuse_open(meaning: Meaning, at: Vec) -> None:
    if meaning in CUT_MEANINGS:
        raise ExportError(f"an open line on the layer {meaning.value!r} at {at}: only whole outlines are cut")


def _cell(value: float) -> int:
    return round((value + _OFF_GRID) / _SAME_PLACE)


def _edge(segment: Segment) -> tuple[int, int, int, int, int]:
    """Return where an edge lies, the same for both directions: its ends in order, and how far it bows out."""
    start = (_cell(segment.start.x), _cell(segment.start.y))
    end = (_cell(segment.end.x), _cell(segment.end.y))
    sagitta = segment.bulge * segment.start.distance_to(segment.end) / 2 if isinstance(segment, Arc) else 0.0
    if end < start:
        start, end, sagitta = end, start, -sagitta
    return (*start, *end, _cell(sagitta))


def _whole_circle(contour: Contour) -> Arc | None:
    """Return an arc of the circle that a closed contour is, or None when it is none."""
    first = contour.segments[0]
    if not contour.closed or not isinstance(first, Arc):
        return None
    for segment in contour.segments:
        if (
            not isinstance(segment, Arc)
            or segment.is_ccw != first.is_ccw
            or segment.centre.distance_to(first.centre) > _SAME_CIRCLE
            or abs(segment.radius - first.radius) > _SAME_CIRCLE
        ):
            return None
    return first


def _bulge_points(contour: Contour) -> list[tuple[float, float, float]]:
    points = [
        (segment.start.x, segment.start.y, segment.bulge if isinstance(segment, Arc) else 0.0)
        for segment in contour.segments
    ]
    if not contour.closed:
        end = contour.segments[-1].end
        points.append((end.x, end.y, 0.0))
    return points


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """Let the library write a fixed date and fixed identifiers: equal drawings become equal files."""
    from ezdxf._options import options  # the object that ezdxf shows as ezdxf.options, untyped there

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def dxf_bytes(drawing: Drawing) -> bytes:
    """Return the geometry of a flat part, or of any drawing, as a DXF file in millimetres.

    Circles become CIRCLE, closed and open paths LWPOLYLINE with bulges, words TEXT on the layer of notes.
    Raises ExportError for what would be cut wrongly; see the module's first lines.
    """
    writer = _DxfWriter()
    with _fixed_metadata():
        writer.draw(drawing)
        return writer.to_bytes()


EXPORTER = Exporter(name="dxf", suffix=".dxf", reads="drawing", paper=False, write=dxf_bytes)
