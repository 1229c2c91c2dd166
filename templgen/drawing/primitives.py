"""The five things a drawing is made of; arcs and circles stay true to the end.

Coordinates are millimetres, y up; on a page the origin is its lower left corner.
"""

from __future__ import annotations

from enum import Enum
from typing import TypeAlias

from msgspec import Struct

from templgen.drawing.styles import Meaning
from templgen.geometry import Arc, Contour, Line, Vec

__all__ = ["Anchor", "ArcMark", "CircleMark", "Item", "LineMark", "PathMark", "Text"]


class Anchor(Enum):
    """Which point of a text's first line stands at its place."""

    LEFT = "left"
    MIDDLE = "middle"
    RIGHT = "right"


class LineMark(Struct, frozen=True):
    """A straight line."""

    line: Line
    meaning: Meaning


class ArcMark(Struct, frozen=True):
    """A circular arc."""

    arc: Arc
    meaning: Meaning


class CircleMark(Struct, frozen=True):
    """A whole circle; `name` is the number of the hole it stands for, if any."""

    centre: Vec
    radius: float
    meaning: Meaning
    name: str = ""


class PathMark(Struct, frozen=True):
    """A chain of lines and arcs, closed or open; `filled` is for arrow heads and solid marks only."""

    contour: Contour
    meaning: Meaning
    filled: bool = False
    name: str = ""


class Text(Struct, frozen=True):
    """One line of words.

    `height` is the height of a capital letter in mm (ISO 3098), `at` the point on the base line that
    `anchor` names, `angle` in degrees. `meaning` names the layer. Text is never mirrored.
    """

    text: str
    at: Vec
    height: float
    anchor: Anchor = Anchor.LEFT
    angle: float = 0.0
    bold: bool = False
    meaning: Meaning = Meaning.NOTE


Item: TypeAlias = LineMark | ArcMark | CircleMark | PathMark | Text
