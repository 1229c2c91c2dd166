"""Every file in the shape folder is tested by being there."""

from __future__ import annotations

from typing import Any

import pytest

from templgen.errors import ShapeError
from templgen.geometry import Bounds, Contour
from templgen.shapes import Shape, ShapeLibrary
from templgen.shapes.expressions import Expression
from templgen.shapes.library import standard_folder

LIBRARY = ShapeLibrary.standard()
OUTLINES = [name for name in LIBRARY.names() if LIBRARY.get(name).kind == "outline"]
PATTERNS = [name for name in LIBRARY.names() if LIBRARY.get(name).kind == "pattern"]
EXACT = 1e-9
LISTS_DECIDE = {
    ("mast-stations", "nose_radius", "maximum"),
    ("mast-stations", "tail_radius", "maximum"),
    ("polygon", "corner_radius", "maximum"),
    ("perimeter-row", "inset", "maximum"),
    ("perimeter-row-by-pitch", "inset", "maximum"),
}
"""Range ends that no limit can tell beforehand: a list of measured places or an outline decides."""


def _require_sound(contour: Contour) -> None:
    assert contour.closed
    assert contour.is_ccw
    assert contour.is_simple


def _bound(shape: Shape, name: str, side: str, values: dict[str, Any]) -> float | None:
    limit = getattr(shape.parameters[name], side)
    numbers = {key: value for key, value in values.items() if isinstance(value, float)}
    return limit.evaluate(numbers) if isinstance(limit, Expression) else limit


def _clamped(shape: Shape, values: dict[str, Any], held: str) -> dict[str, Any]:
    """The values with all parameters but the held one moved into their ranges."""
    values = dict(values)
    for _ in range(8):
        faults = [fault for fault in shape.faults(values) if fault.parameter != held]
        if not faults:
            return values
        for fault in faults:
            for side, worse in (("minimum", min), ("maximum", max)):
                bound = _bound(shape, fault.parameter, side, values)
                value = values[fault.parameter]
                if bound is not None and isinstance(value, float) and worse(value, bound) == value:
                    values[fault.parameter] = float(bound)
    return values


def _range_ends() -> list[tuple[str, str, str]]:
    return [
        (shape.name, parameter.name, side)
        for shape in LIBRARY
        for parameter in shape.parameters.values()
        for side in ("minimum", "maximum")
        if parameter.is_scalar and getattr(parameter, side) is not None
    ]


def test_all_files_are_in_the_library() -> None:
    assert LIBRARY.names() == tuple(sorted(file.stem for file in standard_folder().glob("*.toml")))
    assert {"circle", "rectangle", "slot", "racecourse", "ellipse", "d-hole", "double-d-hole"} < set(OUTLINES)
    assert {"regular-polygon", "polygon", "ring", "lens", "outline-points"} < set(OUTLINES)
    assert {"mast-rounded", "mast-four-digit", "mast-stations"} < set(OUTLINES)
    assert {"row", "grid", "bolt-circle", "perimeter-row"} < set(PATTERNS)


@pytest.mark.parametrize("name", OUTLINES)
def test_defaults_draw_a_sound_outline(name: str) -> None:
    shape = LIBRARY.get(name)
    outline = shape.outline(**shape.defaults())
    _require_sound(outline.contour)
    assert 0 <= outline.deviation <= 0.005
    assert shape.region(**shape.defaults()).area > 0


@pytest.mark.parametrize("name", PATTERNS)
def test_defaults_set_out_holes_apart(name: str) -> None:
    shape = LIBRARY.get(name)
    points = shape.points(**shape.defaults())
    assert len(points) > 1
    assert len({(round(point.x, 6), round(point.y, 6)) for point in points}) == len(points)


@pytest.mark.parametrize(("name", "parameter", "side"), _range_ends())
def test_range_ends_draw(name: str, parameter: str, side: str) -> None:
    shape = LIBRARY.get(name)
    values = shape.defaults()
    bound = _bound(shape, parameter, side, values)
    assert bound is not None
    values[parameter] = float(int(bound)) if shape.parameters[parameter].unit == "count" else float(bound)
    values = _clamped(shape, values, held=parameter)
    assert shape.faults(values) == ()
    if (name, parameter, side) in LISTS_DECIDE:
        with pytest.raises(ShapeError, match=" mm"):
            shape.points(**values) if shape.kind == "pattern" else shape.outline(**values)
    elif shape.kind == "outline":
        _require_sound(shape.outline(**values).contour)
    else:
        assert shape.points(**values)


@pytest.mark.parametrize(("name", "parameter", "side"), _range_ends())
def test_beyond_a_range_end_is_refused(name: str, parameter: str, side: str) -> None:
    shape = LIBRARY.get(name)
    values = shape.defaults()
    bound = _bound(shape, parameter, side, values)
    assert bound is not None
    step = 1.0 if shape.parameters[parameter].unit == "count" else 1e-3 * max(1.0, abs(bound))
    values[parameter] = float(int(bound)) + (step if side == "maximum" else -step)
    if shape.parameters[parameter].unit != "count":
        values[parameter] = bound + (step if side == "maximum" else -step)
    told = [fault.message for fault in shape.faults(values) if fault.parameter == parameter]
    assert told
    assert told[0].startswith(f"{parameter} = ")
    assert ("above" if side == "maximum" else "below") in told[0]


@pytest.mark.parametrize("name", LIBRARY.names())
def test_example_facts_hold(name: str) -> None:
    shape = LIBRARY.get(name)
    values = dict(shape.example.values)
    facts = shape.fact_values(shape.values(values))
    found, slack = _found(shape, values)
    for fact, expected in facts.items():
        allowed = slack * found["perimeter"] if fact == "area" else slack
        assert found[fact] == pytest.approx(expected, abs=EXACT + allowed), fact


def _found(shape: Shape, values: dict[str, Any]) -> tuple[dict[str, float], float]:
    """What is drawn, and how much a length may differ: both sides may stray by the deviation."""
    if shape.kind == "pattern":
        points = shape.points(**values)
        bounds = Bounds.of(points)
        assert bounds is not None
        found = {"holes": float(len(points)), "extent_x": bounds.width, "extent_y": bounds.height}
        return found, shape.example.tolerance
    outline, region = shape.outline(**values), shape.region(**values)
    found = {
        "area": region.area,
        "perimeter": region.length,
        "extent_x": region.bounds.width,
        "extent_y": region.bounds.height,
    }
    return found, shape.example.tolerance + 2 * outline.deviation


@pytest.mark.parametrize("name", LIBRARY.names())
def test_every_parameter_says_what_it_is(name: str) -> None:
    for parameter in LIBRARY.get(name).parameters.values():
        assert parameter.meaning.endswith(".")
        assert len(parameter.meaning.split()) >= 3


@pytest.mark.parametrize("name", OUTLINES)
def test_the_middle_of_the_length_is_the_origin(name: str) -> None:
    """Not so where points are given, and along y not for the D hole, which hangs on its round part."""
    shape = LIBRARY.get(name)
    if name in ("polygon", "outline-points"):
        pytest.skip("the builder's points decide")
    bounds = shape.outline(**shape.defaults()).contour.bounds
    assert bounds.xmin == pytest.approx(-bounds.xmax, abs=EXACT)
    if name not in ("d-hole", "mast-stations"):
        assert bounds.ymin == pytest.approx(-bounds.ymax, abs=EXACT)


def test_the_widest_place_of_a_mast_lies_forward() -> None:
    """The nose is at +x: of every streamlined mast the centroid lies ahead of the middle."""
    for name in (
        "mast-four-digit",
        "mast-four-digit-closed",
        "mast-rounded",
        "mast-stations",
        "mast-tapered",
    ):
        shape = LIBRARY.get(name)
        assert shape.outline(**shape.defaults()).contour.centroid.x > 0.1, name
