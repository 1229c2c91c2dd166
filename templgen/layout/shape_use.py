"""Shapes of the library as a job uses them; what can not be drawn is a fault at its key."""

from __future__ import annotations

from templgen.errors import GeometryError, JobError, ShapeError
from templgen.geometry import Region, Vec
from templgen.job.fields import ShapeUse
from templgen.job.shape_values import shape_parameters
from templgen.shapes import MeasureError, Outline, ShapeLibrary
from templgen.units import Unit

__all__ = ["Shapes"]


def _told(error: Exception, unit: Unit) -> str:
    return error.told(unit) if isinstance(error, MeasureError) else str(error)


class Shapes:
    """Draws the shapes a job asks for, in their own frame.

    Args:
        library: where the shapes come from.
        unit: the job's unit, for bare numbers.
    """

    def __init__(self, library: ShapeLibrary, unit: Unit) -> None:
        self._library = library
        self._unit = unit

    def outline(self, use: ShapeUse) -> Outline:
        """Return the outline of a shape, mm; JobFaults at its parameters, JobError at its name."""
        values = shape_parameters(use, self._library, self._unit)
        try:
            return self._library.get(use.shape).outline(**values)
        except (ShapeError, GeometryError) as error:
            raise JobError(_told(error, self._unit), at=use.where("shape")) from None

    def region(self, use: ShapeUse) -> Region:
        """Return the region of a shape with its openings; errors as for `outline`."""
        outline = self.outline(use)
        return Region(outline.contour, outline.inner)

    def points(self, use: ShapeUse) -> tuple[Vec, ...]:
        """Return the hole centres of a pattern, mm; errors as for `outline`, and for one without holes."""
        values = shape_parameters(use, self._library, self._unit)
        try:
            points = self._library.get(use.shape).points(**values)
        except (ShapeError, GeometryError) as error:
            raise JobError(_told(error, self._unit), at=use.where("shape")) from None
        if not points:
            raise JobError(f"{use.shape} with these values sets out no holes", at=use.where("shape"))
        return points
