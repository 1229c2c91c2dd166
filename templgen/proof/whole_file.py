"""A map from the drawing to the file, in plain words: scaled, mirrored, turned, slanted, shifted."""

from __future__ import annotations

import math
from collections.abc import Iterator

from templgen.proof.difference import Difference, Kind, both
from templgen.proof.matching import Box
from templgen.proof.readers.model import Matrix, apply

__all__ = ["told_map"]

_NEAR = 0.002  # relative: how near a scale has to be to one that a mix-up of units gives

# An inch is 25.4 mm, 96 pixels of CSS, 72 points of PDF; some programs count 90 pixels to the inch.
_MIX_UPS: tuple[tuple[float, str], ...] = (
    (25.4, "inches were taken for millimetres"),
    (1 / 25.4, "millimetres were taken for inches"),
    (96 / 25.4, "millimetres were taken for pixels of 1/96 in"),
    (25.4 / 96, "pixels of 1/96 in were taken for millimetres"),
    (72 / 25.4, "millimetres were taken for points of 1/72 in"),
    (25.4 / 72, "points of 1/72 in were taken for millimetres"),
    (96 / 72, "points of 1/72 in and pixels of 1/96 in were mixed up"),
    (72 / 96, "points of 1/72 in and pixels of 1/96 in were mixed up"),
    (96 / 90, "pixels of 1/90 in and of 1/96 in were mixed up"),
    (90 / 96, "pixels of 1/90 in and of 1/96 in were mixed up"),
    (90 / 72, "points of 1/72 in and pixels of 1/90 in were mixed up"),
    (72 / 90, "points of 1/72 in and pixels of 1/90 in were mixed up"),
    (10.0, "millimetres and centimetres were mixed up"),
    (0.1, "millimetres and centimetres were mixed up"),
    (1000.0, "millimetres and metres were mixed up"),
    (0.001, "millimetres and metres were mixed up"),
)
_FIT_TO_PAGE = (0.90, 0.985)


def told_map(matrix: Matrix, box: Box, within: float, subject: str, layer: str = "") -> list[Difference]:
    """Return what a map does to everything inside `box`, as far as it moves anything by over `within` mm.

    `subject` is what has been moved: "the whole file" or a layer.
    """
    a, b, c, d, _, _ = matrix
    det, across = a * d - b * c, math.hypot(a, b)
    up = abs(det) / across
    reach = max(box[2] - box[0], box[3] - box[1], 1.0)
    angle = math.degrees(math.atan2(b, a))
    told: list[Difference] = []
    if det < 0.0:
        # Mirrored top to bottom and turned by an angle is mirrored left to right, turned half round more.
        sides = "top to bottom" if abs(angle) <= 90.0 else "left to right"
        angle = angle if abs(angle) <= 90.0 else math.remainder(angle - 180.0, 360.0)
        words = f"{subject} is mirrored {sides}: the part is the other hand"
        told.append(Difference(Kind.MIRROR, words, layer=layer))
    told += _scale(across, up, reach, within, subject, layer)
    if math.radians(abs(angle)) * reach > within:
        way = "counter-clockwise" if angle > 0 else "clockwise"
        size = math.radians(abs(angle)) * reach
        words = f"{subject} is turned by {_degrees(abs(angle))} {way}"
        told.append(Difference(Kind.TURN, words, size, layer))
    skew = math.degrees(math.atan2(a * c + b * d, abs(det)))
    if math.radians(abs(skew)) * reach > within:
        size = math.radians(abs(skew)) * reach
        words = f"{subject} is slanted by {_degrees(abs(skew))}: {both(size)} over {both(reach)}"
        told.append(Difference(Kind.SCALE, words, size, layer))
    return told or list(_shift(matrix, box, within, subject, layer))


def _degrees(angle: float) -> str:
    return f"{angle:.4f}".rstrip("0").rstrip(".") + " degrees"


def _scale(
    across: float, up: float, reach: float, within: float, subject: str, layer: str
) -> Iterator[Difference]:
    size = max(abs(across - 1.0), abs(up - 1.0)) * reach
    if size <= within:
        return
    alike = abs(across - up) * reach <= max(within, 1e-5 * size)
    how = f"{across:.4f} in x and y" if alike else f"{across:.4f} in x and {up:.4f} in y"
    if "1.0000" in how:
        how = f"{across:.6f} in x and {up:.6f} in y"
    why = _why(across, up, alike)
    words = f"{subject} is scaled {how}: {both(size)} over {both(reach)} ({why})"
    yield Difference(Kind.SCALE, words, size, layer)


def _why(across: float, up: float, alike: bool) -> str:
    if not alike:
        return "one axis only, or not both alike: a printer's correction does that, no change of units"
    for ratio, words in _MIX_UPS:
        if abs(across / ratio - 1.0) < _NEAR:
            return f"units changed: {words}, which gives {ratio:.4g}"
    if _FIT_TO_PAGE[0] <= across <= _FIT_TO_PAGE[1]:
        return "as fit-to-page does when a file is printed to a file"
    return "units changed? inches read as millimetres would be 25.4"


def _shift(matrix: Matrix, box: Box, within: float, subject: str, layer: str) -> Iterator[Difference]:
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    x, y = apply(matrix, middle)
    dx, dy = x - middle[0], y - middle[1]
    ways = [
        f"{both(abs(by))} {forth if by > 0 else back}"
        for by, forth, back in ((dx, "to the right", "to the left"), (dy, "up", "down"))
        if abs(by) > within / 2
    ]
    if ways and math.hypot(dx, dy) > within:
        words = f"{subject} is shifted {' and '.join(ways)}"
        yield Difference(Kind.SHIFT, words, math.hypot(dx, dy), layer)
