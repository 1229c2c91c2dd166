"""What a print does to lengths, found from lengths measured on it, with everything that the readings allow.

A printer that is off stretches the page evenly: a point p of the page is printed at M p (plus a turn and a
shift, which no length shows). A length along v is printed as |M v|, and

    |M v|^2 = v^T G v    with G = M^T M (a symmetric matrix of three numbers).

So each reading m of a nominal v, wrong by at most r either way, is a pair of limits that are straight in G:

    (m - r)^2 <= v^T G v <= (m + r)^2

All G within all limits form a body with flat faces. Any printed length is greatest and least at one of its
corners, so its uncertainty is exact: if no reading is off by more than r, the truth lies between them.
Nothing is made linear and no error is taken to be small.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, product

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.drawing import Correction
from templgen.errors import TemplgenError
from templgen.geometry import Vec

__all__ = ["Contradiction", "Reading", "Solved", "Stretch", "Undetermined", "solve"]

_EDGE = 1e-9
"""How far, as a share, a corner may stand outside a limit by rounding."""


class Contradiction(TemplgenError):
    """No even stretch gives all readings: one was misread, or the print is not evenly stretched."""


class Undetermined(TemplgenError):
    """The readings do not tell both scales."""


class Reading(Struct, frozen=True):
    """A length that was measured on a print.

    Attributes:
        what: what was measured: "A to B".
        along: the nominal as a vector on the page, mm: its length and its direction.
        measured: what the rule said, mm.
        off: how far the reading may be off either way, mm.
    """

    what: str
    along: Vec
    measured: float
    off: float

    @property
    def nominal(self) -> float:
        """The length that should have been printed, mm."""
        return self.along.length

    @property
    def ratio(self) -> float:
        """Measured over nominal."""
        return self.measured / self.nominal


class Stretch(Struct, frozen=True):
    """The three numbers of G (see above); without a unit, x and y along the page as it is looked at."""

    xx: float
    xy: float
    yy: float

    @classmethod
    def of(cls, x: float, y: float, skew: float = 0.0) -> Stretch:
        """The stretch of a printer that is off by factors x and y and a skew in degrees (see Correction)."""
        return cls.of_matrix(*Correction(x, y, skew).matrix)

    @classmethod
    def of_matrix(cls, a: float, b: float, c: float, d: float) -> Stretch:
        """The stretch of the matrix that takes (x, y) to (a x + c y, b x + d y)."""
        return cls(a * a + b * b, a * c + b * d, c * c + d * d)

    @property
    def is_possible(self) -> bool:
        """Whether a page can be stretched like this."""
        return self.xx > 0.0 and self.yy > 0.0 and self.xx * self.yy > self.xy * self.xy

    @property
    def x(self) -> float:
        """Factor of lengths along x."""
        return math.sqrt(self.xx)

    @property
    def y(self) -> float:
        """Factor of lengths along y."""
        return math.sqrt(self.yy)

    @property
    def skew(self) -> float:
        """How far the printed y axis leans from the square to x, degrees, towards +x positive."""
        return math.degrees(math.asin(self.xy / (self.x * self.y)))

    def length(self, along: Vec) -> float:
        """The printed length of a nominal, mm."""
        x, y = along.x, along.y
        return math.sqrt(self.xx * x * x + 2.0 * self.xy * x * y + self.yy * y * y)

    def turned(self) -> Stretch:
        """The same stretch, seen from a page that is turned by 90 degrees, one way or the other."""
        return Stretch(self.yy, -self.xy, self.xx)

    def through(self, correction: Correction) -> Stretch:
        """What a print shows if the printer does this, and that correction is in the print: C^T (M^T M) C."""
        a, _, c, d = correction.matrix
        xx = self.xx * a * a
        xy = a * (self.xx * c + self.xy * d)
        yy = self.xx * c * c + 2.0 * self.xy * c * d + self.yy * d * d
        return Stretch(xx, xy, yy)

    def without(self, correction: Correction) -> Stretch:
        """What the printer alone does, if this was measured on a print with that correction in it.

        Printed is M C p, with the correction C, so G = C^T (M^T M) C, and M^T M = C^-T G C^-1.
        """
        a, _, c, d = correction.matrix
        # C^-1 takes x to (1/a, 0) and y to (-c/(a d), 1/d).
        left, lean, up = 1.0 / a, -c / (a * d), 1.0 / d
        xx = self.xx * left * left
        xy = left * (self.xx * lean + self.xy * up)
        yy = self.xx * lean * lean + 2.0 * self.xy * lean * up + self.yy * up * up
        return Stretch(xx, xy, yy)

    def correction(self, printer: str = "") -> Correction:
        """The correction after which a print comes out true.

        G = U^T U with U upper triangular (Cholesky); the correction is U^-1, and M U^-1 is a mere turn.
        """
        across = self.x
        lean = self.xy / across
        up = math.sqrt(self.yy - lean * lean)
        return Correction(1.0 / across, 1.0 / up, -math.degrees(math.atan2(lean, across)), printer)


class Solved(Struct, frozen=True):
    """What the readings say of a print.

    Attributes:
        best: the likeliest stretch (least squares, each reading weighted by how well it was read).
        corners: with `best`, the corners of everything that the readings allow.
        square_known: False where no reading crosses the axes, so that the skew was taken to be none.
    """

    best: Stretch
    corners: tuple[Stretch, ...]
    square_known: bool

    @property
    def allowed(self) -> tuple[Stretch, ...]:
        """The best stretch and all corners."""
        return (self.best, *self.corners)

    def turned(self) -> Solved:
        """The same, seen from a page that is turned by 90 degrees."""
        return Solved(self.best.turned(), tuple(c.turned() for c in self.corners), self.square_known)

    def span(self, name: str) -> tuple[float, float]:
        """Least and greatest of "x", "y" or "skew" that the readings allow."""
        values = [getattr(stretch, name) for stretch in self.allowed]
        return min(values), max(values)


def solve(readings: Sequence[Reading]) -> Solved:
    """Return the stretch of a print from lengths measured on it.

    Raises:
        Undetermined: the readings do not tell both scales.
        Contradiction: no even stretch gives all readings.
    """
    rows, low, high = _limits(readings)
    square_known = bool(np.any(rows[:, 1]))
    kept = [0, 1, 2] if square_known else [0, 2]
    rows = rows[:, kept]
    if len(readings) < len(kept) or int(np.linalg.matrix_rank(rows)) < len(kept):
        raise Undetermined(
            "these readings do not tell both scales: measure A to B, A to D and, better, both diagonals"
        )
    corners = tuple(_stretch(corner) for corner in _corners(rows, low, high))
    best = _stretch(_least_squares(rows, readings))
    if not corners or not all(each.is_possible for each in (best, *corners)):
        raise Contradiction(_contradiction(readings))
    return Solved(best, corners, square_known)


_Numbers = NDArray[np.float64]


def _limits(readings: Sequence[Reading]) -> tuple[_Numbers, _Numbers, _Numbers]:
    """Rows of v^T G v over nominal^2 and, for each, its limits: all without a unit and about 1."""
    unit = [each.along / each.nominal for each in readings]
    rows = np.array([(v.x * v.x, 2.0 * v.x * v.y, v.y * v.y) for v in unit])
    low = np.array([max(0.0, (each.measured - each.off) / each.nominal) ** 2 for each in readings])
    high = np.array([((each.measured + each.off) / each.nominal) ** 2 for each in readings])
    return rows, low, high


def _least_squares(rows: _Numbers, readings: Sequence[Reading]) -> _Numbers:
    """The G of least squared reading errors; an error e of a length m is an error of 2 m e in m^2."""
    weights = np.array([each.nominal**2 / (2.0 * each.measured * each.off) for each in readings])
    wanted = np.array([each.ratio**2 for each in readings])
    found: _Numbers = np.linalg.lstsq(rows * weights[:, None], wanted * weights, rcond=None)[0]
    return found


def _corners(rows: _Numbers, low: _Numbers, high: _Numbers) -> Iterator[_Numbers]:
    """Every point where as many limits meet as there are unknowns, if no other limit forbids it."""
    count = rows.shape[1]
    for chosen in combinations(range(len(rows)), count):
        square = rows[list(chosen)]
        if abs(np.linalg.det(square)) < _EDGE:
            continue
        for sides in product((low, high), repeat=count):
            wanted = np.array([side[i] for side, i in zip(sides, chosen, strict=True)])
            corner = np.linalg.solve(square, wanted)
            found = rows @ corner
            if np.all(found >= low - _EDGE) and np.all(found <= high + _EDGE):
                yield corner


def _stretch(numbers: _Numbers) -> Stretch:
    values = [float(number) for number in numbers]
    return (
        Stretch(values[0], values[1], values[2]) if len(values) == 3 else Stretch(values[0], 0.0, values[1])
    )


def _contradiction(readings: Sequence[Reading]) -> str:
    told = ", ".join(f"{each.what} {each.measured:.2f} mm" for each in readings)
    off = max(each.off for each in readings)
    return (
        f"the readings contradict one another by more than {off:.2f} mm either way ({told}): measure again; "
        "if they stay, the print is not evenly stretched (a trapezoid, a fold, damp paper) and is of no use"
    )
