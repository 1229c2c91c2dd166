"""The frame of square markers round a sheet, by which a scan or a photo of it is measured.

They stand in the band of the corner crosses, where nothing else may stand but the crosses and their words, so
they take no room from the drawing, and all of it lies between them. Where each one stands follows from the
distances of the crosses alone, and these the markers say themselves: a scan needs no other file.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import pairwise

from msgspec.structs import replace

from templgen.drawing import Item, Meaning, PathMark, Text
from templgen.drawing.markers import MOST_STEPS, PIECES, SheetCode, marker_contours, marker_ids
from templgen.geometry import Bounds, Vec
from templgen.sheets.compose import Sheet
from templgen.sheets.crosses import CROSS_ARM, CROSS_BAND, CROSS_STEPS, corner_crosses
from templgen.sheets.lettering import bounds_of
from templgen.sheets.proving import crosses_of
from templgen.units import Unit

__all__ = [
    "MARKER_SIZE",
    "crosses_of_code",
    "marker_items",
    "marker_places",
    "numbered_places",
    "sheet_code",
    "with_markers",
]

MARKER_SIZE = 6.0
"""Side of a marker in mm: 5 pixels a cell at 150 dpi."""

_QUIET = 1.0
"""White round a marker, mm; along the band between two of them twice as much."""
_LEAST_PITCH = MARKER_SIZE + 2 * _QUIET
_WIDE = 40.0
"""Where two markers of a side are farther apart, mm, plain ones come between."""

_Interval = tuple[float, float]


def with_markers(sheet: Sheet, number: int, unit: Unit) -> Sheet:
    """Return a sheet with its markers; a sheet without crosses, or too large to be scanned, stays as it is.

    Args:
        sheet: the finished sheet.
        number: its number, from 1.
        unit: unit of the job.
    """
    drawing = sheet.drawing
    box = crosses_of(drawing)
    if box is None:
        return sheet
    code = sheet_code(box, unit, number, drawing.info.digest, drawing.correction is not None)
    items = marker_items(box, code) if code else []
    return replace(sheet, drawing=replace(drawing, items=(*drawing.items, *items)))


def sheet_code(box: Bounds, unit: Unit, sheet: int, digest: str, corrected: bool) -> SheetCode | None:
    """Return what the markers of a sheet say; None for a sheet too large to be scanned.

    Args:
        box: the rectangle through the crosses.
        unit: unit of the job.
        sheet: number of the sheet, from 1.
        digest: digest of the job.
        corrected: whether the sheet is drawn with a printer's correction.
    """
    step = CROSS_STEPS[unit]
    columns, rows = round(box.width / step), round(box.height / step)
    if max(columns, rows) > MOST_STEPS or not digest:
        return None
    return SheetCode(columns, rows, unit == "in", corrected, sheet, digest)


def crosses_of_code(code: SheetCode) -> Bounds:
    """Return the rectangle through the crosses of a sheet, its lower left one at the origin."""
    step = CROSS_STEPS["in" if code.inches else "mm"]
    return Bounds(0.0, 0.0, code.columns * step, code.rows * step)


def marker_items(box: Bounds, code: SheetCode) -> list[Item]:
    """Return the markers of a sheet; nothing where there is no room for all of them."""
    corner = box.corners[0]
    return [
        PathMark(contour, Meaning.MARKER, filled=True, name=f"marker {number}")
        for number, place in numbered_places(code)
        for contour in marker_contours(number, corner + place, MARKER_SIZE)
    ]


def numbered_places(code: SheetCode) -> tuple[tuple[int, Vec], ...]:
    """Return the number and the centre of every marker of a sheet, mm from the lower left cross; or none."""
    places = marker_places(code)
    return tuple(zip(marker_ids(code, len(places)), places, strict=True)) if places else ()


def marker_places(code: SheetCode) -> tuple[Vec, ...]:
    """Return the centres of all markers in mm from the lower left cross, the fourteen by slot first; or none.

    The fourteen run counter-clockwise from the lower left cross. Opposite sides have equally many, and the
    sides share them as their lengths ask for. Plain ones follow, side by side, where gaps are wide: a fold
    between two markers that are far apart would look like a scale.
    """
    return _places(code.columns, code.rows, code.inches)


@cache
def _places(columns: int, rows: int, inches: bool) -> tuple[Vec, ...]:
    box = crosses_of_code(SheetCode(columns, rows, inches, False, 0, "0"))
    low, right, high, left = _free_sides(box, "in" if inches else "mm")
    wanted = PIECES * box.height / (box.width + box.height)
    for upright in sorted(range(PIECES + 1), key=lambda count: abs(count - wanted)):
        along = PIECES - upright
        sides = [_spread(low, along), _spread(right, upright), _spread(high, along), _spread(left, upright)]
        if all(side is not None for side in sides):
            below, beside, above, before = (side or [] for side in sides)
            more = [
                _between(places, free, end)
                for places, free, end in zip(
                    (below, beside, above, before),
                    (low, right, high, left),
                    (box.width, box.height) * 2,
                    strict=True,
                )
            ]
            return (
                *_round(box, below, beside, above[::-1], before[::-1]),
                *_round(box, *more),
            )
    return ()


def _round(
    box: Bounds,
    below: Iterable[float],
    beside: Iterable[float],
    above: Iterable[float],
    before: Iterable[float],
) -> Iterator[Vec]:
    yield from (Vec(x, 0.0) for x in below)
    yield from (Vec(box.xmax, y) for y in beside)
    yield from (Vec(x, box.ymax) for x in above)
    yield from (Vec(0.0, y) for y in before)


def _between(places: Sequence[float], free: Sequence[_Interval], end: float) -> list[float]:
    """Places for plain markers near the middles of all wide gaps of a side that is `end` mm long."""
    taken = sorted({0.0, *places, end})
    more: list[float] = []
    for start, stop in pairwise(taken):
        count = math.ceil((stop - start) / _WIDE) - 1
        for number in range(1, count + 1):
            ideal = start + (stop - start) * number / (count + 1)
            spots = [min(max(ideal, low), high) for low, high in free]
            spots = [s for s in spots if all(abs(s - each) >= _LEAST_PITCH for each in (*places, *more))]
            if spots:
                spot = min(spots, key=lambda each: abs(each - ideal))
                if start < spot < stop:
                    more.append(spot)
    return more


def _free_sides(box: Bounds, unit: Unit) -> list[list[_Interval]]:
    """Where on the lower, right, upper and left side of the crosses' rectangle a marker's centre may be."""
    area = box.grown(CROSS_BAND)
    words = [bounds_of(item) for item in corner_crosses(area, unit).items if isinstance(item, Text)]
    half = MARKER_SIZE / 2 + _QUIET
    sides = []
    for vertical, at in ((False, box.ymin), (True, box.xmax), (False, box.ymax), (True, box.xmin)):
        end = box.height if vertical else box.width
        taken = [(-CROSS_ARM, CROSS_ARM), (end - CROSS_ARM, end + CROSS_ARM)]
        for word in words:
            across = (word.xmin, word.xmax) if vertical else (word.ymin, word.ymax)
            if across[0] - half < at < across[1] + half:
                taken.append((word.ymin, word.ymax) if vertical else (word.xmin, word.xmax))
        sides.append(_gaps(taken, half))
    return sides


def _gaps(taken: Sequence[_Interval], half: float) -> list[_Interval]:
    gaps, reach = [], taken[0][0]
    for start, end in sorted(taken):
        if start - half >= reach + half:
            gaps.append((reach + half, start - half))
        reach = max(reach, end)
    return gaps


def _spread(free: Sequence[_Interval], count: int) -> list[float] | None:
    """Return `count` places, as evenly spread as the free intervals allow; None if they do not fit."""
    if count == 0:
        return []
    if not free:
        return None
    first, last = free[0][0], free[-1][1]
    places: list[float] = []
    for number in range(count):
        ideal = first + (last - first) * (number / (count - 1) if count > 1 else 0.5)
        least = places[-1] + _LEAST_PITCH if places else first
        spots = [min(max(ideal, low, least), high) for low, high in free if high >= least]
        if not spots:
            return None
        places.append(min(spots, key=lambda spot: abs(spot - ideal)))
    return places
