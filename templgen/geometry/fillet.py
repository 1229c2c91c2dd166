"""Round the corners of a contour: an arc tangent to both neighbours, which may be lines or arcs."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from msgspec import Struct

from templgen.errors import GeometryError
from templgen.geometry.contour import Contour
from templgen.geometry.corner import turn_at
from templgen.geometry.segment import Arc, Line, Segment
from templgen.geometry.tolerance import CONTACT, SHORTEST, SMOOTH_TURN_DEG
from templgen.geometry.vector import Vec

__all__ = ["fillet"]

_BISECTIONS = 60


class _Rounding(Struct, frozen=True):
    """A fillet arc and where it touches its neighbours, as fractions of their lengths."""

    arc: Arc
    leaves_before: float
    joins_after: float


def fillet(contour: Contour, radius: float | Sequence[float]) -> Contour:
    """Return the contour with its corners rounded.

    Args:
        contour: Open or closed. Where two segments run into each other smoothly there is no corner.
        radius: In mm, one for all corners, or one per vertex (see `Contour.vertices`); 0 leaves a
            corner sharp. The ends of an open contour are no corners, their radius is ignored.

    Raises:
        GeometryError: A radius does not fit; the text names the corner and the largest that does.
    """
    radii = _radius_per_vertex(contour, radius)
    segments = contour.segments
    roundings: dict[int, _Rounding] = {}
    for index in range(0 if contour.closed else 1, len(segments)):
        before, after = segments[index - 1], segments[index]
        turn = turn_at(before, after)
        if radii[index] > 0 and abs(turn) > SMOOTH_TURN_DEG:
            roundings[index] = _require_rounding(before, after, turn, radii[index])
    _require_room(contour, radii, roundings)
    return _rounded(contour, roundings) if roundings else contour


def _radius_per_vertex(contour: Contour, radius: float | Sequence[float]) -> Sequence[float]:
    count = len(contour.vertices)
    radii = [float(radius)] * count if isinstance(radius, int | float) else list(radius)
    if len(radii) != count:
        raise GeometryError(f"{count} corners need {count} radii, not {len(radii)}")
    for value in radii:
        if not (math.isfinite(value) and value >= 0):
            raise GeometryError(f"a corner radius is 0 mm or more, not {value:g} mm")
    return radii


def _require_rounding(before: Segment, after: Segment, turn: float, radius: float) -> _Rounding:
    found = _rounding(before, after, turn, radius)
    if found is None:
        largest = _largest(lambda value: _rounding(before, after, turn, value) is not None, radius)
        raise _too_large(after.start, radius, largest)
    return found


def _too_large(corner: Vec, radius: float, largest: float) -> GeometryError:
    fits = (
        f"the largest that fits is {math.floor(largest * 1e4) / 1e4:g} mm"
        if largest > CONTACT
        else "none fits"
    )
    return GeometryError(f"radius {radius:g} mm does not fit the corner at {corner}; {fits}")


def _largest(fits: Callable[[float], bool], too_large: float) -> float:
    low, high = 0.0, too_large
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def _rounding(before: Segment, after: Segment, turn: float, radius: float) -> _Rounding | None:
    """The fillet whose centre lies on the side of the turn, at the radius from both neighbours."""
    side = math.copysign(radius, turn)
    options = []
    for centre in _centres(before, after, side):
        leaves, joins = before.parameter_of(centre), after.parameter_of(centre)
        if _is_tangent(before, leaves, centre, side) and _is_tangent(after, joins, centre, side):
            leaves, joins = min(max(leaves, 0.0), 1.0), min(max(joins, 0.0), 1.0)
            start, end = before.point_at(leaves), after.point_at(joins)
            if start.distance_to(end) > SHORTEST:
                bulge = _bulge_between(before.tangent_at(leaves), after.tangent_at(joins), turn)
                rounding = _Rounding(Arc(start, end, bulge), leaves, joins)
                options.append((centre.distance_to(after.start), rounding))
    return min(options, key=lambda option: option[0])[1] if options else None


def _bulge_between(heading: Vec, ahead: Vec, turn: float) -> float:
    sweep = math.atan2(heading.cross(ahead), heading.dot(ahead))
    if sweep * turn < 0:
        sweep += math.copysign(2 * math.pi, turn)
    return math.tan(sweep / 4)


def _is_tangent(segment: Segment, t: float, centre: Vec, side: float) -> bool:
    slack = CONTACT / segment.length
    if not -slack <= t <= 1 + slack:
        return False
    foot = segment.point_at(t) + segment.tangent_at(t).perp() * side
    return foot.distance_to(centre) <= CONTACT * (1 + abs(side))


def _centres(before: Segment, after: Segment, side: float) -> list[Vec]:
    """Points at the signed distance ``side`` to the left of both neighbours, taken without ends."""
    if isinstance(before, Line):
        if isinstance(after, Line):
            return _line_line(before, after, side)
        return _line_arc(before, after, side)
    return _line_arc(after, before, side) if isinstance(after, Line) else _arc_arc(before, after, side)


def _radius_left(arc: Arc, side: float) -> float:
    return arc.radius - math.copysign(1.0, arc.bulge) * side


def _line_line(a: Line, b: Line, side: float) -> list[Vec]:
    start, other = a.start + a.direction.perp() * side, b.start + b.direction.perp() * side
    sine = a.direction.cross(b.direction)
    if sine == 0.0:
        return []
    return [start + a.direction * ((other - start).cross(b.direction) / sine)]


def _line_arc(line: Line, arc: Arc, side: float) -> list[Vec]:
    radius, along = _radius_left(arc, side), line.direction
    to_centre = arc.centre - (line.start + along.perp() * side)
    foot = arc.centre - along.perp() * along.cross(to_centre)
    square = (radius - along.cross(to_centre)) * (radius + along.cross(to_centre))
    if radius <= 0 or square < -CONTACT * radius:
        return []
    reach = math.sqrt(max(square, 0.0))
    return [foot + along * reach, foot - along * reach]


def _arc_arc(a: Arc, b: Arc, side: float) -> list[Vec]:
    first, second = _radius_left(a, side), _radius_left(b, side)
    between = b.centre - a.centre
    distance = between.length
    if min(first, second, distance) <= 0:
        return []
    reach = (distance + (first - second) * (first + second) / distance) / 2
    square = (first - reach) * (first + reach)
    if square < -CONTACT * first:
        return []
    along = between / distance
    across = along.perp() * math.sqrt(max(square, 0.0))
    return [a.centre + along * reach + across, a.centre + along * reach - across]


def _ends_on(index: int, contour: Contour, roundings: dict[int, _Rounding]) -> tuple[float, float]:
    """The stretch of a segment that its two fillets leave."""
    following = (index + 1) % len(contour.segments)
    has_start, has_end = index in roundings, following in roundings
    return (
        roundings[index].joins_after if has_start else 0.0,
        roundings[following].leaves_before if has_end else 1.0,
    )


def _require_room(contour: Contour, radii: Sequence[float], roundings: dict[int, _Rounding]) -> None:
    """Two fillets may meet on the segment between them, but not overlap."""
    for index, segment in enumerate(contour.segments):
        t0, t1 = _ends_on(index, contour, roundings)
        if t0 - t1 > CONTACT / segment.length:
            corner = (index + 1) % len(contour.segments)
            largest = _largest_beside(segment, contour.segments[corner], t0, radii[corner])
            raise _too_large(contour.segments[corner].start, radii[corner], largest)


def _largest_beside(before: Segment, after: Segment, taken: float, radius: float) -> float:
    turn = turn_at(before, after)

    def fits(value: float) -> bool:
        found = _rounding(before, after, turn, value)
        return found is not None and found.leaves_before >= taken

    return _largest(fits, radius)


def _rounded(contour: Contour, roundings: dict[int, _Rounding]) -> Contour:
    starts: list[Vec] = []
    bulges: list[float] = []
    for index, segment in enumerate(contour.segments):
        t0, t1 = _ends_on(index, contour, roundings)
        if index in roundings:
            starts.append(roundings[index].arc.start)
            bulges.append(roundings[index].arc.bulge)
        if (t1 - t0) * segment.length > CONTACT:
            starts.append(segment.point_at(t0))
            part = segment if (t0, t1) == (0.0, 1.0) else segment.between(t0, t1)
            bulges.append(part.bulge if isinstance(part, Arc) else 0.0)
    if not contour.closed:
        starts.append(contour.segments[-1].end)
    return Contour.from_bulges(starts, bulges, contour.closed)
