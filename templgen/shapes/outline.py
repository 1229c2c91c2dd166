"""What a shape draws: an outline, how far its arcs stray from the true curve, what has to be said."""

from __future__ import annotations

from msgspec import Struct

from templgen.errors import ShapeError
from templgen.geometry import Contour
from templgen.units import Unit, format_length

__all__ = ["MeasureError", "Note", "Outline"]


class Note(Struct, frozen=True):
    """A sentence about a drawn shape; each {} in its text stands for one of its lengths, mm."""

    text: str
    lengths: tuple[float, ...] = ()

    def told(self, unit: Unit) -> str:
        """Return the sentence, its lengths in both units, `unit` first."""
        return self.text.format(*(format_length(length, unit) for length in self.lengths))


class MeasureError(ShapeError):
    """Lengths that do not go together; each {} in the text stands for one of them, mm.

    Its plain text has them in millimetres; `told` says them in the unit of the job.
    """

    def __init__(self, text: str, *lengths: float) -> None:
        super().__init__(text.format(*(f"{length:g} mm" for length in lengths)))
        self._note = Note(text, lengths)

    def told(self, unit: Unit) -> str:
        """Return the sentence, its lengths in both units, `unit` first."""
        return self._note.told(unit)


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
    notes: tuple[Note, ...] = ()
    inner: tuple[Contour, ...] = ()

    def told(self, unit: Unit) -> tuple[str, ...]:
        """Return its notes in words, lengths in both units, `unit` first."""
        return tuple(note.told(unit) for note in self.notes)
