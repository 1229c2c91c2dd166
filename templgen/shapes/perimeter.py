"""Rows of holes along an outline, evenly spaced along its true length."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Any

from templgen.errors import ShapeError
from templgen.geometry import Arc, Contour, Segment, Vec
from templgen.shapes.constructions import construction
from templgen.shapes.outline import MeasureError

__all__ = ["MOST_HOLES", "length_along", "perimeter_row", "row_distances"]

MOST_HOLES = 5000
_NEAR = 1e-6


def perimeter_row(
    contour: Contour,
    inset: float = 0.0,
    *,
    count: int | None = None,
    pitch: float | None = None,
    fixed: Iterable[Vec] = (),
    start: Vec | None = None,
) -> tuple[Vec, ...]:
    """Hole centres along an outline, evenly spaced along the true length of the row, arcs included.

    The row is the outline moved inwards by `inset`. Exactly one of `count` and `pitch` is given. Without
    fixed holes a closed row begins at `start` and an open one has a hole at both ends. With fixed holes the
    row is divided between neighbours among them, each stretch evenly.

    Args:
        contour: a closed outline, or an open line (then without inset); mm.
        inset: distance from the outline to the row in mm; negative lies outside.
        count: number of holes in all; over fixed holes they are shared so that the widest spacing is least.
        pitch: greatest spacing in mm, measured along the row.
        fixed: places that get a hole, such as corners or structure rivets; the nearest point of the row is
            taken.
        start: where a closed row without fixed holes begins; the outline's own first point otherwise.

    Returns:
        The centres in order along the row.

    Raises:
        ShapeError: no such row (the inset leaves nothing, or several pieces), a count that is too small.

    >>> [round(p.x, 6) for p in perimeter_row(Contour.circle(Vec(0, 0), 10.0), 2.0, count=2)]
    [8.0, -8.0]
    """
    row = _inset(contour, inset)
    points = list(fixed) or ([start] if start is not None and row.closed else [])
    distances = row_distances(row, [length_along(row, point) for point in points], count=count, pitch=pitch)
    return tuple(row.point_at(distance)[0] for distance in distances)


def row_distances(
    row: Contour, fixed: Iterable[float] = (), *, count: int | None = None, pitch: float | None = None
) -> tuple[float, ...]:
    """Distances along a row, from its first point, of evenly spaced holes between fixed ones.

    Args:
        row: the line on which the holes lie, closed or open; mm.
        fixed: distances along it that get a hole.
        count: number of holes in all.
        pitch: greatest spacing in mm.

    Raises:
        ShapeError: as for `perimeter_row`.
    """
    if (count is None) == (pitch is None):
        raise ShapeError("a row along an outline needs either a count or a pitch")
    places = _once(row, fixed)
    stretches = _stretches(row, places)
    shares = (
        _shares_of_count(stretches, row, count) if count is not None else _shares_of_pitch(stretches, pitch)
    )
    if sum(shares) > MOST_HOLES:
        raise ShapeError(f"{sum(shares)} holes along an outline, allowed are {MOST_HOLES}")
    distances = [
        begin + (end - begin) * step / share
        for (begin, end), share in zip(stretches, shares, strict=True)
        for step in range(share)
    ]
    if not row.closed:
        distances.append(row.length)
    return tuple(distances)


def length_along(contour: Contour, point: Vec) -> float:
    """The distance along a contour, in mm from its first point, of the place nearest to a point."""
    best, found, run = math.inf, 0.0, 0.0
    for segment in contour.segments:
        t = min(1.0, max(0.0, _parameter_of(segment, point)))
        gap = segment.point_at(t).distance_to(point)
        if gap < best - 1e-12:
            best, found = gap, run + t * segment.length
        run += segment.length
    return found


def _parameter_of(segment: Segment, point: Vec) -> float:
    if isinstance(segment, Arc) and point.distance_to(segment.centre) < _NEAR:
        return 0.0
    return segment.parameter_of(point)


def _inset(contour: Contour, inset: float) -> Contour:
    if not math.isfinite(inset):
        raise ShapeError(f"inset = {inset} is not a length")
    if abs(inset) < _NEAR:
        return contour
    if not contour.closed:
        raise ShapeError("an open line has no inside; give a row along it no inset")
    from templgen.geometry.offset import offset_contour

    rows = offset_contour(contour.as_ccw(), -inset)
    if not rows:
        raise MeasureError("inset = {} leaves nothing of an outline of {} by {}", inset, *_size(contour))
    if len(rows) > 1:
        text = f"inset = {{}} parts an outline of {{}} by {{}} into {len(rows)} rows"
        raise MeasureError(text, inset, *_size(contour))
    return rows[0]


def _size(contour: Contour) -> tuple[float, float]:
    return contour.bounds.width, contour.bounds.height


def _once(row: Contour, fixed: Iterable[float]) -> list[float]:
    """Where along the row holes are fixed, sorted; one place for each, counted once."""
    places: list[float] = []
    for place in sorted(each % row.length if row.closed else each for each in fixed):
        twice = places and (place - places[-1] < _NEAR or place - places[0] > row.length - _NEAR)
        if not twice:
            places.append(place)
    return places


def _stretches(row: Contour, places: list[float]) -> list[tuple[float, float]]:
    if row.closed:
        begin = places or [0.0]
        return list(pairwise([*begin, begin[0] + row.length]))
    inner = [place for place in places if _NEAR < place < row.length - _NEAR]
    return list(pairwise([0.0, *inner, row.length]))


def _shares_of_pitch(stretches: list[tuple[float, float]], pitch: float | None) -> list[int]:
    if pitch is None or not (math.isfinite(pitch) and pitch > 0):
        raise ShapeError(f"pitch = {pitch} is not a length above 0 mm")
    return [max(1, math.ceil((end - begin) / pitch - 1e-9)) for begin, end in stretches]


def _shares_of_count(stretches: list[tuple[float, float]], row: Contour, count: int) -> list[int]:
    """Spaces per stretch: one each, and every further one to the stretch that is widest then.

    Of several equally wide ones it goes to the one opposite the last, so that what can be symmetric is.
    """
    spaces = count if row.closed else count - 1
    if spaces < len(stretches):
        least = len(stretches) if row.closed else len(stretches) + 1
        raise ShapeError(f"count = {count} is below {least}, the least for this row and its fixed holes")
    if spaces > MOST_HOLES:
        raise ShapeError(f"{count} holes along an outline, allowed are {MOST_HOLES}")
    shares = [1] * len(stretches)
    opposite = 0
    for _ in range(spaces - len(stretches)):
        widths = [(end - begin) / share for (begin, end), share in zip(stretches, shares, strict=True)]
        equal = [i for i, width in enumerate(widths) if width > max(widths) - _NEAR]
        widest = opposite if opposite in equal else equal[0]
        shares[widest] += 1
        opposite = (widest + len(shares) // 2) % len(shares)
    return shares


@construction("perimeter-row", "pattern", outline="outline", inset="mm", count="count", fixed="points")
def _row_of_count(values: Mapping[str, Any]) -> tuple[Vec, ...]:
    count = int(values["count"])
    return perimeter_row(values["outline"], values["inset"], count=count, fixed=values["fixed"])


@construction("perimeter-row-by-pitch", "pattern", outline="outline", inset="mm", pitch="mm", fixed="points")
def _row_of_pitch(values: Mapping[str, Any]) -> tuple[Vec, ...]:
    return perimeter_row(values["outline"], values["inset"], pitch=values["pitch"], fixed=values["fixed"])
