"""A flat plate that goes through an opening, the room behind, and the shadow that has to fit in the
opening."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property, lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from templgen.geometry.bounds import Bounds
from templgen.geometry.contour import Contour
from templgen.geometry.convex import convex_hull, tangent_polygon
from templgen.geometry.extent import Reach, extent_along
from templgen.geometry.flatten import flattened
from templgen.geometry.poses import Body
from templgen.geometry.solids import Solid, Standing
from templgen.geometry.vector import Vec

__all__ = ["Bay", "Lump", "Plate", "body_of", "slot_of"]

Floats = NDArray[np.float64]

_BODY_SIDES = 24


class Lump(Struct, frozen=True):
    """What stands on the inner face of a plate, such as a nutplate: its outline in plan, its height, mm."""

    outline: Contour
    height: float


class Plate(Struct, frozen=True, dict=True):
    """A flat plate as it will lie in the end: outer outline in the skin plane, thickness, lumps on its
    inside.

    `taken_off` makes the outline smaller by so much all round (mm), to ask how large a plate may be.
    """

    outline: Contour
    thickness: float
    lumps: tuple[Lump, ...] = ()
    taken_off: float = 0.0

    @property
    def depth(self) -> float:
        """Thickness with the highest lump, mm."""
        return self.thickness + max((lump.height for lump in self.lumps), default=0.0)

    @cached_property
    def _metal(self) -> Reach:
        return Reach([self.outline])

    @cached_property
    def _lumps(self) -> Reach:
        return Reach(lump.outline for lump in self.lumps)

    @cached_property
    def _all(self) -> Reach:
        return Reach([self.outline, *(lump.outline for lump in self.lumps)])

    def reach(self, directions: Sequence[Vec]) -> Floats:
        """Return how far plate and lumps reach along unit vectors (n,), mm."""
        if not self.taken_off:
            return self._all.along(directions)
        farthest: Floats = np.maximum(
            self._metal.along(directions) - self.taken_off, self._lumps.along(directions)
        )
        return farthest

    def extent(self, direction: Vec) -> tuple[float, float]:
        """Return how far plate and lumps reach along a unit vector, mm."""
        low, high = self.reach([-direction, direction]).tolist()
        return -low, high

    def across_all(self, turns: Sequence[float]) -> list[float]:
        """Return how wide it is square to each of some directions in its plane (degrees), mm."""
        square = [Vec.polar(1.0, turn + 90.0) for turn in turns]
        reached = self.reach([*square, *(-direction for direction in square)])
        wide: list[float] = (reached[: len(turns)] + reached[len(turns) :]).tolist()
        return wide

    def widths(self, count: int) -> Floats:
        """Return about how wide it is square to `count` directions, evenly spaced over 180 degrees (n,),
        mm."""
        outlines = [self.outline, *(lump.outline for lump in self.lumps)]
        points = np.concatenate([flattened(outline, 0.1) for outline in outlines])
        angles = np.pi * (np.arange(count) / count + 0.5)
        reaches = points @ np.array([np.cos(angles), np.sin(angles)])
        widths: Floats = np.ptp(reaches, axis=0)
        return widths

    def height(self, turn: float, tilt: float) -> float:
        """Return how high it stands with its edge at `turn` down and leaning by `tilt`, mm."""
        low, high = self.extent(Vec.polar(1.0, turn))
        sine, cosine = math.sin(math.radians(tilt)), math.cos(math.radians(tilt))
        return (high - low) * sine + self.depth * max(cosine, 0.0)

    def metal_extent(self, direction: Vec) -> tuple[float, float]:
        """Return how far the plate alone reaches along a unit vector, mm."""
        low, high = self._metal.along([-direction, direction]).tolist()
        return self.taken_off - low, high - self.taken_off


class Bay(Struct, frozen=True, dict=True):
    """The room behind: depth from the inner face of the skin, walls round `area`, solids (z inwards from
    it)."""

    depth: float
    area: Bounds | None = None
    solids: tuple[Solid, ...] = ()

    @cached_property
    def standing(self) -> Standing:
        """The solids, prepared to be asked about together."""
        return Standing(self.solids)


def body_of(plate: Plate) -> Body:
    """Return the slab that holds a plate with its lumps: the polygon of `_BODY_SIDES` tangents round it.

    One of them lies on the plate's longest straight side: half a ring does not reach over its cut.
    """
    first = _longest_side(plate.outline) - 90.0
    normals = [Vec.polar(1.0, first + 360.0 * number / _BODY_SIDES) for number in range(_BODY_SIDES)]
    farthest = plate.reach(normals)
    corners = tangent_polygon(np.array([(n.x, n.y) for n in normals]), farthest)
    sides = np.array([(n.perp().x, n.perp().y) for n in normals[: _BODY_SIDES // 2]])
    (x0, x1), (y0, y1) = plate.extent(Vec(1.0, 0.0)), plate.extent(Vec(0.0, 1.0))
    centre = Vec((x0 + x1) / 2, (y0 + y1) / 2)
    return Body(corners, sides, plate.depth, centre)


@lru_cache(maxsize=64)
def _longest_side(outline: Contour) -> float:
    """The angle of the longest side of the hull round an outline, degrees."""
    hull = convex_hull(flattened(outline, 0.1))
    steps = np.roll(hull, -1, axis=0) - hull
    x, y = steps[np.argmax(np.hypot(steps[:, 0], steps[:, 1]).round(6))]
    return math.degrees(math.atan2(y, x))


def slot_of(plate: Plate, turn: float, tilt: float, skin: float) -> Floats:
    """Shadow of the plate on both faces of the skin along its way: x at the heading, y square to it, mm."""
    across = Vec.polar(1.0, turn + 90.0)
    sine, cosine = math.sin(math.radians(tilt)), math.cos(math.radians(tilt))
    shift = skin * max(cosine, 0.0) / sine
    low, high = plate.metal_extent(across)
    boxes = [(low, high, plate.thickness)]
    boxes += [(*extent_along(lump.outline, across), plate.thickness + lump.height) for lump in plate.lumps]
    return convex_hull(
        np.array([(x, y) for y0, y1, w in boxes for y in (y0, y1) for x in (0.0, -w / sine - shift)])
    )
