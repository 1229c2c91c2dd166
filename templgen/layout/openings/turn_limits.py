"""What a turned nutplate must hold: its lug rivets their distances, its outline the ring and its neighbours.

These are the limits that the rules judge of a nutplate; each is asked for its number of the same place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct

from templgen.geometry import Contour, Motion, Side, Vec, point_contour
from templgen.geometry.contains import contours_meet
from templgen.geometry.extent import extent_along
from templgen.geometry.overlap import gap_between, gap_to_circle, reach_beyond
from templgen.layout.assembly import FastenerSpec
from templgen.layout.hardware import Hardware
from templgen.layout.openings.edges import least_edge, least_pitch
from templgen.layout.openings.model import NutplateSpec
from templgen.trade.limits import limit
from templgen.units import Unit, format_length

__all__ = ["Fault", "Neighbours", "Turn", "Turned", "worst_fault"]

Turn = Literal["along", "across"]

ROUNDING_MM = 1e-6

CLEAR_HOLE, RING_EDGE, CUT = "the clear hole", "the ring's edge", "the ring's cut"


class Turned(Struct, frozen=True):
    """One nutplate in the opening's frame: place of its screw, angle in degrees, rivets, outline."""

    at: Vec
    angle: float
    turned: Turn
    rivets: tuple[Vec, ...]
    outline: Contour | None

    @classmethod
    def of(cls, nutplate: NutplateSpec, at: Vec, angle: float, turned: Turn) -> Turned:
        """Return a nutplate at the place of its screw, its own x axis turned by an angle."""
        motion = Motion.rotation(angle).then(Motion.translation(at))
        outline = None if nutplate.outline is None else nutplate.outline.moved(motion)
        return cls(at, angle % 360.0, turned, tuple(map(motion.apply, nutplate.rivet_holes)), outline)


class Neighbours(Struct, frozen=True):
    """What a nutplate must keep clear of: the edges of the ring and what else is drilled into it.

    A ring that is cut where the job says is cut from `middle` along `rays`, by half of `cut_gap` to either
    side; a cut that has yet to find its place is no neighbour.
    """

    clear_hole: Contour
    ring: Contour
    screws: tuple[Vec, ...]
    rivets: tuple[Vec, ...]
    middle: Vec
    rays: tuple[Vec, ...] = ()
    cut_gap: float = 0.0

    def off_cut(self, place: Vec, ray: Vec) -> float:
        """Return how far a place lies from the edge of a cut, mm; infinity beyond the middle."""
        arm = place - self.middle
        return abs(ray.cross(arm)) - self.cut_gap / 2 if arm.dot(ray) > 0.0 else math.inf

    def cuts_beside(self, screw: Vec, spec: FastenerSpec) -> tuple[Vec, ...]:
        """Return the cuts that a nutplate can keep clear of: at one that runs too near to its screw no turn
        helps, and it is for the rules to tell."""
        return tuple(ray for ray in self.rays if self.off_cut(screw, ray) >= least_edge(spec))


class Fault(Struct, frozen=True):
    """A limit that a turn breaks: what of the plate is too near to what, or below 0 over it, and what is
    needed, mm."""

    part: str
    what: str
    measured: float
    needed: float

    @property
    def short(self) -> float:
        """What is missing, mm."""
        return self.needed - self.measured

    def words(self, unit: Unit) -> str:
        """Return the fault in words."""
        if self.measured < 0.0:
            return f"{self.part} reaches {format_length(-self.measured, unit)} over {self.what}"
        measured, needed = format_length(self.measured, unit), format_length(self.needed, unit)
        return f"{self.part} {measured} from {self.what}, needs {needed}"


def worst_fault(
    plate: Turned, hardware: Hardware, neighbours: Neighbours, placed: Sequence[Turned]
) -> Fault | None:
    """Return the limit that a nutplate breaks most, None where all hold.

    Args:
        plate: the nutplate as it is turned.
        hardware: its rivets, the screws and the ring's rivets.
        neighbours: what is there besides nutplates.
        placed: the nutplates that are turned already.
    """
    broken = [*_of_lugs(plate, hardware, neighbours, placed)]
    if plate.outline is not None:
        broken += _of_outline(plate.outline, hardware, neighbours, placed)
        cuts = neighbours.cuts_beside(plate.at, hardware.screw)
        broken += [_over_cut(plate.outline, neighbours, ray) for ray in cuts]
    broken = [fault for fault in broken if fault.short > ROUNDING_MM]
    return max(broken, key=lambda fault: fault.short, default=None)


def _of_lugs(
    plate: Turned, hardware: Hardware, near: Neighbours, placed: Sequence[Turned]
) -> Iterator[Fault]:
    lug, edge = hardware.lug, least_edge(hardware.lug)
    lugs = [place for other in placed for place in other.rivets]
    screws = [place for place in near.screws if place.distance_to(plate.at) > ROUNDING_MM]
    for rivet in plate.rivets:
        for name, line in ((CLEAR_HOLE, near.clear_hole), (RING_EDGE, near.ring)):
            # what is farther from every box breaks no limit
            if any(segment.bounds.near_point(rivet, edge) for segment in line.segments):
                yield Fault("lug rivet", name, point_contour(rivet, line).distance, edge)
        for ray in near.cuts_beside(plate.at, hardware.screw):
            yield Fault("lug rivet", CUT, near.off_cut(rivet, ray), edge)
        yield from _pitch(rivet, "the next screw", screws, lug, hardware.screw)
        yield from _pitch(rivet, "the next nutplate's rivet", lugs, lug, lug)
        yield from _pitch(rivet, "a ring rivet", near.rivets, lug, hardware.rivet)


def _pitch(
    rivet: Vec, name: str, others: Sequence[Vec], lug: FastenerSpec, spec: FastenerSpec
) -> Iterator[Fault]:
    least = least_pitch(lug, spec)
    # what is farther off along one axis alone breaks no limit
    x, y = rivet.x, rivet.y
    near = [place for place in others if abs(place.x - x) < least and abs(place.y - y) < least]
    if near:
        yield Fault("lug rivet", name, min(rivet.distance_to(place) for place in near), least)


def _of_outline(
    outline: Contour, hardware: Hardware, near: Neighbours, placed: Sequence[Turned]
) -> Iterator[Fault]:
    """Where the plate lies over something; what its box does not meet is not measured."""
    box = outline.bounds
    for name, line, side in (
        (CLEAR_HOLE, near.clear_hole, Side.INSIDE),
        (RING_EDGE, near.ring, Side.OUTSIDE),
    ):
        # the screw stands on the ring, so what crosses no edge stays there
        if contours_meet(outline, line):
            yield Fault("outline", name, -reach_beyond(outline, line, side), 0.0)
    for other in placed:
        if other.outline is not None and other.outline.bounds.overlaps(box):
            yield Fault("outline", "the next nutplate", gap_between(outline, other.outline), 0.0)
    yield from _heads(outline, hardware.rivet, near.rivets)


def _over_cut(outline: Contour, near: Neighbours, ray: Vec) -> Fault:
    """How far a plate stays off a cut, or reaches over its edge."""
    if near.off_cut(outline.bounds.centre, ray) == math.inf:
        return Fault("outline", CUT, math.inf, 0.0)
    aside, half = near.middle.dot(ray.perp()), near.cut_gap / 2
    low, high = (reach - aside for reach in extent_along(outline, ray.perp()))
    return Fault("outline", CUT, max(low, -high) - half, 0.0)


def _heads(outline: Contour, rivet: FastenerSpec, places: Sequence[Vec]) -> Iterator[Fault]:
    """The ring's rivets; a driven head that nobody measured is told by the rules, not guessed here."""
    if rivet.driven_diameter is None:
        return
    radius, least, box = rivet.driven_diameter / 2, limit("head-to-head").mm(), outline.bounds
    far = box.grown(radius + least)
    x0, y0, x1, y1 = far.xmin, far.ymin, far.xmax, far.ymax
    near = [place for place in places if x0 < place.x < x1 and y0 < place.y < y1]
    if near:
        gap = min(gap_to_circle(outline, place, radius) for place in near)
        yield Fault("outline", "the head of a ring rivet", gap, least)
