"""The one door to shapely: set operations on flattenings.

Shapely knows no arcs. Everything here that takes a region flattens it with a stated sagitta, so
outlines that come back are polygons inside the true arcs (outside where the arc bends inwards).
Import this module only where it is needed: it loads shapely.
"""

from __future__ import annotations

from collections.abc import Iterable

import shapely

from templgen.geometry.bulk import near_pairs
from templgen.geometry.contour import Contour
from templgen.geometry.flatten import flatten
from templgen.geometry.region import Region
from templgen.geometry.tolerance import SLIVER
from templgen.geometry.vector import Vec

__all__ = ["covers", "intersect", "near_pairs", "subtract"]


def subtract(region: Region, regions: Iterable[Region], max_sagitta: float) -> tuple[Region, ...]:
    """Return what is left of a region without the others, as polygons of the stated sagitta (mm)."""
    taken = shapely.union_all([_polygon(other, max_sagitta) for other in regions])
    return _regions(_polygon(region, max_sagitta).difference(taken))


def intersect(a: Region, b: Region, max_sagitta: float) -> tuple[Region, ...]:
    """Return what two regions share, as polygons of the stated sagitta (mm)."""
    return _regions(_polygon(a, max_sagitta).intersection(_polygon(b, max_sagitta)))


def covers(region: Region, other: Region, max_sagitta: float) -> bool:
    """Whether ``other`` lies within ``region``, up to the stated sagitta (mm) along the edges."""
    allowed = _polygon(region, max_sagitta).buffer(2 * max_sagitta, join_style="mitre")
    return bool(allowed.covers(_polygon(other, max_sagitta)))


def _polygon(region: Region, max_sagitta: float) -> shapely.Polygon:
    outer, *openings = [_ring(contour, max_sagitta) for contour in region.contours]
    return shapely.Polygon(outer, openings)


def _ring(contour: Contour, max_sagitta: float) -> list[tuple[float, float]]:
    return [(point.x, point.y) for point in flatten(contour, max_sagitta)]


def _regions(found: shapely.Geometry) -> tuple[Region, ...]:
    polygons = [part for part in shapely.get_parts(found) if isinstance(part, shapely.Polygon)]
    solid = [polygon for polygon in polygons if polygon.area > SLIVER * polygon.length]
    return tuple(
        Region(_contour(polygon.exterior), tuple(_contour(ring) for ring in polygon.interiors))
        for polygon in sorted(solid, key=lambda polygon: -polygon.area)
    )


def _contour(ring: shapely.LinearRing) -> Contour:
    return Contour.polygon(Vec(float(x), float(y)) for x, y in list(ring.coords)[:-1])
