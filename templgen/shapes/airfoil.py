"""The symmetric section of the four-digit series, NACA Report 460.

Half thickness y over chord c at x from the nose, t the thickness ratio:

    y/c = 5 t (0.2969 sqrt(x/c) - 0.1260 (x/c) - 0.3516 (x/c)^2 + 0.2843 (x/c)^3 - 0.1015 (x/c)^4)

At the tail the sum is 0.0021: it is blunt. With 0.1036 in place of 0.1015 the sum is zero and it closes.
Leading-edge radius 1.1019 t^2 c, which follows from the first coefficient. Formula and coefficients are from
memory, confidence high; the published ordinates agree (see the tests).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from templgen.geometry import Arc, Contour, Vec, intersections, segment_between
from templgen.geometry.fit import Fit, arcs_from_curve
from templgen.shapes.constructions import construction
from templgen.shapes.ends import Chain, closed_by_mirror, round_corner, round_tail
from templgen.shapes.outline import MeasureError, Note, Outline

__all__ = ["BLUNT", "CLOSED", "half_thickness", "leading_edge_radius", "tail_angle"]

BLUNT = -0.1015
"""Last coefficient as published: the tail is blunt."""

CLOSED = -0.1036
"""Last coefficient that closes the tail."""

_COEFFICIENTS = (0.2969, -0.1260, -0.3516, 0.2843)


def half_thickness(place: float, ratio: float, last: float = BLUNT) -> float:
    """Half thickness over chord at `place` = x/c (0 at the nose, 1 at the tail) for a thickness ratio.

    >>> round(half_thickness(0.3, 0.12), 5)
    0.06002
    """
    first, second, third, fourth = _COEFFICIENTS
    x = place
    return 5 * ratio * (first * math.sqrt(x) + x * (second + x * (third + x * (fourth + x * last))))


def leading_edge_radius(ratio: float) -> float:
    """Radius of the nose over chord: (5 t 0.2969)^2 / 2 = 1.1019 t^2.

    >>> round(leading_edge_radius(0.12), 4)
    0.0159
    """
    return (5 * ratio * _COEFFICIENTS[0]) ** 2 / 2


def tail_angle(ratio: float, last: float = CLOSED) -> float:
    """The angle between the two sides at the tail, in degrees, from the slope of the formula there.

    >>> round(tail_angle(0.12), 1)
    16.5
    """
    first, second, third, fourth = _COEFFICIENTS
    slope = 5 * ratio * (first / 2 + second + 2 * third + 3 * fourth + 4 * last)
    return 2 * math.degrees(math.atan(-slope))


@construction("four-digit-blunt", chord="mm", thickness_ratio="ratio", tail_radius="mm")
def _blunt(values: Mapping[str, Any]) -> Outline:
    chord, ratio, radius = values["chord"], values["thickness_ratio"], values["tail_radius"]
    fit = _left_side(chord, ratio, BLUNT)
    side = fit.contour.segments
    end = side[-1].end
    notes: tuple[Note, ...] = (Note("blunt tail, {} thick, with sharp corners", (2 * end.y,)),)
    if radius > end.y:
        return _with_round_tail(fit, chord, radius)
    if radius > 0:
        side = round_corner(side, Vec(end.x, 0.0), radius).chain
        notes = ()
    return Outline(closed_by_mirror(side), fit.deviation, notes)


@construction("four-digit-closed", chord="mm", thickness_ratio="ratio", tail_radius="mm", relief_hole="mm")
def _closed(values: Mapping[str, Any]) -> Outline:
    chord, ratio = values["chord"], values["thickness_ratio"]
    radius, hole = values["tail_radius"], values["relief_hole"]
    if radius > 0 and hole > 0:
        raise MeasureError("tail_radius = {} and relief_hole = {}: give only one of them", radius, hole)
    fit = _left_side(chord, ratio, CLOSED)
    if radius > 0:
        return _with_round_tail(fit, chord, radius)
    if hole > 0:
        return Outline(closed_by_mirror(_opened(fit.contour.segments, hole)), fit.deviation)
    told = f"the tail is sharp, {tail_angle(ratio):.0f} degrees between its sides; a cutout needs it opened"
    return Outline(closed_by_mirror(fit.contour.segments), fit.deviation, (Note(told),))


def _left_side(chord: float, ratio: float, last: float) -> Fit:
    """The left side, nose to tail, as arcs; run by the root of x, in which the formula is smooth."""

    def curve(root: float) -> Vec:
        return Vec(chord * (0.5 - root * root), chord * half_thickness(root * root, ratio, last))

    return arcs_from_curve(curve, 0.0, 1.0)


def _with_round_tail(fit: Fit, chord: float, radius: float) -> Outline:
    rounded = round_tail(fit.contour.segments, radius)
    length = chord / 2 - rounded.arc.end.x
    told = "the round tail takes {} off the chord: the section is {} long"
    note = Note(told, (chord - length, length))
    return Outline(closed_by_mirror(rounded.chain), fit.deviation, (note,))


def _opened(side: Chain, hole: float) -> Chain:
    """A left side that runs out into a round hole about its tail."""
    tip, radius = side[-1].end, hole / 2
    rim = Contour.circle(tip, radius).segments[0]
    for index, segment in enumerate(side):
        cuts = intersections(segment, rim)
        if cuts:
            cut = min(cuts, key=segment.parameter_of)
            sweep = math.pi - math.radians((cut - tip).angle)
            arc = segment_between(cut, tip - Vec(radius, 0.0), math.tan(sweep / 4))
            part = segment.between(0.0, segment.parameter_of(cut))
            return (
                *side[:index],
                segment_between(part.start, cut, part.bulge if isinstance(part, Arc) else 0.0),
                arc,
            )
    raise MeasureError("relief_hole = {} does not meet the sides", hole)
