"""A drawing: marks in drawing order, its page, and what its file says about itself."""

from __future__ import annotations

from dataclasses import dataclass, field

from templgen.drawing.primitives import Item

__all__ = ["Correction", "Drawing", "PageInfo"]


@dataclass(frozen=True, slots=True)
class Correction:
    """What a measured printer needs: factors along x and y, and shear of y over x in degrees.

    It belongs to paper only; a cut file refuses it.
    """

    x: float
    y: float
    skew: float = 0.0
    printer: str = ""


@dataclass(frozen=True, slots=True)
class PageInfo:
    """What every file says about itself: title, job digest, and free facts (face, hand, unit ...)."""

    title: str
    digest: str
    subject: str = ""
    facts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """Marks on a page of `width` by `height` mm, or (None) in the plane of a flat part.

    There is no scale anywhere: one millimetre is one millimetre. `correction` is applied by paper
    formats as one group transform and refused by cut files.
    """

    items: tuple[Item, ...]
    info: PageInfo
    width: float | None = None
    height: float | None = None
    correction: Correction | None = field(default=None)
