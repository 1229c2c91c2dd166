"""The ring as it is made: whole, cut through once so that it can be wound in, or in two halves."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from templgen.errors import JobError
from templgen.geometry import Contour, HalfPlane, Line, Region, Vec, intersections, trim_region
from templgen.job.openings import Opening
from templgen.layout.hardware import where_of

__all__ = ["Ring", "ring_of"]


class Ring(Struct, frozen=True):
    """The pieces of a ring and the lines of its cuts, in the opening's frame; it is cut about `middle`.

    `short` is what a cut that was placed here lacks to the edge distances of all holes, mm: 0 where it holds.
    """

    whole: Region
    pieces: tuple[Region, ...]
    cuts: tuple[Line, ...]
    middle: Vec
    short: float = 0.0

    def piece_at(self, point: Vec) -> int:
        """Return the number of the piece on whose side of the cut a point lies."""
        if len(self.pieces) == 1:
            return 0
        along = self.cuts[0].end - self.middle
        return 0 if along.cross(point - self.middle) >= 0 else 1


def ring_of(opening: Opening, clear: Contour, edge: Contour, holes: Sequence[tuple[Vec, float]]) -> Ring:
    """Return the ring between the clear hole and its outer edge.

    Args:
        opening: how the ring is made, and where it is cut.
        clear: the clear hole.
        edge: the ring's outer edge.
        holes: all holes of the ring with their least edge distance; where the job does not say, the cut keeps
            as far beyond that from all of them as it can.

    Raises:
        JobError: a cut that does not part the ring as it should.
    """
    whole, middle, made = Region(edge, (clear,)), clear.bounds.centre, opening.ring.made
    if made == "whole":
        return Ring(whole, (whole,), (), middle)
    both = made == "halves"
    degrees, left = _best(middle, holes, both)
    short = max(0.0, opening.ring.cut_gap / 2 - left)
    if opening.ring.cut_at is not None:
        degrees, short = opening.ring.cut_at, 0.0
    rays = [Vec.polar(1.0, degrees + turn) for turn in ((0.0, 180.0) if both else (0.0,))]
    cuts = tuple(_across(whole, middle, ray) for ray in rays)
    pieces = _halves(whole, middle, rays[0], opening) if both else _split(whole, middle, rays[0], opening)
    if len(pieces) != len(rays):
        raise JobError(
            f"{opening.name}: the cut parts the ring into {len(pieces)} pieces, not {len(rays)}",
            at=where_of(opening, "ring", "cut_at"),
        )
    return Ring(whole, pieces, cuts, middle, short)


def _halves(whole: Region, middle: Vec, ray: Vec, opening: Opening) -> tuple[Region, ...]:
    """Take a strip as wide as the cut out of both sides; what lies to the left of the ray comes first."""
    right, left = _beside_cut(middle, ray, opening)
    return tuple(
        sorted(
            trim_region(whole, [right, left]).cut,
            key=lambda piece: -HalfPlane(middle, ray).height_of(piece.bounds.centre),
        )
    )


def _split(whole: Region, middle: Vec, ray: Vec, opening: Opening) -> tuple[Region, ...]:
    """Take a strip as wide as the cut out of one side of the ring."""
    right, left = _beside_cut(middle, ray, opening)
    this_side = HalfPlane(middle, -ray.perp())
    return trim_region(whole, [right, left, this_side]).cut


def _beside_cut(middle: Vec, ray: Vec, opening: Opening) -> tuple[HalfPlane, HalfPlane]:
    """The two edges of the cut; metal that is cut away lies inside both."""
    half = opening.ring.cut_gap / 2
    return HalfPlane(middle, ray).shifted(-half), HalfPlane(middle, -ray).shifted(-half)


def _across(whole: Region, middle: Vec, ray: Vec) -> Line:
    """Return the cut from the clear hole to the ring's edge along a ray."""
    line = Line(middle, middle + ray * (whole.bounds.width + whole.bounds.height))
    inner = [p for s in whole.inner[0].segments for p in intersections(line, s)]
    outer = [p for s in whole.outer.segments for p in intersections(line, s)]
    return Line(max(inner, key=middle.distance_to), max(outer, key=middle.distance_to))


def _best(middle: Vec, holes: Sequence[tuple[Vec, float]], both: bool) -> tuple[float, float]:
    """Return the direction whose cut leaves most beyond all edge distances, the first of equals from +x, and
    how much that is, mm."""
    arms = [hole - middle for hole, _ in holes]
    x, y = np.array([(arm.x, arm.y) for arm in arms]).reshape(-1, 2).T
    least = np.array([edge for _, edge in holes])
    angles = sorted(arm.angle % 360.0 for arm in arms) or [0.0]
    best, found = -math.inf, 0.0
    for one, other in zip(angles, [*angles[1:], angles[0] + 360.0], strict=True):
        degrees = (one + other) / 2 % 360.0
        ray = Vec.polar(1.0, degrees)
        beside = np.abs(ray.x * y - ray.y * x) - least
        if not both:
            beside = beside[ray.x * x + ray.y * y > 0]
        clear = float(beside.min()) if len(beside) else 0.0
        if clear > best + 1e-6:
            best, found = clear, degrees
    return found, best
