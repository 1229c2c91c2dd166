"""Whatever values a job gives: a sound outline, holes, or a ShapeError; never another error."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from templgen.errors import ShapeError
from templgen.shapes import Shape, ShapeLibrary
from templgen.shapes.parameters import Parameter

LIBRARY = ShapeLibrary.standard()
_LENGTHS = st.one_of(
    st.floats(0, 120), st.floats(0, 120).map(lambda value: round(value, 1)), st.integers(0, 40)
)
_POINTS = st.tuples(st.floats(-50, 50), st.floats(-50, 50)).map(list)
_VALUES: dict[str, st.SearchStrategy[Any]] = {
    "mm": _LENGTHS,
    "deg": st.floats(-400, 400),
    "count": st.integers(-1, 40),
    "ratio": st.floats(0, 0.6),
    "lengths": st.lists(_LENGTHS, max_size=9),
    "counts": st.lists(st.integers(-1, 9), max_size=4),
    "points": st.lists(_POINTS, max_size=9),
    "outline": st.lists(_POINTS, min_size=2, max_size=7),
}
_NONSENSE = st.one_of(
    st.none(), st.booleans(), st.text(max_size=5), st.integers(), st.floats(), st.just([[]])
)


def _value(parameter: Parameter) -> st.SearchStrategy[Any]:
    """Mostly near the default, sometimes anything of the kind, seldom nonsense."""
    default = parameter.default
    kinds = [_VALUES[parameter.unit]] * 3 + [_NONSENSE]
    if isinstance(default, float | int) and parameter.unit in ("mm", "ratio"):
        kinds += [st.floats(0.2, 3).map(lambda share: default * share)] * 12
    return st.one_of(kinds)


@st.composite
def _uses(draw: st.DrawFn) -> tuple[Shape, dict[str, Any]]:
    shape = LIBRARY.get(draw(st.sampled_from(LIBRARY.names())))
    given_ = {
        parameter.name: draw(_value(parameter))
        for parameter in shape.parameters.values()
        if parameter.required or draw(st.booleans())
    }
    return shape, given_


@settings(max_examples=80, deadline=None)
@given(_uses())
def test_any_values_draw_or_are_refused(use: tuple[Shape, dict[str, Any]]) -> None:
    shape, values = use
    try:
        if shape.kind == "pattern":
            assert len(shape.points(**values)) > 0
            return
        outline = shape.outline(**values)
    except ShapeError:
        return
    assert outline.contour.is_ccw
    assert outline.contour.is_simple
    assert outline.deviation <= 0.005


@st.composite
def _measured(draw: st.DrawFn) -> dict[str, Any]:
    steps = draw(st.lists(st.floats(0.05, 30), min_size=2, max_size=9))
    stations = [0.0]
    for step in steps:
        stations.append(stations[-1] + step)
    sides = []
    for _ in range(2):
        inner = draw(st.lists(st.floats(0.1, 25), min_size=len(steps) - 1, max_size=len(steps) - 1))
        sides.append([draw(st.sampled_from([0.0, 2.0])), *inner, draw(st.sampled_from([0.0, 1.0]))])
    radii = {name: draw(st.sampled_from([0.0, 0.5, 2.0, 9.0])) for name in ("nose_radius", "tail_radius")}
    return {"stations": stations, "left": sides[0], "right": sides[1], **radii}


@settings(max_examples=30, deadline=None)
@given(_measured())
def test_any_measured_section_draws_or_is_refused(values: dict[str, Any]) -> None:
    try:
        outline = LIBRARY.get("mast-stations").outline(**values)
    except ShapeError:
        return
    assert outline.contour.is_simple
    assert outline.deviation <= 0.005
