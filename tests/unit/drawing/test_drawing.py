"""Drawings and the correction of a printer."""

from __future__ import annotations

import math

import pytest

from templgen.drawing import Correction


def test_no_correction_is_the_identity() -> None:
    assert Correction(1.0, 1.0).matrix == (1.0, 0.0, 0.0, 1.0)


def test_a_skew_leans_the_y_axis_towards_x() -> None:
    a, b, c, d = Correction(1.01, 0.98, 2.0).matrix
    assert (a, b) == (1.01, 0.0)
    assert math.degrees(math.atan2(c, d)) == pytest.approx(2.0)
    assert d == 0.98
