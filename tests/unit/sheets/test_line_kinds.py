"""Line kinds as an eye sees them: pages of the demo in grey at 150 dpi, each kind measured along a stretch.

pdfium draws the page, this module measures ink, and what it finds is held against the table of line kinds
that a sheet is to keep to (ISO 128-2 types and widths; from memory, confidence high), never against our own
styles.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import numpy.typing as npt
import pytest
from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Drawing, Item, LineMark, Meaning, PathMark
from templgen.exporters.pdf import pdf_bytes
from templgen.geometry import Line
from templgen.sheets.marks import SAMPLE
from tests.readers.raster import Picture, pdf_picture
from tests.unit.sheets.support import DEMO, built
from tests.unit.sheets.test_templates import moved_from_rib

DPI = 150.0
PIXEL = 25.4 / DPI
STEP = 0.04  # mm between two places that are looked at
BAND = 0.55  # mm either side of a line within which its ink is counted
BLANK = 0.02  # grey that is no ink
WIDTHS = (0.18, 0.25, 0.35, 0.5)
STRAIGHT = DEMO.replace("nose_radius = 0.25,", "nose_radius = 0.25, straight = 0.8,")
"""The demo with straight sides on its mast: its own rough line has no straight stretch."""
AWAY = moved_from_rib("2.7", "inside")
"""The demo farther from the rib: the edge that butts is the paper's alone."""
DEEP = moved_from_rib("2.45", "outside").replace('set_back = "1/32 in"', "set_back = 0.3")
"""The demo with a deep strip trimmed away, whose far edge lies clear of the rib's lines."""

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


class Kind(Struct, frozen=True):
    """What the table says of a line kind: width and pattern in mm, and the sheet that shows it.

    `without` is a kind that is taken off the page, because it lies over the whole of the line.
    """

    meaning: Meaning
    width: float
    pattern: tuple[float, ...]
    sheet: str = "template-mast"
    job: str = DEMO
    without: Meaning | None = None


TABLE = (
    Kind(Meaning.CUT, 0.35, (), "part-base-plate"),
    Kind(Meaning.ROUGH, 0.18, (6.0, 2.0), "rough-mast", STRAIGHT),
    Kind(Meaning.STRUCTURE, 0.25, (12.0, 1.5, 0.5, 1.5, 0.5, 1.5)),
    Kind(Meaning.BUTT, 0.5, (), "template-mast", AWAY),
    Kind(Meaning.TRIMMED, 0.18, (0.4, 1.2), "template-mast", DEEP, Meaning.HATCH),
    Kind(Meaning.CENTRE, 0.18, (6.0, 1.0, 0.5, 1.0)),
    Kind(Meaning.BEND, 0.18, (), "part-rib-clip"),
    Kind(Meaning.HIDDEN, 0.25, (2.0, 1.0)),
    Kind(Meaning.DIMENSION, 0.18, ()),
    Kind(Meaning.FRAME, 0.5, ()),
)
KINDS = pytest.mark.parametrize("kind", TABLE, ids=lambda kind: kind.meaning.value)


@cache
def page_of(kind: Kind) -> Drawing:
    """The page that shows a kind."""
    page = next(each.drawing for each in built(kind.job) if kind.sheet in each.name)
    return replace(
        page, items=tuple(i for i in page.items if getattr(i, "meaning", None) is not kind.without)
    )


def straights(item: Item) -> list[Line]:
    """The straight lines of a mark; samples of the legend and ticks are left out."""
    if isinstance(item, LineMark):
        return [item.line]
    if isinstance(item, PathMark) and not item.filled and item.name not in (SAMPLE, "tick", "stop stamp"):
        return [each for each in item.contour.segments if isinstance(each, Line)]
    return []


class Seen(Struct, frozen=True):
    """Ink along a line: how wide it is at each step, mm, and where nothing else is drawn there.

    `whole` says that the line is a mark of its own, so that its pattern begins where it begins.
    """

    line: Line
    width: Floats
    alone: Flags
    whole: bool


@cache
def picture_of(kind: Kind, without: int = -1) -> Picture:
    """A page in grey; without one of its marks it shows what else lies there."""
    drawing = page_of(kind)
    if without >= 0:
        left = tuple(item for number, item in enumerate(drawing.items) if number != without)
        drawing = replace(drawing, items=left)
    return pdf_picture(pdf_bytes([drawing]), DPI)


def ink(picture: Picture, line: Line, offs: Floats) -> Floats:
    """Darkness beside a line: one row for each step along it, one column for each distance to its left."""
    count = int(line.length / STEP)
    along = (np.arange(count) + 0.5) * STEP
    way, left = line.direction, line.direction.perp()
    x = line.start.x + way.x * along[:, None] + left.x * offs[None, :]
    y = line.start.y + way.y * along[:, None] + left.y * offs[None, :]
    column, row = x / PIXEL - 0.5, picture.shape[0] - y / PIXEL - 0.5
    c, r = np.floor(column).astype(int), np.floor(row).astype(int)
    u, v = column - c, row - r
    dark = 1.0 - picture
    upper = dark[r, c] * (1 - u) + dark[r, c + 1] * u
    lower = dark[r + 1, c] * (1 - u) + dark[r + 1, c + 1] * u
    found: Floats = upper * (1 - v) + lower * v
    return found


def seen(kind: Kind, number: int, line: Line) -> Seen:
    offs = np.arange(-BAND, BAND + STEP / 2, STEP)
    width = ink(picture_of(kind), line, offs).sum(axis=1) * STEP
    other = ink(picture_of(kind, number), line, offs).max(axis=1)
    whole = isinstance(page_of(kind).items[number], LineMark)
    return Seen(line, width, other < BLANK, whole)


def chosen(kind: Kind) -> Seen:
    """Of the longest straight lines of a kind that lie along the page, the one that lies alone farthest."""
    found = [
        (line.length, number, line)
        for number, item in enumerate(page_of(kind).items)
        if getattr(item, "meaning", None) is kind.meaning
        for line in straights(item)
        if kind.meaning is Meaning.DIMENSION or min(abs(line.direction.x), abs(line.direction.y)) < 1e-9
    ]
    longest = sorted(found, key=lambda each: -each[0])[:4]
    lines = [seen(kind, number, line) for _, number, line in longest]
    return max(lines, key=lambda each: sum(w.stop - w.start for w in windows(each.alone)))


def windows(alone: Flags) -> Iterator[slice]:
    """Stretches on which a line lies alone, a little away from what is beside them."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], alone.astype(int), [0]])))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if (end - start) * STEP > 1.0:
            yield slice(int(start), int(end))


def runs(width: Floats, full: float, from_start: bool) -> list[tuple[bool, float]]:
    """Drawn and blank runs of a stretch in mm, those left out that its ends may have cut off."""
    drawn = width > full / 2
    ends = np.flatnonzero(np.diff(drawn.astype(int))) + 1
    ends = np.concatenate([[0], ends]) if from_start and len(ends) else ends
    return [(bool(drawn[a]), (b - a) * STEP) for a, b in pairwise(ends)]


class Measured(Struct, frozen=True):
    """What was measured of a line: width of its ink where it is drawn, runs in a row, ink beside it."""

    width: float
    stretches: tuple[tuple[tuple[bool, float], ...], ...]
    beside: tuple[int, int, int]

    @property
    def runs(self) -> list[tuple[bool, float]]:
        return [run for stretch in self.stretches for run in stretch]

    @property
    def nearest(self) -> float:
        """The width of the series that it comes nearest to."""
        return min(WIDTHS, key=lambda width: abs(width - self.width))


@cache
def measured(kind: Kind) -> Measured:
    found = chosen(kind)
    free = list(windows(found.alone))
    assert free, f"{kind.meaning} never lies alone"
    everything = np.concatenate([found.width[window] for window in free])
    full = float(np.median(everything[everything > everything.max() / 2]))
    stretches = tuple(tuple(runs(found.width[each], full, found.whole and each.start == 0)) for each in free)
    return Measured(full, stretches, beside(kind, found.line))


def beside(kind: Kind, line: Line) -> tuple[int, int, int]:
    """Separate marks beside a line, 0.75 mm off on either side: by its start, its middle, its end."""
    picture = picture_of(kind)
    rows = [ink(picture, line, np.array([off])).max(axis=1) > 0.3 for off in (-0.75, 0.75)]
    count = len(rows[0])
    near = min(int(2.6 / STEP), count // 3)
    parts = (slice(0, near), slice(near, count - near), slice(count - near, count))

    def marks(part: slice) -> int:
        return max(int((np.diff(row[part].astype(int)) > 0).sum() + row[part][0]) for row in rows)

    start, middle, end = (marks(part) for part in parts)
    return start, middle, end


def follows(stretch: tuple[tuple[bool, float], ...], pattern: tuple[float, ...]) -> bool:
    """Whether runs follow a pattern, from wherever in it they begin; each to within a pixel."""
    return any(
        all(
            drawn == ((first + place) % 2 == 0)
            and abs(length - pattern[(first + place) % len(pattern)]) < PIXEL
            for place, (drawn, length) in enumerate(stretch)
        )
        for first in range(len(pattern))
    )


@KINDS
def test_width_and_pattern_are_found_in_the_picture(kind: Kind) -> None:
    found = measured(kind)
    assert found.width == pytest.approx(kind.width, abs=0.035), found
    assert found.nearest == kind.width
    if not kind.pattern:
        assert not found.runs
        return
    assert len(found.runs) >= len(kind.pattern)
    assert all(follows(stretch, kind.pattern) for stretch in found.stretches), found


@pytest.mark.parametrize(("one", "other"), list(combinations(TABLE, 2)), ids=lambda kind: kind.meaning.value)
def test_any_two_kinds_differ_in_the_picture(one: Kind, other: Kind) -> None:
    a, b = measured(one), measured(other)
    if a.nearest != b.nearest:
        return
    if a.runs and b.runs:
        assert not all(follows(stretch, other.pattern) for stretch in a.stretches)
        return
    assert bool(a.runs) != bool(b.runs) or a.beside != b.beside, (a, b)
