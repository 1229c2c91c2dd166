"""What a shape draws: an outline, how far its arcs stray from the true curve, what has to be said."""

from __future__ import annotations

from msgspec import Struct

from templgen.geometry import Contour

__all__ = ["Outline"]


class Outline(Struct, frozen=True):
    """A drawn shape.

    Attributes:
        contour: closed, counter-clockwise, not crossing itself; mm.
        deviation: greatest distance in mm between the arcs and the curve they stand for; 0 where the shape
            itself is made of lines and arcs.
        notes: sentences for the sheet and the report, such as a sharp tail that has to be opened.
        inner: openings inside the contour, as drawn.
    """

    contour: Contour
    deviation: float = 0.0
    notes: tuple[str, ...] = ()
    inner: tuple[Contour, ...] = ()
