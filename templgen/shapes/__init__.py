"""The shape library: parametric outlines and hole patterns, one file each in the folder `shapes`.

Coordinates: x along the length with forward (the nose of a mast section) at +x, y to the left, the middle of
the length at the origin. Lengths in mm, angles in degrees, outlines counter-clockwise.
"""

from __future__ import annotations

from templgen.shapes.library import ShapeLibrary
from templgen.shapes.outline import MeasureError, Note, Outline
from templgen.shapes.parameters import Fault, Parameter
from templgen.shapes.perimeter import perimeter_row
from templgen.shapes.shape import Shape

__all__ = [
    "Fault",
    "MeasureError",
    "Note",
    "Outline",
    "Parameter",
    "Shape",
    "ShapeLibrary",
    "perimeter_row",
]
