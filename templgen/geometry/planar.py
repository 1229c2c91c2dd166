"""The one door to shapely: neighbours among very many points, and set operations on flattenings.

Shapely knows no arcs. Everything here that takes a region flattens it with a stated sagitta, so
outlines that come back are polygons inside the true arcs (outside where the arc bends inwards).
Import this module only where it is needed: it loads shapely.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray

from templgen.errors import GeometryError
from templgen.geometry.contour import Contour
from templgen.geometry.flatten import flatten
from templgen.geometry.region import Region
from templgen.geometry.tolerance import SLIVER
from templgen.geometry.vector import Vec

__all__ = ["covers", "intersect", "near_pairs", "subtract"]

Indices = NDArray[np.intp]


def near_pairs(points: NDArray[np.float64], reach: float | NDArray[np.float64]) -> tuple[Indices, Indices]:
    """Return all pairs of points that lie within reach of each other.

    Args:
        points: Array (n, 2) in mm, n may be 0.
        reach: In mm, one for all, or one per point (n,); a pair counts when the distance is at most
            the larger reach of the two.

    Returns:
        Two index arrays i < j of equal length, sorted by i and then j; each pair once.
    """
    array = np.asarray(points, dtype=np.float64)
    if array.ndim != 2 or array.shape[1] != 2 or not np.isfinite(array).all():
        raise GeometryError(f"points must be finite numbers of shape (n, 2), not {array.shape}")
    located = np.atleast_1d(np.asarray(shapely.points(array)))
    found = shapely.STRtree(located).query(located, predicate="dwithin", distance=reach)
    low, high = found.min(axis=0), found.max(axis=0)
    codes = np.unique(low[low < high] * len(array) + high[low < high])
    return codes // max(len(array), 1), codes % max(len(array), 1)


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
