"""Marks by which a sheet is laid where no hole, rivet or edge tells its place: centre lines with figures.

The lines run along the axes in which the job was measured, through the middle of what is cut, and end outside
it: they stay on the paper when the cutout is cut out of it.
"""

from __future__ import annotations

from msgspec import Struct

from templgen.drawing import Item, LineMark, Meaning
from templgen.geometry import Bounds, Line, Vec
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.sheets.facts import one
from templgen.sheets.placement import Label

__all__ = ["MeasureLines", "measure_items", "measure_labels", "measure_step", "measure_words"]

_OFF = 1.0
"""A line starts this far from what is cut, mm: it must not be taken for a part of it."""
_LONG, _SHORT = 8.0, 3.0
_LABEL_ROOM = 4.0
"""What every page keeps free round a view, mm: on a full page the short lines end in it."""


class MeasureLines(Struct, frozen=True):
    """The centre lines through the middle of a box in the skin plane, mm, each in two pieces outside it."""

    box: Bounds
    short: bool = False

    @property
    def middle(self) -> Vec:
        """Where the lines would cross."""
        return self.box.centre

    @property
    def along_x(self) -> tuple[Line, Line]:
        """The line on which y does not change."""
        return self._pieces(Vec(1.0, 0.0), self.box.width / 2)

    @property
    def along_y(self) -> tuple[Line, Line]:
        """The line on which x does not change."""
        return self._pieces(Vec(0.0, 1.0), self.box.height / 2)

    def _pieces(self, way: Vec, half: float) -> tuple[Line, Line]:
        start = half + _OFF
        end = start + (_SHORT if self.short else _LONG)
        middle = self.middle
        return (
            Line(middle + way * start, middle + way * end),
            Line(middle - way * start, middle - way * end),
        )

    @property
    def bounds(self) -> Bounds:
        """What they take of the page, besides what it keeps free anyway."""
        return self.box.grown(_OFF + _SHORT - _LABEL_ROOM if self.short else _OFF + _LONG)


def measure_items(lines: MeasureLines | None) -> list[Item]:
    """Return the lines as they are drawn."""
    if lines is None:
        return []
    return [LineMark(line, Meaning.CENTRE) for line in (*lines.along_x, *lines.along_y)]


def measure_labels(job: Job, assembly: Assembly, lines: MeasureLines | None) -> list[Label]:
    """Return the figure of each line at one of its ends; on a full page the head has them, else they
    stand beside the drawing where neither has room."""
    if lines is None:
        return []
    x, y = _figures(job, assembly, lines)
    return [
        Label(
            tuple(line.end for line in ends),
            ((text,),),
            outwards=ends[0].direction,
            reach=30.0,
            must="" if lines.short else text,
        )
        for text, ends in ((x, lines.along_y), (y, lines.along_x))
    ]


def measure_words(job: Job, assembly: Assembly, lines: MeasureLines | None) -> str:
    """Return for the head of a full page, where labels have hardly room, where its lines lie; else ""."""
    if lines is None or not lines.short:
        return ""
    return f"Laid by {' and '.join(_figures(job, assembly, lines))}. "


def measure_step(job: Job, assembly: Assembly, lines: MeasureLines) -> str:
    """Return in words how the sheet is laid by its lines."""
    x, y = _figures(job, assembly, lines)
    return (
        f"On the {job.laid_on} of the skin draw the lines {x} ({job.axes.x}) and {y} ({job.axes.y}), "
        f"measured from the origin, {job.axes.origin}. Lay the sheet with its four centre line ends on them."
    )


def _figures(job: Job, assembly: Assembly, lines: MeasureLines) -> tuple[str, str]:
    """The measured coordinates of the lines, as the builder counts them."""
    at = assembly.view.inverse().apply(lines.middle)
    return f"x = {one(job, at.x)}", f"y = {one(job, at.y)}"
