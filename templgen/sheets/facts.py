"""Facts in words: lengths, drills, faces and hands as a sheet prints them."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly, Fastener, FastenerSpec, Part
from templgen.layout.words import in_unit, ranges
from templgen.layout.work.marks import listed
from templgen.sheets.title_block import Fields
from templgen.units import format_length

__all__ = [
    "both",
    "drill_words",
    "face_words",
    "fastener_words",
    "fields_of",
    "hand_words",
    "head_words",
    "listed",
    "numbers",
    "one",
    "part_words",
    "ranges",
    "skin_words",
]


def both(job: Job, mm: float) -> str:
    """Return a length in both units, the job's first."""
    return format_length(mm, job.unit)


def one(job: Job, mm: float) -> str:
    """Return a length in the job's unit."""
    return in_unit(mm, job.unit)


def drill_words(job: Job, spec: FastenerSpec) -> str:
    """Return the name of the final drill, or the diameter where no drill has it."""
    return spec.drill or f"dia {one(job, spec.hole)}"


def fastener_words(spec: FastenerSpec) -> str:
    """Return a fastener in words: "solid rivet 1/8 universal"; "" for a plain hole."""
    if spec.kind == "hole":
        return ""
    seat = f", {spec.seat_words}" if spec.seat else ""
    return f"{spec.kind} {spec.size} {spec.head}{seat}"


def head_words(fastener: Fastener) -> str:
    """Return on which side the head is: outside or inside of the skin, at a web the face it stands on."""
    if fastener.plane == SKIN_PLANE:
        return fastener.head_side
    return f"on {fastener.stack[0 if fastener.head_side == 'outside' else -1]}"


def face_words(side: str) -> str:
    """Return the large words for the face that is looked at."""
    return f"{side.upper()} FACE"


def hand_words(hand: str) -> str:
    """Return the large words for the hand."""
    return f"{hand.upper()} HAND"


def skin_words(job: Job) -> str:
    """Return material and thickness of the skin."""
    return f"skin: {job.skin.material}, {both(job, job.skin.thickness)}"


def part_words(job: Job, assembly: Assembly, part: Part) -> str:
    """Return material and thickness of a part."""
    face = assembly.faces[part.faces[0]]
    return f"{face.material}, {both(job, face.thickness)}"


def fields_of(job: Job, part: str, material: str, paper: str = "") -> Fields:
    """Return the title block of a sheet of this job; what the job leaves open stays a blank to fill in."""
    return Fields(
        title=job.title,
        part=part,
        aircraft=job.aircraft,
        job=job.file,
        digest=job.digest,
        date=job.date or "",
        revision=job.revision or "",
        drawn_by=job.drawn_by or "",
        unit=job.unit,
        material=material,
        paper=paper,
        hand=job.hand,
    )


def numbers(fasteners: Sequence[Fastener]) -> str:
    """Return the numbers of some holes in short."""
    return ranges([fastener.number for fastener in fasteners])
