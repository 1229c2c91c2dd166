"""Points along outlines: many at once are those that are worked out one by one."""

from __future__ import annotations

import numpy as np
import pytest

from templgen.errors import GeometryError
from templgen.geometry import Contour, Vec
from templgen.geometry.flatten import flatten, flattened
from tests.properties.strategies import DUMBBELL, HOOK, SLOT


@pytest.mark.parametrize("sagitta", [0.0005, 0.1, 3.0])
@pytest.mark.parametrize(
    "outline", [DUMBBELL, HOOK, SLOT, Contour.circle(Vec(7, -3), 40), Contour.rectangle(90, 40, 6)]
)
def test_many_at_once_are_the_same(outline: Contour, sagitta: float) -> None:
    one_by_one = np.array([(point.x, point.y) for point in flatten(outline, sagitta)])
    assert flattened(outline, sagitta) == pytest.approx(one_by_one, abs=1e-9)


def test_no_sagitta_is_refused() -> None:
    with pytest.raises(GeometryError, match="above 0 mm"):
        flattened(SLOT, 0.0)
