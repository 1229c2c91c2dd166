"""Parameters of shapes: numbers and texts of the job become mm, degrees, counts and outlines."""

from __future__ import annotations

import pytest

from templgen.errors import JobFaults
from templgen.geometry import Contour
from templgen.job.fields import ShapeUse
from templgen.shapes import ShapeLibrary
from templgen.units import Unit

LIBRARY = ShapeLibrary.standard()


def use(unit: Unit, **keys: object) -> ShapeUse:
    return ShapeUse.model_validate(keys, context={"unit": unit})


def test_a_bare_number_is_in_the_unit_of_the_job() -> None:
    assert use("in", shape="circle", diameter=2).parameters(LIBRARY) == {"diameter": 50.8}
    assert use("mm", shape="circle", diameter=2).parameters(LIBRARY) == {"diameter": 2.0}


def test_a_text_carries_its_own_unit() -> None:
    assert use("in", shape="circle", diameter="50 mm").parameters(LIBRARY) == {"diameter": 50.0}


def test_angles_counts_and_ratios_have_no_unit_of_length() -> None:
    row = use("in", shape="row", count=4, pitch=1, angle="90 deg").parameters(LIBRARY)
    assert row == {"count": 4, "pitch": 25.4, "angle": 90.0}


def test_lists_of_lengths() -> None:
    given = use("in", shape="mast-stations", stations=[0, 1, "2 in", "76.2 mm"], left=[0, 0.5, 0.5, 0])
    parameters = given.parameters(LIBRARY)
    assert parameters["stations"] == [0.0, 25.4, 50.8, 76.2]
    assert LIBRARY.get("mast-stations").outline(**parameters).contour.bounds.width == pytest.approx(
        76.2, abs=0.01
    )


def test_an_outline_by_its_corners() -> None:
    corners = [[-2, -1], [2, -1], [2, 1], [-2, 1]]
    given = use("in", shape="perimeter-row", outline=corners, inset=0.25, count=12)
    parameters = given.parameters(LIBRARY)
    assert parameters["outline"][0] == [-50.8, -25.4]
    assert len(LIBRARY.get("perimeter-row").points(**parameters)) == 12


def test_an_outline_that_is_a_shape() -> None:
    inner = {"shape": "circle", "diameter": "4 in"}
    parameters = use("in", shape="perimeter-row", outline=inner, inset=0.25, count=8).parameters(LIBRARY)
    assert isinstance(parameters["outline"], Contour)
    points = LIBRARY.get("perimeter-row").points(**parameters)
    assert [round(point.length, 6) for point in points] == [round(1.75 * 25.4, 6)] * 8


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ({"shape": "circel"}, "no shape is called 'circel'; nearest: circle"),
        ({"shape": "circle"}, "circle needs diameter: "),
        ({"shape": "circle", "diameter": [1]}, "circle: diameter = [1] is not a length"),
        ({"shape": "circle", "diameter": True}, "circle: diameter = "),
        ({"shape": "row", "pitch": 1, "count": 2.5}, "count = 2.5 is not a whole number"),
        (
            {"shape": "row", "pitch": 1, "count": 10**400},
            "row: count = a number of very many digits is not a",
        ),
        ({"shape": "row", "pitch": 1, "count": "2"}, 'row: count = "2" is not a whole number'),
        (
            {"shape": "row", "pitch": 1, "count": 2, "angle": {}},
            "row: angle = { } is not an angle in degrees",
        ),
        (
            {"shape": "perimeter-row", "inset": 1, "count": 3, "outline": {"shape": "circle"}},
            "circle needs diameter: ",
        ),
        (
            {"shape": "perimeter-row", "inset": 1, "count": 3, "outline": {"diameter": 3}},
            "perimeter-row: outline = { ... }: an outline is a table with shape = a name of the library",
        ),
        (
            {
                "shape": "perimeter-row",
                "inset": 1,
                "count": 3,
                "outline": {"shape": "row", "count": 2, "pitch": 1},
            },
            "perimeter-row: outline = row draws no outline, it sets out holes",
        ),
    ],
)
def test_faults(keys: dict[str, object], message: str) -> None:
    with pytest.raises(JobFaults) as caught:
        use("mm", **keys).parameters(LIBRARY)
    (fault,) = caught.value.faults
    assert fault.message.startswith(message)
