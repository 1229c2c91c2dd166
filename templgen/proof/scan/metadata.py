"""What an image file says of itself: resolution, how it lies, focal length; PNG, JPEG, TIFF, byte by byte.

Formats: PNG (ISO/IEC 15948, chunk pHYs), JFIF 1.02 (APP0), TIFF 6.0 and Exif 2.3 tags.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Mapping

from msgspec import Struct

from templgen.units import MM_PER_INCH

__all__ = ["FileFacts", "facts_of"]

_X_RESOLUTION, _Y_RESOLUTION, _RESOLUTION_UNIT = 0x011A, 0x011B, 0x0128
_ORIENTATION, _EXIF, _FOCAL_35 = 0x0112, 0x8769, 0xA405
_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 9: 4, 10: 8}
_TURNED = (5, 6, 7, 8)


class FileFacts(Struct, frozen=True):
    """What a file says of its picture as it is shown; None where it says nothing.

    Attributes:
        dpi: pixels per inch along x and y.
        focal: focal length in mm on film of 36 mm width, which only a camera writes.
    """

    dpi: tuple[float, float] | None = None
    focal: float | None = None


def facts_of(data: bytes) -> FileFacts:
    """Return what the bytes of an image file say; a broken or unknown file says nothing."""
    try:
        if data.startswith(b"\x89PNG\r\n\x1a\n"):
            return FileFacts(_png_dpi(data))
        if data.startswith(b"\xff\xd8"):
            return _jpeg(data)
        if data[:4] in (b"II*\x00", b"MM\x00*"):
            return _from_tags(_tags(data))
    except (struct.error, IndexError, ZeroDivisionError):
        pass
    return FileFacts()


def _png_dpi(data: bytes) -> tuple[float, float] | None:
    place = 8
    while place + 8 <= len(data):
        length, kind = struct.unpack_from(">I4s", data, place)
        if kind == b"pHYs":
            x, y, per_metre = struct.unpack_from(">IIB", data, place + 8)
            return _dpi(x, y, MM_PER_INCH / 1000.0) if per_metre == 1 else None
        if kind == b"IDAT":
            return None
        place += 12 + length
    return None


def _dpi(x: float, y: float, factor: float) -> tuple[float, float] | None:
    return (x * factor, y * factor) if x > 0 and y > 0 else None


def _jpeg(data: bytes) -> FileFacts:
    found = FileFacts()
    for marker, body in _segments(data):
        if marker == 0xE0 and body.startswith(b"JFIF\0"):
            unit, x, y = struct.unpack_from(">BHH", body, 7)
            factor = {1: 1.0, 2: MM_PER_INCH / 10.0}.get(unit)
            found = FileFacts(_dpi(x, y, factor) if factor else None, found.focal)
        if marker == 0xE1 and body.startswith(b"Exif\0\0"):
            exif = _from_tags(_tags(body[6:]))
            found = FileFacts(exif.dpi or found.dpi, exif.focal)
    return found


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    place = 2
    while place + 4 <= len(data) and data[place] == 0xFF and data[place + 1] != 0xDA:
        (length,) = struct.unpack_from(">H", data, place + 2)
        yield data[place + 1], data[place + 4 : place + 2 + length]
        place += 2 + length


def _tags(data: bytes) -> dict[int, float]:
    """The numbers of the first directory of a TIFF structure, and of its Exif directory."""
    order = "<" if data[:2] == b"II" else ">"
    (first,) = struct.unpack_from(order + "I", data, 4)
    tags = _directory(data, order, first)
    if _EXIF in tags:
        tags |= _directory(data, order, int(tags[_EXIF]))
    return tags


def _directory(data: bytes, order: str, place: int) -> dict[int, float]:
    (count,) = struct.unpack_from(order + "H", data, place)
    tags = {}
    for number in range(count):
        entry = place + 2 + 12 * number
        tag, kind, length = struct.unpack_from(order + "HHI", data, entry)
        at = entry + 8
        if _SIZES.get(kind, 1) * length > 4:
            (at,) = struct.unpack_from(order + "I", data, at)
        if kind == 3:
            (tags[tag],) = struct.unpack_from(order + "H", data, at)
        elif kind == 4:
            (tags[tag],) = struct.unpack_from(order + "I", data, at)
        elif kind == 5:
            above, below = struct.unpack_from(order + "II", data, at)
            tags[tag] = above / below if below else 0.0
    return tags


def _from_tags(tags: Mapping[int, float]) -> FileFacts:
    factor = {2: 1.0, 3: MM_PER_INCH / 10.0}.get(int(tags.get(_RESOLUTION_UNIT, 2)))
    dpi = _dpi(tags.get(_X_RESOLUTION, 0.0), tags.get(_Y_RESOLUTION, 0.0), factor) if factor else None
    if dpi and tags.get(_ORIENTATION) in _TURNED:
        dpi = dpi[::-1]
    return FileFacts(dpi, tags.get(_FOCAL_35) or None)
