"""Reads drawings with GDAL, through pyogrio: a second opinion that shares no code with anything here."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from templgen.errors import ReadError
from templgen.proof.readers.model import Point

_POINT, _LINE = 1, 2


@dataclass(frozen=True, slots=True)
class Feature:
    """One entity: its layer, its kind as GDAL names it, points that lie on it, and its words."""

    layer: str
    kind: str
    points: tuple[Point, ...]
    words: str

    @property
    def closed(self) -> bool:
        """Whether the last point is the first."""
        return len(self.points) > 2 and self.points[0] == self.points[-1]


def _points(wkb: bytes) -> tuple[Point, ...]:
    """Return the points of a Point or LineString (OGC 06-103r4, well-known binary; Z is dropped)."""
    order = "<" if wkb[0] == 1 else ">"
    kind = struct.unpack_from(f"{order}I", wkb, 1)[0]
    width = 3 if kind & 0x80000000 or 1000 <= kind % 0x10000 < 2000 else 2
    flat = (kind & 0xFFFF) % 1000
    if flat not in {_POINT, _LINE}:
        raise ReadError(f"geometry of kind {kind}")
    count, at = (1, 5) if flat == _POINT else (struct.unpack_from(f"{order}I", wkb, 5)[0], 9)
    values = struct.unpack_from(f"{order}{count * width}d", wkb, at)
    return tuple(zip(values[0::width], values[1::width], strict=True))


def read_with_gdal(data: bytes, suffix: str = ".dxf") -> list[Feature]:
    """Read a drawing file; curves come as points on them, 4 degrees apart (GDAL's default)."""
    from pyogrio.raw import read

    with TemporaryDirectory() as folder:
        path = Path(folder) / f"drawing{suffix}"
        path.write_bytes(data)
        meta, _, shapes, fields = read(path, columns=["Layer", "SubClasses", "Text"])
    by_name = dict(zip(meta["fields"], fields, strict=True))
    return [
        Feature(str(layer), str(kind).rpartition(":")[2], _points(wkb), str(words or ""))
        for layer, kind, words, wkb in zip(
            by_name["Layer"], by_name["SubClasses"], by_name["Text"], shapes, strict=True
        )
    ]
