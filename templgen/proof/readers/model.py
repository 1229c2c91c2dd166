"""What every reader gives back: outlines made of pieces, and words. Millimetres, y up."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TypeAlias

__all__ = [
    "IDENTITY",
    "Bezier",
    "Bow",
    "Matrix",
    "Outline",
    "Page",
    "Pen",
    "Piece",
    "Point",
    "Round",
    "Straight",
    "Words",
    "apply",
    "inverse",
    "rounds",
    "size_of",
    "times",
]

Point: TypeAlias = tuple[float, float]
Matrix: TypeAlias = tuple[float, float, float, float, float, float]
"""The numbers a, b, c, d, e, f that take (x, y) to (a x + c y + e, b x + d y + f)."""

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def apply(matrix: Matrix, point: Point) -> Point:
    """Return where a matrix takes a point."""
    a, b, c, d, e, f = matrix
    x, y = point
    return a * x + c * y + e, b * x + d * y + f


def times(first: Matrix, then: Matrix) -> Matrix:
    """Return the matrix that does `first` and then `then`."""
    a, b, c, d, e, f = first
    p, q, r, s, u, v = then
    return (
        p * a + r * b,
        q * a + s * b,
        p * c + r * d,
        q * c + s * d,
        p * e + r * f + u,
        q * e + s * f + v,
    )


def inverse(matrix: Matrix) -> Matrix:
    """Return the matrix that undoes another; ZeroDivisionError for one that flattens the plane."""
    a, b, c, d, e, f = matrix
    det = a * d - b * c
    a, b, c, d = d / det, -b / det, -c / det, a / det
    return a, b, c, d, -(a * e + c * f), -(b * e + d * f)


def size_of(matrix: Matrix) -> float:
    """Return the mean factor of length of a matrix."""
    a, b, c, d, _, _ = matrix
    return math.sqrt(abs(a * d - b * c))


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight piece."""

    start: Point
    end: Point

    def at(self, t: float) -> Point:
        """Return the point at fraction `t` of the length."""
        (x0, y0), (x1, y1) = self.start, self.end
        return x0 + t * (x1 - x0), y0 + t * (y1 - y0)

    def moved(self, matrix: Matrix) -> Straight:
        """Return the piece after a matrix."""
        return Straight(apply(matrix, self.start), apply(matrix, self.end))


@dataclass(frozen=True, slots=True)
class Bezier:
    """A cubic Bezier curve."""

    start: Point
    first: Point
    second: Point
    end: Point

    def at(self, t: float) -> Point:
        """Return the point at parameter `t`."""
        u = 1.0 - t
        p, q, r, s = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        return (
            p * self.start[0] + q * self.first[0] + r * self.second[0] + s * self.end[0],
            p * self.start[1] + q * self.first[1] + r * self.second[1] + s * self.end[1],
        )

    def moved(self, matrix: Matrix) -> Bezier:
        """Return the piece after a matrix."""
        points = (self.start, self.first, self.second, self.end)
        return Bezier(*(apply(matrix, point) for point in points))


@dataclass(frozen=True, slots=True)
class Bow:
    """An arc of a circle, or of an ellipse by its matrix, as the file gives it. Angles in degrees."""

    centre: Point
    radius: float
    start_angle: float
    sweep: float
    matrix: Matrix = IDENTITY

    def at(self, t: float) -> Point:
        """Return the point at fraction `t` of the sweep."""
        angle = math.radians(self.start_angle + t * self.sweep)
        x = self.centre[0] + self.radius * math.cos(angle)
        y = self.centre[1] + self.radius * math.sin(angle)
        return apply(self.matrix, (x, y))

    @property
    def start(self) -> Point:
        """The point where it begins."""
        return self.at(0.0)

    @property
    def end(self) -> Point:
        """The point where it ends."""
        return self.at(1.0)

    def moved(self, matrix: Matrix) -> Bow:
        """Return the piece after a matrix."""
        return replace(self, matrix=times(self.matrix, matrix))


Piece: TypeAlias = Straight | Bezier | Bow


@dataclass(frozen=True, slots=True)
class Round:
    """A whole circle."""

    centre: Point
    radius: float
    layer: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Pen:
    """How an outline is drawn: line width and dashes in mm, None and () where no line is drawn.

    `ink` is the colour of the line, or of the inside where no line is drawn, as #rrggbb; `cap` is what the
    ends of lines and dashes look like.
    """

    width: float | None = None
    dash: tuple[float, ...] = ()
    filled: bool = False
    ink: str = "#000000"
    cap: str = "butt"


@dataclass(frozen=True, slots=True)
class Outline:
    """A chain of pieces, on which layer it lies and how it is drawn (a format may have neither)."""

    pieces: tuple[Piece, ...]
    closed: bool
    pen: Pen = Pen()
    layer: str = ""
    name: str = ""

    @property
    def filled(self) -> bool:
        """Whether the inside is painted."""
        return self.pen.filled

    @property
    def width(self) -> float | None:
        """Line width in mm."""
        return self.pen.width

    @property
    def dash(self) -> tuple[float, ...]:
        """Dash pattern in mm."""
        return self.pen.dash

    def moved(self, matrix: Matrix) -> Outline:
        """Return the outline after a matrix; its pen stays as it is."""
        return replace(self, pieces=tuple(piece.moved(matrix) for piece in self.pieces))

    def points(self, per_piece: int = 16) -> list[Point]:
        """Points along it, both ends of every piece included."""
        return [piece.at(i / per_piece) for piece in self.pieces for i in range(per_piece + 1)]

    def length(self, per_piece: int = 256) -> float:
        """Length along it, by chords."""
        return sum(math.dist(p, q) for p, q in pairwise(self.points(per_piece)))

    def bounds(self, per_piece: int = 64) -> tuple[float, float, float, float]:
        """Least and greatest x and y (xmin, ymin, xmax, ymax)."""
        xs, ys = zip(*self.points(per_piece), strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    def area(self, per_piece: int = 256) -> float:
        """Signed area by the shoelace formula over chords; counter-clockwise is positive."""
        points = self.points(per_piece)
        return 0.5 * sum(
            p[0] * q[1] - q[0] * p[1] for p, q in zip(points, [*points[1:], points[0]], strict=True)
        )

    def round(self, within: float = 0.002) -> Round | None:
        """Return the circle that a closed outline is, all of it within `within` mm, or None."""
        if not self.closed or not self.pieces or any(isinstance(piece, Straight) for piece in self.pieces):
            return None
        xs, ys = zip(*self.points(8), strict=True)
        centre = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
        # Points of equal spacing on a whole circle have their middle at its centre.
        evenly = [piece.at(i / 8) for piece in self.pieces for i in range(8)]
        if len({round(abs(getattr(p, "sweep", 0.0)), 3) for p in self.pieces}) == 1:
            centre = (sum(p[0] for p in evenly) / len(evenly), sum(p[1] for p in evenly) / len(evenly))
        distances = [math.dist(centre, point) for point in self.points(8)]
        radius = sum(distances) / len(distances)
        if max(distances) - min(distances) > 2 * within:
            return None
        return Round(centre, radius, self.layer, self.name)


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words and the frame it stands in.

    Attributes:
        at: start of the base line in mm (for DXF the point that `anchor` names).
        along, up: where one unit of the text's own plane goes, in mm. The unit is the em in a PDF, the
            height of a capital in a DXF file and the unit of the path's numbers in an SVG.
        anchor: "left", "middle" or "right".
        font: the font's name in a PDF, "" elsewhere.
        run: the length in mm that a PDF's own table of widths gives the words, else None.
        steps: the path of the outlines of an SVG, in the text's plane, else "".
        ink: the colour as #rrggbb.
    """

    text: str
    at: Point
    along: Point
    up: Point
    layer: str = ""
    anchor: str = "left"
    font: str = ""
    run: float | None = None
    steps: str = ""
    ink: str = "#000000"

    @property
    def angle(self) -> float:
        """Angle of the base line in degrees."""
        return math.degrees(math.atan2(self.along[1], self.along[0]))

    @property
    def size(self) -> float:
        """Size of one unit of the text's plane in mm."""
        return size_of((*self.along, *self.up, 0.0, 0.0))

    def moved(self, matrix: Matrix) -> Words:
        """Return the words after a matrix."""
        turn: Matrix = (*matrix[:4], 0.0, 0.0)
        along, up = apply(turn, self.along), apply(turn, self.up)
        run = None if self.run is None else self.run * math.hypot(*along) / math.hypot(*self.along)
        return replace(self, at=apply(matrix, self.at), along=along, up=up, run=run)


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a file.

    `boxes` are the boxes of a PDF page by name, in mm; `unit` is the unit that an SVG's size is written in
    ("" when it has none, and the numbers then count as CSS pixels of 1/96 in).
    """

    width: float
    height: float
    outlines: tuple[Outline, ...]
    words: tuple[Words, ...]
    boxes: dict[str, tuple[float, float, float, float]] = field(default_factory=dict)
    title: str = ""
    about: str = ""
    unit: str = "mm"
    oddities: tuple[str, ...] = ()

    def circles(self, layer: str | None = None) -> list[Round]:
        """The whole circles on it, of one layer or of all, in the order of the file."""
        return list(rounds(self.outlines, layer))

    def on(self, layer: str) -> list[Outline]:
        """The outlines of one layer."""
        return [outline for outline in self.outlines if outline.layer == layer]

    @property
    def text(self) -> str:
        """All words, one line each."""
        return "\n".join(words.text for words in self.words)


def rounds(outlines: Iterable[Outline], layer: str | None = None) -> Iterator[Round]:
    """Yield the whole circles among outlines."""
    for outline in outlines:
        if layer is None or outline.layer == layer:
            circle = outline.round()
            if circle is not None:
                yield circle
