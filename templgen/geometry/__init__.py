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
from templgen.geometry.fillet import fillet
from templgen.geometry.fit import Fit, arcs_from_curve, arcs_through_points
from templgen.geometry.flatten import flatten
from templgen.geometry.intersect import intersections
from templgen.geometry.motion import Motion
from templgen.geometry.offset import offset_contour, offset_region
from templgen.geometry.region import Region
from templgen.geometry.segment import Arc, Line, Segment, segment_between
from templgen.geometry.trim import HalfPlane, Trimmed, trim_region
from templgen.geometry.vector import Vec

__all__ = [
    "Arc",
    "Bounds",
    "Contour",
    "Fit",
    "HalfPlane",
    "Line",
    "Motion",
    "Nearest",
    "Region",
    "Segment",
    "Side",
    "Trimmed",
    "Vec",
    "arcs_from_curve",
    "arcs_through_points",
    "contour_contour",
    "contour_inside",
    "fillet",
    "flatten",
    "intersections",
    "locate",
    "offset_contour",
    "offset_region",
    "point_contour",
    "point_region_edge",
    "point_segment",
    "points_to_segments",
    "region_contains",
    "require_valid",
    "segment_between",
    "segment_segment",
    "trim_region",
]
