"""The chain plan: holes side by side along the finish edge, in the waste; their webs are cut through."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from templgen.errors import GeometryError
from templgen.geometry import Contour, Vec
from templgen.geometry.offset import offset_contour
from templgen.layout.cutting.model import PlanHole
from templgen.layout.prefixes import WASTE
from templgen.trade.cutters import Cutter, chain_drills, chain_web, cutters_at_most

__all__ = ["Chain", "chain_plan"]

_SLACK = 1e-8
_LEAST_HOLES = 3


class Chain(Struct, frozen=True):
    """Holes along one or more loops: pitch along the loop and least web between any two holes, mm.

    `loops` is more than one where the waste is so narrow in between that a row of holes finds no room there;
    `left_out` counts holes that are not drilled because one on the other side of a narrow waste stands there.
    """

    holes: tuple[PlanHole, ...]
    pitch: float
    web: float
    loops: int
    left_out: int


def chain_plan(contour: Contour, cutters: Sequence[Cutter], allowance: float) -> Chain | None:
    """Return a chain of holes inside a cutout.

    Args:
        contour: finish edge of the cutout, closed.
        cutters: what the builder has.
        allowance: least metal left at a hole, mm; the pilot may be as far off.

    Returns:
        Holes equally spaced along the edge, moved inwards by allowance and the drill's radius; of the usual
        drills the largest with which the chain is whole, else the largest that fits at all. None where the
        waste is too narrow for any.
    """
    contour = contour.as_ccw()
    found = [chain for cutter in _drills(cutters) if (chain := _with(contour, cutter, allowance))]
    return min(found, key=lambda chain: (chain.loops > 1, chain.left_out > 0), default=None)


def _drills(cutters: Sequence[Cutter]) -> tuple[Cutter, ...]:
    """Return the usual chain drills that the builder has, else all his drills up to the largest of them."""
    names = {cutter.name for cutter in cutters if cutter.tool == "drill"}
    usual = tuple(drill for drill in chain_drills() if drill.name in names)
    if usual:
        return usual
    twist = [cutter for cutter in cutters if cutter.tool == "drill"]
    return cutters_at_most(twist, chain_drills()[0].diameter_mm)


def _with(contour: Contour, cutter: Cutter, allowance: float) -> Chain | None:
    try:
        # a hair more, so that rounding of the offset leaves the full distance
        found = offset_contour(contour, -(allowance + cutter.diameter_mm / 2 + _SLACK))
    except GeometryError:
        return None
    loops = [loop for loop in found if loop.is_ccw]
    if not loops:
        return None
    web, least = chain_web()
    places: list[Vec] = []
    pitch = math.inf
    for loop in loops:
        row = _row(loop, int(loop.length / (cutter.diameter_mm + web)), cutter.diameter_mm + least)
        places += row
        pitch = min(pitch, loop.length / len(row)) if row else pitch
    kept = _kept(places, cutter.diameter_mm + least)
    if len(kept) < _LEAST_HOLES:
        return None
    holes = tuple(PlanHole(f"{WASTE}{number}", at, cutter) for number, at in enumerate(kept, 1))
    gap = _least_gap(kept) - cutter.diameter_mm
    return Chain(holes, pitch, gap, len(loops), len(places) - len(kept))


def _row(loop: Contour, count: int, least: float) -> list[Vec]:
    """Return equally spaced places on a loop, fewer where bends bring neighbours nearer than `least`."""
    row: list[Vec] = []
    for number in range(count, max(2, count * 3 // 4), -1):
        row = [loop.point_at(loop.length * place / number)[0] for place in range(number)]
        if all(row[place - 1].distance_to(row[place]) >= least for place in range(number)):
            break
    return row


def _kept(places: Sequence[Vec], least: float) -> list[Vec]:
    """Return places without those that stand nearer than `least` to one before."""
    kept: list[Vec] = []
    for place in places:
        if all(place.distance_to(other) >= least for other in kept):
            kept.append(place)
    return kept


def _least_gap(places: Sequence[Vec]) -> float:
    """Return the least distance between any two places, mm."""
    import numpy as np

    points = np.array([(place.x, place.y) for place in places])
    apart = np.hypot(*(points[:, None, axis] - points[None, :, axis] for axis in (0, 1)))
    np.fill_diagonal(apart, np.inf)
    return float(apart.min())
