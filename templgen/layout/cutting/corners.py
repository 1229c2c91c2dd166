"""The corner plan: a hole in each corner of the waste, straight cuts from hole to hole, the rest is filed.

A hole's centre stands the bit's radius and the file allowance from the finish edge, and nowhere nearer to any
other: a pilot that is off by the allowance still crosses no edge. In a rounded corner the bit is at most the
corner's radius less the allowance, and its centre lies straight in from the middle of the corner; measured
from the two sides alone it would cross the rounding wherever the bit is smaller than that.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from msgspec.structs import replace

from templgen.errors import GeometryError
from templgen.geometry import (
    Contour,
    Line,
    Segment,
    Side,
    Vec,
    contour_contour,
    flatten,
    locate,
    point_contour,
)
from templgen.geometry.merge import merged
from templgen.geometry.offset import offset_contour
from templgen.layout.cutting.model import PlanHole
from templgen.layout.cutting.outline import WasteCorner, corners_and_sides
from templgen.layout.cutting.route import straight_cuts
from templgen.layout.prefixes import WASTE
from templgen.trade.cutters import Cutter, corner_web, cutters_at_most, sharp_corner_diameter

__all__ = ["MOST_LEFT", "corner_plan"]

MOST_LEFT = 3.2
"""More than this, mm, is not left in a corner for the file (our own default, 1/8 in)."""

SMALL = 12.7
"""A cutout that reaches no farther than this from its middle, mm, may be one hole and the file (1 in)."""

_TIGHT = 1.5
"""An edge of up to this many radii of the largest bit may be a corner; rounder ones are sides."""
_SLACK = 1e-9
_SAGITTA = 0.01

Drilled = tuple[WasteCorner, PlanHole]
Found = tuple[tuple[PlanHole, ...], tuple[Line, ...]]


def corner_plan(
    contour: Contour, cutters: Sequence[Cutter], allowance: float, cut_allowance: float
) -> Found | None:
    """Return the holes and the straight cuts that open a cutout.

    Args:
        contour: finish edge of the cutout, closed.
        cutters: what the builder has.
        allowance: least metal left at a hole, mm.
        cut_allowance: metal left along a straight cut, mm, where the holes let it.

    Returns:
        Holes named C1, C2, ... in order round the waste and the cuts between them, a few along a side that
        bends outwards; one hole alone in a round or a small cutout. None where the outline has no corners
        that a bit fits, or where a hole or a cut would come too near to an edge.
    """
    contour = merged(contour.as_ccw())
    single = _single(contour, cutters, allowance)
    if single is not None and _most_left(contour, single) <= MOST_LEFT:
        return (single,), ()
    found = _at_corners(contour, cutters, allowance, cut_allowance)
    if found is None and single is not None and _most_left(contour, single) <= SMALL - single.diameter / 2:
        return (single,), ()
    return found


def _at_corners(
    contour: Contour, cutters: Sequence[Cutter], allowance: float, cut_allowance: float
) -> Found | None:
    largest = max((cutter.diameter_mm for cutter in cutters), default=0.0)
    drilled = _drilled(contour, corners_and_sides(contour, _TIGHT * largest / 2), cutters, allowance)
    holes = tuple(hole for _, hole in drilled)
    if not holes or any(_web(one, other) < corner_web() for one, other in combinations(holes, 2)):
        return None
    cuts = tuple(straight_cuts([(corner.sides, hole) for corner, hole in drilled], cut_allowance))
    return None if any(_too_near(cut, contour, allowance) for cut in cuts) else (holes, cuts)


def _single(contour: Contour, cutters: Sequence[Cutter], allowance: float) -> PlanHole | None:
    """Return the largest hole round the middle of a cutout."""
    centre = contour.centroid
    if locate(centre, contour) is not Side.INSIDE:
        return None
    usable = cutters_at_most(cutters, 2 * (point_contour(centre, contour).distance - allowance))
    return PlanHole(f"{WASTE}1", centre, usable[0]) if usable else None


def _most_left(contour: Contour, hole: PlanHole) -> float:
    """Return the most that a hole leaves of a cutout, mm."""
    return max(point.distance_to(hole.at) for point in flatten(contour, _SAGITTA)) - hole.diameter / 2


def _drilled(
    contour: Contour, corners: Sequence[WasteCorner], cutters: Sequence[Cutter], allowance: float
) -> list[Drilled]:
    """Return the corners with their holes; empty where one of them takes none."""
    drilled: list[Drilled] = []
    for corner in corners:
        hole = _corner_hole(contour, corner, cutters, allowance)
        if hole is None or _left(corner, hole) > MOST_LEFT:
            return []
        drilled.append((corner, hole))
    apart = _narrow_ends_joined(contour, drilled, cutters, allowance)
    named = [
        (corner, replace(hole, name=f"{WASTE}{number}")) for number, (corner, hole) in enumerate(apart, 1)
    ]
    return [(_reached(corner, hole, named), hole) for corner, hole in named]


def _narrow_ends_joined(
    contour: Contour, drilled: list[Drilled], cutters: Sequence[Cutter], allowance: float
) -> list[Drilled]:
    """Return the corners, with one hole where two are too near to each other, as in a square tail."""
    joined: list[Drilled] = []
    for each in drilled:
        one = _one_for(contour, joined[-1], each, cutters, allowance) if joined else None
        if one is None:
            joined.append(each)
        else:
            joined[-1] = one
    if len(joined) > 1:
        one = _one_for(contour, joined[-1], joined[0], cutters, allowance)
        if one is not None:
            joined = [one, *joined[1:-1]]
    return joined


def _one_for(
    contour: Contour, one: Drilled, other: Drilled, cutters: Sequence[Cutter], allowance: float
) -> Drilled | None:
    """Return one hole for two corners with too little metal between their own; None where each keeps its own.

    It is the one that leaves the least in both corners, and no more than is filed.
    """
    (corner, hole), (following, next_hole) = one, other
    if _web(hole, next_hole) >= corner_web():
        return None
    ends = (*corner.ends, *following.ends)
    middle = corner.tip.towards(following.tip, 0.5)
    found: list[tuple[float, PlanHole]] = []
    for cutter in cutters_at_most(cutters, 2 * corner.tip.distance_to(following.tip)):
        clear = cutter.diameter_mm / 2 + allowance
        at = _nearest_clear(contour, middle, clear)
        if at is not None and _is_clear(at, contour, clear):
            left = max(end.distance_to(at) for end in ends) - cutter.diameter_mm / 2
            found.append((left, PlanHole("", at, cutter)))
    left, best = min(found, key=lambda each: each[0], default=(math.inf, hole))
    if left > MOST_LEFT:
        return None
    joined = replace(corner, ends=(corner.ends[0], following.ends[1]), sides=following.sides)
    return joined, best


def _reached(corner: WasteCorner, hole: PlanHole, named: Sequence[Drilled]) -> WasteCorner:
    """Return a corner without the sides, or parts of its rounding, that its own or the next hole opens."""
    following = named[(named.index((corner, hole)) + 1) % len(named)][1]
    sides = list(corner.sides)
    while len(sides) > 1 and _opens(hole, sides[0]):
        del sides[0]
    while len(sides) > 1 and _opens(following, sides[-1]):
        del sides[-1]
    return replace(corner, sides=tuple(sides))


def _opens(hole: PlanHole, side: Segment) -> bool:
    """Whether a hole leaves no more of a bent side than is filed."""
    if isinstance(side, Line):
        return False
    left = max(point.distance_to(hole.at) for point in (side.start, side.midpoint, side.end))
    return left - hole.diameter / 2 <= MOST_LEFT


def _corner_hole(
    contour: Contour, corner: WasteCorner, cutters: Sequence[Cutter], allowance: float
) -> PlanHole | None:
    """Return the largest hole that lies in a corner; where no bit fits, a small one as far in as it goes."""
    for cutter in cutters_at_most(cutters, 2 * (corner.radius - allowance)):
        clear = cutter.diameter_mm / 2 + allowance
        centre = corner.tip + corner.inwards * clear
        if _is_clear(centre, contour, clear):
            return PlanHole("", centre, cutter)
    for cutter in cutters_at_most(cutters, sharp_corner_diameter()):
        clear = cutter.diameter_mm / 2 + allowance
        nearest = _nearest_clear(contour, corner.tip, clear)
        if nearest is not None and _is_clear(nearest, contour, clear):
            return PlanHole("", nearest, cutter)
    return None


def _is_clear(centre: Vec, contour: Contour, clear: float) -> bool:
    if locate(centre, contour) is not Side.INSIDE:
        return False
    return point_contour(centre, contour).distance >= clear - _SLACK


def _nearest_clear(contour: Contour, tip: Vec, clear: float) -> Vec | None:
    """Return the place nearest to a point that keeps a distance from the whole edge."""
    try:
        # a hair more, so that rounding of the offset leaves the full distance
        loops = offset_contour(contour, -(clear + 10 * _SLACK))
    except GeometryError:
        return None
    found = [point_contour(tip, loop) for loop in loops]
    return min(found, key=lambda nearest: nearest.distance).on_b if found else None


def _left(corner: WasteCorner, hole: PlanHole) -> float:
    """Return the most that is left between a rounded corner's edge and its hole, mm."""
    if corner.radius == 0.0:
        return 0.0
    return max(point.distance_to(hole.at) for point in corner.ends) - hole.diameter / 2


def _web(one: PlanHole, other: PlanHole) -> float:
    """Return the metal between two holes, mm: a bit that breaks into another hole wanders."""
    return one.at.distance_to(other.at) - (one.diameter + other.diameter) / 2


def _too_near(cut: Line, contour: Contour, allowance: float) -> bool:
    if locate(cut.midpoint, contour) is not Side.INSIDE:
        return True
    return contour_contour(Contour((cut,), closed=False), contour).distance < allowance - _SLACK
