"""What a file has to hold: the marks of a drawing as shapes and words, in the terms of a format.

Layer names and units are stated here once more, apart from the writers, so that an error in a writer shows.
"""

from __future__ import annotations

from functools import cache

from msgspec import Struct

from templgen.drawing import ArcMark, CircleMark, Drawing, Item, LineMark, Meaning, PathMark, Text, style_of
from templgen.drawing.font import em_size, font_path, start_of, text_width, unit_size
from templgen.errors import ReadBackError
from templgen.geometry import Arc, Bounds, Contour, Segment, Vec
from templgen.proof.readers.model import Pen, Point

__all__ = ["CUT_LAYERS", "CUT_MEANINGS", "Shape", "Wanted", "WantedWords", "wanted_of"]

CUT_MEANINGS = frozenset({Meaning.CUT, Meaning.HOLE, Meaning.LOCATING_HOLE})
"""What metal is cut or drilled by."""

CUT_LAYERS = frozenset(meaning.value.replace(" ", joint) for meaning in CUT_MEANINGS for joint in "-_")
"""The names of their layers."""

_JOINT = {"svg": "-", "dxf": "_"}
_SAME_CENTRE = 1e-9


class Shape(Struct, frozen=True):
    """One mark that is drawn.

    Attributes:
        name: what it is, in plain words, without its place.
        meaning: why it is there.
        segments: its lines and arcs in order; empty for a circle that is one.
        circle: centre and radius in mm, if it is a whole circle.
        closed: whether it returns to where it began.
        layer: its layer; "" in a format without layers.
        pen: how it is drawn; None where the format does not say.
    """

    name: str
    meaning: Meaning
    segments: tuple[Segment, ...]
    circle: tuple[Vec, float] | None
    closed: bool
    layer: str
    pen: Pen | None

    @property
    def is_cut(self) -> bool:
        """Whether metal is cut or drilled by it."""
        return self.meaning in CUT_MEANINGS

    @property
    def edges(self) -> tuple[Segment, ...]:
        """Its lines and arcs, for a circle two half arcs."""
        if self.segments or self.circle is None:
            return self.segments
        return Contour.circle(*self.circle).segments

    @property
    def bounds(self) -> Bounds:
        """The smallest box round it."""
        first, *rest = (edge.bounds for edge in self.edges)
        for box in rest:
            first = first.union(box)
        return first

    @property
    def place(self) -> Vec:
        """The middle of the box round it."""
        return self.circle[0] if self.circle else self.bounds.centre


class WantedWords(Struct, frozen=True):
    """One line of words in the terms of a format; `at`, `along`, `up`, `anchor` and `font` as in
    `templgen.proof.readers.model.Words`; `wide` and `high` are their extent in units of that plane;
    `outlined` says whether their letters are there as outlines."""

    text: str
    at: Vec
    along: Point
    up: Point
    wide: float
    high: float
    layer: str
    anchor: str
    bold: bool
    font: str
    outlined: bool


class Wanted(Struct, frozen=True):
    """All that a drawing wants to find in its file."""

    shapes: tuple[Shape, ...]
    words: tuple[WantedWords, ...]


def wanted_of(drawing: Drawing, kind: str) -> Wanted:
    """Return what a file of the format `kind` ("svg", "pdf", "dxf") has to hold of a drawing."""
    shapes = [_shape(item, kind) for item in drawing.items if not isinstance(item, Text)]
    words = [_words(item, kind) for item in drawing.items if isinstance(item, Text)]
    return Wanted(tuple(shapes), tuple(words))


@cache
def _layer(meaning: Meaning, kind: str) -> str:
    joint = _JOINT.get(kind)
    return "" if joint is None else meaning.value.replace(" ", joint)


@cache
def _pen(meaning: Meaning, filled: bool, kind: str) -> Pen | None:
    if kind == "dxf":
        return None
    if filled:
        return Pen(None, (), True)
    style = style_of(meaning)
    return Pen(style.width, tuple(style.pattern), False)


def _shape(item: Item, kind: str) -> Shape:
    meaning = item.meaning
    layer, pen = _layer(meaning, kind), _pen(meaning, isinstance(item, PathMark) and item.filled, kind)
    if isinstance(item, LineMark):
        return Shape(_name("line", item), meaning, (item.line,), None, False, layer, pen)
    if isinstance(item, ArcMark):
        return Shape(_name("arc", item), meaning, (item.arc,), None, False, layer, pen)
    if isinstance(item, CircleMark):
        circle = (item.centre, item.radius)
        return Shape(_name("circle", item), meaning, (), circle, True, layer, pen)
    if isinstance(item, PathMark):
        contour = item.contour
        what = "outline" if contour.closed else "line"
        round_ = _whole_circle(contour)
        return Shape(_name(what, item), meaning, contour.segments, round_, contour.closed, layer, pen)
    raise ReadBackError(f"a drawing holds a {type(item).__name__}, which read-back does not know")


def _name(what: str, item: LineMark | ArcMark | CircleMark | PathMark) -> str:
    name = getattr(item, "name", "")
    if name.isdecimal():
        return f"hole {name}"
    return f"{item.meaning.value} {what}" + (f" {name!r}" if name else "")


def _whole_circle(contour: Contour) -> tuple[Vec, float] | None:
    first = contour.segments[0]
    if not contour.closed or not isinstance(first, Arc):
        return None
    for part in contour.segments:
        if not isinstance(part, Arc) or part.centre.distance_to(first.centre) > _SAME_CENTRE:
            return None
    return first.centre, first.radius


def _words(text: Text, kind: str) -> WantedWords:
    if kind == "svg":
        size = unit_size(text.height, text.bold)
    else:
        size = em_size(text.height, text.bold) if kind == "pdf" else text.height
    along = Vec.polar(size, text.angle)
    layer = _layer(text.meaning, kind)
    wide, high = text_width(text.text, text.height, text.bold) / size, text.height / size
    at, anchor = (text.at, text.anchor.value) if kind == "dxf" else (start_of(text), "left")
    font = font_path(text.bold).stem if kind == "pdf" else ""
    return WantedWords(
        text.text,
        at,
        (along.x, along.y),
        (-along.y, along.x),
        wide,
        high,
        layer,
        anchor,
        text.bold,
        font,
        kind == "svg",
    )
