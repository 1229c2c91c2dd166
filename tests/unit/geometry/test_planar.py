"""Set operations on flattenings."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from templgen.geometry import Contour, Region, Vec
from templgen.geometry.planar import covers, intersect, subtract

BOX = Region(Contour.rectangle(20, 10))
DISC = Region(Contour.circle(Vec(0, 0), 3))


def test_subtract() -> None:
    (rest,) = subtract(BOX, [DISC], 1e-4)
    assert len(rest.inner) == 1
    assert rest.area == pytest.approx(200 - 9 * math.pi, abs=1e-4 * DISC.length)
    halves = subtract(BOX, [Region(Contour.rectangle(2, 30))], 1e-4)
    assert [half.area for half in halves] == pytest.approx([90, 90])
    assert subtract(DISC, [BOX], 1e-4) == ()
    assert subtract(BOX, [], 1e-4)[0].area == 200


def test_intersect() -> None:
    (shared,) = intersect(BOX, DISC, 1e-4)
    assert shared.area == pytest.approx(9 * math.pi, abs=1e-4 * DISC.length)
    assert intersect(BOX, Region(Contour.circle(Vec(50, 0), 3)), 1e-4) == ()
    touching = Region(Contour.rectangle(20, 10, centre=Vec(20, 0)))
    assert intersect(BOX, touching, 1e-4) == ()  # a shared edge is no area


def test_covers() -> None:
    assert covers(BOX, DISC, 1e-3)
    assert covers(BOX, BOX, 1e-3)
    assert not covers(DISC, BOX, 1e-3)
    assert not covers(BOX, Region(Contour.circle(Vec(0, 2.1), 3)), 1e-3)


def test_geometry_loads_neither_shapely_nor_numpy() -> None:
    code = "import sys, templgen.geometry; print([m for m in ('numpy', 'shapely') if m in sys.modules])"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"
