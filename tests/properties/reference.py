"""Shapely (GEOS) as the independent reference library, on fine flattenings.

Its own buffer of a whole outline is not used as a reference: GEOS first simplifies concave stretches
of the input by up to a hundredth of the distance, which on finely flattened arcs moves the result by
millimetres (seen with shapely 2.2, GEOS 3.14). The union of buffered single edges is exact.
"""

from __future__ import annotations

import shapely

from templgen.geometry import Contour, Region, flatten

__all__ = ["band", "moved_by", "polygon"]


def _ring(contour: Contour, sagitta: float) -> list[tuple[float, float]]:
    return [(point.x, point.y) for point in flatten(contour, sagitta)]


def polygon(shape: Contour | Region, sagitta: float) -> shapely.Polygon:
    """The polygon of chords of a closed contour or a region."""
    if isinstance(shape, Contour):
        return shapely.Polygon(_ring(shape, sagitta))
    return shapely.Polygon(_ring(shape.outer, sagitta), [_ring(inner, sagitta) for inner in shape.inner])


def band(contour: Contour, distance: float, sagitta: float) -> shapely.Geometry:
    """Everything within ``distance`` of a closed contour."""
    ring = _ring(contour, sagitta)
    edges = [shapely.LineString(pair) for pair in zip(ring, ring[1:] + ring[:1], strict=True)]
    return shapely.union_all(shapely.buffer(edges, distance, quad_segs=32))


def moved_by(region: Region, distance: float, sagitta: float) -> shapely.Geometry:
    """The region grown (+) or shrunk (-)."""
    grown = polygon(region, sagitta)
    for contour in region.contours:
        edge = band(contour, abs(distance), sagitta)
        grown = grown.union(edge) if distance > 0 else grown.difference(edge)
    return grown
