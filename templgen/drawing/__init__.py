"""Neutral drawings: what every exporter reads and every sheet is made of."""

from templgen.drawing.drawing import Correction, Drawing, PageInfo
from templgen.drawing.primitives import Anchor, ArcMark, CircleMark, Item, LineMark, PathMark, Text
from templgen.drawing.styles import LineStyle, Meaning, style_of
from templgen.drawing.table import Table

__all__ = [
    "Anchor",
    "ArcMark",
    "CircleMark",
    "Correction",
    "Drawing",
    "Item",
    "LineMark",
    "LineStyle",
    "Meaning",
    "PageInfo",
    "PathMark",
    "Table",
    "Text",
    "style_of",
]
