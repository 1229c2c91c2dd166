"""Reads DXF by its pairs of group code and value (DXF reference, group codes by entity)."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from tests.readers.model import Bow, Outline, Piece, ReadError, Round, Straight, Words, rounds

Tags = list[tuple[int, str]]


@dataclass(frozen=True, slots=True)
class Part:
    """A DXF file: its header's units, its comments, and what lies in the model space."""

    version: str
    units: int
    measurement: int
    comments: tuple[str, ...]
    layers: tuple[str, ...]
    outlines: tuple[Outline, ...]
    words: tuple[Words, ...]
    kinds: tuple[str, ...]

    def circles(self, layer: str | None = None) -> list[Round]:
        """The whole circles, of one layer or of all."""
        return list(rounds(self.outlines, layer))

    def on(self, layer: str) -> list[Outline]:
        """The outlines of one layer."""
        return [outline for outline in self.outlines if outline.layer == layer]


def _pairs(data: bytes) -> Tags:
    lines = data.decode("cp1252").splitlines()
    return [(int(code), value.strip()) for code, value in zip(lines[0::2], lines[1::2], strict=True)]


def _groups(tags: Tags) -> Iterator[tuple[str, Tags]]:
    """Split at group code 0, which starts every entity and every table record."""
    starts = [i for i, (code, _) in enumerate(tags) if code == 0]
    for start, end in pairwise([*starts, len(tags)]):
        yield tags[start][1], tags[start + 1 : end]


def _section(tags: Tags, name: str) -> Tags:
    start = next(i for i, pair in enumerate(tags) if pair == (2, name) and tags[i - 1] == (0, "SECTION"))
    end = next(i for i in range(start, len(tags)) if tags[i] == (0, "ENDSEC"))
    return tags[start + 1 : end]


def _header(tags: Tags) -> dict[str, str]:
    return {name: tags[i + 1][1] for i, (code, name) in enumerate(tags) if code == 9}


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
    closed = bool(int(dict(tags)[70]) & 1)
    ends = [*corners[1:], corners[0]] if closed else corners[1:]
    pieces = [
        _arc(x0, y0, x1, y1, bulge) for (x0, y0, bulge), (x1, y1, _) in zip(corners, ends, strict=False)
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


def _words(tags: Tags, layer: str) -> Words:
    value = dict(tags)
    text = re.sub(r"\\U\+([0-9A-F]{4})", lambda match: chr(int(match[1], 16)), value[1])
    x, y = (11, 21) if int(value.get(72, "0")) else (10, 20)  # the second point places what is not left
    at = (float(value[x]), float(value[y]))
    return Words(text, at, float(value.get(50, "0")), float(value[40]), layer)


def read_dxf(data: bytes) -> Part:
    """Read a DXF file as text pairs; raises ReadError on an entity that is not one of the five kinds."""
    tags = _pairs(data)
    comments = tuple(value for code, value in tags if code == 999)
    tags = [pair for pair in tags if pair[0] != 999]
    header = _header(_section(tags, "HEADER"))
    records = [dict(inside)[2] for kind, inside in _groups(_section(tags, "TABLES")) if kind == "LAYER"]
    outlines, words, kinds = [], [], []
    for kind, inside in _groups(_section(tags, "ENTITIES")):
        layer = dict(inside)[8]
        kinds.append(kind)
        if kind in {"LINE", "ARC", "CIRCLE", "LWPOLYLINE"}:
            outlines.append(_outline(kind, inside, layer))
        elif kind == "TEXT":
            words.append(_words(inside, layer))
        else:
            raise ReadError(f"entity {kind}")
    units, measurement = int(header["$INSUNITS"]), int(header["$MEASUREMENT"])
    return Part(
        header["$ACADVER"],
        units,
        measurement,
        comments,
        tuple(records),
        tuple(outlines),
        tuple(words),
        tuple(kinds),
    )
