"""Exact plane geometry: lines and arcs stay lines and arcs. Millimetres and degrees, y up, ccw positive."""

from __future__ import annotations

from templgen.geometry.bounds import Bounds
from templgen.geometry.contains import Side, contour_inside, locate, region_contains, require_valid
from templgen.geometry.contour import Contour
from templgen.geometry.distance import (
    Nearest,
    contour_contour,
    point_contour,
    point_region_edge,
    point_segment,
    points_to_segments,
    segment_segment,
)
from templgen.geometry.flatten import flatten
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
    "Nearest",
    "Region",
    "Segment",
    "Side",
    "Vec",
    "contour_contour",
    "contour_inside",
    "flatten",
    "intersections",
    "locate",
    "point_contour",
    "point_region_edge",
    "point_segment",
    "points_to_segments",
    "region_contains",
    "require_valid",
    "segment_between",
    "segment_segment",
]
