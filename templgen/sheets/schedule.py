"""The drill schedule: one row per hole that is drilled, with its place from two datums in the job's unit."""

from __future__ import annotations

from msgspec import Struct

from templgen.drawing import Table
from templgen.geometry import Line, Vec
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly, Fastener
from templgen.layout.work.sources import Sources
from templgen.sheets.facts import fastener_words, head_words, one
from templgen.sheets.holes import from_memory, other_holes_words
from templgen.units import format_number, mm_to_inches

__all__ = ["drill_schedule"]

_COLUMNS = (
    "number",
    "stack",
    "x",
    "y",
    "line",
    "along",
    "off",
    "pilot drill",
    "final drill",
    "final size",
    "fastener",
    "head side",
    "made from",
    "remark",
)

_MADE_FROM = _COLUMNS.index("made from")
_THROUGH = (
    ' Made from "paper, through X": part X has the hole from its own paper, others get it through X, '
    "clamped; by part and by step in the bench packet."
)


class _Datum(Struct, frozen=True):
    """A measured line in the measured frame."""

    name: str
    line: Line


def drill_schedule(job: Job, assembly: Assembly) -> Table:
    """Return every hole that is drilled, by number; rivets that exist are left out.

    x and y count from the job's origin in the frame in which it was measured; along and off from the nearest
    measured line, off positive to the left of its direction as it was measured. The notes say which side that
    is for who looks at the face with the paper. Holes of a web count along its line and away from the skin.
    """
    data = _datums(job)
    drilled = sorted((f for f in assembly.fasteners if not f.exists), key=lambda f: f.number)
    sources = Sources(assembly)
    rows = tuple(_row(job, assembly, fastener, data, sources.words(fastener)) for fastener in drilled)
    notes: tuple[str, ...] = (
        f"Job {job.file}, digest {job.digest}, {job.hand} hand. "
        f"Lengths in {'inches' if job.unit == 'in' else 'mm'}.",
        f"x ({job.axes.x}) and y ({job.axes.y}) from: {job.axes.origin}; "
        f"measured on the {_measured_face(job)}.",
        "along and off: from the nearest measured line, off positive to the "
        f"{_positive_side(job)} of its direction as you look at the {job.laid_on}; "
        "for a web along the line from its first point, and away from the skin."
        f"{_THROUGH if any(', through ' in row[_MADE_FROM] for row in rows) else ''}",
    )
    memory = from_memory(assembly, drilled)
    if memory:
        told = f" From memory, check against the part in hand: {'; '.join(memory)}."
        notes = (*notes[:-1], notes[-1] + told)
    return Table("Drill schedule", _COLUMNS, rows, notes)


def _other_hand(job: Job) -> bool:
    return job.measured_hand is not None and job.measured_hand != job.hand


def _measured_face(job: Job) -> str:
    return f"{job.measured_on} of the {job.measured_hand} side" if _other_hand(job) else job.measured_on


def _positive_side(job: Job) -> str:
    """The side of a line on which `off` is positive, on the hand that is built, seen where the paper lies."""
    return "right" if (job.measured_on != job.laid_on) != _other_hand(job) else "left"


def _datums(job: Job) -> list[_Datum]:
    found = []
    for structure in job.structure:
        start, end = Vec(*structure.start), Vec(*structure.end)
        name = f"{structure.name} {structure.line_is}" if structure.line_is else structure.name
        found.append(_Datum(name, Line(start, end)))
    return found


def _row(
    job: Job, assembly: Assembly, fastener: Fastener, data: list[_Datum], made_from: str
) -> tuple[str, ...]:
    spec = fastener.spec
    remarks = ["locating hole" if fastener.locating else "", other_holes_words(job, fastener)]
    return (
        str(fastener.number),
        " + ".join(fastener.stack),
        *_place(job, assembly, fastener, data),
        fastener.pilot,
        spec.drill,
        one(job, spec.hole),
        fastener_words(spec) or "no fastener",
        head_words(fastener) if spec.kind != "hole" else "",
        made_from,
        "; ".join(filter(None, remarks)),
    )


def _place(job: Job, assembly: Assembly, fastener: Fastener, data: list[_Datum]) -> tuple[str, ...]:
    if fastener.plane != SKIN_PLANE:
        return "", "", fastener.plane, _number(job, fastener.at.x), _number(job, fastener.at.y)
    at = assembly.view.inverse().apply(fastener.at)
    place = (_number(job, at.x), _number(job, at.y))
    if not data:
        return (*place, "", "", "")
    datum = min(data, key=lambda each: abs(_off(each.line, at)))
    along = (at - datum.line.start).dot(datum.line.direction)
    return (*place, datum.name, _number(job, along), _number(job, _off(datum.line, at)))


def _off(line: Line, at: Vec) -> float:
    return line.direction.cross(at - line.start)


def _number(job: Job, mm: float) -> str:
    return format_number(mm_to_inches(mm), 3) if job.unit == "in" else format_number(mm, 2)
