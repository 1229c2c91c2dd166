"""A half of a ring that is in its place already, as solids that the other half must stay clear of."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from templgen.checks.openings import Piece
from templgen.geometry import Contour, Vec
from templgen.geometry.flatten import flatten
from templgen.geometry.holding import HoleSpace
from templgen.geometry.plate import body_of
from templgen.geometry.solids import Solid, prism

__all__ = ["IN_PLACE", "half_in_place"]

IN_PLACE = ", in place already"

_HOLE_SAGITTA = 0.5


def half_in_place(piece: Piece, hole: Contour) -> tuple[Solid, ...]:
    """Return a half of a ring round a hole as convex solids that hold all of it, and its nutplates.

    What lies beyond a chord of the hole is convex; over all chords these pieces hold the metal. Curves are
    taken too large: outside by tangents, at the hole by chords. Round a hole that is not convex the hull of
    the half stands for it.
    """
    return (*_metal(piece, hole), *_nutplates(piece))


def _metal(piece: Piece, hole: Contour) -> Iterator[Solid]:
    hull = [Vec(float(x), float(y)) for x, y in body_of(piece.bare).corners]
    name = f"{piece.name}{IN_PLACE}"
    if not HoleSpace.of(hole).is_convex:
        yield prism(name, hull, 0.0, piece.thickness)
        return
    inner = flatten(hole.as_ccw(), _HOLE_SAGITTA)
    for start, end in pairwise([*inner, inner[0]]):
        if start.distance_to(end) < 1e-9:
            continue
        beyond = _right_of(hull, start, (end - start).unit())
        if len(beyond) > 2:
            yield prism(name, beyond, 0.0, piece.thickness)


def _right_of(polygon: list[Vec], on: Vec, along: Vec) -> list[Vec]:
    """The part of a convex polygon to the right of a line: beyond a chord of a hole that is run round
    counter-clockwise."""
    kept: list[Vec] = []
    ahead, aside = along.x, along.y
    heights = [ahead * (corner.y - on.y) - aside * (corner.x - on.x) for corner in polygon]
    after = zip([*polygon[1:], polygon[0]], [*heights[1:], heights[0]], strict=True)
    for one, a, (other, b) in zip(polygon, heights, after, strict=True):
        if a <= 0.0:
            kept.append(one)
        if (a < 0.0 < b) or (b < 0.0 < a):
            kept.append(one.towards(other, a / (a - b)))
    return _without_repeats(kept)


def _without_repeats(points: list[Vec]) -> list[Vec]:
    return [
        each
        for number, each in enumerate(points)
        if each.distance_to(points[number - 1]) > 1e-6 or number == 0
    ]


def _nutplates(piece: Piece) -> Iterator[Solid]:
    for plate in piece.nutplates:
        if plate.outline is not None and plate.spec.height is not None:
            top = piece.thickness + plate.spec.height
            yield prism(plate.name, plate.outline.vertices, piece.thickness, top)
