"""An area of sheet: one outer contour, with openings."""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import force_setattr

from templgen.errors import GeometryError
from templgen.geometry.bounds import Bounds
from templgen.geometry.contour import Contour
from templgen.geometry.motion import Motion
from templgen.geometry.segment import Segment
from templgen.geometry.vector import Vec

__all__ = ["Region"]


class Region(Struct, frozen=True):
    """A piece of sheet: outer contour counter-clockwise, openings clockwise (turned on construction).

    The metal is to the left of every contour. Raises GeometryError for an open contour or one
    without area; `templgen.geometry.require_valid` also looks for crossings.

    >>> Region(Contour.rectangle(20, 10), (Contour.rectangle(4, 5),)).area
    180.0
    """

    outer: Contour
    inner: tuple[Contour, ...] = ()

    def __post_init__(self) -> None:
        force_setattr(self, "outer", _turned(self.outer, ccw=True))
        force_setattr(self, "inner", tuple(_turned(contour, ccw=False) for contour in self.inner))

    @property
    def contours(self) -> tuple[Contour, ...]:
        """The outer contour first, then the openings."""
        return (self.outer, *self.inner)

    @property
    def segments(self) -> tuple[Segment, ...]:
        """All edges, outer ones first."""
        return tuple(segment for contour in self.contours for segment in contour.segments)

    @property
    def area(self) -> float:
        """Area of the metal in mm2."""
        return math.fsum(contour.area for contour in self.contours)

    @property
    def length(self) -> float:
        """Length of all edges in mm."""
        return math.fsum(contour.length for contour in self.contours)

    @property
    def centroid(self) -> Vec:
        """Centre of the area of the metal."""
        area = self.area
        moments = [contour.centroid * (contour.area / area) for contour in self.contours]
        return Vec(math.fsum(m.x for m in moments), math.fsum(m.y for m in moments))

    @property
    def bounds(self) -> Bounds:
        """The smallest box round it."""
        return self.outer.bounds

    def moved(self, motion: Motion) -> Region:
        """Return the region after a motion."""
        return Region(self.outer.moved(motion), tuple(contour.moved(motion) for contour in self.inner))


def _turned(contour: Contour, *, ccw: bool) -> Contour:
    area = contour.area
    if area == 0.0:
        raise GeometryError(f"a contour of {contour.length:g} mm round encloses no area")
    return contour if (area > 0) == ccw else contour.reversed()
