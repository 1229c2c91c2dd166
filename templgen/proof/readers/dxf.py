"""Reads DXF by its pairs of group code and value (DXF reference, group codes by entity)."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from templgen.errors import ReadError
from templgen.proof.readers.model import Bow, Matrix, Outline, Piece, Point, Round, Straight, Words, rounds

__all__ = ["Part", "read_dxf"]

Tags = list[tuple[int, str]]

_ANCHORS = {0: "left", 1: "middle", 2: "right", 4: "middle"}
_MIRRORED: Matrix = (-1.0, 0.0, 0.0, 1.0, 0.0, 0.0)  # the plane seen from below: extrusion (0, 0, -1)
_UTF8_SINCE = "AC1021"
_FROZEN, _CLOSED = 1, 1


@dataclass(frozen=True, slots=True)
class Part:
    """A DXF file: what its header says, its comments, and what lies in the model space.

    `units` is $INSUNITS (0: none said, 1: inches, 4: millimetres, 6: metres); the numbers of the outlines
    are as they stand in the file. `extent` are $EXTMIN and $EXTMAX; None where the file gives no such box.
    """

    version: str
    units: int
    measurement: int
    comments: tuple[str, ...]
    layers: tuple[str, ...]
    outlines: tuple[Outline, ...]
    words: tuple[Words, ...]
    kinds: tuple[str, ...]
    oddities: tuple[str, ...] = ()
    extent: tuple[Point, Point] | None = None

    def circles(self, layer: str | None = None) -> list[Round]:
        """The whole circles, of one layer or of all."""
        return list(rounds(self.outlines, layer))

    def on(self, layer: str) -> list[Outline]:
        """The outlines of one layer."""
        return [outline for outline in self.outlines if outline.layer == layer]


def _pairs(data: bytes) -> Tags:
    text = data.decode("utf-8" if _version(data) >= _UTF8_SINCE else "cp1252", errors="replace")
    lines = text.replace("\r", "").split("\n")
    while lines and not lines[-1].strip():
        lines.pop()
    if len(lines) % 2:
        raise ReadError("the DXF file ends in the middle of a pair")
    return [(int(code), value.strip()) for code, value in zip(lines[0::2], lines[1::2], strict=True)]


def _version(data: bytes) -> str:
    found = re.search(rb"\$ACADVER\s+1\s+(AC\d+)", data)
    return found[1].decode() if found else ""


def _groups(tags: Tags) -> Iterator[tuple[str, Tags]]:
    """Split at group code 0, which starts every entity and every table record."""
    starts = [i for i, (code, _) in enumerate(tags) if code == 0]
    for start, end in pairwise([*starts, len(tags)]):
        yield tags[start][1], tags[start + 1 : end]


def _section(tags: Tags, name: str) -> Tags:
    """Return the inside of a section; one that is missing is empty."""
    starts = [i for i, pair in enumerate(tags) if pair == (2, name) and i and tags[i - 1] == (0, "SECTION")]
    if not starts:
        return []
    if len(starts) > 1:
        raise ReadError(f"the section {name} is there {len(starts)} times")
    end = next((i for i in range(starts[0], len(tags)) if tags[i] == (0, "ENDSEC")), None)
    if end is None:
        raise ReadError(f"the section {name} has no end: the DXF file is cut off")
    return tags[starts[0] + 1 : end]


def _header(tags: Tags) -> dict[str, str]:
    return {name: tags[i + 1][1] for i, (code, name) in enumerate(tags[:-1]) if code == 9}


def _extent(tags: Tags) -> tuple[Point, Point] | None:
    """Return the corners of the drawing; a file that does not know them says a box that is inside out."""
    corners: dict[str, Point] = {}
    for i, (code, name) in enumerate(tags[:-1]):
        if code == 9 and name in ("$EXTMIN", "$EXTMAX"):
            at = dict(tags[i + 1 : i + 3])
            corners[name] = (float(at[10]), float(at[20]))
    if len(corners) < len(("$EXTMIN", "$EXTMAX")):
        return None
    low, high = corners["$EXTMIN"], corners["$EXTMAX"]
    return (low, high) if low[0] <= high[0] and low[1] <= high[1] else None


def _arc(x0: float, y0: float, x1: float, y1: float, bulge: float) -> Piece:
    """The bulge is the tangent of a quarter of the included angle; positive turns counter-clockwise."""
    if bulge == 0.0:
        return Straight((x0, y0), (x1, y1))
    away = (1.0 / bulge - bulge) / 4.0
    centre = ((x0 + x1) / 2 - away * (y1 - y0), (y0 + y1) / 2 + away * (x1 - x0))
    start = math.degrees(math.atan2(y0 - centre[1], x0 - centre[0]))
    return Bow(centre, math.dist(centre, (x0, y0)), start, math.degrees(4 * math.atan(bulge)))


def _polyline(tags: Tags, layer: str) -> Outline:
    corners: list[list[float]] = []
    for code, value in tags:
        if code == 10:
            corners.append([float(value), 0.0, 0.0])
        elif code == 20:
            corners[-1][1] = float(value)
        elif code == 42:
            corners[-1][2] = float(value)
    closed = bool(int(dict(tags).get(70, "0")) & _CLOSED)
    ends = [*corners[1:], corners[0]] if closed else corners[1:]
    pieces = [
        _arc(x0, y0, x1, y1, bulge)
        for (x0, y0, bulge), (x1, y1, _) in zip(corners, ends, strict=False)
        if (x0, y0) != (x1, y1)
    ]
    return Outline(tuple(pieces), closed, layer=layer)


def _outline(kind: str, tags: Tags, layer: str) -> Outline:
    if kind == "LWPOLYLINE":
        return _polyline(tags, layer)
    number = {code: float(value) for code, value in tags if 10 <= code < 60}
    at = (number[10], number[20])
    if kind == "LINE":
        return Outline((Straight(at, (number[11], number[21])),), False, layer=layer)
    if kind == "CIRCLE":
        return Outline((Bow(at, number[40], 0.0, 360.0),), True, layer=layer)
    sweep = (number[51] - number[50]) % 360.0
    return Outline((Bow(at, number[40], number[50], sweep),), False, layer=layer)


def _plain(text: str) -> str:
    """Return a text with the characters that are written as \\U+XXXX."""
    return re.sub(r"\\U\+([0-9A-F]{4})", lambda match: chr(int(match[1], 16)), text)


def _words(tags: Tags, layer: str) -> Words:
    value = dict(tags)
    text = _plain(value[1])
    justified = int(value.get(72, "0"))
    x, y = (11, 21) if justified else (10, 20)  # the second point places what is not left
    height, angle = float(value[40]), math.radians(float(value.get(50, "0")))
    wide = height * float(value.get(41, "1"))
    flips = int(value.get(71, "0"))
    across, up = (-wide if flips & 2 else wide), (-height if flips & 4 else height)
    along = (across * math.cos(angle), across * math.sin(angle))
    upwards = (-up * math.sin(angle), up * math.cos(angle))
    anchor = _ANCHORS.get(justified, "other") if value.get(73, "0") == "0" else "other"
    return Words(text, (float(value[x]), float(value[y])), along, upwards, layer, anchor)


class _Reader:
    """Collects what lies in the model space."""

    def __init__(self, hidden: dict[str, str]) -> None:
        self.outlines: list[Outline] = []
        self.words: list[Words] = []
        self.kinds: list[str] = []
        self.oddities: list[str] = []
        self._hidden = hidden
        self._old: tuple[Tags, str] | None = None  # POLYLINE of older files: head, layer; vertices follow

    def read(self, tags: Tags) -> None:
        for kind, inside in _groups(tags):
            if kind == "VERTEX" and self._old is not None:
                self._old[0].extend(pair for pair in inside if pair[0] in (10, 20, 42))
            elif kind == "SEQEND" and self._old is not None:
                self.outlines.append(_polyline(*self._old))
                self._old = None
            else:
                self._entity(kind, inside)

    def _entity(self, kind: str, tags: Tags) -> None:
        value = dict(tags)
        layer = value.get(8, "0")
        if value.get(67, "0") != "0":
            # It lies on a page of the drawing program; a machine that reads no group 67 would cut it.
            if kind != "VIEWPORT":
                self.oddities.append(f"a {kind} on a page of the drawing program, on the layer {layer!r}")
            return
        self._look(kind, value, layer)
        if value.get(60, "0") != "0":
            return
        self.kinds.append(kind)
        mirrored = kind != "LINE" and float(value.get(230, "1")) < 0.0
        if kind in {"LINE", "ARC", "CIRCLE", "LWPOLYLINE"}:
            outline = _outline(kind, tags, layer)
            self.outlines.append(outline.moved(_MIRRORED) if mirrored else outline)
        elif kind == "TEXT":
            words = _words(tags, layer)
            self.words.append(words.moved(_MIRRORED) if mirrored else words)
        elif kind == "POLYLINE":
            head = [pair for pair in tags if pair[0] == 70]
            self._old = (head, layer)
        else:
            self.oddities.append(f"an entity {kind} on the layer {layer!r}")

    def _look(self, kind: str, value: dict[int, str], layer: str) -> None:
        """Note what hides a mark or gives it another form than its line."""
        at = f"{kind} on the layer {layer!r}"
        if value.get(60, "0") != "0":
            self.oddities.append(f"an invisible {at}")
        if layer in self._hidden:
            self.oddities.append(f"the layer {layer!r} is {self._hidden.pop(layer)}")
        if kind == "LWPOLYLINE" and any(float(value.get(code, "0")) for code in (40, 41, 43)):
            self.oddities.append(f"a wide {at}")
        if value.get(6, "BYLAYER").upper() not in ("BYLAYER", "BYBLOCK", "CONTINUOUS"):
            self.oddities.append(f"line type {value[6]} of a {at}")
        if kind == "TEXT" and float(value.get(51, "0")):
            self.oddities.append(f"slanted letters of a {at}")
        height = [float(value.get(code, "0")) for code in (30, 31, 38, 39)]
        if any(height):
            self.oddities.append(f"a {at} out of the plane by {max(map(abs, height)):g}")


def _layers(tags: Tags) -> tuple[tuple[str, ...], dict[str, str]]:
    """Return the names of the layers, and what hides some of them (a negative colour is switched off)."""
    names, hidden = [], {}
    for kind, inside in _groups(_section(tags, "TABLES")):
        if kind != "LAYER":
            continue
        value = dict(inside)
        names.append(value[2])
        if int(value.get(70, "0")) & _FROZEN:
            hidden[value[2]] = "frozen"
        elif int(value.get(62, "7")) < 0:
            hidden[value[2]] = "switched off"
    return tuple(names), hidden


def read_dxf(data: bytes) -> Part:
    """Read a DXF file as text pairs.

    Raises ReadError for what is no DXF file in text form, or one that is cut off.
    """
    try:
        return _read(data)
    except (ValueError, KeyError, IndexError) as error:
        raise ReadError(f"not a DXF file in text form, or a broken one: {error}") from error


def _read(data: bytes) -> Part:
    tags = _pairs(data)
    comments = tuple(_plain(value) for code, value in tags if code == 999)
    tags = [pair for pair in tags if pair[0] != 999]
    if (0, "EOF") not in tags[-1:]:
        raise ReadError("the DXF file has no end: it is cut off")
    header = _header(_section(tags, "HEADER"))
    layers, hidden = _layers(tags)
    reader = _Reader(hidden)
    reader.read(_section(tags, "ENTITIES"))
    return Part(
        header.get("$ACADVER", ""),
        int(header.get("$INSUNITS", "0")),
        int(header.get("$MEASUREMENT", "0")),
        comments,
        layers,
        tuple(reader.outlines),
        tuple(reader.words),
        tuple(reader.kinds),
        tuple(reader.oddities),
        _extent(_section(tags, "HEADER")),
    )
