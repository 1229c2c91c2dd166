"""Exact plane geometry: lines and arcs stay lines and arcs. Millimetres and degrees, y up, ccw positive."""

from __future__ import annotations

from templgen.geometry.bounds import Bounds
from templgen.geometry.contour import Contour
from templgen.geometry.intersect import intersections
from templgen.geometry.motion import Motion
from templgen.geometry.region import Region
from templgen.geometry.segment import Arc, Line, Segment, segment_between
from templgen.geometry.vector import Vec

__all__ = [
    "Arc",
    "Bounds",
    "Contour",
    "Line",
    "Motion",
    "Region",
    "Segment",
    "Vec",
    "intersections",
    "segment_between",
]
