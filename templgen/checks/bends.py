"""Bends as a flat face sees them: how far a hole stands from the web, and whether a flange is wide enough."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from templgen.checks.edges import lies_on
from templgen.checks.holes import Floats, Holes
from templgen.checks.words import both
from templgen.geometry import Line, Vec, intersections
from templgen.layout.assembly import Assembly, Face, Fastener
from templgen.trade.limits import narrowest_flange

__all__ = ["FaceBend", "bends_of", "head_radius_on", "too_narrow_words"]

_RIGHT_ANGLE = 90.0
_FAR_MM = 10_000.0


class FaceBend(Struct, frozen=True):
    """A bend at the border of a flat face.

    Attributes:
        tangent: bend tangent line, turned so that the flat lies to its left.
        radius: inside radius, mm.
        thickness: of the sheet, mm.
        set_back: from the tangent line to the other face's outer surface, mm: (R + t) tan(angle / 2).
        doubt: how well its place is known, mm either way.
    """

    tangent: Line
    radius: float
    thickness: float
    set_back: float
    doubt: float

    def heights(self, points: Floats) -> Floats:
        """Return how far points (n, 2) stand from the other face's outer surface, mm."""
        start, along = self.tangent.start, self.tangent.direction
        offset = points - np.array([start.x, start.y])
        heights: Floats = along.x * offset[:, 1] - along.y * offset[:, 0] + self.set_back
        return heights


def bends_of(assembly: Assembly, face: Face) -> tuple[FaceBend, ...]:
    """Return the bends at the border of a face: those laid out, and the formed edges of structure."""
    return tuple(_laid_out(assembly, face)) or tuple(_of_structure(assembly, face))


def _laid_out(assembly: Assembly, face: Face) -> Iterator[FaceBend]:
    structure = assembly.structures.get(face.part)
    doubt = structure.doubt if structure else assembly.drilled_to.get("cut", 0.0)
    for bend in assembly.bends:
        for name, tangent in ((bend.face_a, bend.tangent_a), (bend.face_b, bend.tangent_b)):
            if name == face.name:
                yield _face_bend(face, tangent, bend.inside_radius, bend.angle, doubt)


def _of_structure(assembly: Assembly, face: Face) -> Iterator[FaceBend]:
    """The bend of a rib or spar: a right angle at the formed edge of its flange or web."""
    structure = assembly.structures.get(face.part)
    if structure is None or structure.bend_radius is None:
        return
    for tangent in face.formed:
        yield _face_bend(face, tangent, structure.bend_radius, _RIGHT_ANGLE, structure.doubt)


def _face_bend(face: Face, tangent: Line, radius: float, angle: float, doubt: float) -> FaceBend:
    if face.outline is not None:
        middle = face.outline.bounds.centre
        if tangent.direction.cross(middle - tangent.start) < 0:
            tangent = tangent.reversed()
    set_back = (radius + face.thickness) * math.tan(math.radians(angle) / 2)
    return FaceBend(tangent, radius, face.thickness, set_back, doubt)


def head_radius_on(face: Face, holes: Holes, first: np.ndarray, last: np.ndarray) -> Floats:
    """Return the radius of what bears on a face at each hole: head, driven head, or the hole alone, mm.

    Args:
        face: the face.
        holes: the holes in it.
        first, last: (n,) whether the face is the first, the last of the hole's stack.
    """
    radius = np.where(first, holes.head_outside, holes.hole / 2)
    return np.where(last, np.maximum(radius, holes.head_inside), radius)


def too_narrow_words(assembly: Assembly, face: Face, fastener: Fastener, head_radius: float) -> str:
    """Say how wide a flange must be to hold head clearance and edge distance at once; "" if it is."""
    for bend in bends_of(assembly, face):
        width = _width_at(face, fastener.at, bend)
        least = narrowest_flange(bend.thickness, bend.radius, head_radius, fastener.spec.diameter)
        if width is not None and not math.isnan(least) and width < least:
            return (
                f"no place across {face.name} holds both limits, head off the bend and 2 D to the free edge: "
                f"it is {both(width)} wide, the narrowest that works is {both(least)}"
            )
    return ""


def _width_at(face: Face, point: Vec, bend: FaceBend) -> float | None:
    """Width of a flange through a point, from the web's outer face to a free edge; None where it goes on."""
    if face.outline is None:
        return None
    outwards = bend.tangent.direction.perp()
    height = bend.tangent.direction.cross(point - bend.tangent.start)
    if height < 0:  # it stands on the bend or beside the flange: the flange begins at the tangent line
        point, height = point - outwards * height, 0.0
    ray = Line(point, point + outwards * _FAR_MM)
    hits = [
        (hit.distance_to(point), segment)
        for segment in face.outline.segments
        if not lies_on(segment, (bend.tangent,))
        for hit in intersections(ray, segment)
    ]
    if not hits:
        return None
    beyond, segment = min(hits, key=lambda hit: hit[0])
    if lies_on(segment, face.beyond):
        return None
    return height + bend.set_back + beyond
