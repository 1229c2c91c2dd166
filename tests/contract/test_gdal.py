"""Cut files read by GDAL, a reader that others wrote and use every day."""

from __future__ import annotations

import math

import pytest

from templgen.drawing import CircleMark, Drawing, Meaning, PageInfo, Text
from templgen.exporters.dxf import dxf_bytes, layer_name
from templgen.geometry import Vec
from tests.contract.reading import WITHIN, farthest
from tests.contract.zoo import CASES, INFO, Case
from tests.readers.gdal_reader import read_with_gdal


@pytest.mark.parametrize("case", CASES, ids=str)
def test_points_lie_on_the_truth(case: Case) -> None:
    (feature,) = read_with_gdal(dxf_bytes(Drawing((case.mark,), INFO)))
    assert feature.layer == layer_name(case.mark.meaning)
    assert farthest(feature.points, case.truth) < WITHIN["dxf"]


def test_a_hole_is_a_circle() -> None:
    mark = CircleMark(Vec(12.5, 40.0), 1.6, Meaning.LOCATING_HOLE)
    (feature,) = read_with_gdal(dxf_bytes(Drawing((mark,), INFO)))
    assert feature.kind == "AcDbCircle"
    assert feature.layer == "locating_hole"
    assert [math.dist(point, (12.5, 40.0)) for point in feature.points] == pytest.approx(
        [1.6] * len(feature.points), abs=1e-9
    )


def test_words_arrive_with_their_signs() -> None:
    drawing = Drawing((Text("Ø4.2 × 3 ±0.1°", Vec(1, 2), 2.5),), PageInfo("p", "d"))
    (feature,) = read_with_gdal(dxf_bytes(drawing))
    assert feature.words == "Ø4.2 × 3 ±0.1°"
    assert feature.layer == "note"
