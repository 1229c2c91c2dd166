"""How a template lies on holes that exist: the fit of its targets to what was measured, and how sure it is.

All places are mm. Targets are in the skin plane; measured places in the frame of their datum, with the hand
of the skin plane.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np
from msgspec import Struct, field
from msgspec.structs import replace
from numpy.typing import NDArray

from templgen.errors import Location
from templgen.geometry import Vec
from templgen.geometry.alignment import (
    Network,
    PairLength,
    fits_mirrored,
    measured_wrong,
    network,
    placement_doubts,
    residual_bounds,
    residuals,
    rigid_fit,
)

__all__ = [
    "LARGEST_LEVER",
    "LEAST_HOLES",
    "AlignedHole",
    "Alignment",
    "DistanceBetween",
    "MeasuredHole",
    "NextHole",
    "align",
]

LEAST_HOLES = 2
LARGEST_LEVER = 3.0
"""The farthest corner of a template may be off this many times what its worst hole is: our own default.

Two holes alike reach it at a corner on their line that is 1.5 x their distance from their middle.
"""

_ROUNDING = 1e-6

Floats = NDArray[np.float64]
State = Literal["fits", "measured wrong", "does not fit", "mirrored", "too few", "not fixed"]


class MeasuredHole(Struct, frozen=True):
    """A hole that exists: what of the template belongs on it, its measured place (None: by distances only).

    `doubt` is how well it was measured, `target_doubt` how well the target's own place is known.
    `mark` is the target's name where it is a rivet or hole of the template, `radius` what is drawn round it.
    """

    name: str
    target: Vec
    at: Vec | None
    doubt: float
    target_doubt: float = 0.0
    mark: str = ""
    radius: float = 2.0
    where: Location = field(default_factory=lambda: Location("<job>", 1, 1))


class DistanceBetween(Struct, frozen=True):
    """A measured distance between two holes that exist, by their names, to `doubt` either way.

    `expected` is the distance of their targets on the template, known to `target_doubt`.
    """

    start: str
    end: str
    length: float
    doubt: float
    expected: float = 0.0
    target_doubt: float = 0.0
    where: Location = field(default_factory=lambda: Location("<job>", 1, 1))

    @property
    def is_off(self) -> bool:
        """Whether it differs from the template's by more than the doubts explain."""
        return abs(self.length - self.expected) > self.doubt + self.target_doubt + _ROUNDING


class AlignedHole(Struct, frozen=True):
    """A hole after the fit: `place` is where it lies on the template, in the skin plane.

    `residual` is how far that is from its target, `bound` the most that doubts explain, `doubt` its own.
    `is_wrong` marks a hole that was measured wrong and is left out of the fit.
    """

    hole: MeasuredHole
    place: Vec
    residual: float
    bound: float
    doubt: float
    is_wrong: bool = False


class NextHole(Struct, frozen=True):
    """The hole that helps most if it is measured too, and what the farthest corner may then be off by."""

    name: str
    placement_doubt: float


class Alignment(Struct, frozen=True):
    """The fit of a template to holes that exist.

    `placement_doubt` is how far the template's farthest corner may be off, `lever` that in terms of the
    worst hole's doubt; `suspects` are the sets of holes (or distances), one of which was measured wrong.
    `shift` and `turn` (mm, degrees) take the template into the datum's frame.
    """

    state: State
    holes: tuple[AlignedHole, ...]
    distances: tuple[DistanceBetween, ...] = ()
    placement_doubt: float = float("inf")
    lever: float = float("inf")
    turn: float = 0.0
    shift: Vec = field(default_factory=lambda: Vec(0.0, 0.0))
    suspects: tuple[tuple[str, ...], ...] = ()
    next_hole: NextHole | None = None

    @property
    def targets(self) -> tuple[AlignedHole, ...]:
        """The holes on which the sheet may be laid; none where the fit can not be trusted."""
        usable = self.state in ("fits", "measured wrong")
        return tuple(each for each in self.holes if not each.is_wrong) if usable else ()

    @property
    def used(self) -> int:
        """How many holes the fit rests on."""
        return sum(not each.is_wrong for each in self.holes)


def align(
    holes: Sequence[MeasuredHole],
    distances: Sequence[DistanceBetween],
    corners: Sequence[Vec],
    candidates: Mapping[str, Vec],
) -> Alignment:
    """Fit the targets of a template to holes that exist.

    Args:
        holes: at least one.
        distances: between those holes.
        corners: of the box round all that the template makes, in the skin plane.
        candidates: targets that were not measured, by name, in the skin plane.
    """
    told = tuple(_with_target(each, holes) for each in distances)
    if len(holes) < LEAST_HOLES:
        return Alignment("too few", _unfitted(holes), told, next_hole=_best(holes, corners, candidates))
    known = _array([each.target for each in holes])
    adjusted = network(_start(holes, known), _placed(holes), _lengths(holes, distances))
    if not adjusted.is_rigid:
        return Alignment("not fixed", _unfitted(holes), told, next_hole=_best(holes, corners, candidates))
    good = tuple(each for each in told if not each.is_off)
    without = network(_start(holes, known), _placed(holes), _lengths(holes, good))
    if len(good) < len(told) and without.is_rigid:
        found = _fitted(holes, good, corners, candidates, known, without)
        if found.state == "fits":
            wrong = tuple(f"{each.start} to {each.end}" for each in told if each.is_off)
            return replace(found, state="measured wrong", distances=told, suspects=(wrong,))
    return _fitted(holes, told, corners, candidates, known, adjusted)


def _fitted(
    holes: Sequence[MeasuredHole],
    distances: tuple[DistanceBetween, ...],
    corners: Sequence[Vec],
    candidates: Mapping[str, Vec],
    known: Floats,
    adjusted: Network,
) -> Alignment:
    places = adjusted.places
    doubts = adjusted.doubts + np.array([each.target_doubt for each in holes])
    sets = measured_wrong(known, places, doubts)
    wrong = sets[0] if len(sets) == 1 else ()
    rest = np.setdiff1d(np.arange(len(holes)), wrong)
    motion = rigid_fit(known[rest], places[rest], doubts[rest])
    gaps = residuals(motion, known, places)
    bounds = doubts + placement_doubts(places[rest], doubts[rest], places)
    bounds[rest] = residual_bounds(places[rest], doubts[rest])
    back = motion.inverse()
    aligned = tuple(
        AlignedHole(
            hole,
            back.apply(Vec(float(places[i, 0]), float(places[i, 1]))),
            float(gaps[i]),
            float(bounds[i]),
            float(doubts[i]),
            i in wrong,
        )
        for i, hole in enumerate(holes)
    )
    worst = _worst_corner([known[i] for i in rest], doubts[rest], corners)
    return Alignment(
        _state(sets, known, places, doubts, distances),
        aligned,
        distances,
        worst,
        worst / float(doubts[rest].max()),
        motion.angle,
        motion.shift,
        tuple(tuple(holes[i].name for i in each) for each in sets if each),
        _best(holes, corners, candidates, doubts, wrong),
    )


def _state(
    sets: tuple[tuple[int, ...], ...],
    known: Floats,
    places: Floats,
    doubts: Floats,
    distances: Sequence[DistanceBetween],
) -> State:
    if fits_mirrored(known, places, doubts):
        return "mirrored"
    if len(sets) != 1:
        return "does not fit"
    wrong_length = any(each.is_off for each in distances)
    if sets[0]:
        return "measured wrong"
    return "does not fit" if wrong_length else "fits"


def _array(points: Sequence[Vec]) -> Floats:
    return np.array([(point.x, point.y) for point in points], dtype=np.float64).reshape(-1, 2)


def _with_target(each: DistanceBetween, holes: Sequence[MeasuredHole]) -> DistanceBetween:
    ends = [hole for hole in holes if hole.name in (each.start, each.end)]
    return replace(
        each,
        expected=ends[0].target.distance_to(ends[-1].target),
        target_doubt=sum(hole.target_doubt for hole in ends),
    )


def _placed(holes: Sequence[MeasuredHole]) -> dict[int, float]:
    return {number: hole.doubt for number, hole in enumerate(holes) if hole.at is not None}


def _start(holes: Sequence[MeasuredHole], known: Floats) -> Floats:
    """Measured places; where there is none, the target as the placed holes carry it along."""
    start = known.copy()
    placed = [number for number, hole in enumerate(holes) if hole.at is not None]
    if not placed:
        return start
    measured = _array([hole.at for hole in holes if hole.at is not None])
    motion = rigid_fit(known[placed], measured, np.array([holes[i].doubt for i in placed]))
    start = _array([motion.apply(hole.target) for hole in holes])
    start[placed] = measured
    return start


def _lengths(holes: Sequence[MeasuredHole], distances: Sequence[DistanceBetween]) -> list[PairLength]:
    index = {hole.name: number for number, hole in enumerate(holes)}
    return [PairLength(index[each.start], index[each.end], each.length, each.doubt) for each in distances]


def _unfitted(holes: Sequence[MeasuredHole]) -> tuple[AlignedHole, ...]:
    return tuple(
        AlignedHole(hole, hole.target, 0.0, float("inf"), hole.doubt + hole.target_doubt) for hole in holes
    )


def _worst_corner(targets: Sequence[Floats], doubts: Floats, corners: Sequence[Vec]) -> float:
    """How far off the farthest corner may be, mm."""
    places = np.array(targets).reshape(-1, 2)
    at = _array(corners) if corners else places
    return float(placement_doubts(places, doubts, at).max())


def _best(
    holes: Sequence[MeasuredHole],
    corners: Sequence[Vec],
    candidates: Mapping[str, Vec],
    doubts: Floats | None = None,
    wrong: tuple[int, ...] = (),
) -> NextHole | None:
    """The candidate with which the farthest corner may be off least; measured as well as the others are."""
    if doubts is None:
        doubts = np.array([hole.doubt + hole.target_doubt for hole in holes])
    rest = [number for number in range(len(holes)) if number not in wrong]
    known = [_array([holes[number].target])[0] for number in rest]
    trial = np.append(doubts[rest], np.median(doubts))
    tried = [
        NextHole(name, _worst_corner([*known, np.array([at.x, at.y])], trial, corners))
        for name, at in candidates.items()
    ]
    tried = [each for each in tried if np.isfinite(each.placement_doubt)]
    return min(tried, key=lambda each: each.placement_doubt, default=None)
