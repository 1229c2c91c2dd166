"""Reads SVG by the rules of SVG 1.1: own path parser, transforms, inherited line style, arcs by annex F.6."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

from tests.readers.model import (
    IDENTITY,
    Bezier,
    Bow,
    Matrix,
    Outline,
    Page,
    Piece,
    Point,
    ReadError,
    Straight,
    Words,
    apply,
    size_of,
    times,
)

_SVG = "{http://www.w3.org/2000/svg}"
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "px": 25.4 / 96.0, "": 25.4 / 96.0, "pt": 25.4 / 72.0}
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "A": 7, "Q": 4, "C": 6, "Z": 0}
_INHERITED = ("fill", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap")


def _numbers(text: str) -> list[float]:
    return [float(word) for word in re.findall(_NUMBER, text)]


def _length(text: str) -> float:
    match = re.fullmatch(rf"({_NUMBER})\s*([a-z]*)", text.strip())
    if match is None or match[2] not in _MM:
        raise ReadError(f"length {text!r}")
    return float(match[1]) * _MM[match[2]]


def _transform(text: str) -> Matrix:
    total = IDENTITY
    for name, inside in re.findall(r"(\w+)\s*\(([^)]*)\)", text):
        total = times(_one_transform(name, _numbers(inside)), total)
    return total


def _one_transform(name: str, values: list[float]) -> Matrix:
    match name, values:
        case "matrix", [a, b, c, d, e, f]:
            return a, b, c, d, e, f
        case "translate", [x, *rest]:
            return 1.0, 0.0, 0.0, 1.0, x, rest[0] if rest else 0.0
        case "scale", [x, *rest]:
            return x, 0.0, 0.0, rest[0] if rest else x, 0.0, 0.0
        case "rotate", [angle]:
            cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            return cos, sin, -sin, cos, 0.0, 0.0
    raise ReadError(f"transform {name}({values})")


def _arc(start: Point, rx: float, ry: float, large: bool, positive: bool, end: Point, matrix: Matrix) -> Bow:
    """SVG 1.1 F.6.5 for circles: from the ends to the centre; F.6.6 grows a radius that is too small."""
    if not math.isclose(rx, ry):
        raise ReadError(f"an elliptic arc ({rx}, {ry})")
    half = ((start[0] - end[0]) / 2, (start[1] - end[1]) / 2)
    chord = math.hypot(*half)
    radius = max(rx, chord)
    factor = math.sqrt(max(0.0, radius * radius - chord * chord)) / chord
    if large == positive:
        factor = -factor
    centre = (
        (start[0] + end[0]) / 2 + factor * half[1],
        (start[1] + end[1]) / 2 - factor * half[0],
    )
    first = math.degrees(math.atan2(start[1] - centre[1], start[0] - centre[0]))
    last = math.degrees(math.atan2(end[1] - centre[1], end[0] - centre[0]))
    sweep = (last - first) % 360.0 if positive else -((first - last) % 360.0)
    return Bow(centre, radius, first, sweep, matrix)


class _Path:
    """The chains of one path, as its letters say."""

    def __init__(self, steps: str, matrix: Matrix) -> None:
        self.chains: list[tuple[list[Piece], bool]] = []
        self._matrix = matrix
        self._here: Point = (0.0, 0.0)
        self._first: Point = (0.0, 0.0)
        for letter, inside in re.findall(r"([A-Za-z])([^A-Za-z]*)", steps):
            self._letter(letter, _numbers(inside))

    def _letter(self, letter: str, values: list[float]) -> None:
        kind = letter.upper()
        if kind not in _COUNT:
            raise ReadError(f"path letter {letter!r}")
        count = _COUNT[kind]
        if (len(values) % count if count else len(values)) or (count and not values):
            raise ReadError(f"path letter {letter!r} with {len(values)} numbers")
        for index in range(0, len(values) or 1, count or 1):
            # Pairs after the first of a moveto are lines (SVG 1.1, 8.3.2).
            step = "L" if kind == "M" and index else kind
            self._step(step, values[index : index + count], letter.islower())

    def _step(self, kind: str, values: list[float], relative: bool) -> None:
        x0, y0 = self._here if relative else (0.0, 0.0)
        if kind == "Z":
            if self._here != self._first:
                self._add(Straight(apply(self._matrix, self._here), apply(self._matrix, self._first)))
            self.chains[-1] = (self.chains[-1][0], True)
            self._here = self._first
            return
        if kind == "H":
            end = (x0 + values[0], self._here[1])
        elif kind == "V":
            end = (self._here[0], y0 + values[0])
        else:
            end = (x0 + values[-2], y0 + values[-1])
        if kind == "M":
            self._first = end
            self.chains.append(([], False))
        else:
            self._add(self._piece(kind, values, end, (x0, y0)))
        self._here = end

    def _add(self, piece: Piece) -> None:
        if not self.chains or self.chains[-1][1]:
            self.chains.append(([], False))
        self.chains[-1][0].append(piece)

    def _piece(self, kind: str, values: list[float], end: Point, base: Point) -> Piece:
        to = self._matrix
        start_mm, end_mm = apply(to, self._here), apply(to, end)
        if kind == "A":
            if self._here == end:
                raise ReadError("an arc without length")
            return _arc(self._here, values[0], values[1], bool(values[3]), bool(values[4]), end, to)
        controls = [(base[0] + x, base[1] + y) for x, y in zip(values[0:-2:2], values[1:-2:2], strict=True)]
        if kind == "Q":  # a quadratic curve raised to a cubic one
            (cx, cy), (sx, sy), (ex, ey) = controls[0], self._here, end
            controls = [
                (sx + 2 / 3 * (cx - sx), sy + 2 / 3 * (cy - sy)),
                (ex + 2 / 3 * (cx - ex), ey + 2 / 3 * (cy - ey)),
            ]
        if controls and kind in "QC":
            return Bezier(start_mm, apply(to, controls[0]), apply(to, controls[1]), end_mm)
        return Straight(start_mm, end_mm)


class _Reader:
    def __init__(self) -> None:
        self.outlines: list[Outline] = []
        self.words: list[Words] = []

    def walk(self, element: ElementTree.Element, matrix: Matrix, style: dict[str, str], layer: str) -> None:
        for child in element:
            tag = child.tag.removeprefix(_SVG)
            if tag in {"title", "desc", "defs"}:
                continue
            own = style | {key: child.attrib[key] for key in _INHERITED if key in child.attrib}
            inner = times(_transform(child.get("transform", "")), matrix)
            if tag == "g":
                self.walk(child, inner, own, child.get("id", layer))
            else:
                self._shape(tag, child, inner, own, layer)

    def _shape(
        self, tag: str, element: ElementTree.Element, matrix: Matrix, style: dict[str, str], layer: str
    ) -> None:
        match tag:
            case "line":
                start, end = (
                    apply(matrix, (float(element.attrib[f"x{i}"]), float(element.attrib[f"y{i}"])))
                    for i in "12"
                )
                chains: list[tuple[list[Piece], bool]] = [([Straight(start, end)], False)]
            case "circle":
                centre = (float(element.attrib["cx"]), float(element.attrib["cy"]))
                bow = Bow(centre, float(element.attrib["r"]), 0.0, 360.0, matrix)
                chains = [([bow], True)]
            case "path":
                chains = [chain for chain in _Path(element.attrib["d"], matrix).chains if chain[0]]
            case _:
                raise ReadError(f"element <{tag}>")
        if (label := element.get("aria-label")) is not None:
            self._label(label, chains, matrix, layer)
            return
        for pieces, closed in chains:
            self.outlines.append(_styled(pieces, closed, matrix, style, layer, element))

    def _label(self, label: str, chains: list[tuple[list[Piece], bool]], matrix: Matrix, layer: str) -> None:
        points = [point for pieces, _ in chains for point in Outline(tuple(pieces), True).points(4)]
        xs, ys = zip(*points, strict=True)
        a, b = apply(matrix, (0.0, 0.0)), apply(matrix, (1.0, 0.0))
        angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
        self.words.append(Words(label, a, angle, None, layer, (min(xs), min(ys), max(xs), max(ys))))


def _styled(
    pieces: list[Piece],
    closed: bool,
    matrix: Matrix,
    style: dict[str, str],
    layer: str,
    element: ElementTree.Element,
) -> Outline:
    size = size_of(matrix)
    filled = style.get("fill", "#000") != "none"
    drawn = style.get("stroke", "none") != "none"
    dash = style.get("stroke-dasharray", "none")
    return Outline(
        tuple(pieces),
        closed,
        filled,
        layer,
        float(style.get("stroke-width", "1")) * size if drawn else None,
        tuple(value * size for value in _numbers(dash)) if dash != "none" else (),
        element.findtext(f"{_SVG}title", ""),
    )


def read_svg(data: bytes) -> Page:
    """Read an SVG page; sizes without a unit count as CSS pixels of 1/96 in, as programs take them."""
    root = ElementTree.fromstring(data)
    if root.tag != f"{_SVG}svg":
        raise ReadError(f"not an SVG file: <{root.tag}>")
    width, height = _length(root.attrib["width"]), _length(root.attrib["height"])
    left, top, across, down = _numbers(root.attrib["viewBox"])
    # preserveAspectRatio (xMidYMid meet): one factor for both, the rest is margin.
    factor = min(width / across, height / down)
    x = (width - factor * across) / 2 - factor * left
    y = (height - factor * down) / 2 - factor * top
    to_page: Matrix = (factor, 0.0, 0.0, -factor, x, height - y)
    reader = _Reader()
    reader.walk(root, to_page, {}, "")
    return Page(
        width,
        height,
        tuple(reader.outlines),
        tuple(reader.words),
        title=root.findtext(f"{_SVG}title", ""),
        about=root.findtext(f"{_SVG}desc", ""),
    )
