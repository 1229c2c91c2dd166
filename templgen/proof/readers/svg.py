"""Reads SVG by the rules of SVG 1.1: transforms, inherited line style, groups as layers, words by label."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from xml.etree import ElementTree

from templgen.errors import ReadError
from templgen.proof.readers.model import (
    IDENTITY,
    Bow,
    Matrix,
    Outline,
    Page,
    Pen,
    Straight,
    Words,
    apply,
    size_of,
    times,
)
from templgen.proof.readers.svg_path import NUMBER, Chain, chains, numbers

__all__ = ["ink_box", "read_svg"]

_SVG = "{http://www.w3.org/2000/svg}"
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "px": 25.4 / 96.0, "": 25.4 / 96.0, "pt": 25.4 / 72.0}
_PASSED = {"title", "desc", "defs", "metadata", "style", "script"}  # the last two are told for the whole file
_GROUPS = {"g", "a"}
_INHERITED = (
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
    "stroke-dashoffset",
    "stroke-linecap",
    "stroke-opacity",
    "fill-opacity",
    "visibility",
)
_CHANGES_LOOKS = ("clip-path", "mask", "filter")
_FOLLOWED = frozenset((*_INHERITED, *_CHANGES_LOOKS, "display", "opacity"))
_NOT_FOLLOWED = frozenset(
    {
        "marker",
        "marker-start",
        "marker-mid",
        "marker-end",
        "mix-blend-mode",
        "pathLength",
        "requiredExtensions",
        "requiredFeatures",
        "systemLanguage",
        "transform-box",
        "transform-origin",
        "vector-effect",
    }
)
_STYLED = _FOLLOWED | _NOT_FOLLOWED | {"style"}
_NO_MATTER = re.compile(
    r"-\w|font|text-|colou?r|line-height|letter-|word-|white-space|writing-|direction|baseline-|dominant-|"
    r"shape-rendering|image-rendering|stroke-linejoin|stroke-miterlimit|fill-rule|clip-rule|isolation|solid-|"
    r"paint-order|enable-background|overflow|stop-"
)
"""Properties in a style attribute that move no line that is read here; all others are told, since CSS may
give a circle another radius or turn a group."""
_COLOURS = {"black": "#000000", "white": "#ffffff", "rgb(0,0,0)": "#000000", "rgb(255,255,255)": "#ffffff"}

Style = tuple[str | None, ...]
_NO_STYLE: Style = (None,) * len(_INHERITED)


def _length(text: str) -> tuple[float, str]:
    match = re.fullmatch(rf"({NUMBER})\s*([a-z]*)", text.strip())
    if match is None or match[2] not in _MM:
        raise ReadError(f"{text!r} is no length of a page")
    return float(match[1]) * _MM[match[2]], match[2]


def _transform(text: str) -> Matrix:
    total = IDENTITY
    for name, inside in re.findall(r"(\w+)\s*\(([^)]*)\)", text):
        total = times(_one_transform(name, numbers(inside)), total)
    return total


def _one_transform(name: str, values: list[float]) -> Matrix:
    match name, values:
        case "matrix", [a, b, c, d, e, f]:
            return a, b, c, d, e, f
        case "translate", [x, *rest] if len(rest) < 2:
            return 1.0, 0.0, 0.0, 1.0, x, rest[0] if rest else 0.0
        case "scale", [x, *rest] if len(rest) < 2:
            return x, 0.0, 0.0, rest[0] if rest else x, 0.0, 0.0
        case "rotate", [angle]:
            cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            return cos, sin, -sin, cos, 0.0, 0.0
        case "rotate", [angle, x, y]:
            there = times((1.0, 0.0, 0.0, 1.0, -x, -y), _one_transform("rotate", [angle]))
            return times(there, (1.0, 0.0, 0.0, 1.0, x, y))
        case "skewX", [angle]:
            return 1.0, 0.0, math.tan(math.radians(angle)), 1.0, 0.0, 0.0
        case "skewY", [angle]:
            return 1.0, math.tan(math.radians(angle)), 0.0, 1.0, 0.0, 0.0
    raise ReadError(f"the transform {name}({values})")


def _colour(text: str) -> str:
    plain = text.strip().lower().replace(" ", "")
    if re.fullmatch("#[0-9a-f]{3}", plain):
        return "#" + "".join(2 * digit for digit in plain[1:])
    return _COLOURS.get(plain, plain)


class _Reader:
    def __init__(self) -> None:
        self.outlines: list[Outline] = []
        self.words: list[Words] = []
        self.oddities: list[str] = []
        self._pens: dict[tuple[Style, float], Pen] = {}

    def walk(self, element: ElementTree.Element, matrix: Matrix, style: Style, layer: str) -> None:
        for child in element:
            if not isinstance(child.tag, str) or not child.tag.startswith(_SVG):
                continue  # comments, and what an editor keeps for itself
            tag = child.tag[len(_SVG) :]
            if tag in _PASSED:
                continue
            own, inner = style, matrix
            if not _STYLED.isdisjoint(child.attrib):
                own = self.style(child, style)
                if self._is_hidden(child, own):
                    continue
            if len(child) and tag not in _GROUPS:
                self._look_inside(child)
            if "transform" in child.attrib:
                inner = times(_transform(child.attrib["transform"]), matrix)
            if tag in _GROUPS:
                self.walk(child, inner, own, child.get("id", layer))
            else:
                self._shape(tag, child, inner, own, layer)

    def style(self, element: ElementTree.Element, style: Style) -> Style:
        given = _given(element)
        if any(given.get(name, "none") != "none" for name in _CHANGES_LOOKS):
            self.oddities.append(f"<{_plain(element)}> is clipped, masked or filtered")
        if given.get("opacity", "1") != "1":
            self.oddities.append(f"<{_plain(element)}> has the opacity {given['opacity']}")
        self.oddities += [f"<{_plain(element)}> has {name}" for name in _not_followed(element)]
        return tuple(given.get(key, old) for key, old in zip(_INHERITED, style, strict=True))

    def _is_hidden(self, element: ElementTree.Element, style: Style) -> bool:
        hidden = _given(element).get("display") == "none" or style[-1] in ("hidden", "collapse")
        if hidden:
            self.oddities.append(f"<{_plain(element)}> is hidden")
        return hidden

    def _look_inside(self, element: ElementTree.Element) -> None:
        """Note what lies in a shape beside its words: what moves or resizes it when it is shown."""
        for child in element:
            if isinstance(child.tag, str) and child.tag.startswith(_SVG):
                name = child.tag[len(_SVG) :]
                if name not in _PASSED:
                    self.oddities.append(f"<{_plain(element)}> holds an element <{name}>")

    def _shape(
        self, tag: str, element: ElementTree.Element, matrix: Matrix, style: Style, layer: str
    ) -> None:
        if tag == "path":
            label = element.get("aria-label")
            if label is not None:
                self.words.append(_words(label, element.attrib.get("d", ""), matrix, layer, _ink(style)))
                return
        found = _chains_of(tag, element, matrix)
        if found is None:
            self.oddities.append(f"an element <{tag}>" + (f" on {layer!r}" if layer else ""))
            return
        pen = self._pen(style, size_of(matrix))
        name = element.findtext(f"{_SVG}title", "") if len(element) else ""
        for pieces, closed in found:
            self.outlines.append(Outline(tuple(pieces), closed, pen, layer, name))

    def _pen(self, style: Style, size: float) -> Pen:
        pen = self._pens.get((style, size))
        if pen is None:
            pen = self._pens[style, size] = _pen_of(style, size)
            if style[4] not in (None, "0", "none") and pen.dash:
                self.oddities.append("dashes that do not begin with a stroke")
        return pen


def _given(element: ElementTree.Element) -> dict[str, str]:
    """Return the attributes; those of a style sheet on the element itself come first (SVG 1.1, 6.4)."""
    if "style" not in element.attrib:
        return element.attrib
    return element.attrib | dict(_properties(element))


def _properties(element: ElementTree.Element) -> Iterator[tuple[str, str]]:
    """Yield the properties of the style attribute."""
    for part in element.get("style", "").split(";"):
        key, _, value = part.partition(":")
        if key.strip():
            yield key.strip().lower(), value.replace("!important", "").strip()


def _not_followed(element: ElementTree.Element) -> Iterator[str]:
    """Yield the names of attributes and properties that may change a mark in a way that is not read here."""
    yield from (key for key, value in element.attrib.items() if key in _NOT_FOLLOWED and value != "none")
    for key, value in _properties(element):
        if key not in _FOLLOWED and not _NO_MATTER.match(key) and value != "none":
            yield f"{key} in its style"


def _plain(element: ElementTree.Element) -> str:
    tag = element.tag.rpartition("}")[2]
    return f'{tag} id="{element.get("id")}"' if element.get("id") else tag


def _ink(style: Style) -> str:
    fill, stroke = style[0] or "#000", style[1] or "none"
    inked, thin = (stroke, style[6]) if stroke != "none" else (fill, style[7])
    return _colour(inked) if thin in (None, "1") else f"{_colour(inked)} at {thin}"


def _pen_of(style: Style, size: float) -> Pen:
    fill, stroke, width, dash, _, cap = style[:6]
    drawn = (stroke or "none") != "none"
    dashes = tuple(value * size for value in numbers(dash)) if dash and dash != "none" and drawn else ()
    try:
        wide = float(width or 1.0) if not (width or "").endswith("mm") else float((width or "")[:-2])
    except ValueError as error:
        raise ReadError(f"the line width {width!r}") from error
    return Pen(
        wide * size if drawn else None,
        dashes,
        (fill or "#000") != "none",
        _ink(style),
        cap or "butt",
    )


def _chains_of(tag: str, element: ElementTree.Element, matrix: Matrix) -> list[Chain] | None:
    """Return the chains of one of the basic shapes of SVG 1.1, chapter 9; None for anything else."""
    get = element.attrib.get
    if tag == "path":
        return chains(get("d", ""), matrix)
    if tag in ("polyline", "polygon"):
        return chains(f"M{get('points', '')}{'Z' if tag == 'polygon' else ''}", matrix)
    try:
        if tag == "line":
            x1, y1, x2, y2 = (float(get(name, "0")) for name in ("x1", "y1", "x2", "y2"))
            return [([Straight(apply(matrix, (x1, y1)), apply(matrix, (x2, y2)))], False)]
        if tag in ("circle", "ellipse"):
            rx, ry = (float(get("r", get(name, "0"))) for name in ("rx", "ry"))
            stretched = times((rx / ry, 0.0, 0.0, 1.0, 0.0, 0.0), matrix) if rx != ry else matrix
            centre = (float(get("cx", "0")) * (ry / rx if rx != ry else 1.0), float(get("cy", "0")))
            return [([Bow(centre, ry, 0.0, 360.0, stretched)], True)]
        if tag == "rect" and not (get("rx") or get("ry")):
            x, y, wide, high = (float(get(name, "0")) for name in ("x", "y", "width", "height"))
            return chains(f"M{x!r} {y!r}H{x + wide!r}V{y + high!r}H{x!r}Z", matrix)
    except (ValueError, ZeroDivisionError) as error:
        raise ReadError(f"<{_plain(element)}> has a measure that is no number of mm") from error
    return None


def _words(label: str, steps: str, matrix: Matrix, layer: str, ink: str) -> Words:
    a, b, c, d, e, f = matrix
    # The path counts y downwards, so up is where its -y goes.
    return Words(label, (e, f), (a, b), (-c, -d), layer, steps=steps, ink=ink)


def ink_box(words: Words) -> tuple[float, float, float, float]:
    """Return xmin, ymin, xmax, ymax of the outlines of words in mm."""
    matrix: Matrix = (*words.along, -words.up[0], -words.up[1], *words.at)
    found = chains(words.steps, matrix)
    if not found:
        raise ReadError(f"the words {words.text!r} have no outlines")
    pieces = tuple(piece for chain, _ in found for piece in chain)
    return Outline(pieces, True).bounds(4)


def read_svg(data: bytes) -> Page:
    """Read an SVG page; sizes without a unit count as CSS pixels of 1/96 in, as programs take them."""
    if b"<!ENTITY" in data:
        raise ReadError("an SVG file that defines entities of its own is not read")
    try:
        root = ElementTree.fromstring(data)  # noqa: S314  # entities are refused above
    except ElementTree.ParseError as error:
        raise ReadError(f"not an SVG file: {error}") from error
    if root.tag != f"{_SVG}svg":
        raise ReadError(f"not an SVG file: its root is <{root.tag[:60]}>")
    missing = [name for name in ("width", "height", "viewBox") if name not in root.attrib]
    if missing:
        raise ReadError(f"the SVG file does not say its size: {', '.join(missing)} missing")
    (width, unit), (height, other) = _length(root.attrib["width"]), _length(root.attrib["height"])
    reader = _Reader()
    if unit != other:
        reader.oddities.append(f"width in {unit or 'pixels'}, height in {other or 'pixels'}")
    reader.oddities += _of_the_whole(root, data)
    reader.walk(root, _to_page(root, width, height), reader.style(root, _NO_STYLE), "")
    return Page(
        width,
        height,
        tuple(reader.outlines),
        tuple(reader.words),
        title=root.findtext(f"{_SVG}title", ""),
        about=root.findtext(f"{_SVG}desc", ""),
        unit=unit,
        oddities=tuple(reader.oddities),
    )


def _of_the_whole(root: ElementTree.Element, data: bytes) -> Iterator[str]:
    """Yield what may change any mark of the file when it is shown, wherever it stands."""
    for element in root.iter():
        if isinstance(element.tag, str) and element.tag.endswith(("}style", "}script")):
            yield f"an element <{_plain(element)}>"
    if b"<?xml-stylesheet" in data:
        yield "a style sheet in another file"
    if "transform" in root.attrib:
        yield "<svg> has transform"


def _to_page(root: ElementTree.Element, width: float, height: float) -> Matrix:
    """Return the matrix from the numbers of the file to millimetres on the page, y up (SVG 1.1, 7.8)."""
    box = numbers(root.attrib["viewBox"])
    if len(box) != 4 or not (box[2] > 0 and box[3] > 0):
        raise ReadError(f"the viewBox {root.attrib['viewBox']!r}")
    left, top, across, down = box
    fx, fy = width / across, height / down
    if root.get("preserveAspectRatio", "").strip() != "none":
        fx = fy = min(fx, fy)  # xMidYMid meet: one factor for both, the rest is margin
    x = (width - fx * across) / 2 - fx * left
    y = (height - fy * down) / 2 - fy * top
    return fx, 0.0, 0.0, -fy, x, height - y
