"""Square fiducial markers by which a scan tells what it shows: their bits, and what their numbers say.

A marker is a square of 7 x 7 cells: a black border round 5 x 5 cells. The family is the open ArUco
dictionary of 1000 markers of 5 x 5 bits (DICT_5X5_1000 of OpenCV; Garrido-Jurado et al., Pattern
Recognition 47, 2014). Their bits stand in `markers.txt`, made once from
OpenCV and tested against it, so that sheets are drawn without it.

Fourteen markers stand round a sheet. Marker number `slot` carries one piece of the sheet's code:
`slot * 64 + piece`. The code has six pieces of 6 bits, and a seventh, their exclusive or. It runs round
twice, so that the same piece stands at opposite places: a torn corner loses nothing, one piece may be lost
altogether, and a piece that was misread is noticed. The numbers from 896 on say nothing: they stand in order
where gaps are wide.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache, reduce
from operator import xor
from pathlib import Path

from msgspec import Struct

from templgen.geometry import Contour, Vec

__all__ = [
    "CELLS",
    "DIGEST_DIGITS",
    "MOST_STEPS",
    "PIECES",
    "SLOTS",
    "SheetCode",
    "code_of",
    "marker_bits",
    "marker_contours",
    "marker_ids",
]

CELLS = 7
"""Cells along the side of a marker, the black border included."""
PIECES = 7
SLOTS = 2 * PIECES
DIGEST_DIGITS = 3
"""Hex digits of the job's digest that a sheet's markers carry."""
MOST_STEPS = 255
"""The longest side of the crosses' rectangle in steps (6.35 mm or 5 mm) that the code can say."""

_PIECE_BITS = 6
_WIDTHS = (8, 8, 1, 1, 6, 12)
"""Bits of columns, rows, inches, corrected, sheet, digest: 36 in all."""
_SHEETS = 64


class SheetCode(Struct, frozen=True):
    """What the markers of a sheet say.

    Attributes:
        columns: distance of the corner crosses along x, in steps of 6.35 mm (inches) or 5 mm.
        rows: the same along y.
        inches: whether the steps are quarters of an inch.
        corrected: whether the sheet was drawn with a printer's correction.
        sheet: number of the sheet, modulo 64.
        digest: the first three hex digits of the job's digest.
    """

    columns: int
    rows: int
    inches: bool
    corrected: bool
    sheet: int
    digest: str

    @property
    def number(self) -> int:
        """The code as one number of 36 bits."""
        fields = (
            self.columns,
            self.rows,
            int(self.inches),
            int(self.corrected),
            self.sheet % _SHEETS,
            int(self.digest[:DIGEST_DIGITS], 16),
        )
        number = 0
        for value, width in zip(fields, _WIDTHS, strict=True):
            number = number << width | value
        return number


def marker_ids(code: SheetCode, count: int = SLOTS) -> tuple[int, ...]:
    """Return the numbers of the markers of a sheet, `count` in all: the fourteen by slot, then plain ones."""
    number = code.number
    pieces = [number >> _PIECE_BITS * (PIECES - 2 - count) & 63 for count in range(PIECES - 1)]
    pieces.append(reduce(xor, pieces))
    coded = [(slot << _PIECE_BITS) + pieces[slot % PIECES] for slot in range(SLOTS)]
    return (*coded, *range(SLOTS << _PIECE_BITS, (SLOTS << _PIECE_BITS) + count - SLOTS))


def code_of(pieces: Mapping[int, int]) -> SheetCode | None:
    """Return the code whose pieces (0 to 63, by their place 0 to 6) were read.

    None if more than one is missing, or if they do not agree.
    """
    missing = [count for count in range(PIECES) if count not in pieces]
    rest = reduce(xor, pieces.values(), 0)
    if len(missing) > 1 or (not missing and rest != 0):
        return None
    number = 0
    for count in range(PIECES - 1):
        number = number << _PIECE_BITS | pieces.get(count, rest)
    fields = []
    for width in reversed(_WIDTHS):
        fields.append(number & (1 << width) - 1)
        number >>= width
    digest, sheet, corrected, inches, rows, columns = fields
    return SheetCode(columns, rows, bool(inches), bool(corrected), sheet, f"{digest:0{DIGEST_DIGITS}x}")


@cache
def _table() -> tuple[int, ...]:
    text = (Path(__file__).parent / "markers.txt").read_text(encoding="ascii")
    return tuple(int(word, 16) for word in text.split())


def marker_bits(number: int) -> tuple[tuple[bool, ...], ...]:
    """Return the 5 x 5 inner cells of a marker, upper row first; True is white."""
    word, side = _table()[number], CELLS - 2
    flat = [bool(word >> place & 1) for place in reversed(range(side * side))]
    return tuple(tuple(flat[row * side : (row + 1) * side]) for row in range(side))


def marker_contours(number: int, centre: Vec, size: float) -> tuple[Contour, ...]:
    """Return a marker as closed outlines to be filled, its side `size` mm long.

    White inside black is reached by a cut of no width, so that every outline is one chain and no seam shows
    between cells.
    """
    step = size / CELLS
    corner = centre - Vec(size / 2, size / 2)
    return tuple(
        Contour.polygon(corner + Vec(x * step, y * step) for x, y in loop) for loop in _outlines(number)
    )


_Cell = tuple[int, int]


@cache
def _outlines(number: int) -> tuple[tuple[_Cell, ...], ...]:
    """The loops of a marker's black fields on the lattice of its cells, y up from its lower left corner."""
    bits = marker_bits(number)
    inner = {(x + 1, CELLS - 2 - y) for y, row in enumerate(bits) for x, white in enumerate(row) if white}
    black = {(x, y) for x in range(CELLS) for y in range(CELLS)} - inner
    return tuple(_straightened(_merged(_loops(field))) for field in _fields(black))


def _fields(cells: set[_Cell]) -> list[set[_Cell]]:
    """Cells that hang together by their sides."""
    left, found = set(cells), []
    while left:
        todo, field = [min(left)], set[_Cell]()
        while todo:
            cell = todo.pop()
            if cell in left:
                left.remove(cell)
                field.add(cell)
                x, y = cell
                todo += [(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)]
        found.append(field)
    return found


def _loops(field: set[_Cell]) -> list[list[_Cell]]:
    """The border of a field as loops of lattice points, the field to their left."""
    ways: dict[_Cell, list[_Cell]] = {}
    for x, y in field:
        for start, end, beside in (
            ((x, y), (x + 1, y), (x, y - 1)),
            ((x + 1, y), (x + 1, y + 1), (x + 1, y)),
            ((x + 1, y + 1), (x, y + 1), (x, y + 1)),
            ((x, y + 1), (x, y), (x - 1, y)),
        ):
            if beside not in field:
                ways.setdefault(start, []).append(end)
    loops = []
    while ways:
        loop = [min(ways)]
        while True:
            ends = ways[loop[-1]]
            # Where two cells touch at a corner, turn left: the loop stays round one of them.
            end = min(ends, key=lambda each: -_turn(loop, each)) if len(loop) > 1 else ends[0]
            ends.remove(end)
            if not ends:
                del ways[loop[-1]]
            if end == loop[0]:
                break
            loop.append(end)
        loops.append(loop)
    return loops


def _turn(loop: list[_Cell], end: _Cell) -> int:
    (ax, ay), (bx, by) = loop[-2:]
    return (bx - ax) * (end[1] - by) - (by - ay) * (end[0] - bx)


def _merged(loops: list[list[_Cell]]) -> list[_Cell]:
    """One loop: each hole is joined, along a line of the lattice to its left, to what lies there."""
    outer, *holes = sorted(loops, key=min)
    for hole in holes:
        start = hole.index(min(hole))
        x, y = hole[start]
        bridge = [(x, y)]
        while bridge[-1] not in outer:
            bridge.append((bridge[-1][0] - 1, y))
        at = outer.index(bridge[-1])
        round_it = [*bridge[::-1], *hole[start + 1 :], *hole[:start], *bridge]
        outer = [*outer[:at], *round_it, *outer[at + 1 :]]
    return outer


def _straightened(loop: Iterable[_Cell]) -> tuple[_Cell, ...]:
    """A loop without the points on its straight sides."""
    points = list(loop)
    return tuple(
        point
        for before, point, after in zip(
            [points[-1], *points[:-1]], points, [*points[1:], points[0]], strict=True
        )
        if (point[0] - before[0], point[1] - before[1]) != (after[0] - point[0], after[1] - point[1])
    )
