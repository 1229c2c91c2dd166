"""The vocabulary of a path: the steps a shape file may use to draw an outline or to set out holes.

A path is a list of steps, each a small table. Every number may be an expression of the parameters.

    { start = [x, y] }                             put the pen down (first step of an outline)
    { line_to = [x, y] }                           straight line to a point
    { line_by = [dx, dy] }                         straight line by so much along x and y
    { arc_to = [x, y], through = [x, y] }          arc through a third point
    { arc_to = [x, y], centre = [x, y], turn = T } arc round a centre; T: "ccw" (if left out) or "cw"
    { arc_to = [x, y], radius = r, turn = T }      arc below half round; `large = true`: above
    { arc_to = [x, y], tangent = true }            arc that goes on in the direction of the step before
    { fillet = r }                                 round the corner at the pen (after `close`: the start)
    { mirror = "x" }                               go back to the start as a mirror image about the x
                                                   axis, "y", or a line [[x, y], [x, y]]
    { repeat = n, turn = deg, about = [x, y] }     all so far, n times, each turned by so much more
    { repeat = n, by = [dx, dy] }                  all so far, n times, each moved by so much more
    { close = true }                               straight line back to the start, if still needed
    { point = [x, y] }                             a hole centre (hole patterns only)

A step of no length draws nothing, so that a slot may end as a circle. A fillet of 0 leaves the corner sharp.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from msgspec import Struct

from templgen.errors import ShapeError
from templgen.geometry import Vec
from templgen.shapes.expressions import Expression
from templgen.shapes.names import unknown
from templgen.shapes.parameters import Number

__all__ = ["Axis", "PointOf", "Step", "read_number", "read_steps", "reckon"]

Kind = Literal["outline", "pattern"]


class PointOf(Struct, frozen=True):
    """A point whose numbers may be expressions."""

    x: Number
    y: Number

    def at(self, values: Mapping[str, float]) -> Vec:
        """The point for the values of the parameters, in mm."""
        return Vec(reckon(self.x, values), reckon(self.y, values))

    @property
    def names(self) -> frozenset[str]:
        """The names its expressions need."""
        return names_of(self.x) | names_of(self.y)


class Axis(Struct, frozen=True):
    """A mirror line through two points."""

    first: PointOf
    second: PointOf

    @property
    def names(self) -> frozenset[str]:
        """The names its expressions need."""
        return self.first.names | self.second.names


Argument = float | Expression | PointOf | Axis | str | bool


class Step(Struct, frozen=True):
    """One step of a path: its verb, the value beside it, the options, and where it stands for complaints."""

    verb: str
    main: Argument
    options: Mapping[str, Argument]
    where: str

    @property
    def names(self) -> frozenset[str]:
        """The names that its expressions need."""
        parts = [part for part in (self.main, *self.options.values()) if not isinstance(part, str | bool)]
        return frozenset().union(*(names_of(part) for part in parts))


class _Verb(Struct, frozen=True):
    main: str
    options: Mapping[str, str]
    kinds: tuple[Kind, ...]


_VERBS: dict[str, _Verb] = {
    "start": _Verb("point", {}, ("outline",)),
    "line_to": _Verb("point", {}, ("outline",)),
    "line_by": _Verb("point", {}, ("outline",)),
    "arc_to": _Verb(
        "point",
        {
            "through": "point",
            "centre": "point",
            "radius": "number",
            "tangent": "yes",
            "turn": "turn",
            "large": "yes",
        },
        ("outline",),
    ),
    "fillet": _Verb("number", {}, ("outline",)),
    "mirror": _Verb("axis", {}, ("outline", "pattern")),
    "repeat": _Verb("number", {"turn": "number", "about": "point", "by": "point"}, ("outline", "pattern")),
    "close": _Verb("yes", {}, ("outline",)),
    "point": _Verb("point", {}, ("pattern",)),
}
_ARC_WAYS = ("through", "centre", "radius", "tangent")
_AXES: dict[str, Axis] = {
    "x": Axis(PointOf(0.0, 0.0), PointOf(1.0, 0.0)),
    "y": Axis(PointOf(0.0, 0.0), PointOf(0.0, 1.0)),
}


def reckon(number: Number, values: Mapping[str, float]) -> float:
    """A number, or the value of an expression."""
    return number.evaluate(values) if isinstance(number, Expression) else number


def names_of(part: Number | PointOf | Axis) -> frozenset[str]:
    """The names that a part of a step needs values for."""
    if isinstance(part, PointOf | Axis):
        return part.names
    return frozenset(part.names) if isinstance(part, Expression) else frozenset()


def read_number(value: Any, where: str) -> Number:
    """A number or an expression of a shape file.

    Raises:
        ShapeError: anything else; `where` leads the message.
    """
    if isinstance(value, str):
        try:
            return Expression(value)
        except ShapeError as error:
            raise ShapeError(f"{where}: {error}") from None
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= 1e9:
        raise ShapeError(f"{where}: {value!r} is not a number or an expression in quotes")
    return float(value)


def read_steps(value: Any, kind: str, where: str) -> tuple[Step, ...]:
    """The steps of a path.

    Args:
        value: what stands in the file: a list of tables.
        kind: "outline" or "pattern"; each has its own verbs.
        where: file and key, for complaints.

    Raises:
        ShapeError: an unknown verb or option (with the nearest), a missing or a needless one; names the step.
    """
    if not isinstance(value, list) or not value:
        raise ShapeError(f"{where}: a path is a list of steps such as {{ line_to = [0, 10] }}")
    steps = tuple(_read_step(item, kind, f"{where} step {place}") for place, item in enumerate(value, 1))
    if kind == "outline" and steps[0].verb != "start":
        raise ShapeError(f"{steps[0].where}: an outline begins with start, not with {steps[0].verb}")
    return steps


def _read_step(value: Any, kind: str, where: str) -> Step:
    if not isinstance(value, dict) or not value:
        raise ShapeError(f"{where}: {value!r} is not a step such as {{ line_to = [0, 10] }}")
    allowed = [name for name, entry in _VERBS.items() if kind in entry.kinds]
    name = next(iter(value))
    if name not in allowed:
        raise ShapeError(f"{where}: no step of an {kind} is called {name!r}; {unknown(name, allowed)}")
    entry = _VERBS[name]
    options: dict[str, Argument] = {}
    for key, given in value.items():
        if key == name:
            continue
        if key not in entry.options:
            raise ShapeError(f"{where}: {name} has no option {key!r}; {unknown(key, entry.options)}")
        options[key] = _read_argument(given, entry.options[key], f"{where}, {key}")
    step = Step(name, _read_argument(value[name], entry.main, f"{where}, {name}"), options, where)
    _check_options(step)
    return step


def _check_options(step: Step) -> None:
    """Refuse options that say too little or contradict each other."""
    ways = [way for way in _ARC_WAYS if way in step.options]
    if step.verb == "arc_to":
        if len(ways) != 1:
            raise ShapeError(f"{step.where}: arc_to needs exactly one of {', '.join(_ARC_WAYS)}")
        for option, fits in (("turn", ("centre", "radius")), ("large", ("radius",))):
            if option in step.options and ways[0] not in fits:
                raise ShapeError(f"{step.where}: {option} does not go with {ways[0]}")
    if step.verb == "repeat":
        if ("turn" in step.options) == ("by" in step.options):
            raise ShapeError(f"{step.where}: repeat needs exactly one of turn, by")
        if "about" in step.options and "turn" not in step.options:
            raise ShapeError(f"{step.where}: about goes with turn")


def _read_argument(value: Any, kind: str, where: str) -> Argument:
    match kind:
        case "point":
            return _read_point(value, where)
        case "number":
            return read_number(value, where)
        case "axis":
            return _read_axis(value, where)
        case "turn":
            if value not in ("ccw", "cw"):
                raise ShapeError(f'{where}: {value!r} is not "ccw" or "cw"')
            return str(value)
        case _:
            if value is not True:
                raise ShapeError(f"{where}: only true is allowed here; leave it out otherwise")
            return True


def _read_point(value: Any, where: str) -> PointOf:
    if not isinstance(value, list) or len(value) != 2:
        raise ShapeError(f"{where}: {value!r} is not a point [x, y]")
    return PointOf(read_number(value[0], f"{where} x"), read_number(value[1], f"{where} y"))


def _read_axis(value: Any, where: str) -> Axis:
    if isinstance(value, str) and value in _AXES:
        return _AXES[value]
    if isinstance(value, list) and len(value) == 2:
        return Axis(_read_point(value[0], where), _read_point(value[1], where))
    raise ShapeError(f'{where}: {value!r} is not "x", "y" or [[x, y], [x, y]]')
