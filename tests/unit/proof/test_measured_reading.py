"""Readings as a person types them, and the questions they raise."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templgen.drawing import Drawing, PageInfo
from templgen.errors import TemplgenError, UnitError
from templgen.geometry import Bounds, Vec
from templgen.proof.reading import Nominal, nominals_of, parse_typed, questions_of, reading_of, rulers_of
from templgen.sheets.rulers import ruler_pair
from templgen.units import Unit

CROSSES = Bounds(20.0, 30.0, 20.0 + 171.45, 30.0 + 139.7)
A_TO_B, A_TO_D, A_TO_C, D_TO_B = OWN = nominals_of(CROSSES, 1)
OTHER = nominals_of(Bounds(0.0, 0.0, 165.1, 114.3), 4)


@pytest.mark.parametrize(
    ("text", "unit", "measured", "nominal"),
    [
        ("239.1mm/240mm", "in", 239.1, 240.0),
        ("239.1 / 240", "mm", 239.1, 240.0),
        ("239.1 mm", "in", 239.1, None),
        ("9 13/32 in", "mm", 9.40625 * 25.4, None),
        ("9 13/32", "in", 9.40625 * 25.4, None),
        ("9-13/32 in", "mm", 9.40625 * 25.4, None),
        ("9 13/32 in/9 1/2 in", "mm", 9.40625 * 25.4, 9.5 * 25.4),
        ("9 13/32/9 1/2", "in", 9.40625 * 25.4, 9.5 * 25.4),
        ("239.1mm/9.5in", "mm", 239.1, 241.3),
        ('6 3/4"', "mm", 171.45, None),
        ("6.75/6.75", "in", 171.45, 171.45),
    ],
)
def test_lengths_and_nominals(text: str, unit: Unit, measured: float, nominal: float | None) -> None:
    typed = parse_typed(text, unit)
    assert typed.measured.mm == pytest.approx(measured, abs=1e-9)
    assert (typed.nominal and typed.nominal.mm) == (nominal and pytest.approx(nominal, abs=1e-9))


@pytest.mark.parametrize(
    ("text", "unit", "why"),
    [
        ("7/8 in", "in", "can be read as 7/8 in, or as 7 measured over 8 in"),
        ("239/240", "in", "can be read"),
        ("", "mm", "empty"),
        ("abc", "mm", '"abc"'),
        ("239,1mm", "mm", "comma"),
        ("239.1mm/", "mm", '"": empty'),
        ("239.1mm/2x", "mm", "'x'"),
        ("1/2/3", "mm", "is no reading"),
        ("9 13/32", "mm", "without a unit"),
        ("23.9cm/24cm", "mm", "centimetres"),
        ("0 mm", "mm", "more than nothing"),
        ("-5mm/5mm", "mm", "more than nothing"),
        ("5mm/0mm", "mm", "more than nothing"),
    ],
)
def test_what_can_not_be_read_is_refused_in_one_line(text: str, unit: Unit, why: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_typed(text, unit)
    assert why in str(caught.value)
    assert "\n" not in str(caught.value)


@given(st.text(alphabet="0123456789/ .-inm\"x'", max_size=24), st.sampled_from(["in", "mm"]))
def test_any_text_is_read_or_refused_in_one_line(text: str, unit: Unit) -> None:
    complaint, typed = "", None
    try:
        typed = parse_typed(text, unit)
    except UnitError as error:
        complaint = str(error)
    assert bool(complaint) is (typed is None)
    assert "\n" not in complaint
    assert typed is None or typed.measured.mm > 0.0
    assert typed is None or typed.nominal is None or typed.nominal.mm > 0.0


@given(st.integers(1, 400), st.integers(0, 63), st.integers(1, 400))
def test_a_fraction_and_a_nominal_are_taken_apart(whole: int, part: int, nominal: int) -> None:
    typed = parse_typed(f"{whole} {part}/64 in/{nominal} in", "mm")
    assert typed.measured.mm == pytest.approx((whole + part / 64) * 25.4, rel=1e-12)
    assert typed.nominal is not None
    assert typed.nominal.mm == pytest.approx(nominal * 25.4, rel=1e-12)


def test_the_nominals_are_the_sides_and_diagonals_of_the_crosses() -> None:
    assert [(n.what, round(n.along.length, 4)) for n in OWN] == [
        ("A to B", 171.45),
        ("A to D", 139.7),
        ("A to C", 221.1587),
        ("D to B", 221.1587),
    ]
    assert A_TO_C.along.dot(D_TO_B.along) == pytest.approx(171.45**2 - 139.7**2)


def reading(text: str, own: Nominal, unit: Unit = "mm"):  # type: ignore[no-untyped-def]
    return reading_of(parse_typed(text, unit), own, 0.2)


def test_without_a_nominal_the_printed_one_is_taken() -> None:
    found = reading("171.1", A_TO_B)
    assert (found.what, found.along, found.measured, found.off) == ("A to B", A_TO_B.along, 171.1, 0.2)


def test_a_ruler_may_be_read_in_place_of_the_crosses() -> None:
    found = reading("239.1/240", A_TO_B)
    assert found.what == "along x"
    assert found.along.x == pytest.approx(240.0)
    assert found.along.y == 0.0
    assert reading("181.2/180", A_TO_D).what == "along y"


def test_the_printed_nominal_may_be_rounded() -> None:
    assert reading("221.0/221.16", A_TO_C).what == "A to C"


def test_a_diagonal_of_something_else_has_no_known_direction() -> None:
    with pytest.raises(TemplgenError, match=r"A to C is 221\.16 mm on sheet 1"):
        reading("199/200", A_TO_C)


def questions(text: str, own: Nominal, unit: Unit = "mm") -> list[str]:
    return list(questions_of(reading(text, own, unit), own, [*OWN, *OTHER], unit))


@pytest.mark.parametrize("text", ["171.45", "171.0", "169.5", "166.8", "161.3", "177.0", "239.1/240"])
def test_a_plausible_reading_raises_no_question(text: str) -> None:
    assert questions(text, A_TO_B) == []


@pytest.mark.parametrize(
    ("text", "own", "unit", "asked"),
    [
        ("100mm/4in", A_TO_B, "mm", "4 in and 100 mm differ"),
        ("101.7mm/100mm", A_TO_B, "mm", "4 in and 100 mm differ"),
        ("150.2mm/6in", A_TO_B, "in", "4 in and 100 mm differ"),
        ("139.6", A_TO_B, "mm", "A to D of sheet 1"),
        ("221.0", A_TO_B, "mm", "A to C of sheet 1"),
        ("165.2", A_TO_B, "mm", "A to B of sheet 4"),
        ("114.1", A_TO_D, "mm", "A to D of sheet 4"),
        ("6.75", A_TO_B, "mm", "read in inches?"),
        ("171.4", A_TO_B, "in", "read in millimetres?"),
        ("80", A_TO_B, "mm", "no print setting does that"),
        ("300", A_TO_B, "mm", "no print setting does that"),
    ],
)
def test_a_reading_that_fits_something_else_is_questioned(
    text: str, own: Nominal, unit: Unit, asked: str
) -> None:
    (question,) = questions(text, own, unit)
    assert asked in question
    assert "\n" not in question


def test_near_means_three_thousandths() -> None:
    """165.1 mm is A to B of sheet 4: 0.3 % of it is 0.495 mm."""
    assert questions("165.5", A_TO_B)
    assert not questions("165.7", A_TO_B)


def test_a_reading_that_fits_its_own_nominal_is_never_questioned() -> None:
    near = Nominal("A to B", Vec(171.8, 0.0), 1)
    assert list(questions_of(reading("171.6", A_TO_B), A_TO_B, [A_TO_B, near], "mm")) == []


def rulers() -> list[Nominal]:
    """Of a ruler pair that is 186.2 mm long and 228.9 mm high."""
    items = tuple(ruler_pair(Vec(20.0, 30.0), 186.2, 228.9))
    return list(rulers_of(Drawing(items, PageInfo("Plate", "0123456789ab")), 1))


def test_the_rulers_of_a_sheet_are_found_with_their_ends_and_last_numbers() -> None:
    found = {(each.what, round(each.along.length, 3)) for each in rulers()}
    along_x = {length for what, length in found if what == "the ruler along x"}
    along_y = {length for what, length in found if what == "the ruler along y"}
    assert along_x == {186.0, 180.0, 177.8, 184.15}
    assert along_y == {228.0, 220.0, 203.2, 228.6}


@pytest.mark.parametrize("text", ["180.0", "179.6", "186.1", "7in"])
def test_a_whole_ruler_that_was_read_for_the_crosses_is_questioned(text: str) -> None:
    """Else it would be taken for a print that is off by 5 %, or by less where the crosses are nearer."""
    found = list(questions_of(reading(text, A_TO_B), A_TO_B, [*OWN, *rulers()], "mm"))
    assert len(found) == 1
    assert "this is the ruler along x of sheet 1" in found[0]


def test_a_ruler_that_was_read_as_a_ruler_is_not_questioned() -> None:
    assert list(questions_of(reading("180.3/180", A_TO_B), A_TO_B, [*OWN, *rulers()], "mm")) == []
