"""Lengths and angles: what is read, what is refused and why, and what comes out on a sheet."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from templgen.errors import UnitError
from templgen.units import (
    format_in,
    format_length,
    format_mm,
    format_number,
    format_thousandths,
    inches_to_mm,
    mm_to_inches,
    parse_angle,
    parse_length,
)


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("1 3/8 in", 34.925),
        ("1-3/8 in", 34.925),
        ("-1 3/8 in", -34.925),
        ("+1.5 in", 38.1),
        ('3/16"', 4.7625),
        ('3/16 "', 4.7625),
        ("3.2 mm", 3.2),
        ("3.2mm", 3.2),
        ("0.032in", 0.8128),
        (".5 in", 12.7),
        ("5. mm", 5.0),
        ("2 inches", 50.8),
        ("1 inch", 25.4),
        ("1/2 mm", 0.5),
        ("  0.1 in  ", 2.54),
    ],
)
@pytest.mark.parametrize("default_unit", ["in", "mm"])
def test_a_text_with_a_unit_is_read_whatever_the_default(text, millimetres, default_unit):
    length = parse_length(text, default_unit)
    assert length.mm == millimetres
    assert length.text == text
    assert length.unit == ("mm" if "mm" in text else "in")


@pytest.mark.parametrize(
    ("value", "default_unit", "millimetres"),
    [
        (1.5, "in", 38.1),
        (7, "in", 177.8),
        (0.1, "in", 2.54),
        (1.5, "mm", 1.5),
        ("1.5", "mm", 1.5),
        ("0.1", "in", 2.54),
        ("1 3/8", "in", 34.925),
        ("1/64", "in", 0.396875),
    ],
)
def test_a_bare_number_is_in_the_default_unit(value, default_unit, millimetres):
    length = parse_length(value, default_unit)
    assert length.mm == millimetres
    assert length.unit == default_unit


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        ("3,2 mm", "comma"),
        ("1,5", "comma"),
        ("5 mm,", "comma"),
        ("5 Mm", "megametre"),
        ("5 IN", "written small"),
        ("5 km", "unknown unit"),
        ("5 cm", "centimetres"),
        ("3 µm", "microns"),
        ("3 um", "microns"),
        ("1 m", "metres"),
        ("3'", "feet"),
        ("3' 2\"", "feet"),
        ("1 ft", "feet"),
        ("12 thou", "thousandths"),
        ("nan", "not one number"),
        ("inf in", "not one number"),
        (math.nan, "finite"),
        (-math.inf, "finite"),
        ("1/8 3 in", "more than one way"),
        ("5 6", "more than one way"),
        ("1 3/8 3 in", "more than one way"),
        ("1.5 3/8", "more than one way"),
        ("1 9/8", "not less than one"),
        ("1/0 in", "over zero"),
        ("1/2/3 in", "not one number"),
        ("1.5/2 in", "not one number"),
        ("3.2.1 mm", "not one number"),
        ("1 - 3/8", "not one number"),
        ("−3 mm", "not one number"),
        ("٣ mm", "not one number"),
        ("1_000", "not one number"),
        ("1e3", "exponent"),
        ("0x10", "unknown unit"),
        ("", "empty"),
        ("   ", "empty"),
        (True, "not a number"),
        (None, "not a number"),
        ([1.0], "not a number"),
        ("#30", "drill name is not allowed here"),
        ("F", "drill name is not allowed here"),
        ("5 fraction", "unknown unit"),
        ("9" * 41, "40 characters"),
        ("9" * 20, "no measure of a part"),
        (1e300, "no measure of a part"),
        (10**500, "12 digits"),
    ],
)
def test_a_length_that_must_be_guessed_is_refused_with_the_reason(value, reason):
    with pytest.raises(UnitError) as refusal:
        parse_length(value, "in")
    message = str(refusal.value)
    assert reason in message
    assert "allowed: " in message
    assert "\n" not in message


def test_a_bare_fraction_in_a_millimetre_job_is_refused():
    with pytest.raises(UnitError, match="fraction without a unit"):
        parse_length("1/8", "mm")


def test_the_refusal_names_drills_only_where_they_are_allowed():
    with pytest.raises(UnitError) as plain:
        parse_length("?", "in")
    with pytest.raises(UnitError) as with_drills:
        parse_length("?", "in", allow_drill=True)
    assert "#30" not in str(plain.value)
    assert "#30" in str(with_drills.value)


@given(st.text(max_size=60))
@example("1 3/8 in\x00")
@example("1/" + "0" * 30)
def test_any_text_is_a_length_or_a_one_line_refusal(text):
    said = ""
    try:
        assert math.isfinite(parse_length(text, "in").mm)
    except UnitError as refusal:
        said = str(refusal)
    assert said.isprintable()


@given(st.floats())
def test_any_float_is_a_length_or_a_refusal(value):
    try:
        length = parse_length(value, "mm")
    except UnitError:
        assert not abs(value) <= 100_000
    else:
        assert length.mm == value


@given(st.integers(0, 400), st.integers(1, 127))
def test_a_mixed_number_is_exact(whole, top):
    expected = float((whole + Fraction(top, 128)) * Fraction(127, 5))
    assert parse_length(f"{whole} {top}/128 in", "mm").mm == expected
    assert parse_length(f"{whole}-{top}/128", "in").mm == expected


PLACES = st.integers(0, 6)
LENGTHS_MM = st.floats(-90_000, 90_000, allow_nan=False)


@given(LENGTHS_MM, PLACES)
@example(-1e-12, 3)
@example(0.0005, 3)
def test_a_printed_length_in_millimetres_is_read_back(value, places):
    assert (
        abs(parse_length(format_mm(value, places), "in").mm - value) <= 0.5 * 10**-places * (1 + 1e-9) + 1e-9
    )


@given(LENGTHS_MM, PLACES)
def test_a_printed_length_in_inches_is_read_back(value, places):
    half_step = inches_to_mm(0.5 * 10**-places)
    assert abs(parse_length(format_in(value, places), "mm").mm - value) <= half_step * (1 + 1e-9) + 1e-9


@given(st.floats(-1e9, 1e9, allow_nan=False), PLACES, st.booleans())
def test_a_printed_number_is_plain(value, places, trim):
    text = format_number(value, places, trim=trim)
    assert not set(text) - set("-.0123456789")
    assert not (text.startswith("-") and float(text) == 0)
    assert text.lstrip("-")[0].isdigit()
    assert abs(float(text) - value) <= 0.5 * 10**-places * (1 + 1e-9) + abs(value) * 1e-15


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        (-0.0004, 3, "0.000"),
        (0.5, 3, "0.500"),
        (1e-9, 4, "0.0000"),
        (123456.0, 0, "123456"),
        (-1.5, 2, "-1.50"),
        # A half is rounded up (away from zero), whether or not a double holds it: 1/8 in is 3.175 mm,
        # 1/16 in is 0.0625 in, 5/64 in is 0.078125 in.
        (3.175, 2, "3.18"),
        (-3.175, 2, "-3.18"),
        (0.1 + 0.2 + 0.015, 2, "0.32"),
        (0.0625, 3, "0.063"),
        (0.078125, 5, "0.07813"),
        (2.5, 0, "3"),
        (3.1749, 2, "3.17"),
        (3.17499999, 2, "3.17"),
    ],
)
def test_number_format(value, places, text):
    assert format_number(value, places) == text


@given(st.integers(-(10**7), 10**7), PLACES)
def test_a_half_is_rounded_as_decimal_arithmetic_rounds_it(count, places):
    # Python's decimal module, ROUND_HALF_UP, is the reference; count halves of the last printed place.
    exact = Decimal(count) * Decimal(5).scaleb(-places - 1)
    wanted = exact.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    assert Decimal(format_number(float(exact), places)) == wanted


def test_number_format_trimmed():
    assert [format_number(value, 4, trim=True) for value in (10.0, 1.5, -0.00001, 0.0)] == [
        "10",
        "1.5",
        "0",
        "0",
    ]


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_what_is_no_number_is_not_printed(value):
    with pytest.raises(UnitError):
        format_number(value, 3)


def test_both_units_stand_on_a_sheet():
    assert format_length(4.2164, "in") == "0.166 in (4.22 mm)"
    assert format_length(4.2164, "mm") == "4.22 mm (0.166 in)"
    assert format_length(3.2639, "in", places=4) == "0.1285 in (3.26 mm)"
    assert format_thousandths(4.2164) == "0.166"


def test_inches_and_millimetres_are_each_others_inverse():
    assert mm_to_inches(inches_to_mm(1.375)) == 1.375
    assert parse_length("1 3/8 in", "mm").inches == 1.375


@pytest.mark.parametrize(
    ("value", "degrees"), [(12, 12.0), ("12.5", 12.5), ("-7.5 deg", -7.5), ("30°", 30.0)]
)
def test_angles(value, degrees):
    assert parse_angle(value) == degrees


@pytest.mark.parametrize("value", ["1 rad", "1/2", 400, "-361 deg", True, "", "12,5", "3 30'", math.nan])
def test_refused_angles(value):
    with pytest.raises(UnitError, match=r"allowed: 12\.5"):
        parse_angle(value)
