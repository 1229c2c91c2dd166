"""The safe evaluator: arithmetic, limits, and that nothing else gets through."""

from __future__ import annotations

import ast
import inspect
import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from templgen.errors import ShapeError
from templgen.shapes import expressions
from templgen.shapes.expressions import FUNCTIONS, LARGEST_RESULT, LONGEST_TEXT, MOST_LEVELS, Expression

VALUES = {"length": 60.0, "width": 20.0, "nose_radius": 6.0, "n": 3.0}


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("length/2 - nose_radius", 24.0),
        ("-width", -20.0),
        ("+width", 20.0),
        ("2*(length + width)", 160.0),
        ("2**3**2 - 511", None),
        ("2**3", 8.0),
        ("-2**2", -4.0),
        ("(-2)**2", 4.0),
        ("pi*width**2/4", math.pi * 100),
        ("sqrt(width*5)", 10.0),
        ("hypot(3, 4)", 5.0),
        ("sin(30)", 0.5),
        ("cos(60)", 0.5),
        ("tan(45)", 1.0),
        ("asin(1) + acos(0) + atan(1)", 225.0),
        ("atan2(-1, 0)", -90.0),
        ("min(length, width, n)", 3.0),
        ("max(length, width)", 60.0),
        ("abs(width - length)", 40.0),
        ("1e3 + .5", 1000.5),
        ("  width ", 20.0),
    ],
)
def test_arithmetic(text: str, value: float | None) -> None:
    if value is None:
        with pytest.raises(ShapeError, match="exponent 9 is above 8"):
            Expression(text).evaluate(VALUES)
    else:
        assert Expression(text).evaluate(VALUES) == pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "it is empty"),
        ("   ", "it is empty"),
        ("1 +", "column 4: this is not arithmetic"),
        ("1 2", "column 3: this is not arithmetic"),
        ("2*(1 + 3", "column 3: the bracket is not closed"),
        ("lenght/2", "column 1: no value is called 'lenght'; nearest: length"),
        ("width/lenght", "column 7: no value is called 'lenght'"),
        ("  lenght", "column 3: no value is called 'lenght'"),
        ("sqr(2)", "no function is called 'sqr'; nearest: sqrt"),
        ("sqrt", "sqrt is a function and needs brackets"),
        ("sqrt(1, 2)", "sqrt takes 1 values, not 2"),
        ("max(1)", "max takes 2 to 8 values, not 1"),
        ("length.real", "only numbers, names"),
        ("().x", "only numbers, names"),
        ("length(2)", "no function is called 'length'"),
        ("sqrt(2)(3)", "only numbers, names"),
        ("max(*length, 1)", "only numbers, names"),
        ("width,length", "only numbers, names"),
        ("width if 1 else 2", "only numbers, names"),
        ("not width", "only numbers, names"),
        ("1 and 2", "only numbers, names"),
        ("True", "only numbers, names"),
        ("None", "only numbers, names"),
        ("1j", "only numbers, names"),
        ("width // 3", "only numbers, names"),
        ("width % 3", "the sign '%' is not allowed"),
        ("width[0]", "column 6: the sign '[' is not allowed"),
        ("'a'", 'the sign "\'" is not allowed'),
        ("w\u00eddth", "the sign 'í' is not allowed"),
        ("a := 1", "the sign ':' is not allowed"),
        ("1\n", "is not allowed"),
        ("\x00", "is not allowed"),
        ("1/0", "a division by zero"),
        ("width/(length - 60)", "column 1: a division by zero"),
        ("0**(-1)", "a division by zero"),
        ("sqrt(-1)", "no value there"),
        ("acos(2)", "no value there"),
        ("tan(90)", "no value there"),
        ("(-2)**0.5", "a root of a negative number"),
        ("2**9", "the exponent 9 is above 8"),
        ("2**-9", "the exponent -9 is above 8"),
        ("1e9*2", "the result is above 1e+09"),
        ("1e999", "the result is above 1e+09"),
        ("10**8**8", "the exponent 1.67772e+07 is above 8"),
        ("9" * LONGEST_TEXT, "the result is above 1e+09"),
        ("9" * (LONGEST_TEXT + 1), "201 characters, allowed are 200"),
        ("(" * 100 + "1" + ")" * 99, "the bracket is not closed"),
        ("-" * (MOST_LEVELS + 1) + "1", "levels"),
        ("1" + "+1" * 99, "levels"),
    ],
)
def test_refusals_say_why(text: str, reason: str) -> None:
    with pytest.raises(ShapeError) as refusal:
        Expression(text).evaluate(VALUES)
    assert reason in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_too_many_parts_are_refused() -> None:
    assert Expression("max(" + ",".join(["-" * 10 + "1"] * 8) + ")").evaluate({}) == 1.0
    with pytest.raises(ShapeError, match="more than 120 numbers"):
        Expression("max(" + ",".join(["-" * 15 + "1"] * 8) + ")")


def test_the_limits_themselves_are_allowed() -> None:
    assert Expression("-" * (MOST_LEVELS - 1) + "1").evaluate({}) == -1.0
    assert Expression("2**8").evaluate({}) == 256.0
    assert Expression("1e9").evaluate({}) == LARGEST_RESULT


def test_values_that_are_no_numbers_do_not_get_through() -> None:
    with pytest.raises(ShapeError, match="above"):
        Expression("x").evaluate({"x": math.nan})
    with pytest.raises(ShapeError, match="above"):
        Expression("-x").evaluate({"x": math.inf})


def test_only_text_is_an_expression() -> None:
    with pytest.raises(ShapeError, match="not an expression"):
        Expression(["1"])  # type: ignore[arg-type]  # what a file may hold


def test_the_module_runs_no_text() -> None:
    calls = [
        node for node in ast.walk(ast.parse(inspect.getsource(expressions))) if isinstance(node, ast.Call)
    ]
    called = {node.func.id for node in calls if isinstance(node.func, ast.Name)}
    assert not called & {"eval", "exec", "compile", "getattr", "__import__"}


_TOKENS = st.sampled_from(
    [
        *FUNCTIONS,
        *VALUES,
        *"+-*/(),._ 0123456789",
        "**", "//", "pi", "1e9", "1e308", "__class__", "__import__", "lambda", "if", "else", "for", "in",
        "import", "os", "eval", "print", ":=", "[", "]", "{", "}", "'", "\\", "not", "and", "0x", "1_0", "1j",
        "@", "\n", "#",
    ]
)  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(st.one_of(st.text(max_size=LONGEST_TEXT + 20), st.lists(_TOKENS, max_size=60).map("".join)))
@example("((((((((((" * 19)
@example("max(max(max(" * 15)
@example("1if 1else 2")
@example("0777")
@example("\ud800")
def test_any_text_is_a_number_or_a_complaint(text: str) -> None:
    try:
        value = Expression(text).evaluate(VALUES)
    except ShapeError:
        return
    assert type(value) is float
    assert abs(value) <= LARGEST_RESULT


def _sums(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    pair = st.tuples(inner, st.sampled_from("+-*"), inner)
    return pair.map(lambda parts: f"({parts[0]} {parts[1]} {parts[2]})")


@settings(max_examples=200, deadline=None)
@given(st.recursive(st.floats(-9, 9).map(lambda value: f"{value:.4f}"), _sums, max_leaves=6))
def test_sums_are_those_of_the_language(text: str) -> None:
    """Independent reference: Python's own arithmetic on a text that this test made itself."""
    assert Expression(text).evaluate({}) == eval(text, {"__builtins__": {}})
