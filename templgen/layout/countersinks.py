"""How deep and how wide flush heads are let in: the cone of a head, the seat that a sheet gives dimples."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from templgen.layout.assembly import Face, Fastener, FastenerSpec
from templgen.trade.screws import (
    cone_diameter,
    countersink_depth,
    countersink_under_dimples,
    dimple_stands_out,
)

__all__ = ["DimpleSeat", "cone_depth", "dimple_seat", "head_width"]


class DimpleSeat(Struct, frozen=True):
    """A sheet that is countersunk to take the dimples of those on it, mm.

    `dimpled` are those on it. The dimples stand `reach` into it. Its countersink is `wide` at its face and
    `deep` down to its own `hole`; `deep` is 0 where the hole is wider than the dimples.
    """

    face: Face
    dimpled: tuple[Face, ...]
    reach: float
    wide: float
    deep: float
    hole: float


def cone_depth(spec: FastenerSpec) -> float | None:
    """Return how deep the cone of a flush head reaches down to its shank, mm; None where no table says it."""
    if spec.sharp_diameter is not None:
        return countersink_depth(spec.sharp_diameter, spec.diameter)
    # a screw's head height is that of a head with a blunt edge and would pass too thin a sheet
    return None if spec.kind == "screw" else spec.head_height


def head_width(spec: FastenerSpec) -> float | None:
    """Return how wide the cone of a flush head is at its face, mm; None where it is not known.

    A screw's cone ends at its sharp diameter, a solid rivet's at the diameter of its head.
    """
    return spec.head_diameter if spec.kind == "solid rivet" else spec.sharp_diameter


def dimple_seat(fastener: Fastener, stack: Sequence[Face]) -> DimpleSeat | None:
    """Return the sheet of a fastener's stack that takes the dimples of those on it.

    None where no sheet does, or the cone of the head is not known.
    """
    spec, depth = fastener.spec, cone_depth(fastener.spec)
    if not spec.into_countersink or depth is None:
        return None
    dimpled = tuple(face for face in stack if fastener.seat_in(face.name) == "dimpled")
    (face,) = (each for each in stack if each not in dimpled)
    sheets, hole = sum(each.thickness for each in dimpled), fastener.hole_in(face.name)
    head = head_width(spec) or cone_diameter(spec.diameter, depth)
    wide = cone_diameter(head, countersink_under_dimples(0.0, sheets))
    deep = countersink_depth(wide, hole) if wide > hole else 0.0
    return DimpleSeat(face, dimpled, dimple_stands_out(depth, sheets), wide, deep, hole)
