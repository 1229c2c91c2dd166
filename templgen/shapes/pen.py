"""Drawing a path: steps and values in, a closed contour or hole centres out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from msgspec import Struct, field

from templgen.errors import GeometryError, ShapeError
from templgen.geometry import Arc, Contour, Motion, Vec
from templgen.shapes.expressions import Expression
from templgen.shapes.path import Axis, PointOf, Step, reckon

__all__ = ["MOST_POINTS", "MOST_STEPS", "draw_outline", "set_out"]

MOST_POINTS = 200_000
"""Holes of one pattern."""
MOST_STEPS = 5000
"""Lines and arcs of one outline."""
_LEAST_AREA = 1e-6
_NEAR = 1e-7
"""Two points this near (mm) are one: a step between them draws nothing."""


class _Pen(Struct):
    """Where the pen has been: points, the bulge of every step between them, radii of corners by point."""

    values: Mapping[str, float]
    points: list[Vec] = field(default_factory=list)
    bulges: list[float] = field(default_factory=list)
    radii: dict[int, float] = field(default_factory=dict)
    closed: bool = False

    def go(self, end: Vec, bulge: float = 0.0) -> None:
        """Draw to a point; nothing is drawn where the pen is there already."""
        if end.distance_to(self.points[-1]) < _NEAR:
            return
        if len(self.points) > MOST_STEPS:
            raise ShapeError(f"more than {MOST_STEPS} lines and arcs")
        self.points.append(end)
        self.bulges.append(bulge)

    def put(self, points: list[Vec]) -> None:
        """Set out more holes."""
        if len(self.points) + len(points) > MOST_POINTS:
            raise ShapeError(f"more than {MOST_POINTS} holes")
        self.points += points


def draw_outline(steps: tuple[Step, ...], values: Mapping[str, float]) -> Contour:
    """Draw a path as a closed contour, counter-clockwise.

    Args:
        steps: the path of an outline.
        values: a number (mm, degrees) for every name in the steps.

    Raises:
        ShapeError: the path does not close, an arc does not exist, a fillet does not fit; names the step.
    """
    pen = _run(steps, values, _DRAW)
    _close_ring(pen, steps[-1].where)
    try:
        contour = Contour.from_bulges(pen.points, pen.bulges, closed=True)
        if any(radius > 0 for radius in pen.radii.values()):
            from templgen.geometry.fillet import fillet

            contour = fillet(contour, [pen.radii.get(place, 0.0) for place in range(len(pen.points))])
    except GeometryError as error:
        raise ShapeError(f"{steps[-1].where}: {error}") from None
    if abs(contour.area) < _LEAST_AREA:
        raise ShapeError(f"{steps[-1].where}: the outline encloses nothing")
    return contour.as_ccw()


def set_out(steps: tuple[Step, ...], values: Mapping[str, float]) -> tuple[Vec, ...]:
    """Set out the hole centres of a pattern, in mm, in the order of the path.

    Raises:
        ShapeError: more than `MOST_POINTS` holes, or a value that can not be reckoned; names the step.
    """
    return tuple(_run(steps, values, _SET_OUT).points)


Action = Callable[[_Pen, Step], None]


def _run(steps: tuple[Step, ...], values: Mapping[str, float], actions: Mapping[str, Action]) -> _Pen:
    pen = _Pen(values)
    for step in steps:
        try:
            if pen.closed and step.verb != "fillet":
                raise ShapeError(f"{step.verb} after the outline was closed")
            actions[step.verb](pen, step)
        except (GeometryError, ShapeError) as error:
            raise ShapeError(f"{step.where}: {error}") from None
    return pen


def _close_ring(pen: _Pen, where: str) -> None:
    """Make the last point the first one, and move the radius of the corner there to it."""
    if pen.points[-1].distance_to(pen.points[0]) > _NEAR:
        raise ShapeError(f"{where}: the outline is not closed, the pen is at {pen.points[-1]}")
    last = len(pen.points) - 1
    if last < 2:
        raise ShapeError(f"{where}: the outline encloses nothing")
    if last in pen.radii:
        pen.radii[0] = pen.radii.pop(last)
    pen.points.pop()


def _start(pen: _Pen, step: Step) -> None:
    if pen.points:
        raise ShapeError("an outline starts once")
    pen.points.append(_point(step.main, pen))


def _line_to(pen: _Pen, step: Step) -> None:
    pen.go(_point(step.main, pen))


def _line_by(pen: _Pen, step: Step) -> None:
    pen.go(pen.points[-1] + _point(step.main, pen))


def _arc_to(pen: _Pen, step: Step) -> None:
    start, end = pen.points[-1], _point(step.main, pen)
    if start.distance_to(end) < _NEAR:
        return
    options = step.options
    if "through" in options:
        bulge = Arc.through(start, _point(options["through"], pen), end).bulge
    elif "centre" in options:
        bulge = _bulge_round(start, _point(options["centre"], pen), end, options.get("turn", "ccw") == "cw")
    elif "radius" in options:
        bulge = _bulge_of_radius(start, end, _number(options["radius"], pen), "large" in options)
        bulge = -bulge if options.get("turn") == "cw" else bulge
    else:
        bulge = _bulge_of_tangent(pen, end)
    pen.go(end, bulge)


def _bulge_round(start: Vec, centre: Vec, end: Vec, clockwise: bool) -> float:
    first, last = start - centre, end - centre
    if abs(first.length - last.length) > 1e-6:
        raise ShapeError(
            f"the centre is {first.length:g} mm from the start of the arc and {last.length:g} mm from its end"
        )
    sweep = math.atan2(first.cross(last), first.dot(last)) % (2 * math.pi)
    return math.tan((sweep - 2 * math.pi if clockwise else sweep) / 4)


def _bulge_of_radius(start: Vec, end: Vec, radius: float, large: bool) -> float:
    half = start.distance_to(end) / 2
    if radius < half * (1 - 1e-9):
        raise ShapeError(f"an arc of radius {radius:g} mm can not span {2 * half:g} mm")
    sweep = 2 * math.asin(min(1.0, half / radius))
    return math.tan((2 * math.pi - sweep if large else sweep) / 4)


def _bulge_of_tangent(pen: _Pen, end: Vec) -> float:
    """The bulge of the arc that goes on in the direction of the last step; 0 where that is straight ahead."""
    if not pen.bulges:
        raise ShapeError("a tangent arc needs a step before it")
    before = Contour.from_bulges(pen.points[-2:], pen.bulges[-1:], closed=False).segments[0]
    along, chord = before.tangent_at(1.0), end - pen.points[-1]
    half = math.atan2(along.cross(chord), along.dot(chord))
    if math.pi - abs(half) < 1e-9:
        raise ShapeError("the end of the tangent arc lies straight behind the pen")
    return math.tan(half / 2)


def _fillet(pen: _Pen, step: Step) -> None:
    radius = _number(step.main, pen)
    if radius < 0:
        raise ShapeError(f"a fillet of {radius:g} mm is below 0 mm")
    pen.radii[len(pen.points) - 1] = radius


def _close(pen: _Pen, step: Step) -> None:
    pen.go(pen.points[0])
    pen.closed = True


def _mirror_back(pen: _Pen, step: Step) -> None:
    motion = _mirror_of(step, pen)
    last = len(pen.points) - 1
    if motion.apply(pen.points[last]).distance_to(pen.points[last]) > _NEAR:
        raise ShapeError(f"the pen has to stand on the mirror line, and is at {pen.points[last]}")
    points, bulges = list(pen.points), list(pen.bulges)
    for place, radius in list(pen.radii.items()):
        pen.radii[2 * last - place] = radius
    for point, bulge in zip(reversed(points[:-1]), reversed(bulges), strict=True):
        pen.go(motion.apply(point), bulge)


def _repeat_path(pen: _Pen, step: Step) -> None:
    points, bulges, radii = list(pen.points), list(pen.bulges), dict(pen.radii)
    for move in _moves(pen, step):
        if move(points[0]).distance_to(pen.points[-1]) > _NEAR:
            raise ShapeError(f"the repeated part does not begin where the pen is, at {pen.points[-1]}")
        base = len(pen.points) - 1
        for point, bulge in zip(points[1:], bulges, strict=True):
            pen.go(move(point), bulge)
        pen.radii.update({base + place: radius for place, radius in radii.items() if place})


def _put_point(pen: _Pen, step: Step) -> None:
    pen.put([_point(step.main, pen)])


def _mirror_points(pen: _Pen, step: Step) -> None:
    motion = _mirror_of(step, pen)
    images = [(point, motion.apply(point)) for point in pen.points]
    pen.put([image for point, image in images if image.distance_to(point) > _NEAR])


def _repeat_points(pen: _Pen, step: Step) -> None:
    points = list(pen.points)
    for move in _moves(pen, step):
        pen.put([move(point) for point in points])


def _moves(pen: _Pen, step: Step) -> list[Callable[[Vec], Vec]]:
    """What makes the second, third ... copy of a repeat out of the first."""
    count = _number(step.main, pen)
    if not count.is_integer() or not 1 <= count <= MOST_POINTS:
        raise ShapeError(f"repeat = {count:g} is not a whole number from 1 to {MOST_POINTS}")
    copies = range(1, int(count))
    if "by" in step.options:
        shift = _point(step.options["by"], pen)
        return [(shift * place).__add__ for place in copies]
    angle = _number(step.options["turn"], pen)
    about = _point(step.options["about"], pen) if "about" in step.options else Vec(0.0, 0.0)
    return [Motion.rotation(angle * place, about).apply for place in copies]


def _mirror_of(step: Step, pen: _Pen) -> Motion:
    axis = step.main
    if not isinstance(axis, Axis):
        raise ShapeError("a mirror needs an axis")
    first = axis.first.at(pen.values)
    return Motion.mirror(first, axis.second.at(pen.values) - first)


def _point(argument: object, pen: _Pen) -> Vec:
    if not isinstance(argument, PointOf):
        raise ShapeError("a point is missing")
    return argument.at(pen.values)


def _number(argument: object, pen: _Pen) -> float:
    if isinstance(argument, bool) or not isinstance(argument, float | Expression):
        raise ShapeError("a number is missing")
    return reckon(argument, pen.values)


_DRAW: dict[str, Action] = {
    "start": _start,
    "line_to": _line_to,
    "line_by": _line_by,
    "arc_to": _arc_to,
    "fillet": _fillet,
    "mirror": _mirror_back,
    "repeat": _repeat_path,
    "close": _close,
}
_SET_OUT: dict[str, Action] = {"point": _put_point, "mirror": _mirror_points, "repeat": _repeat_points}
