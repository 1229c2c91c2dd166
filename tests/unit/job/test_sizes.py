"""Sizes that can not be: numbers in the wrong unit, and holes and heads that do not go together."""

from __future__ import annotations

import pytest

from templgen.errors import UnitError
from templgen.job import read_job_text
from templgen.trade.plausible import nominal_diameter, own_diameter
from tests.unit.job.jobs import edited, faults_of

OLD = '{ kind = "solid rivet", size = "1/8", head = "universal", hole = "#30", pilot = "#40" }'
BLIND = (
    '{ kind = "blind rivet", size = "1/8", head = "protruding", hole = "#30", grip_min = 0.02, '
    "grip_max = 0.125, head_diameter = 0.25, unset_length = 0.3, behind_diameter = 0.2 }"
)


def of_fastener(text: str) -> list[str]:
    """What is said of the fastener in line 10."""
    return [line.removeprefix("job.toml:10:").partition(": ")[2] for line in faults_of(edited((OLD, text)))]


def test_sizes_of_the_trade_are_taken() -> None:
    read_job_text(edited((OLD, BLIND)))


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            "head_diameter = 0.25",
            "head_diameter = 0.1285",
            "head_diameter = 0.129 in (3.26 mm) is not more than 0.129 in (3.26 mm), its hole",
        ),
        (
            "behind_diameter = 0.2",
            'behind_diameter = "3 mm"',
            "behind_diameter = 0.118 in (3.00 mm) is not more than 0.129 in (3.26 mm), its hole",
        ),
        (
            "unset_length = 0.3",
            'unset_length = "0.31 mm"',
            "unset_length = 0.012 in (0.31 mm) is not more than 0.125 in (3.18 mm), its own diameter, "
            "and nothing is left to form a head behind",
        ),
        (
            'hole = "#30"',
            "hole = 3.3",
            "hole = 3.300 in (83.82 mm) is 26.4 times as wide as a 1/8 blind rivet"
            ' (a drill is written by its name: "#30")',
        ),
    ],
)
def test_sizes_that_do_not_go_together(old: str, new: str, told: str) -> None:
    assert of_fastener(BLIND.replace(old, new)) == [told]


def test_the_other_unit_is_named_where_it_would_do() -> None:
    """0.31 in are 7.874 mm, by the definition of the inch."""
    metric = edited(
        ('unit = "in"', 'unit = "mm"'),
        ("[12, 0]", "[300, 0]"),
        ("width = 0.7", "width = 2"),
        ("thickness = 0.032 }", "thickness = 0.8 }"),
        ("thickness = 0.032\n", "thickness = 0.8\n"),
        ("thickness = 0.040", "thickness = 1"),
        (OLD, BLIND.replace("0.25", "6.4").replace("0.125", "3.2").replace("0.2 }", "5 }")),
    ).replace("unset_length = 0.3", "unset_length = 0.31")
    (line,) = faults_of(metric)
    assert line.endswith("(0.31 in would be 7.87 mm (0.310 in))")


def test_a_screw_in_another_hole() -> None:
    screw = '{ kind = "screw", size = "M4", head = "protruding", hole = "9 mm", head_diameter = 0.3 }'
    told = (
        'hole = 0.354 in (9.00 mm) is 2.3 times as wide as a M4 screw (a drill is written by its name: "#30")'
    )
    assert of_fastener(screw) == [told]
    narrow = screw.replace('"9 mm"', '"8 mm"').replace("0.3 }", '"8 mm" }')
    assert of_fastener(narrow)[0].startswith("head_diameter = 0.315 in (8.00 mm) is not more than 0.315 in")


@pytest.mark.parametrize(
    ("kind", "size", "mm"),
    [
        ("solid rivet", "3/32", 2.38125),
        ("blind rivet", "4 mm", 4.0),
        ("screw", "#6", 0.138 * 25.4),  # ASME B1.1: 0.138 in
        ("screw", "M5", 5.0),
        ("blind rivet", "about so", None),
    ],
)
def test_nominal_diameters(kind: str, size: str, mm: float | None) -> None:
    assert nominal_diameter(kind, size, "in") == (None if mm is None else pytest.approx(mm))


@pytest.mark.parametrize("text", ["0.010", "0.25", '"0.2 mm"', '"3/8 in"', '"1 in"'])
def test_sheet_that_there_is(text: str) -> None:
    read_job_text(edited(("thickness = 0.040", f"thickness = {text}")))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "0.8",
            "0.800 in (20.32 mm) is no thickness of sheet, 0.010 in (0.25 mm) to 0.250 in (6.35 mm); "
            '0.8 mm would be 0.031 in (0.80 mm); if it is so, write "0.8 in"',
        ),
        (
            "0.009",
            "0.009 in (0.23 mm) is no thickness of sheet, 0.010 in (0.25 mm) to 0.250 in (6.35 mm); "
            'if it is so, write "0.009 in"',
        ),
        (
            '"32 mm"',
            "1.260 in (32.00 mm) is no thickness of sheet, 0.004 in (0.10 mm) to 1.000 in (25.40 mm)",
        ),
    ],
)
def test_sheet_that_there_is_not(text: str, told: str) -> None:
    (line,) = faults_of(edited(("thickness = 0.040", f"thickness = {text}")))
    assert line.endswith(f"flange.thickness = {text}: {told}")


@pytest.mark.parametrize(
    ("kind", "size", "told"),
    [
        ("blind rivet", "4", 'a blind rivet "4": 1/8 in or 4 mm? Write "1/8 in" or "4 mm"'),
        ("blind rivet", "-4", 'a blind rivet "-4": 1/8 in or 4 mm? Write "1/8 in" or "4 mm"'),
        (
            "blind rivet",
            "#30",
            '"#30" is a drill, not the diameter of a blind rivet: write "1/8" or "3.2 mm"',
        ),
        ("screw", "9", 'a screw "9": #9 or M9? Write "#9" or "M9"'),
        ("screw", "#7", '"#7" is a drill, not the diameter of a screw: write "1/8" or "3.2 mm"'),
    ],
)
def test_the_size_of_a_fastener_is_never_asked_for_as_a_drill(kind: str, size: str, told: str) -> None:
    with pytest.raises(UnitError) as error:
        own_diameter(kind, size, "in")
    assert str(error.value) == told


def test_a_length_that_some_number_drill_has_is_a_length() -> None:
    assert own_diameter("blind rivet", "0.1285 in", "in") == pytest.approx(3.2639)
    assert own_diameter("blind rivet", "1/8", "mm") == pytest.approx(3.175)
