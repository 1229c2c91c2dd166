"""Holes that exist already, measured so that the paper is laid on them: [[existing]] and [[distance]]."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from templgen.errors import JobError
from templgen.job.fields import HowWell, Name, Node, Place, Point, PositiveLength, Words
from templgen.job.wording import shown
from templgen.shapes.names import unknown

if TYPE_CHECKING:
    from templgen.job.around import Faults
    from templgen.job.model import Job

__all__ = ["ExistingHole", "MeasuredDistance", "alignment_faults"]


class ExistingHole(Node):
    """A hole or rivet that exists, where it was measured, and what of the template belongs on it.

    x and y count from any datum along any two square axes, one set for all holes, seen as the job's own
    axes are seen: turn and shift of the datum are found, a mirror is not.
    """

    name: Name = Field(description="what the builder calls the hole", examples=['"tooling hole A"'])
    target: Words | None = Field(
        None,
        description="what belongs on it: a rivet by its mark, a hole by its name or number",
        examples=['"rib 7 R3"'],
    )
    place: Place | None = Field(
        None,
        description="what belongs on it, as a place, instead of target",
        examples=["{ x = 1.0, y = 2.0 }"],
    )
    at: Point | None = Field(
        None, description="its measured place from the datum of all of them", examples=["[3.02, 0.98]"]
    )
    measured_to: HowWell | None = Field(None, description="how well its place was measured")


class MeasuredDistance(Node):
    """A measured distance between the centres of two holes that exist."""

    start: str = Field(
        alias="from", description="name of one [[existing]] hole", examples=['"tooling hole A"']
    )
    end: str = Field(alias="to", description="name of the other", examples=['"tooling hole B"'])
    length: PositiveLength = Field(alias="is", description="from centre to centre", examples=["4.02"])
    measured_to: HowWell | None = Field(None, description="how well it was measured")


def alignment_faults(job: Job) -> Faults:
    """Yield what can not be in [[existing]] and [[distance]], one with the other."""
    names = [hole.name for hole in job.existing]
    for number, hole in enumerate(job.existing):
        if hole.name in names[:number]:
            yield JobError(f"two existing holes are called {shown(hole.name)}", at=hole.where("name"))
        if (hole.target is None) == (hole.place is None):
            given = "neither is given" if hole.target is None else "both are given"
            yield JobError(
                f"existing hole {shown(hole.name)} has a target or a place; {given}", at=hole.where()
            )
        ended = any(hole.name in (each.start, each.end) for each in job.distance)
        if hole.at is None and not ended:
            yield JobError(
                f"existing hole {shown(hole.name)} was not measured",
                at=hole.where(),
                hint="give at = [x, y], or a [[distance]] from or to it",
            )
    yield from _distance_faults(job, names)


def _distance_faults(job: Job, names: list[str]) -> Faults:
    for each in job.distance:
        for key, name in (("from", each.start), ("to", each.end)):
            if name not in names:
                message = f"no [[existing]] hole is called {shown(name)}"
                yield JobError(message, at=each.where(key), hint=unknown(name, names) if names else None)
        if each.start == each.end:
            yield JobError(f"a distance from {shown(each.start)} to itself", at=each.where("to"))
