"""Shapes of the library as a job uses them: parameters read in the job's unit, faults with their place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from templgen.errors import GeometryError, JobError, JobFaults, ShapeError, UnitError
from templgen.geometry import Contour, Region, Vec
from templgen.job.fields import ShapeUse
from templgen.shapes import Outline, ShapeLibrary
from templgen.shapes.shape import Shape
from templgen.units import parse_angle, parse_length

__all__ = ["Shapes"]


class Shapes:
    """Draws the shapes a job asks for.

    Args:
        library: where the shapes come from.
        unit: the job's unit, for bare numbers.
    """

    def __init__(self, library: ShapeLibrary, unit: Literal["in", "mm"]) -> None:
        self._library = library
        self._unit = unit

    def outline(self, use: ShapeUse) -> Outline:
        """Return the outline of a shape, mm in its own frame; JobError or JobFaults at its keys."""
        shape, values = self._checked(use, "outline")
        try:
            return shape.outline(**values)
        except (ShapeError, GeometryError) as error:
            raise JobError(str(error), at=use.where("shape")) from None

    def region(self, use: ShapeUse) -> Region:
        """Return the region of a shape with its openings; errors as for `outline`."""
        outline = self.outline(use)
        return Region(outline.contour, outline.inner)

    def points(self, use: ShapeUse) -> tuple[Vec, ...]:
        """Return the hole centres of a pattern; errors as for `outline`, and for a pattern without points."""
        shape, values = self._checked(use, "pattern")
        try:
            points = tuple(shape.points(**values))
        except (ShapeError, GeometryError) as error:
            raise JobError(str(error), at=use.where("shape")) from None
        if not points:
            raise JobError(f"{use.shape} with these values sets out no holes", at=use.where("shape"))
        return points

    def _checked(self, use: ShapeUse, kind: str) -> tuple[Shape, dict[str, Any]]:
        try:
            shape = self._library.get(use.shape)
        except ShapeError as error:
            raise JobError(str(error), at=use.where("shape")) from None
        if shape.kind != kind:
            wanted = "an outline" if kind == "outline" else "a hole pattern"
            raise JobError(f"{use.shape} is not {wanted}", at=use.where("shape"))
        values = self._read(use, shape)
        unfit = [JobError(each.message, at=use.where(each.parameter)) for each in shape.faults(values)]
        if unfit:
            raise JobFaults(unfit)
        return shape, values

    def _read(self, use: ShapeUse, shape: Shape) -> dict[str, Any]:
        values: dict[str, Any] = {}
        faults: list[JobError] = []
        for name, raw in (use.model_extra or {}).items():
            parameter = shape.parameters.get(name)
            try:
                values[name] = raw if parameter is None else self._value(parameter.unit, raw)
            except (UnitError, ShapeError, GeometryError) as error:
                faults.append(JobError(f"{name}: {error}", at=use.where(name)))
        if faults:
            raise JobFaults(faults)
        return values

    def _value(self, unit: str, raw: Any) -> Any:
        """Return a raw value in mm or degrees; what is no number is left for the shape to refuse."""
        if unit == "mm":
            return self._length(raw)
        if unit == "deg":
            return parse_angle(raw)
        if unit == "lengths" and isinstance(raw, list):
            return [self._length(item) for item in raw]
        if unit in ("points", "outline") and isinstance(raw, list):
            return [self._pair(item) for item in raw]
        if unit == "outline" and isinstance(raw, Mapping):
            return self._nested(raw)
        return raw

    def _length(self, raw: Any) -> float:
        return parse_length(raw, self._unit).mm

    def _pair(self, raw: Any) -> Any:
        return [self._length(item) for item in raw] if isinstance(raw, list) else raw

    def _nested(self, raw: Mapping[str, Any]) -> Contour:
        """Return the outline of a shape given as the value of a parameter: { shape = "rectangle", ... }."""
        given = {key: value for key, value in raw.items() if not key.startswith("__")}
        shape = self._library.get(str(given.pop("shape", "")))
        values = {
            name: self._value(shape.parameters[name].unit, value) if name in shape.parameters else value
            for name, value in given.items()
        }
        return shape.outline(**values).contour
