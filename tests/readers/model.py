"""What every reader gives back: outlines made of pieces, and words. Millimetres, y up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeAlias

Point: TypeAlias = tuple[float, float]
Matrix: TypeAlias = tuple[float, float, float, float, float, float]
IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


class ReadError(Exception):
    """A file holds something that the reader does not know."""


def apply(matrix: Matrix, point: Point) -> Point:
    """Return (a x + c y + e, b x + d y + f)."""
    a, b, c, d, e, f = matrix
    x, y = point
    return a * x + c * y + e, b * x + d * y + f


def times(first: Matrix, then: Matrix) -> Matrix:
    """Return the matrix that does `first` and then `then`."""
    a, b, c, d, e, f = first
    (p, q), (r, s) = apply((*then[:4], 0.0, 0.0), (a, b)), apply((*then[:4], 0.0, 0.0), (c, d))
    x, y = apply(then, (e, f))
    return p, q, r, s, x, y


def size_of(matrix: Matrix) -> float:
    """Return the mean factor of length of a matrix."""
    a, b, c, d, _, _ = matrix
    return math.sqrt(abs(a * d - b * c))


@dataclass(frozen=True, slots=True)
class Straight:
    start: Point
    end: Point

    def at(self, t: float) -> Point:
        return (
            self.start[0] + t * (self.end[0] - self.start[0]),
            self.start[1] + t * (self.end[1] - self.start[1]),
        )


@dataclass(frozen=True, slots=True)
class Bezier:
    """A cubic Bezier curve."""

    start: Point
    first: Point
    second: Point
    end: Point

    def at(self, t: float) -> Point:
        u = 1.0 - t
        weights = (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
        corners = (self.start, self.first, self.second, self.end)
        return (
            sum(w * p[0] for w, p in zip(weights, corners, strict=True)),
            sum(w * p[1] for w, p in zip(weights, corners, strict=True)),
        )


@dataclass(frozen=True, slots=True)
class Bow:
    """A circular arc as the file gives it, with the transform it stands under. Angles in degrees."""

    centre: Point
    radius: float
    start_angle: float
    sweep: float
    matrix: Matrix = IDENTITY

    def at(self, t: float) -> Point:
        angle = math.radians(self.start_angle + t * self.sweep)
        x = self.centre[0] + self.radius * math.cos(angle)
        y = self.centre[1] + self.radius * math.sin(angle)
        return apply(self.matrix, (x, y))

    @property
    def start(self) -> Point:
        return self.at(0.0)

    @property
    def end(self) -> Point:
        return self.at(1.0)


Piece: TypeAlias = Straight | Bezier | Bow


@dataclass(frozen=True, slots=True)
class Round:
    """A whole circle."""

    centre: Point
    radius: float
    layer: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Outline:
    """A chain of pieces and how it is drawn; `width` and `dash` in mm, None where the format has none."""

    pieces: tuple[Piece, ...]
    closed: bool
    filled: bool = False
    layer: str = ""
    width: float | None = None
    dash: tuple[float, ...] = ()
    name: str = ""

    def points(self, per_piece: int = 16) -> list[Point]:
        """Points along it, both ends of every piece included."""
        return [piece.at(i / per_piece) for piece in self.pieces for i in range(per_piece + 1)]

    def length(self, per_piece: int = 256) -> float:
        """Length along it, by chords."""
        points = self.points(per_piece)
        return sum(math.dist(p, q) for p, q in pairwise(points))

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
        if not self.closed or any(isinstance(piece, Straight) for piece in self.pieces):
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
    """One line of words; `at` as in the package's description."""

    text: str
    at: Point
    angle: float = 0.0
    size: float | None = None
    layer: str = ""
    box: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a file; `boxes` are the boxes of a PDF page by name, in mm."""

    width: float
    height: float
    outlines: tuple[Outline, ...]
    words: tuple[Words, ...]
    boxes: dict[str, tuple[float, float, float, float]] = field(default_factory=dict)
    title: str = ""
    about: str = ""

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


def rounds(outlines: tuple[Outline, ...], layer: str | None = None) -> Iterator[Round]:
    """Yield the whole circles among outlines."""
    for outline in outlines:
        if layer is None or outline.layer == layer:
            circle = outline.round()
            if circle is not None:
                yield circle
