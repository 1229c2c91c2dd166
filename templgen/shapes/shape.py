"""A shape of the library: parameters in, outline or hole centres out.

Coordinates: x along the length, forward (the nose of a mast section) is +x, y to the left, the middle of the
length at the origin. Outlines are symmetric about the x axis unless their parameters say otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct

from templgen.errors import GeometryError, ShapeError
from templgen.geometry import Region, Vec
from templgen.shapes.constructions import Construction
from templgen.shapes.outline import Outline
from templgen.shapes.parameters import Fault, Number, Parameter, Value, check_values, default_values, scalars
from templgen.shapes.path import Step, reckon
from templgen.shapes.pen import draw_outline, set_out
from templgen.trade.source import Source
from templgen.units import Unit

__all__ = ["Example", "Shape"]


class Example(Struct, frozen=True):
    """Values for the parameters, and what then must come out.

    Attributes:
        values: for all parameters.
        facts: numbers or expressions by name, see `templgen.shapes.reader.FACTS`.
        tolerance: how much a length may differ from its fact in mm, beyond the deviation of the arcs; 0 where
            the fact is a closed formula of the very outline.
    """

    values: Mapping[str, Value]
    facts: Mapping[str, Number]
    tolerance: float


class Shape(Struct, frozen=True):
    """One shape, as its file defines it; made by `ShapeLibrary.get`.

    Attributes:
        name: what a job file writes; also the stem of the file.
        title: a short name in plain words.
        kind: "outline" (closed, may have openings) or "pattern" (hole centres).
        parameters: by name, in the order of the file.
        source: where a standard defines it, or None.
        file: where it was read.
        remarks: what the builder should know before using it.
        derived: values reckoned from the parameters before the path is drawn, in order.
        outer: steps of the outline or pattern; empty where a construction draws it.
        inner: steps of every opening.
        construction: the named construction, or None.
        example: what the test of the file checks.
    """

    name: str
    title: str
    kind: str
    parameters: Mapping[str, Parameter]
    source: Source | None
    file: Path
    remarks: tuple[str, ...]
    derived: Mapping[str, Number]
    outer: tuple[Step, ...]
    inner: tuple[tuple[Step, ...], ...]
    construction: Construction | None
    example: Example

    def faults(self, given: Mapping[str, Any], unit: Unit = "mm") -> tuple[Fault, ...]:
        """Everything that is wrong with some values (mm, degrees), one line each; () where nothing is.

        Args:
            given: values of the parameters.
            unit: the unit in which the lines show a length; inches are followed by millimetres.
        """
        return check_values(self.parameters, given, self.name, unit)[1]

    def values(self, given: Mapping[str, Any]) -> dict[str, Value]:
        """The given values, completed by the defaults.

        Raises:
            ShapeError: all faults in one text, separated by "; ".
        """
        values, faults = check_values(self.parameters, given, self.name)
        if faults:
            raise ShapeError("; ".join(fault.message for fault in faults))
        return values

    def defaults(self) -> dict[str, Value]:
        """A value for every parameter, required ones too: what the picture shows, not what a job gets."""
        return default_values(self.parameters)

    def outline(self, **given: Any) -> Outline:
        """Draw the shape.

        Args:
            given: values of the parameters in mm, degrees or without unit.

        Raises:
            ShapeError: an unknown, missing or unfit value, an outline that crosses itself, or a hole pattern.

        Returns:
            A closed, counter-clockwise outline that does not cross itself.
        """
        self._require("outline", "draws no outline, it sets out holes")
        values = self.values(given)
        if self.construction is not None:
            outline = self._constructed(values)
            assert isinstance(outline, Outline), self.name  # noqa: S101 - our own mistake, not the user's
        else:
            numbers = self._numbers(values)
            inner = tuple(draw_outline(steps, numbers) for steps in self.inner)
            outline = Outline(draw_outline(self.outer, numbers), inner=inner)
        return self._checked(outline)

    def region(self, **given: Any) -> Region:
        """Draw the shape with its openings; arguments and errors as for `outline`."""
        outline = self.outline(**given)
        return Region(outline.contour, outline.inner)

    def points(self, **given: Any) -> tuple[Vec, ...]:
        """Set out the holes of a pattern, in mm, in the order of drilling.

        Raises:
            ShapeError: an unknown, missing or unfit value, or a shape that is no pattern.
        """
        self._require("pattern", "sets out no holes, it draws an outline")
        values = self.values(given)
        if self.construction is None:
            return set_out(self.outer, self._numbers(values))
        points = self._constructed(values)
        assert isinstance(points, tuple), self.name  # noqa: S101 - our own mistake, not the user's
        return points

    def fact_values(self, values: Mapping[str, Value]) -> dict[str, float]:
        """The facts of the example for some checked values."""
        numbers = self._numbers(values)
        return {name: reckon(fact, numbers) for name, fact in self.example.facts.items()}

    def _require(self, kind: str, otherwise: str) -> None:
        if self.kind != kind:
            raise ShapeError(f"{self.name} {otherwise}")

    def _numbers(self, values: Mapping[str, Value]) -> dict[str, float]:
        numbers = scalars(values)
        for name, number in self.derived.items():
            try:
                numbers[name] = reckon(number, numbers)
            except ShapeError as error:
                raise ShapeError(f"{self.file.name}: derived {name}: {error}") from None
        return numbers

    def _constructed(self, values: Mapping[str, Value]) -> Outline | tuple[Vec, ...]:
        assert self.construction is not None  # noqa: S101 - asked for by the callers
        try:
            return self.construction.draw(values)
        except GeometryError as error:
            raise ShapeError(f"{self.name}: {error}") from None

    def _checked(self, outline: Outline) -> Outline:
        """The outline, refused where it crosses itself or an opening leaves it."""
        from templgen.geometry.contains import require_valid

        try:
            region = require_valid(Region(outline.contour, outline.inner))
        except GeometryError as error:
            raise ShapeError(f"{self.name} with these values: {error}") from None
        return Outline(region.outer, outline.deviation, outline.notes, outline.inner)
