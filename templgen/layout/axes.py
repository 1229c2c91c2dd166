"""Do the builder's words for the axes fit together? A frame read backwards mirrors every part.

Aircraft directions are forward, left and up, a right-handed set. Seen on a face, with the face's normal
towards the eye, x turned counter-clockwise by 90 degrees must be y: the triple product x, y, normal is +1.
"""

from __future__ import annotations

import re
from typing import Literal

from msgspec import Struct, field

from templgen.errors import Location

__all__ = ["MeasuredFrame", "handedness", "nose_way"]

Direction = tuple[int, int, int]
Hand = Literal["left", "right"]

_FORWARD, _LEFT, _UP = (1, 0, 0), (0, 1, 0), (0, 0, 1)


class MeasuredFrame(Struct, frozen=True):
    """How x and y were measured: words for them, the face looked at, the surface and hand it belongs to."""

    x_words: str
    y_words: str
    face: Literal["outside", "inside"]
    surface: Literal["upper", "lower", "side"] | None
    hand: Hand
    where: Location = field(default_factory=lambda: Location("<job>", 1, 1))


def handedness(frame: MeasuredFrame) -> int | None:
    """Return +1 if x, y and the eye make a right-handed set, -1 if they are mirrored, else None.

    It can not be told without the surface, or where the words name no direction of an aircraft, or the same
    one twice.

    >>> handedness(MeasuredFrame("aft", "outboard", "outside", "lower", "left"))
    1
    >>> handedness(MeasuredFrame("aft", "outboard", "outside", "lower", "right"))
    -1
    """
    x, y = _direction(frame.x_words, frame.hand), _direction(frame.y_words, frame.hand)
    if frame.surface is None or x is None or y is None:
        return None
    outward = {"upper": _UP, "lower": _turned(_UP), "side": _towards_side(frame.hand)}[frame.surface]
    eye = outward if frame.face == "outside" else _turned(outward)
    product = _dot(_cross(x, y), eye)
    return product or None


def nose_way(words: str) -> int:
    """Return +1 for words that say forward, -1 for aft, 0 for all others; the same on either hand.

    >>> nose_way("aft along rib 5"), nose_way("towards the nose"), nose_way("outboard")
    (-1, 1, 0)
    """
    direction = _direction(words, "left")
    return 0 if direction is None else _dot(direction, _FORWARD)


def _direction(words: str, hand: Hand) -> Direction | None:
    outboard = _towards_side(hand)
    known = {
        "forward": _FORWARD,
        "nose": _FORWARD,
        "aft": _turned(_FORWARD),
        "tail": _turned(_FORWARD),
        "up": _UP,
        "down": _turned(_UP),
        "left": _LEFT,
        "port": _LEFT,
        "right": _turned(_LEFT),
        "starboard": _turned(_LEFT),
        "outboard": outboard,
        "inboard": _turned(outboard),
    }
    named = {known[word] for word in re.findall(r"[a-z]+", words.lower()) if word in known}
    return named.pop() if len(named) == 1 else None


def _towards_side(hand: Hand) -> Direction:
    return _LEFT if hand == "left" else _turned(_LEFT)


def _turned(a: Direction) -> Direction:
    return (-a[0], -a[1], -a[2])


def _cross(a: Direction, b: Direction) -> Direction:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _dot(a: Direction, b: Direction) -> int:
    return sum(p * q for p, q in zip(a, b, strict=True))
