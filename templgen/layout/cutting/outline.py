"""The outline of a cutout as the drill sees it: where the waste ends in a corner, and the sides between."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from templgen.geometry import Arc, Contour, Line, Segment, Vec
from templgen.geometry.corner import turn_at

__all__ = ["WasteCorner", "corners_and_sides"]

LEAST_TURN = 5.0
"""Less than this many degrees is smoothed by the file and needs no hole of its own."""
_ROUNDER = 1.3
"""Between two bends the edge is this many times rounder than both, or they are one: fitted curves waver."""
_SAME = 1e-6


class WasteCorner(Struct, frozen=True):
    """A place where the waste ends in a corner, and the sides from it to the next corner.

    `radius` is the least radius of its edge (0: a point), `tip` the middle of that arc (or the point),
    `inwards` the way into the waste, `ends` the places where its edge runs into its sides.
    """

    radius: float
    tip: Vec
    inwards: Vec
    ends: tuple[Vec, Vec]
    sides: tuple[Segment, ...] = ()


def corners_and_sides(contour: Contour, tight: float) -> tuple[WasteCorner, ...]:
    """Return the corners of a counter-clockwise cutout in order, each with the sides behind it.

    A corner is a point, or an arc of at most the radius `tight`, mm, that is the tightest of its
    neighbourhood. Empty where there is none, or where the edge bends into the waste: straight cuts do not
    follow that. Two straight sides may meet in a point of the metal.
    """
    segments = contour.segments
    if not _is_cut_straight(segments):
        return ()
    bends = _bends(segments, tight)
    pieces: list[WasteCorner | Segment] = []
    for number, segment in enumerate(segments):
        if not _is_smooth(segments, number):
            pieces += _pointed(segments[number - 1], segment)
        pieces.append(_rounded(segment) if number in bends and isinstance(segment, Arc) else segment)
    return tuple(_joined(pieces))


def _is_smooth(segments: tuple[Segment, ...], number: int) -> bool:
    """Whether a segment goes on smoothly from the one before."""
    return abs(turn_at(segments[number - 1], segments[number])) < LEAST_TURN


def _is_cut_straight(segments: tuple[Segment, ...]) -> bool:
    """Whether no edge bends into the waste, but for points between two straight sides."""
    for number, segment in enumerate(segments):
        before = segments[number - 1]
        if isinstance(segment, Arc) and segment.bulge < 0:
            return False
        between_lines = isinstance(segment, Line) and isinstance(before, Line)
        if turn_at(before, segment) <= -LEAST_TURN and not between_lines:
            return False
    return True


def _bends(segments: tuple[Segment, ...], tight: float) -> set[int]:
    """Return which arcs are corners: each tighter than its neighbours and than all up to the next bend."""
    radii = [segment.radius if isinstance(segment, Arc) else None for segment in segments]
    found = [n for n, radius in enumerate(radii) if radius and radius <= tight and _is_tightest(segments, n)]
    while len(found) > 1:
        for place, one in enumerate(found):
            other = found[(place + 1) % len(found)]
            if _is_one_bend(segments, one, other):
                found.remove(max(one, other, key=lambda n: radii[n] or 0.0))
                break
        else:
            break
    return set(found)


def _is_tightest(segments: tuple[Segment, ...], number: int) -> bool:
    """Whether no arc that runs smoothly into this one is tighter; of equals the first counts."""
    arc, before, count = segments[number], segments[number - 1], len(segments)
    after = segments[(number + 1) % count]
    radius = arc.radius if isinstance(arc, Arc) else 0.0
    if isinstance(before, Arc) and _is_smooth(segments, number) and before.radius <= radius * (1 + _SAME):
        return False
    if isinstance(after, Arc) and _is_smooth(segments, (number + 1) % count):
        return after.radius >= radius * (1 - _SAME)
    return True


def _is_one_bend(segments: tuple[Segment, ...], one: int, other: int) -> bool:
    """Whether nothing but arcs hardly rounder than both lies between two bends."""
    count = len(segments)
    steps = [(one + n) % count for n in range(1, (other - one) % count + 1)]
    radii = []
    for number in steps:
        segment = segments[number]
        if isinstance(segment, Line) or not _is_smooth(segments, number):
            return False
        radii.append(segment.radius)
    first = segments[one]
    assert isinstance(first, Arc)  # noqa: S101 - bends are arcs
    return max(radii) < _ROUNDER * max(first.radius, radii[-1])


def _joined(pieces: list[WasteCorner | Segment]) -> Iterator[WasteCorner]:
    """Yield the corners with the sides that follow them, round the outline."""
    starts = [n for n, piece in enumerate(pieces) if isinstance(piece, WasteCorner)]
    if not starts:
        return
    ordered = (*pieces[starts[0] :], *pieces[: starts[0]])
    places = [start - starts[0] for start in starts]
    for start, end in zip(places, [*places[1:], len(ordered)], strict=True):
        corner = ordered[start]
        if isinstance(corner, WasteCorner):
            sides = tuple(piece for piece in ordered[start:end] if not isinstance(piece, WasteCorner))
            yield replace(corner, sides=sides)


def _rounded(arc: Arc) -> WasteCorner:
    inwards = (arc.centre - arc.midpoint).unit()
    return WasteCorner(arc.radius, arc.midpoint, inwards, (arc.start, arc.end))


def _pointed(before: Segment, after: Segment) -> list[WasteCorner]:
    """Return the corner of the waste where two segments meet; none where the metal has it."""
    if turn_at(before, after) < 0:
        return []
    into = after.tangent_at(0.0) - before.tangent_at(1.0)
    return [WasteCorner(0.0, after.start, into.unit(), (after.start, after.start))]
