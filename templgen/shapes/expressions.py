"""Expressions of the shape files: a few lines of arithmetic, and nothing that is not arithmetic.

An expression is text such as "length/2 - nose_radius". It knows numbers, the names it is given, `pi`, the
signs + - * / ** and brackets, and the functions listed in `FUNCTIONS` (angles in degrees). Python's parser
makes the tree; this module walks it against a list of allowed nodes. Nothing is compiled, nothing is
executed, no attribute, index, text, comparison or keyword exists. Text length, depth, number of nodes,
exponent and size of every result are limited.
"""

from __future__ import annotations

import ast
import math
import re
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from templgen.errors import ShapeError
from templgen.shapes.names import unknown

__all__ = [
    "FUNCTIONS",
    "LARGEST_EXPONENT",
    "LARGEST_RESULT",
    "LONGEST_TEXT",
    "MOST_LEVELS",
    "MOST_NODES",
    "Expression",
]

LONGEST_TEXT = 200
MOST_NODES = 120
MOST_LEVELS = 24
LARGEST_EXPONENT = 8.0
LARGEST_RESULT = 1e9

_WRITTEN = re.compile(r"[0-9A-Za-z_+\-*/(),. ]*", re.ASCII)
_CONSTANTS: dict[str, float] = {"pi": math.pi}


def _tan(angle: float) -> float:
    if math.isclose(math.cos(math.radians(angle)), 0.0, abs_tol=1e-12):
        raise ValueError
    return math.tan(math.radians(angle))


FUNCTIONS: dict[str, tuple[int, int, Callable[..., float]]] = {
    "abs": (1, 1, abs),
    "acos": (1, 1, lambda value: math.degrees(math.acos(value))),
    "asin": (1, 1, lambda value: math.degrees(math.asin(value))),
    "atan": (1, 1, lambda value: math.degrees(math.atan(value))),
    "atan2": (2, 2, lambda y, x: math.degrees(math.atan2(y, x))),
    "cos": (1, 1, lambda angle: math.cos(math.radians(angle))),
    "hypot": (2, 2, math.hypot),
    "max": (2, 8, max),
    "min": (2, 8, min),
    "sin": (1, 1, lambda angle: math.sin(math.radians(angle))),
    "sqrt": (1, 1, math.sqrt),
    "tan": (1, 1, _tan),
}
"""Name -> least and greatest number of values, and the function; angles go in and come out in degrees."""

_SIGNS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b,
}


@dataclass(frozen=True, slots=True)
class Expression:
    """A parsed and checked expression; `Expression("length/2").evaluate({"length": 10.0})` is 5.0.

    Attributes:
        text: the expression as written.
        names: the names it needs values for, sorted, `pi` left out.

    Raises:
        ShapeError: from the constructor where the text is not arithmetic or above a limit (text, reason,
        column).

    >>> Expression("max(length, 2*width)/4").names
    ('length', 'width')
    >>> Expression("sqrt(3)**2 + sin(30)").evaluate({})
    3.4999999999999996
    """

    text: str
    names: tuple[str, ...] = field(init=False)
    _tree: ast.expr = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        tree = _parse(self.text)
        names: set[str] = set()
        _check(tree, self.text, names)
        object.__setattr__(self, "_tree", tree)
        object.__setattr__(self, "names", tuple(sorted(names)))

    def evaluate(self, values: Mapping[str, float]) -> float:
        """The value of the expression.

        Args:
            values: a number for every name in `names`; others are ignored.

        Raises:
            ShapeError: an unknown name, a division by zero, a root of a negative number, a result above
                `LARGEST_RESULT`; with the text and the column.
        """
        return _value(self._tree, self.text, values)


def _refuse(text: str, node: ast.expr | None, reason: str) -> ShapeError:
    blanks = len(text) - len(text.lstrip())
    column = node.col_offset + 1 + blanks if node is not None else 1
    shown = text if len(text) <= LONGEST_TEXT else text[:40] + "..."
    return ShapeError(f"expression {shown!r}, column {column}: {reason}")


def _parse(text: str) -> ast.expr:
    if not isinstance(text, str):
        raise ShapeError(f"{text!r} is not an expression; allowed: a number, or text such as 'length/2'")
    if len(text) > LONGEST_TEXT:
        raise _refuse(text, None, f"{len(text)} characters, allowed are {LONGEST_TEXT}")
    if not text.strip():
        raise _refuse(text, None, "it is empty")
    written = _WRITTEN.match(text)
    end = written.end() if written else 0
    if end < len(text):
        sign = text[end]
        raise ShapeError(f"expression {text!r}, column {end + 1}: the sign {sign!r} is not allowed")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return ast.parse(text.lstrip(), mode="eval").body
    except SyntaxError as error:
        at = error.offset or len(text.strip()) + 1
        column = at + len(text) - len(text.lstrip())
        reason = "the bracket is not closed" if "never closed" in error.msg else "this is not arithmetic"
        raise ShapeError(f"expression {text!r}, column {column}: {reason}") from None
    except (ValueError, RecursionError, MemoryError):
        raise _refuse(text, None, "it can not be read") from None


def _check(tree: ast.expr, text: str, names: set[str]) -> None:
    """Refuse every node that is not on the list, and collect the names; without recursion."""
    waiting: list[tuple[ast.expr, int]] = [(tree, 1)]
    count = 0
    while waiting:
        node, level = waiting.pop()
        count += 1
        if level > MOST_LEVELS:
            raise _refuse(text, node, f"more than {MOST_LEVELS} levels of brackets and signs")
        if count > MOST_NODES:
            raise _refuse(text, node, f"more than {MOST_NODES} numbers, names and signs")
        waiting.extend((child, level + 1) for child in _parts(node, text, names))


def _parts(node: ast.expr, text: str, names: set[str]) -> list[ast.expr]:
    match node:
        case ast.Constant(value=value) if type(value) in (int, float):
            return []
        case ast.Name(id=name):
            if name in FUNCTIONS:
                raise _refuse(text, node, f"{name} is a function and needs brackets")
            if name not in _CONSTANTS:
                names.add(name)
            return []
        case ast.UnaryOp(op=ast.UAdd() | ast.USub(), operand=operand):
            return [operand]
        case ast.BinOp(left=left, op=ast.Add() | ast.Sub() | ast.Mult() | ast.Div() | ast.Pow(), right=right):
            return [left, right]
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]):
            return _arguments(node, text, name, args)
        case _:
            raise _refuse(text, node, "only numbers, names, + - * / ** brackets and functions are allowed")


def _arguments(node: ast.expr, text: str, name: str, args: list[ast.expr]) -> list[ast.expr]:
    if name not in FUNCTIONS:
        raise _refuse(text, node, f"no function is called {name!r}; {unknown(name, FUNCTIONS)}")
    least, most, _ = FUNCTIONS[name]
    if not least <= len(args) <= most:
        wanted = str(least) if least == most else f"{least} to {most}"
        raise _refuse(text, node, f"{name} takes {wanted} values, not {len(args)}")
    return args


def _value(node: ast.expr, text: str, values: Mapping[str, float]) -> float:
    """The value of a checked node; the depth of the recursion is below `MOST_LEVELS`."""
    try:
        result = _raw_value(node, text, values)
    except ZeroDivisionError:
        raise _refuse(text, node, "a division by zero") from None
    except OverflowError:
        raise _refuse(text, node, f"the result is above {LARGEST_RESULT:g}") from None
    except ValueError as error:
        if isinstance(error, ShapeError):
            raise
        raise _refuse(text, node, "the function has no value there") from None
    if not abs(result) <= LARGEST_RESULT:
        raise _refuse(text, node, f"the result is above {LARGEST_RESULT:g}")
    return result


def _raw_value(node: ast.expr, text: str, values: Mapping[str, float]) -> float:
    match node:
        case ast.Constant(value=int() | float() as number):
            return float(number)
        case ast.Name(id=name):
            return _named(node, text, name, values)
        case ast.UnaryOp(op=op, operand=operand):
            inner = _value(operand, text, values)
            return -inner if isinstance(op, ast.USub) else inner
        case ast.BinOp(left=left, op=ast.Pow(), right=right):
            return _power(node, text, _value(left, text, values), _value(right, text, values))
        case ast.BinOp(left=left, op=op, right=right):
            return _SIGNS[type(op)](_value(left, text, values), _value(right, text, values))
        case ast.Call(func=ast.Name(id=name), args=args):
            return float(FUNCTIONS[name][2](*(_value(each, text, values) for each in args)))
        case _:
            raise _refuse(text, node, "this was not checked")


def _named(node: ast.expr, text: str, name: str, values: Mapping[str, float]) -> float:
    if name in _CONSTANTS:
        return _CONSTANTS[name]
    if name not in values:
        raise _refuse(text, node, f"no value is called {name!r}; {unknown(name, [*values, *_CONSTANTS])}")
    return float(values[name])


def _power(node: ast.expr, text: str, base: float, exponent: float) -> float:
    if abs(exponent) > LARGEST_EXPONENT:
        raise _refuse(text, node, f"the exponent {exponent:g} is above {LARGEST_EXPONENT:g}")
    if base < 0 and not exponent.is_integer():
        raise _refuse(text, node, "a root of a negative number")
    return float(base**exponent)
