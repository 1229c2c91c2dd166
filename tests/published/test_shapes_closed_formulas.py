"""Areas and perimeters of the shapes against closed formulas of elementary geometry, and against shapely.

Formulas: any handbook of mathematics (from memory, confidence high). Shapely knows nothing of arcs: it gets
polygons whose corners this test reckons from the bulges by itself.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from templgen.geometry import Contour
from templgen.shapes import ShapeLibrary

LIBRARY = ShapeLibrary.standard()
OUTLINES = [shape.name for shape in LIBRARY if shape.kind == "outline"]
CHORDS = 400


def _cap(radius: float, half_angle: float) -> float:
    """Area between an arc and its chord: r^2 (2a - sin 2a) / 2."""
    return radius**2 * (2 * half_angle - math.sin(2 * half_angle)) / 2


CASES: list[tuple[str, dict[str, Any], float, float]] = [
    ("circle", {"diameter": 25.4}, math.pi * 12.7**2, math.pi * 25.4),
    ("racecourse", {"length": 44, "width": 16}, math.pi * 64 + 28 * 16, math.pi * 16 + 56),
    ("slot", {"centres": 12, "diameter": 5}, math.pi * 6.25 + 60, math.pi * 5 + 24),
    ("ring", {"diameter": 50, "opening": 30}, math.pi * 400, math.pi * 80),
    (
        "rectangle",
        {"length": 152.4, "width": 101.6, "corner_radius": 12.7},
        152.4 * 101.6 - (4 - math.pi) * 12.7**2,
        2 * (152.4 + 101.6) - (8 - 2 * math.pi) * 12.7,
    ),
    (
        "d-hole",
        {"diameter": 20, "across_flat": 16},
        math.pi * 100 - _cap(10, math.acos(0.6)),
        20 * (math.pi - math.acos(0.6)) + 16,
    ),
    (
        "double-d-hole",
        {"diameter": 20, "across_flats": 12},
        math.pi * 100 - 2 * _cap(10, math.acos(0.6)),
        20 * (math.pi - 2 * math.acos(0.6)) + 32,
    ),
    (
        "lens",
        {"length": 48, "width": 16},
        2 * _cap(40, math.asin(0.6)),
        160 * math.asin(0.6),
    ),
    (
        "regular-polygon",
        {"sides": 8, "across_flats": 30},
        8 * 15**2 * math.tan(math.pi / 8),
        16 * 15 * math.tan(math.pi / 8),
    ),
    (
        "polygon",
        {"points": [[0, 0], [40, 0], [0, 30]], "corner_radius": 4},
        600 - 16 * (1 / math.tan(math.atan2(3, 4) / 2) + 1 / math.tan(math.atan2(4, 3) / 2) + 1 - math.pi),
        120 - 8 * (1 / math.tan(math.atan2(3, 4) / 2) + 1 / math.tan(math.atan2(4, 3) / 2) + 1 - math.pi),
    ),
    (
        "mast-tapered",
        {"length": 50, "width": 20, "tail_radius": 5},
        None,
        None,
    ),
]  # fmt: skip


def _belt(distance: float, large: float, small: float) -> tuple[float, float]:
    """Area and length round two circles and their outer tangents (open belt problem)."""
    lean = math.asin((large - small) / distance)
    straight = math.sqrt(distance**2 - (large - small) ** 2)
    area = straight * (large + small) + large**2 * (math.pi / 2 + lean) + small**2 * (math.pi / 2 - lean)
    length = 2 * straight + large * (math.pi + 2 * lean) + small * (math.pi - 2 * lean)
    return area, length


@pytest.mark.parametrize(("name", "values", "area", "perimeter"), CASES, ids=[case[0] for case in CASES])
def test_closed_formula(
    name: str, values: dict[str, Any], area: float | None, perimeter: float | None
) -> None:
    if area is None or perimeter is None:
        area, perimeter = _belt(50 - 10 - 5, 10, 5)
    region = LIBRARY.get(name).region(**values)
    assert region.area == pytest.approx(area, rel=1e-12)
    assert region.length == pytest.approx(perimeter, rel=1e-12)


@pytest.mark.parametrize(("length", "width"), [(80, 30), (30, 80), (500, 10), (20, 20)])
def test_ellipse_area_and_perimeter(length: float, width: float) -> None:
    """Area pi a b; perimeter by the series of Gauss and Kummer in h = ((a - b)/(a + b))^2."""
    outline = LIBRARY.get("ellipse").outline(length=length, width=width)
    a, b = length / 2, width / 2
    slack = outline.deviation * outline.contour.length
    assert outline.contour.area == pytest.approx(math.pi * a * b, abs=slack + 1e-9)
    h = ((a - b) / (a + b)) ** 2
    coefficient, total = 1.0, 1.0
    for n in range(1, 400):
        coefficient *= ((n - 1.5) / n) ** 2
        total += coefficient * h**n
    assert outline.contour.length == pytest.approx(math.pi * (a + b) * total, rel=1e-4)


def _corners(contour: Contour) -> list[tuple[float, float]]:
    """Corners on the arcs, from start, end and bulge alone (bulge = tan(sweep / 4), DXF reference)."""
    corners = []
    for segment in contour.segments:
        (x0, y0), (x1, y1) = (segment.start.x, segment.start.y), (segment.end.x, segment.end.y)
        bulge = getattr(segment, "bulge", 0.0)
        corners.append((x0, y0))
        if bulge == 0.0:
            continue
        sweep = 4 * math.atan(bulge)
        chord = math.hypot(x1 - x0, y1 - y0)
        radius = chord / (2 * math.sin(sweep / 2))
        rise = radius * math.cos(sweep / 2)
        cx = (x0 + x1) / 2 - rise * (y1 - y0) / chord
        cy = (y0 + y1) / 2 + rise * (x1 - x0) / chord
        first = math.atan2(y0 - cy, x0 - cx)
        for angle in (first + sweep * k / CHORDS for k in range(1, CHORDS)):
            corners.append((cx + abs(radius) * math.cos(angle), cy + abs(radius) * math.sin(angle)))
    return corners


@pytest.mark.parametrize("name", OUTLINES)
def test_shapely_agrees(name: str) -> None:
    """Valid by shapely; equal in area, length, bounds and centroid within what 400 chords an arc lose."""
    shape = LIBRARY.get(name)
    region = shape.region(**shape.defaults())
    polygon = shapely.Polygon(_corners(region.outer), [_corners(opening) for opening in region.inner])
    assert polygon.is_valid
    assert region.area == pytest.approx(polygon.area, rel=3e-5)
    assert region.length == pytest.approx(polygon.length, rel=3e-5)
    bounds = region.bounds
    found = (bounds.xmin, bounds.ymin, bounds.xmax, bounds.ymax)
    assert found == pytest.approx(polygon.bounds, abs=1e-3)
    centroid = region.centroid
    assert (centroid.x, centroid.y) == pytest.approx((polygon.centroid.x, polygon.centroid.y), abs=1e-3)
