"""Where the rivets stand that fasten the ring to the skin: one row, or two that are staggered."""

from __future__ import annotations

from itertools import pairwise

from templgen.errors import GeometryError, JobError, ShapeError
from templgen.geometry import Contour, Vec
from templgen.job.openings import Opening
from templgen.layout.assembly import FastenerSpec
from templgen.layout.hardware import where_of
from templgen.layout.openings.edges import default_pitch
from templgen.layout.openings.spacing import axis_places, corner_places
from templgen.shapes.perimeter import length_along, row_distances

__all__ = ["rivet_places"]


def rivet_places(
    opening: Opening, lines: tuple[Contour, ...], spec: FastenerSpec
) -> tuple[tuple[Vec, ...], ...]:
    """Return the places of the ring's rivets, row by row as `lines` are given, outermost first.

    The outer row has a rivet at the middle of each corner and is even in between; a second row stands between
    the rivets of the first, or beside them.

    Raises:
        JobError: a count that the corners alone exceed.
    """
    outer = _outer_row(opening, lines[0], spec)
    rows = [tuple(lines[0].point_at(distance)[0] for distance in outer)]
    for line in lines[1:]:
        between = [(a + b) / 2 for a, b in pairwise([*outer, outer[0] + lines[0].length])]
        beside = between if opening.rivets.staggered else list(outer)
        rows.append(tuple(_opposite(line, lines[0].point_at(distance)[0]) for distance in beside))
    return tuple(rows)


def _outer_row(opening: Opening, line: Contour, spec: FastenerSpec) -> tuple[float, ...]:
    rivets, corners = opening.rivets, corner_places(line)
    count = rivets.count
    pitch = (rivets.pitch or default_pitch(spec)) if count is None else None
    fixed = list(corners) if count is None or count >= len(corners) else []
    try:
        return row_distances(line, fixed or axis_places(line, count), count=count, pitch=pitch)
    except (ShapeError, GeometryError) as error:
        key = "count" if count is not None else "pitch"
        raise JobError(f"{opening.name}: {error}", at=where_of(opening, "rivets", key)) from None


def _opposite(line: Contour, point: Vec) -> Vec:
    return line.point_at(length_along(line, point))[0]
