"""Parameters of a shape: what may be given, within which limits, and what stands in for what is not given.

Lengths are in mm and angles in degrees. A limit or a default may be a number or an expression of other
parameters: `maximum = "width/2"`. Values are checked before anything is drawn, and every fault is found, not
only the first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from msgspec import Struct

from templgen.errors import GeometryError, ShapeError
from templgen.geometry import Contour, Vec
from templgen.shapes.expressions import Expression
from templgen.shapes.names import unknown
from templgen.units import Unit, mm_to_inches

__all__ = [
    "MOST_ITEMS",
    "SCALARS",
    "UNITS",
    "Fault",
    "Number",
    "Parameter",
    "Value",
    "check_values",
    "default_values",
    "scalars",
    "show",
]

Number = float | Expression
Value = float | tuple[float, ...] | tuple[Vec, ...] | Contour

UNITS: dict[str, str] = {
    "mm": "a length",
    "deg": "an angle in degrees",
    "count": "a whole number",
    "ratio": "a number without unit",
    "lengths": "a list of lengths",
    "counts": "a list of whole numbers",
    "points": "a list of points [x, y]",
    "outline": "an outline, or a list of its corners [x, y]",
}
SCALARS = frozenset({"mm", "deg", "count", "ratio"})
_IN_MM = frozenset({"mm", "lengths", "points", "outline"})
MOST_ITEMS = 2000
_SLACK = 1e-9
"""A limit is met when missed by less than this share (of 1 or of the limit): 3 x 0.1 is not above 0.3."""


class Parameter(Struct, frozen=True):
    """One parameter of a shape.

    Attributes:
        name: the key of the job file.
        unit: one of `UNITS`.
        default: number, expression of parameters before it, or list. Where `required` is true it only serves
            the picture and the tests: a job has to give the value.
        minimum, maximum: least and greatest value (of every item in a list), number or expression, or None.
        meaning: one sentence for the builder, with where the calipers go.
        required: whether a job has to give it.
        minimum_is, maximum_is: what the limit is in words ("half the width"), or "".
    """

    name: str
    unit: str
    default: Number | Value
    minimum: Number | None
    maximum: Number | None
    meaning: str
    required: bool
    minimum_is: str = ""
    maximum_is: str = ""

    @property
    def is_scalar(self) -> bool:
        """Whether it is one number that expressions may use, and not a list or an outline."""
        return self.unit in SCALARS

    def read(self, value: Any) -> Value:
        """A given value in its proper type.

        Args:
            value: number in mm, degrees or without unit; list of numbers; list of points (Vec or pairs);
                Contour.

        Raises:
            ShapeError: it is not what `unit` says; names the parameter and the value.
        """
        try:
            return _READERS[self.unit](value)
        except (TypeError, ValueError, OverflowError, GeometryError) as error:
            reason = f": {error}" if isinstance(error, GeometryError) else ""
            message = f"{self.name} = {show(value)} is not {UNITS[self.unit]}{reason}"
            raise ShapeError(message) from None


class Fault(Struct, frozen=True):
    """One thing that is wrong with the values given to a shape: the parameter and one line of text."""

    parameter: str
    message: str


def check_values(
    parameters: Mapping[str, Parameter], given: Mapping[str, Any], shape: str, unit: Unit = "mm"
) -> tuple[dict[str, Value], tuple[Fault, ...]]:
    """Read, complete and check the values of a shape.

    Args:
        parameters: the parameters of the shape by name, in the order of its file.
        given: the values of the job, in mm and degrees.
        shape: the name of the shape, for the complaints.
        unit: the unit in which complaints show a length; inches are followed by millimetres.

    Returns:
        The values of all parameters that could be read, and the faults in the order of the file (unknown
        names first). With a fault the values are not fit to be drawn.
    """
    faults = [
        Fault(name, f"{shape} has no parameter {name!r}; {unknown(name, parameters)}")
        for name in given
        if name not in parameters
    ]
    values: dict[str, Value] = {}
    for parameter in parameters.values():
        try:
            values[parameter.name] = _given_or_default(parameter, given, values, shape)
        except ShapeError as error:
            faults.append(Fault(parameter.name, str(error)))
    if not faults:
        found = _without_consequences(
            [broken for each in parameters.values() for broken in _range_faults(each, values, unit)]
        )
        faults = [fault for fault in found if fault.parameter in given] or found
    return values, tuple(faults)


def _without_consequences(broken: Sequence[tuple[Fault, Number]]) -> list[Fault]:
    """Range faults without those whose limit is reckoned from a value that breaks a fixed limit itself."""
    refused = {fault.parameter for fault, bound in broken if not isinstance(bound, Expression)}
    return [
        fault
        for fault, bound in broken
        if not isinstance(bound, Expression) or refused.isdisjoint(bound.names)
    ]


def default_values(parameters: Mapping[str, Parameter]) -> dict[str, Value]:
    """The defaults of all parameters, the required ones too: what the picture shows."""
    values: dict[str, Value] = {}
    for parameter in parameters.values():
        values[parameter.name] = _default(parameter, values)
    return values


def show(value: object) -> str:
    """A value for a complaint: numbers without needless digits, long lists cut short."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        text = repr(value)
        return text if len(text) <= 60 else text[:57] + "..."
    if isinstance(value, int) and abs(value) >= 10**15:
        return "a number of more than 15 digits"
    return f"{value:.6g}"


def scalars(values: Mapping[str, Value]) -> dict[str, float]:
    """The values that are one number: what an expression may use."""
    return {name: value for name, value in values.items() if isinstance(value, float)}


def _given_or_default(
    parameter: Parameter, given: Mapping[str, Any], values: Mapping[str, Value], shape: str
) -> Value:
    if parameter.name in given:
        return parameter.read(given[parameter.name])
    if parameter.required:
        raise ShapeError(f"{shape} needs {parameter.name}: {parameter.meaning}")
    return _default(parameter, values)


def _default(parameter: Parameter, values: Mapping[str, Value]) -> Value:
    default = parameter.default
    if not isinstance(default, Expression):
        return parameter.read(default)
    missing = [name for name in default.names if name not in values]
    if missing:
        raise ShapeError(f"{parameter.name} is taken from {missing[0]}, which is missing")
    if parameter.is_scalar:
        return default.evaluate(scalars(values))
    if default.text not in values:
        raise ShapeError(
            f"{parameter.name}: a list is taken from another list as it is, not from {default.text!r}"
        )
    return values[default.text]


class _Limit(Struct, frozen=True):
    """One end of a range: where it is, in words, and on which side of it nothing is allowed."""

    bound: Number
    words: str
    side: str

    def fault(self, item: float, numbers: Mapping[str, float], kind: str, unit: Unit) -> str:
        """What is wrong with a value, behind its name; "" where it keeps the limit."""
        try:
            bound = self.bound.evaluate(numbers) if isinstance(self.bound, Expression) else self.bound
        except ShapeError as error:
            return f" = {show(item)}: its limit can not be reckoned: {error}"
        beyond = bound - item if self.side == "below" else item - bound
        if beyond <= _SLACK * max(1.0, abs(bound)):
            return ""
        told = self.words or (self.bound.text if isinstance(self.bound, Expression) else "")
        shown = (_with_unit(number, kind, unit) for number in (item, bound))
        return f" = {next(shown)} is {self.side} {next(shown)}" + (f" ({told})" if told else "")


def _limits(parameter: Parameter) -> list[_Limit]:
    limits = []
    if parameter.minimum is not None:
        limits.append(_Limit(parameter.minimum, parameter.minimum_is, "below"))
    if parameter.maximum is not None:
        limits.append(_Limit(parameter.maximum, parameter.maximum_is, "above"))
    return limits


def _range_faults(
    parameter: Parameter, values: Mapping[str, Value], unit: Unit
) -> list[tuple[Fault, Number]]:
    """The broken limits of a parameter, and what each is reckoned from."""
    value, numbers = values[parameter.name], scalars(values)
    faults: list[tuple[Fault, Number]] = []
    items: tuple[Any, ...] = value if isinstance(value, tuple) else (value,)
    for place, item in enumerate(items, 1):
        label = f"{parameter.name}[{place}]" if isinstance(value, tuple) else parameter.name
        for limit in _limits(parameter):
            told = limit.fault(item, numbers, parameter.unit, unit) if isinstance(item, float) else ""
            if told:
                faults.append((Fault(parameter.name, label + told), limit.bound))
    return faults


def _with_unit(number: float, kind: str, unit: Unit) -> str:
    if kind in _IN_MM:
        inches = f"{show(mm_to_inches(number))} in ({show(number)} mm)"
        return inches if unit == "in" else f"{show(number)} mm"
    return f"{show(number)} deg" if kind == "deg" else show(number)


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError
    number = float(value)
    if not math.isfinite(number) or abs(number) > 1e6:
        raise ValueError
    return number


def _whole(value: Any) -> float:
    number = _number(value)
    if not number.is_integer():
        raise ValueError
    return number


def _items(value: Any) -> Sequence[Any]:
    if isinstance(value, str) or not isinstance(value, Sequence) or len(value) > MOST_ITEMS:
        raise TypeError
    return value


def _lengths(value: Any) -> tuple[float, ...]:
    return tuple(_number(item) for item in _items(value))


def _counts(value: Any) -> tuple[float, ...]:
    return tuple(_whole(item) for item in _items(value))


def _point(value: Any) -> Vec:
    if isinstance(value, Vec):
        return Vec(_number(value.x), _number(value.y))
    x, y = _items(value)
    return Vec(_number(x), _number(y))


def _points(value: Any) -> tuple[Vec, ...]:
    return tuple(_point(item) for item in _items(value))


def _outline(value: Any) -> Contour:
    if not isinstance(value, Contour):
        return Contour.polygon(_points(value)).as_ccw()
    if not value.closed:
        raise ValueError
    return value.as_ccw()


_READERS: dict[str, Callable[[Any], Value]] = {
    "mm": _number,
    "deg": _number,
    "count": _whole,
    "ratio": _number,
    "lengths": _lengths,
    "counts": _counts,
    "points": _points,
    "outline": _outline,
}
