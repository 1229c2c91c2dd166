"""SVG sheets: size and viewBox in millimetres, arcs as arcs, words as outlines of the shipped font.

SVG counts y downwards. Every place is turned over one by one; a mirroring transform would mirror the
words as well. Lines of one meaning form one group, which carries their line style.
"""

from __future__ import annotations

import math
from functools import cache
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
from templgen.drawing.font import glyph_outlines, start_of, unit_size
from templgen.exporters.base import Exporter, Writer, described, page_size
from templgen.geometry import Arc, Contour, Vec
from templgen.units import format_number

__all__ = ["EXPORTER", "svg_bytes"]

# Of an arc near a half circle, the rounding of its ends and radius moves the middle by the root of
# the rounding times the radius: 0.03 mm at a radius of 10 mm. In quarters it stays at the rounding.
_WIDEST_ARC = 90.0

_MATRIX_PLACES = 9  # a factor is multiplied by hundreds of millimetres or thousands of font units


def _number(value: float, places: int = 4) -> str:
    """Return a number as SVG takes it, to 0.0001 mm, without an exponent and without a minus zero."""
    return format_number(value, places, trim=True)


class _SvgWriter(Writer):
    def begin(self, drawing: Drawing) -> None:
        import svgwrite

        width, self._height = page_size(drawing, "SVG")
        size = (_number(width), _number(self._height))
        self._svg = svgwrite.Drawing(
            size=(f"{size[0]}mm", f"{size[1]}mm"),
            viewBox=f"0 0 {size[0]} {size[1]}",
            debug=False,
        )
        self._svg.set_desc(drawing.info.title, "; ".join(described(drawing)))
        self._root = self._svg.add(self._corrected(drawing)) if drawing.correction else self._svg
        self._groups: dict[tuple[Meaning, bool], Any] = {}

    def _corrected(self, drawing: Drawing) -> Any:
        """Return the one group that holds a printer's correction, about the lower left corner of the page."""
        assert drawing.correction is not None  # noqa: S101  # begin() asks
        a, b, c, d = drawing.correction.matrix
        values = (a, -b, -c, d, c * self._height, self._height * (1.0 - d))
        words = " ".join(_number(value, _MATRIX_PLACES) for value in values)
        return self._svg.g(id="printer-correction", transform=f"matrix({words})")

    def _group(self, meaning: Meaning) -> Any:
        group = self._groups.get((meaning, False))
        if group is None:
            style = style_of(meaning)
            group = self._root.add(self._svg.g(id=meaning.value.replace(" ", "-")))
            group.attribs.update(
                {
                    "fill": "none",
                    "stroke": "#000",
                    "stroke-width": _number(style.width),
                    "stroke-linejoin": "round",  # no spikes at sharp corners; the ends stay butt
                }
            )
            if style.pattern:
                group.attribs["stroke-dasharray"] = " ".join(_number(part) for part in style.pattern)
            self._groups[meaning, False] = group
        return group

    def _solid(self, meaning: Meaning) -> Any:
        """Return the group, inside the group of a meaning, of what is filled: words, arrows."""
        solid = self._groups.get((meaning, True))
        if solid is None:
            solid = self._group(meaning).add(self._svg.g(fill="#000", stroke="none"))
            self._groups[meaning, True] = solid
        return solid

    def _place(self, point: Vec) -> tuple[str, str]:
        return _number(point.x), _number(self._height - point.y)

    def line(self, mark: LineMark) -> None:
        start, end = self._place(mark.line.start), self._place(mark.line.end)
        self._group(mark.meaning).add(self._svg.line(start, end))

    def arc(self, mark: ArcMark) -> None:
        path = f"M{' '.join(self._place(mark.arc.start))}{self._arc_steps(mark.arc)}"
        self._group(mark.meaning).add(self._svg.path(d=path))

    def circle(self, mark: CircleMark) -> None:
        circle = self._svg.circle(self._place(mark.centre), _number(mark.radius))
        self._add(self._group(mark.meaning), circle, mark.name)

    def path(self, mark: PathMark) -> None:
        group = self._solid(mark.meaning) if mark.filled else self._group(mark.meaning)
        self._add(group, self._svg.path(d=self._path_steps(mark.contour)), mark.name)

    def _add(self, group: Any, element: Any, name: str) -> None:
        if name:
            element.set_desc(name)
        group.add(element)

    def _path_steps(self, contour: Contour) -> str:
        steps = [f"M{' '.join(self._place(contour.segments[0].start))}"]
        for segment in contour.segments:
            if isinstance(segment, Arc):
                steps.append(self._arc_steps(segment))
            else:
                steps.append(f"L{' '.join(self._place(segment.end))}")
        if contour.closed:
            steps.append("Z")
        return "".join(steps)

    def _arc_steps(self, arc: Arc) -> str:
        pieces = math.ceil(abs(arc.sweep) / _WIDEST_ARC)
        radius = _number(arc.radius)
        turn = "0" if arc.bulge > 0 else "1"  # counter-clockwise, seen with y down
        ends = [arc.point_at((i + 1) / pieces) for i in range(pieces)]
        return "".join(f"A{radius} {radius} 0 0 {turn} {' '.join(self._place(end))}" for end in ends)

    def text(self, text: Text) -> None:
        x, y = self._place(start_of(text))
        transform = f"translate({x} {y})"
        if text.angle:
            transform += f" rotate({_number(-text.angle, _MATRIX_PLACES)})"
        transform += f" scale({_number(unit_size(text.height, text.bold), _MATRIX_PLACES)})"
        path = self._svg.path(d=_words(text.text, text.bold))
        path.attribs["transform"] = transform
        path.attribs["aria-label"] = text.text
        self._solid(text.meaning).add(path)

    def end(self) -> None:
        pass  # the file is whole when it is asked for

    def to_bytes(self) -> bytes:
        """Return the file."""
        text = self._svg.tostring()
        return f'<?xml version="1.0" encoding="utf-8"?>\n{text}\n'.encode()


@cache
def _words(text: str, bold: bool) -> str:
    """Return the outlines of a text in font units, y down, as one path."""
    placed = ((place, _letter(character, bold)) for character, place, _ in glyph_outlines(text, bold))
    return "".join(f"M{place} 0{steps}" for place, steps in placed if steps)


@cache
def _letter(character: str, bold: bool) -> str:
    """Return one outline in steps from point to point, so that it can stand anywhere."""
    ((_, _, outline),) = glyph_outlines(character, bold)
    steps: list[str] = []
    x = y = first_x = first_y = 0.0
    for letter, places in outline:
        pairs = list(zip(places[0::2], places[1::2], strict=True))
        moved = " ".join(f"{_number(px - x)} {_number(y - py)}" for px, py in pairs)
        steps.append(f"{letter.lower()}{moved}")
        x, y = pairs[-1] if pairs else (first_x, first_y)
        if letter == "M":
            first_x, first_y = x, y
    return "".join(steps)


def svg_bytes(drawing: Drawing) -> bytes:
    """Return a drawing as an SVG file whose user unit is the millimetre.

    Raises ExportError when the drawing has no page, or holds what can not be written.
    """
    writer = _SvgWriter()
    writer.draw(drawing)
    return writer.to_bytes()


EXPORTER = Exporter(name="svg", suffix=".svg", reads="drawing", paper=True, write=svg_bytes)
