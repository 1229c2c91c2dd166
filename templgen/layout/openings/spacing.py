"""Where the screws of an opening stand: fixed ones first, the others evenly along the true length between."""

from __future__ import annotations

import math

from msgspec import Struct

from templgen.errors import GeometryError, JobError, ShapeError
from templgen.geometry import Arc, Contour, Vec
from templgen.geometry.corner import turn_at
from templgen.job.openings import Opening
from templgen.layout.frames import vec
from templgen.layout.hardware import where_of
from templgen.shapes.perimeter import length_along, row_distances

__all__ = ["Place", "axis_places", "corner_places", "screw_places"]

LEAST_TURN, MOST_TURN = 20.0, 150.0
"""A corner turns more than a waver of a fitted curve and less than a racecourse's round end, degrees."""

TIGHT = 0.4
"""Arcs of a corner have a radius of less than this share of the line's narrower side."""

SHARP_TURN = 5.0
_STEP = 1e-3


class Place(Struct, frozen=True):
    """A place of a line: how far along it, the point, and the direction there."""

    distance: float
    at: Vec
    along: Vec


def place_at(line: Contour, distance: float) -> Place:
    """Return a place of a closed line; at a sharp corner its direction is that of the two sides together."""
    at, along = line.point_at(distance)
    before, after = (line.point_at(distance + step)[1] for step in (-_STEP, _STEP))
    if abs(math.degrees(math.asin(max(-1.0, min(1.0, before.cross(after)))))) > SHARP_TURN:
        along = (before + after).unit()
    return Place(distance % line.length, at, along)


def corner_places(line: Contour) -> tuple[float, ...]:
    """Return how far along a closed line the middles of its corners lie: tight arcs and sharp joints."""
    segments, tight = line.segments, TIGHT * min(line.bounds.width, line.bounds.height)
    in_arc = [isinstance(each, Arc) and each.radius < tight for each in segments]
    starts = [math.fsum(each.length for each in segments[:n]) for n in range(len(segments))]
    found = []
    for n, segment in enumerate(segments):
        if in_arc[n] and not in_arc[n - 1]:
            run = _run(in_arc, n)
            turn = math.fsum(abs(s.sweep) for s in (segments[m] for m in run) if isinstance(s, Arc))
            if LEAST_TURN <= turn <= MOST_TURN:
                found.append(starts[n] + math.fsum(segments[m].length for m in run) / 2)
        elif not in_arc[n] and LEAST_TURN <= abs(turn_at(segments[n - 1], segment)) <= MOST_TURN:
            found.append(starts[n])
    return tuple(sorted(each % line.length for each in found))


def _run(flags: list[bool], start: int) -> list[int]:
    run = [start]
    while flags[(run[-1] + 1) % len(flags)] and len(run) < len(flags):
        run.append((run[-1] + 1) % len(flags))
    return run


def axis_places(line: Contour, count: int | None) -> list[float]:
    """Return the fixed places of a line without corners: farthest along +x, for a pitch also along -x.

    A symmetric line has them on its axis, so that its holes are symmetric: an odd count about the x axis, an
    even one and a pitch about both.
    """
    middle, reach = line.bounds.centre, 10 * (line.bounds.width + line.bounds.height)
    sides = (1, -1) if count is None else (1,)
    return [length_along(line, Vec(middle.x + side * reach, middle.y)) for side in sides]


def screw_places(opening: Opening, line: Contour) -> tuple[Place, ...]:
    """Return the places of an opening's screws along the screw line, from its first fixed one.

    Raises:
        JobError: a count that corners or fixed screws alone exceed, "corners" of a line that has none.
    """
    screws = opening.screws
    fixed = _fixed(opening, line) or axis_places(line, screws.count)
    try:
        distances = row_distances(line, fixed, count=screws.count, pitch=screws.pitch)
    except (ShapeError, GeometryError) as error:
        key = "count" if screws.count is not None else "pitch"
        raise JobError(f"{opening.name}: {error}", at=where_of(opening, "screws", key)) from None
    return tuple(place_at(line, distance) for distance in distances)


def _fixed(opening: Opening, line: Contour) -> list[float]:
    screws, corners = opening.screws, corner_places(line)
    if screws.fixed in ("corners", "beside corners") and not corners:
        at = where_of(opening, "screws", "fixed")
        raise JobError(f'{opening.name} has no corners; fixed = "none" is left', at=at)
    fixed: list[float] = []
    if screws.fixed == "beside corners":
        beside = screws.beside or 0.0
        fixed = [corner + side * beside for corner in corners for side in (-1, 1)]
    elif screws.fixed in ("corners", None):
        _require_enough(opening, corners)
        fixed = list(corners)
    return fixed + [length_along(line, vec(point)) for point in screws.places or []]


def _require_enough(opening: Opening, corners: tuple[float, ...]) -> None:
    """Refuse fewer screws than corners, where each of them has one."""
    count, least = opening.screws.count, len(corners)
    if count is not None and count < least:
        raise JobError(
            f"{opening.name}: count = {count} leaves corners without a screw: it has {least}",
            at=where_of(opening, "screws", "count"),
            hint=f'count = {least} or more, or fixed = "none" for {count} evenly spaced',
        )
