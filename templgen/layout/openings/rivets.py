"""Where the rivets stand that fasten the ring to the skin: one row, or two that are staggered.

Rows of a ring that is cut may end at the cut: a rivet on either side of it, the same distance from it, the
rest even in between as elsewhere, and none nearer.
"""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import Struct

from templgen.errors import GeometryError, JobError, ShapeError
from templgen.geometry import Contour, Line, Vec, intersections
from templgen.job.openings import Opening
from templgen.layout.assembly import FastenerSpec
from templgen.layout.hardware import where_of
from templgen.layout.openings.edges import default_pitch
from templgen.layout.openings.spacing import axis_places, corner_places
from templgen.shapes.perimeter import length_along, row_distances

__all__ = ["RowEnds", "rivet_places"]

TIGHTER = 1.5
"""Rivets of a second row stand closer round a corner than those of the outer row; room is left for this."""


class RowEnds(Struct, frozen=True):
    """Where rows end: at cuts from `middle` along `rays`.

    Rivets stand no nearer to the middle of a cut than `least`; the outer row ends `end` beside it. `apart` is
    the least distance along the row from such an end to the next rivet. All mm.
    """

    middle: Vec
    rays: tuple[Vec, ...]
    least: float
    end: float
    apart: float

    def keeps_off(self, place: Vec) -> bool:
        """Whether a place is as far from every cut as rivets are."""
        arms = [(ray, place - self.middle) for ray in self.rays]
        return all(arm.dot(ray) <= 0.0 or abs(ray.cross(arm)) >= self.least for ray, arm in arms)

    def along(self, line: Contour) -> list[float]:
        """Return how far along a line its two ends at each cut lie."""
        reach = 2 * (line.bounds.width + line.bounds.height)
        found = []
        for ray in self.rays:
            for side in (-self.end, self.end):
                start = self.middle + ray.perp() * side
                beside = Line(start, start + ray * reach)
                places = [place for each in line.segments for place in intersections(beside, each)]
                if places:
                    found.append(length_along(line, max(places, key=start.distance_to)))
        return found

    def room_for(self, place: float, ends: list[float], line: Contour, pitch: float, tighter: float) -> bool:
        """Whether a place along a line leaves room for the rivets between it and the ends."""
        for end in ends:
            away = abs((place - end + line.length / 2) % line.length - line.length / 2)
            if away / max(1, math.ceil(away / pitch - 1e-9)) < self.apart * tighter:
                return False
        return True


def rivet_places(
    opening: Opening, lines: tuple[Contour, ...], spec: FastenerSpec, ends: RowEnds | None = None
) -> tuple[tuple[Vec, ...], ...]:
    """Return the places of the ring's rivets, row by row as `lines` are given, outermost first.

    The outer row has a rivet at the middle of each corner and is even in between; a second row stands between
    the rivets of the first, or beside them. With `ends` the outer row has a rivet there instead of any corner
    that leaves no room for one, and no row has a rivet nearer to a cut.

    Raises:
        JobError: a count that the corners alone exceed.
    """
    tighter = TIGHTER if len(lines) > 1 else 1.0
    outer = _outer_row(opening, lines[0], spec, ends, tighter)
    if ends is not None:
        outer = tuple(each for each in outer if ends.keeps_off(lines[0].point_at(each)[0]))
    rows = [tuple(lines[0].point_at(distance)[0] for distance in outer)]
    for line in lines[1:]:
        between = [(a + b) / 2 for a, b in pairwise([*outer, outer[0] + lines[0].length])]
        beside = between if opening.rivets.staggered else list(outer)
        rows.append(tuple(_opposite(line, lines[0].point_at(distance)[0]) for distance in beside))
    if ends is None:
        return tuple(rows)
    return tuple(tuple(place for place in row if ends.keeps_off(place)) for row in rows)


def _outer_row(
    opening: Opening, line: Contour, spec: FastenerSpec, ends: RowEnds | None, tighter: float
) -> tuple[float, ...]:
    rivets, corners = opening.rivets, corner_places(line)
    count, at_cuts = rivets.count, [] if ends is None else ends.along(line)
    usual = rivets.pitch or default_pitch(spec)
    if ends is not None:
        corners = tuple(each for each in corners if ends.room_for(each, at_cuts, line, usual, tighter))
    fixed = [*at_cuts, *(corners if count is None or count >= len(corners) + len(at_cuts) else [])]
    pitch = usual if count is None else None
    try:
        return row_distances(line, fixed or axis_places(line, count), count=count, pitch=pitch)
    except (ShapeError, GeometryError) as error:
        key = "count" if count is not None else "pitch"
        raise JobError(f"{opening.name}: {error}", at=where_of(opening, "rivets", key)) from None


def _opposite(line: Contour, point: Vec) -> Vec:
    return line.point_at(length_along(line, point))[0]
