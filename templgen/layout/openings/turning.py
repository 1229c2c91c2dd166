"""How nutplates are turned: along the edge, across it, or whichever way lets every limit hold.

A nutplate's own frame has its origin at the screw and x along the lugs. Turned along, x runs along the screw
line; turned across, it points square to it. The screw line is run counter-clockwise, so left is inwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from templgen.errors import JobError, Location
from templgen.geometry import Motion, Vec
from templgen.job.openings import Opening
from templgen.layout.hardware import Hardware, where_of
from templgen.layout.openings.model import NutplateSpec
from templgen.layout.openings.turn_limits import Fault, Neighbours, Turn, Turned, worst_fault
from templgen.units import Unit, format_length

__all__ = ["PlanRefused", "Reach", "reach_of", "turn_nutplates", "turns_of", "turns_refused"]

TURNS: dict[Turn, tuple[float, float]] = {"along": (0.0, 180.0), "across": (-90.0, 90.0)}
"""Angles of a nutplate against the screw line, the one to try first in front; -90 points outwards."""


class Reach(Struct, frozen=True):
    """How far lug rivets of nutplates turned so reach from the screw line, inwards and outwards, and so the
    plate's body, mm.

    An outline that is not known reaches no farther inwards than its screw.
    """

    turned: Turn
    inwards: float
    outwards: float
    body: float | None
    body_inwards: float = 0.0


class PlanRefused(JobError):
    """Something has no room in this plan; another may have it.

    `turns` says of each turn of the nutplates what stands in its way, where it is they that have no room.
    """

    def __init__(
        self, message: str, *, at: Location, hint: str | None = None, turns: Mapping[Turn, str] | None = None
    ) -> None:
        super().__init__(message, at=at, hint=hint)
        self.turns = turns or {}


def turns_refused(opening: Opening, words: Iterable[str], unit: Unit) -> JobError:
    """Return the fault that no turn of the nutplates holds, from what is said of each."""
    width = opening.ring.width
    ring = "" if width is None else f" in a ring {format_length(width, unit)} wide"
    return JobError(
        f"{opening.name}: no turn of its nutplates holds all limits{ring}; {'; '.join(words)}",
        at=where_of(opening, "nutplates", "turned"),
        hint="fewer screws, a wider ring, or nutplates with closer lugs",
    )


def turns_of(opening: Opening) -> tuple[Turn, ...]:
    """Return the ways in which the nutplates of an opening may be turned, the one to try first in front."""
    wanted = opening.nutplates.turned
    return tuple(TURNS) if wanted == "auto" else (wanted,)


def reach_of(nutplate: NutplateSpec, turned: Turn) -> Reach:
    """Return how far a nutplate reaches from the screw line when it is turned so."""
    angles = TURNS[turned]
    holes = [[Motion.rotation(angle).apply(hole) for hole in nutplate.rivet_holes] for angle in angles]
    sides = [(max(0.0, *(h.y for h in turn)), max(0.0, *(-h.y for h in turn))) for turn in holes]
    inwards, outwards = min(sides)
    if nutplate.outline is None:
        return Reach(turned, inwards, outwards, None)
    boxes = [nutplate.outline.moved(Motion.rotation(angle)).bounds for angle in angles]
    body, into = min(-box.ymin for box in boxes), min(box.ymax for box in boxes)
    return Reach(turned, inwards, outwards, body, into)


def turn_nutplates(
    opening: Opening,
    hardware: Hardware,
    places: Sequence[tuple[Vec, Vec]],
    neighbours: Neighbours,
    first: Turn,
    unit: Unit,
) -> tuple[Turned, ...]:
    """Return the nutplates of a row of screws.

    Args:
        opening: for its `turned`: "along" and "across" are done as told, "auto" tries both.
        hardware: the nutplate, the screw and the rivets.
        places: place and direction of the screw line at each screw that has a nutplate.
        neighbours: what the nutplates must keep clear of.
        first: the turn to try first: the one that the ring has room for.
        unit: the job's, for complaints.

    Raises:
        PlanRefused: "auto", and a screw for which no turn holds all limits; the distances are named.
    """
    turned: list[Turned] = []
    turns = sorted(turns_of(opening), key=first.__ne__)
    for number, (at, along) in enumerate(places, 1):
        tried: list[tuple[Turned, Fault]] = []
        for plate in _tries(hardware.nutplate, at, along, turns):
            fault = worst_fault(plate, hardware, neighbours, turned)
            if fault is None:
                turned.append(plate)
                break
            tried.append((plate, fault))
        else:
            if opening.nutplates.turned == "auto":
                raise _refusal(opening, number, tried, unit)
            turned.append(min(tried, key=_short)[0])
    return tuple(turned)


def _tries(nutplate: NutplateSpec, at: Vec, along: Vec, turns: Sequence[Turn]) -> Iterator[Turned]:
    for turn in turns:
        for angle in TURNS[turn]:
            yield Turned.of(nutplate, at, along.angle + angle, turn)


def _short(tried: tuple[Turned, Fault]) -> float:
    return tried[1].short


def _refusal(opening: Opening, number: int, tried: Sequence[tuple[Turned, Fault]], unit: Unit) -> PlanRefused:
    """Name the least bad fault of each turn, so that the builder sees by how much it fails."""
    words = {}
    for turn in TURNS:
        _, fault = min((each for each in tried if each[0].turned == turn), key=_short)
        words[turn] = f"{turn}, screw {number}: {fault.words(unit)}"
    said = turns_refused(opening, words.values(), unit)
    return PlanRefused(said.message, at=said.at, hint=said.hint, turns=words)
