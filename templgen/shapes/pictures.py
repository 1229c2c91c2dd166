"""Small pictures and plain words about a shape, for the list of shapes. Pictures are not to scale."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from textwrap import wrap

from templgen.errors import ShapeError
from templgen.geometry import Arc, Bounds, Contour, Line, Region, Vec, intersections
from templgen.shapes.expressions import Expression
from templgen.shapes.parameters import Number, Parameter
from templgen.shapes.shape import Shape
from templgen.units import MM_PER_INCH, Unit, format_number

__all__ = ["describe", "thumbnail_svg", "thumbnail_text"]

_SIZE = 40.0
_MARGIN = 3.0
_LINE = 90
_OFF_CENTRE = 1e-3
"""Share of a row by which the level lines of the text picture miss the corners that lie on the axis."""


def thumbnail_svg(shape: Shape) -> str:
    """A picture of 40 x 40 mm of the shape with its defaults, not to scale, as the text of an SVG file.

    The metal of an outline is shaded, holes of a pattern are rings; forward is to the right.
    """
    region, holes = _drawn(shape)
    bounds = _bounds(region, holes)
    scale = (_SIZE - 2 * _MARGIN) / max(bounds.width, bounds.height, 1e-6)
    place = _Placing(bounds.centre, scale)
    body = "".join(f'<circle cx="{place.x(p)}" cy="{place.y(p)}" r="0.8" fill="none"/>' for p in holes)
    if region is not None:
        path = " ".join(_path(contour, place) for contour in region.contours)
        body = f'<path d="{path}" fill="#d9d9d9" fill-rule="evenodd"/>' + body
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_SIZE:g}mm" height="{_SIZE:g}mm" '
        f'viewBox="0 0 {_SIZE:g} {_SIZE:g}"><title>{escape(shape.title)}, not to scale</title>'
        f'<g stroke="#000000" stroke-width="0.35">{body}</g></svg>\n'
    )


def thumbnail_text(shape: Shape, columns: int = 48, rows: int = 12) -> str:
    """A picture of the shape in plain signs: "#" is inside, "o" is a hole; forward is to the right.

    Args:
        shape: the shape.
        columns, rows: the largest size in signs; a sign is taken as twice as high as it is wide.
    """
    region, holes = _drawn(shape)
    bounds = _bounds(region, holes)
    cell = max(bounds.width / columns, bounds.height / (2 * rows), 1e-6)
    across, down = max(1, round(bounds.width / cell)), max(1, round(bounds.height / (2 * cell)))
    grid = [[" "] * across for _ in range(down)]
    for row in range(down):
        y = bounds.ymax - (row + 0.5 + _OFF_CENTRE) * bounds.height / down
        crossings = _crossings(region, y) if region is not None else []
        for column in range(across):
            x = bounds.xmin + (column + 0.5) * bounds.width / across
            if sum(crossing < x for crossing in crossings) % 2:
                grid[row][column] = "#"
    for hole in holes:
        column = round((hole.x - bounds.xmin) / max(bounds.width, 1e-9) * (across - 1))
        grid[round((bounds.ymax - hole.y) / max(bounds.height, 1e-9) * (down - 1))][column] = "o"
    return "\n".join("".join(line).rstrip() for line in grid)


def describe(shape: Shape, unit: Unit) -> str:
    """The page of one shape for the terminal: picture, parameters, ranges, defaults, source, remarks.

    Args:
        shape: the shape.
        unit: "in" or "mm": the unit the numbers are printed in.
    """
    lines = [f"{shape.name}: {shape.title} ({shape.kind})", "", thumbnail_text(shape), ""]
    lines += [
        "Forward is to the right, left is up; the middle of the length is the origin. Not to scale.",
        "",
    ]
    for parameter in shape.parameters.values():
        lines += _parameter_lines(parameter, unit)
    for remark in shape.remarks:
        lines += wrap(f"Note: {remark}", _LINE)
    if shape.source is not None:
        lines += wrap(f"Source: {shape.source}", _LINE)
    return "\n".join(lines) + "\n"


def _parameter_lines(parameter: Parameter, unit: Unit) -> list[str]:
    if parameter.required:
        need = "must be given"
    elif isinstance(parameter.default, float | int | Expression):
        need = f"default {_shown(parameter.default, parameter.unit, unit)}"
    else:
        need = "may be left out"
    facts = [_unit_words(parameter.unit, unit), need, _range(parameter, unit)]
    head = f"  {parameter.name}: {', '.join(fact for fact in facts if fact)}"
    return [*wrap(head, _LINE, subsequent_indent="    "), *_indented(parameter.meaning)]


def _indented(text: str) -> list[str]:
    return wrap(text, _LINE, initial_indent="      ", subsequent_indent="      ")


def _unit_words(kind: str, unit: Unit) -> str:
    told = {"in": "inches", "mm": "millimetres"}[unit]
    words = {
        "mm": f"length in {told}",
        "deg": "angle in degrees",
        "count": "whole number",
        "ratio": "number",
        "lengths": f"list of lengths in {told}",
        "counts": "list of whole numbers",
        "points": f"list of points [x, y] in {told}",
        "outline": f"outline, or list of its corners [x, y] in {told}",
    }
    return words[kind]


def _range(parameter: Parameter, unit: Unit) -> str:
    parts = []
    for words, limit, told in (
        ("at least", parameter.minimum, parameter.minimum_is),
        ("at most", parameter.maximum, parameter.maximum_is),
    ):
        if limit is not None:
            shown = _shown(limit, parameter.unit, unit)
            parts.append(f"{words} {shown}" + (f" ({told})" if told else ""))
    return ", ".join(parts)


def _shown(number: Number | float | int, kind: str, unit: Unit) -> str:
    if isinstance(number, Expression):
        return number.text
    value = number / MM_PER_INCH if unit == "in" and kind in ("mm", "lengths") else number
    return format_number(value, 4, trim=True)


class _Placing:
    """Where a point of the shape lies in the picture: turned upside down, moved, made smaller."""

    def __init__(self, centre: Vec, scale: float) -> None:
        self.centre, self.scale = centre, scale

    def x(self, point: Vec) -> str:
        return format_number(_SIZE / 2 + (point.x - self.centre.x) * self.scale, 3, trim=True)

    def y(self, point: Vec) -> str:
        return format_number(_SIZE / 2 - (point.y - self.centre.y) * self.scale, 3, trim=True)


def _path(contour: Contour, place: _Placing) -> str:
    first = contour.segments[0].start
    parts = [f"M {place.x(first)} {place.y(first)}"]
    for segment in contour.segments:
        end = f"{place.x(segment.end)} {place.y(segment.end)}"
        if isinstance(segment, Arc):
            radius = format_number(segment.radius * place.scale, 3, trim=True)
            large, sweep = int(abs(segment.sweep) > 180), int(segment.sweep < 0)
            parts.append(f"A {radius} {radius} 0 {large} {sweep} {end}")
        else:
            parts.append(f"L {end}")
    return " ".join([*parts, "Z"])


def _crossings(region: Region, y: float) -> list[float]:
    """Where the edges of a region cross a level line."""
    bounds = region.bounds.grown(1.0)
    level = Line(Vec(bounds.xmin, y), Vec(bounds.xmax, y))
    return [place.x for segment in region.segments for place in intersections(level, segment)]


def _drawn(shape: Shape) -> tuple[Region | None, Sequence[Vec]]:
    """What the defaults draw: a region, or holes (with the outline they lie along, where there is one)."""
    values = shape.defaults()
    if shape.kind == "outline":
        return shape.region(**values), ()
    return None, shape.points(**values)


def _bounds(region: Region | None, holes: Sequence[Vec]) -> Bounds:
    bounds = region.bounds if region is not None else Bounds.of(holes)
    if bounds is None:
        raise ShapeError("there is nothing to draw a picture of")
    return bounds
