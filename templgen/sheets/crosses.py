"""Four corner crosses round the template, their nominal distances and diagonals beside them.

A steel rule laid from cross to cross proves both scales and the squareness of a print. The distances stand in
the job's unit only: 4 in and 100 mm side by side get mixed up.
"""

from __future__ import annotations

import math

from msgspec import Struct

from templgen.drawing import Anchor, Item, LineMark, Meaning
from templgen.geometry import Bounds, Line, Vec
from templgen.sheets.lettering import NOTE, words
from templgen.units import MM_PER_INCH, Unit, format_in, format_mm

__all__ = ["CROSS_ARM", "CROSS_BAND", "CROSS_STEPS", "Crosses", "corner_crosses"]

CROSS_ARM = 3.0
CROSS_BAND = 4.0
"""Half of the band round the area in which crosses and their words stand, in mm."""

CROSS_STEPS: dict[Unit, float] = {"in": MM_PER_INCH / 4, "mm": 5.0}
"""The distances of crosses are whole steps, in mm."""


class Crosses(Struct, frozen=True):
    """The crosses' marks, and the rectangle through their centres."""

    items: tuple[Item, ...]
    centres: Bounds


def corner_crosses(area: Bounds, unit: Unit) -> Crosses:
    """Return four crosses as far apart as the area allows, on whole quarter inches or 5 mm.

    The crosses stand in the middle of a band of 2 x CROSS_BAND along the border of the area.
    """
    step = CROSS_STEPS[unit]
    width = math.floor((area.width - 2 * CROSS_BAND) / step + 1e-9) * step
    height = math.floor((area.height - 2 * CROSS_BAND) / step + 1e-9) * step
    middle = area.centre
    box = Bounds(middle.x - width / 2, middle.y - height / 2, middle.x + width / 2, middle.y + height / 2)
    items: list[Item] = [mark for corner in box.corners for mark in _cross(corner)]
    return Crosses((*items, *_distances(box, unit)), box)


def _cross(centre: Vec) -> list[Item]:
    arms = (Vec(CROSS_ARM, 0.0), Vec(0.0, CROSS_ARM))
    return [LineMark(Line(centre - arm, centre + arm), Meaning.CROSS) for arm in arms]


def _distances(box: Bounds, unit: Unit) -> list[Item]:
    """Letters at the crosses, sides in the middle of the sides, diagonals beside the upper crosses."""

    def size(value: float) -> str:
        return format_in(value) if unit == "in" else format_mm(value)

    down = NOTE / 2
    left, right, low, high = box.xmin, box.xmax, box.ymin, box.ymax
    middle = box.centre
    diagonal = math.hypot(box.width, box.height)
    beside = CROSS_ARM + 1.0
    across, along = f"{size(box.width)}", f"{size(box.height)}"
    items: list[Item] = [
        words(f"A to C {size(diagonal)}", left + beside, low - down, NOTE),
        words("B", right - beside, low - down, NOTE, Anchor.RIGHT),
        words("C", right - beside, high - down, NOTE, Anchor.RIGHT),
        words(f"D to B {size(diagonal)}", left + beside, high - down, NOTE),
    ]
    for y, ends in ((low, "A to B"), (high, "D to C")):
        items.append(words(f"{ends} {across}", middle.x + box.width / 6, y - down, NOTE, Anchor.MIDDLE))
    for x, ends in ((left, "A to D"), (right, "B to C")):
        items.append(words(f"{ends} {along}", x + down, middle.y, NOTE, Anchor.MIDDLE, angle=90.0))
    return items
