"""A half of a ring that is in place: the solids that stand for it hold all of its metal."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import contains_xy
from shapely.geometry import Point, Polygon

from templgen.checks.half_ring import half_in_place
from templgen.checks.openings import Piece, pieces_of
from templgen.checks.survey import Survey
from templgen.geometry import Contour
from templgen.geometry.flatten import flatten
from tests.unit.layout.opening_jobs import CIRCLE, D_HOLE, ELLIPSE, RACECOURSE, RECTANGLE, laid_opening

OUTLINES = {
    "rectangle": RECTANGLE,
    "racecourse": RACECOURSE,
    "circle": CIRCLE,
    "ellipse": ELLIPSE,
    "d": D_HOLE,
}


def halves(outline: str, cut_at: float) -> tuple[tuple[Piece, ...], Contour]:
    # where a cut runs beside a screw no turn of its nutplate would hold all limits
    more = f'ring = {{ made = "halves", cut_at = {cut_at} }}\nnutplates = {{ turned = "along" }}'
    assembly, opening = laid_opening(outline=outline, more=more)
    return tuple(pieces_of(Survey(assembly), opening)), opening.clear_hole


@pytest.mark.parametrize("name", OUTLINES)
@pytest.mark.parametrize("cut_at", [3, 22.5, 61.5, 112])
def test_every_point_of_the_metal_lies_in_one_of_the_solids(name: str, cut_at: float) -> None:
    pieces, hole = halves(OUTLINES[name], cut_at)
    assert len(pieces) == 2
    for piece in pieces:
        metal = Polygon([(p.x, p.y) for p in flatten(piece.outline, 0.001)])
        solids = half_in_place(piece, hole)
        box = metal.bounds
        points = np.random.default_rng(5).uniform(box[:2], box[2:], (4000, 2))
        inside = points[contains_xy(metal, points[:, 0], points[:, 1])]
        assert len(inside) > 300
        held = np.zeros(len(inside), dtype=bool)
        for solid in solids:
            assert solid.points[:, 2].min() == 0.0
            assert solid.points[:, 2].max() == pytest.approx(piece.thickness)
            flat = Polygon(solid.points[: len(solid.points) // 2, :2]).buffer(1e-7)
            held |= contains_xy(flat, inside[:, 0], inside[:, 1])
        assert held.all()


@pytest.mark.parametrize("cut_at", [3, 41.5])
def test_the_solids_leave_the_hole_and_the_other_half_free(cut_at: float) -> None:
    """But for what chords and tangents of curves take more: half a millimetre in the hole."""
    pieces, hole = halves(RECTANGLE, cut_at)
    room = Polygon([(p.x, p.y) for p in flatten(hole, 0.001)]).buffer(-0.6)
    for piece, other in (pieces, pieces[::-1]):
        beside = Polygon([(p.x, p.y) for p in flatten(other.outline, 0.001)]).buffer(-1e-6)
        for solid in half_in_place(piece, hole):
            flat = Polygon(solid.points[: len(solid.points) // 2, :2])
            assert not flat.intersects(room)
            assert not flat.intersects(beside)
            assert flat.distance(Point(hole.bounds.centre.x, hole.bounds.centre.y)) > 0
