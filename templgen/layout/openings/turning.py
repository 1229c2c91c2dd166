"""How nutplates are turned: along the edge, across it, or whichever way lets every limit hold.

A nutplate's own frame has its origin at the screw and x along the lugs. Turned along, x runs along the screw
line; turned across, it points square to it. The screw line is run counter-clockwise, so left is inwards.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct

from templgen.errors import JobError
from templgen.geometry import Contour, Motion, Vec, point_contour
from templgen.job.openings import Opening
from templgen.layout.assembly import FastenerSpec
from templgen.layout.hardware import Hardware, where_of
from templgen.layout.openings.edges import least_edge, least_pitch
from templgen.layout.openings.model import NutplateSpec
from templgen.units import Unit, format_length

__all__ = ["Neighbours", "Reach", "Turned", "reach_of", "turn_nutplates"]

Turn = Literal["along", "across"]
TURNS: dict[Turn, tuple[float, float]] = {"along": (0.0, 180.0), "across": (-90.0, 90.0)}
"""Angles of a nutplate against the screw line, the one to try first in front; -90 points outwards."""

ROUNDING_MM = 1e-6


class Reach(Struct, frozen=True):
    """How far lug rivets reach from the screw line, inwards and outwards; the plate's body outwards, mm."""

    inwards: float
    outwards: float
    body: float | None


class Turned(Struct, frozen=True):
    """One nutplate in the opening's frame: its screw's place, its angle in degrees, its rivets."""

    at: Vec
    angle: float
    turned: Turn
    rivets: tuple[Vec, ...]

    @property
    def motion(self) -> Motion:
        """The motion from the nutplate's own frame to the opening's."""
        return Motion.rotation(self.angle).then(Motion.translation(self.at))


class Neighbours(Struct, frozen=True):
    """What the lugs must keep clear of: the edges of the ring and what else is drilled into it."""

    clear_hole: Contour
    ring: Contour
    screws: tuple[Vec, ...]
    rivets: tuple[Vec, ...]


class _Fault(Struct, frozen=True):
    """A limit that a turn breaks: what is too near to what, how far it is, what is needed."""

    what: str
    measured: float
    needed: float

    @property
    def short(self) -> float:
        return self.needed - self.measured

    def words(self, turned: str, unit: Unit) -> str:
        measured, needed = format_length(self.measured, unit), format_length(self.needed, unit)
        return f"{turned}: lug rivet {measured} from {self.what}, needs {needed}"


def reach_of(nutplate: NutplateSpec, turned: Turn) -> Reach:
    """Return how far a nutplate reaches from the screw line when it is turned so."""
    angles = TURNS[turned]
    holes = [[Motion.rotation(angle).apply(hole) for hole in nutplate.rivet_holes] for angle in angles]
    sides = [(max(0.0, *(h.y for h in turn)), max(0.0, *(-h.y for h in turn))) for turn in holes]
    inwards, outwards = min(sides)
    outline = nutplate.outline
    bodies = [] if outline is None else [-outline.moved(Motion.rotation(a)).bounds.ymin for a in angles]
    return Reach(inwards, outwards, min(bodies, default=None))


def turn_nutplates(
    opening: Opening,
    hardware: Hardware,
    places: Sequence[tuple[Vec, Vec]],
    neighbours: Neighbours,
    unit: Unit,
) -> tuple[Turned, ...]:
    """Return the nutplates of a row of screws.

    Args:
        opening: for its `turned`: "along" and "across" are done as told, "auto" tries along, then across.
        hardware: the nutplate, the screw and the rivets.
        places: place and direction of the screw line at each screw that has a nutplate.
        neighbours: what the lugs must keep clear of.
        unit: the job's, for complaints.

    Raises:
        JobError: "auto", and a screw for which no turn holds all limits; the distances are named.
    """
    wanted = opening.nutplates.turned
    turned: list[Turned] = []
    for number, (at, along) in enumerate(places, 1):
        around = _Around(hardware, neighbours, at, turned)
        turns: tuple[Turn, ...] = ("along", "across") if wanted == "auto" else (wanted,)
        tried: list[tuple[Turned, _Fault]] = []
        for plate in (plate for turn in turns for plate in _tries(hardware, at, along, turn)):
            fault = around.worst(plate)
            if fault is None:
                turned.append(plate)
                break
            tried.append((plate, fault))
        else:
            if wanted == "auto":
                raise _refusal(opening, number, tried, unit)
            turned.append(tried[0][0])
    return tuple(turned)


def _tries(hardware: Hardware, at: Vec, along: Vec, turn: Turn) -> Iterator[Turned]:
    for angle in TURNS[turn]:
        degrees = along.angle + angle
        motion = Motion.rotation(degrees).then(Motion.translation(at))
        rivets = tuple(motion.apply(hole) for hole in hardware.nutplate.rivet_holes)
        yield Turned(at, degrees % 360.0, turn, rivets)


class _Around(Struct, frozen=True):
    """Judges the turns of one nutplate against the ring's edges and all that stands already."""

    hardware: Hardware
    neighbours: Neighbours
    at: Vec
    placed: Sequence[Turned]

    def worst(self, plate: Turned) -> _Fault | None:
        """Return the limit that a turn breaks most, None where all hold."""
        faults = [fault for rivet in plate.rivets for fault in self._faults(rivet)]
        broken = [fault for fault in faults if fault.short > ROUNDING_MM]
        return max(broken, key=lambda fault: fault.short, default=None)

    def _faults(self, rivet: Vec) -> Iterator[_Fault]:
        lug, near = self.hardware.lug, self.neighbours
        for name, edge in (("the clear hole", near.clear_hole), ("the ring's edge", near.ring)):
            yield _Fault(name, point_contour(rivet, edge).distance, least_edge(lug))
        others = [place for place in near.screws if place.distance_to(self.at) > ROUNDING_MM]
        yield from self._pitch(rivet, "the next screw", others, self.hardware.screw)
        lugs = [place for plate in self.placed for place in plate.rivets]
        yield from self._pitch(rivet, "the next nutplate's rivet", lugs, lug)
        yield from self._pitch(rivet, "a ring rivet", near.rivets, self.hardware.rivet)

    def _pitch(self, rivet: Vec, name: str, others: Sequence[Vec], spec: FastenerSpec) -> Iterator[_Fault]:
        least = least_pitch(self.hardware.lug, spec)
        # what is farther off along one axis alone breaks no limit
        x, y = rivet.x, rivet.y
        near = [place for place in others if abs(place.x - x) < least and abs(place.y - y) < least]
        if near:
            yield _Fault(name, min(rivet.distance_to(place) for place in near), least)


def _refusal(opening: Opening, number: int, tried: Sequence[tuple[Turned, _Fault]], unit: Unit) -> JobError:
    """Name the least bad fault of each turn, so that the builder sees by how much it fails."""
    words = []
    for turn in TURNS:
        faults = [fault for plate, fault in tried if plate.turned == turn]
        words.append(min(faults, key=lambda fault: fault.short).words(turn, unit))
    return JobError(
        f"{opening.name}: no turn of the nutplate at screw {number} holds all limits; {'; '.join(words)}",
        at=where_of(opening, "nutplates", "turned"),
        hint="fewer screws, a wider ring, or nutplates with closer lugs",
    )
