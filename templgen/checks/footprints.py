"""What structure covers of the skin, and how parts and heads lie to it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.extent import lowest_over, reach_along
from templgen.checks.holes import Floats
from templgen.checks.inside import points_in_region
from templgen.geometry import (
    Contour,
    HalfPlane,
    Line,
    Region,
    Segment,
    contour_contour,
    points_to_segments,
    region_contains,
    trim_region,
)
from templgen.layout.assembly import Assembly, StructureLine

__all__ = [
    "contour_to_region",
    "flange_face_of",
    "lies_within",
    "overlap_depth",
    "overlap_of",
    "signed_to_region",
    "standing_lines",
    "with_metal",
]

_NO_METAL = ("seam", "skin edge")
_LEAST_OVERLAP_MM = 1e-3


def with_metal(assembly: Assembly) -> Iterator[StructureLine]:
    """Yield the structure that stands on the skin: ribs, spars, stringers."""
    yield from (structure for structure in assembly.structures.values() if structure.kind not in _NO_METAL)


def flange_face_of(structure: StructureLine) -> str:
    """Return the name of a structure's flange face."""
    return f"{structure.name} flange"


def standing_lines(structure: StructureLine) -> tuple[Line, ...]:
    """Return the lines of the web where it stands on the skin, as far as they are known."""
    names = ("heel", "web face", "web inner face")
    return tuple(dict.fromkeys(structure.lines[name] for name in names if name in structure.lines))


def signed_to_region(points: Floats, region: Region) -> Floats:
    """Return how far points (n, 2) lie outside a region, mm; negative inside."""
    distance = points_to_segments(points, region.segments)[0]
    signed: Floats = np.where(points_in_region(points, region), -distance, distance)
    return signed


def contour_to_region(contour: Contour, region: Region) -> float:
    """Return how far a closed contour lies from a region, mm: 0 or less where they overlap.

    Where they overlap it is minus the least way that takes the contour off the region, along its straight
    sides.
    """
    apart = contour_contour(contour, region.outer).distance
    overlapping = (
        apart == 0.0
        or region_contains(region, contour.segments[0].start)
        or region_contains(Region(contour), region.outer.segments[0].start)
    )
    return -overlap_depth(contour, region) if overlapping else apart


def overlap_depth(contour: Contour, region: Region) -> float:
    """Return the least way, mm, that takes a contour off a region, square to one of its straight sides."""
    depths = [_depth_over(contour, segment) for segment in region.outer.segments if isinstance(segment, Line)]
    return max(0.0, min(depths, default=0.0))


def _depth_over(contour: Contour, side: Segment) -> float:
    """How far a contour reaches over one side (metal to its left) into a region."""
    inwards = (side.end - side.start).unit().perp()
    return reach_along(contour, inwards) - side.start.dot(inwards)


def overlap_of(region: Region, covered: Region) -> tuple[Region, ...]:
    """Return what a region shares with a convex one of straight sides, exactly."""
    sides = [HalfPlane.through(segment.start, segment.end) for segment in covered.outer.segments]
    kept = trim_region(region, sides).kept
    return tuple(piece for piece in kept if piece.area > _LEAST_OVERLAP_MM * piece.length)


def lies_within(region: Region, covered: Region) -> bool:
    """Whether a region lies inside a convex one of straight sides, or on its border."""
    sides = [HalfPlane.through(segment.start, segment.end) for segment in covered.outer.segments]
    return all(lowest_over(region.outer, side) >= -_LEAST_OVERLAP_MM for side in sides)
