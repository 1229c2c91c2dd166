"""A drawing: marks in drawing order, its page, and what its file says about itself."""

from __future__ import annotations

import math

from msgspec import Struct, field
from msgspec.structs import replace

from templgen.drawing.primitives import Item

__all__ = ["Correction", "Drawing", "PageInfo"]


class Correction(Struct, frozen=True):
    """What a measured printer needs: factors along x and y, and shear of y over x in degrees.

    A skew above zero leans the y axis towards +x. The factors come first, then the shear; both leave the
    lower left corner of the page where it is, so that the corrected drawing still starts at the origin of
    all its places. It belongs to paper only; a cut file refuses it. `number` tells the corrections of a
    printer apart.
    """

    x: float
    y: float
    skew: float = 0.0
    printer: str = ""
    number: int = 0

    @property
    def matrix(self) -> tuple[float, float, float, float]:
        """The numbers a, b, c, d that take (x, y) to (a x + c y, b x + d y)."""
        return self.x, 0.0, math.tan(math.radians(self.skew)) * self.y, self.y

    @property
    def is_none(self) -> bool:
        """Whether it leaves every place where it is."""
        return self.x == 1.0 and self.y == 1.0 and self.skew == 0.0

    def turned(self) -> Correction:
        """Return what does the same to a page that goes through the printer turned by 90 degrees.

        With C the matrix of this one, C C^T is turned (its diagonal swaps, the rest changes its sign) and
        taken apart again into an upper triangular matrix times its transpose.
        """
        a, _, c, d = self.matrix
        up = math.hypot(a, c)
        skew = -math.degrees(math.atan2(c * d, up * up))
        return replace(self, x=a * d / up, y=up, skew=skew)


class PageInfo(Struct, frozen=True):
    """What every file says about itself: title, job digest, and free facts (face, hand, unit ...)."""

    title: str
    digest: str
    subject: str = ""
    facts: tuple[tuple[str, str], ...] = ()


class Drawing(Struct, frozen=True):
    """Marks on a page of `width` by `height` mm, or (None) in the plane of a flat part.

    There is no scale anywhere: one millimetre is one millimetre. `correction` is applied by paper
    formats as one group transform and refused by cut files.
    """

    items: tuple[Item, ...]
    info: PageInfo
    width: float | None = None
    height: float | None = None
    correction: Correction | None = field(default=None)
