"""What is being laid out, while it grows: the one mutable value of this floor."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NoReturn

from msgspec import Struct, field
from msgspec.structs import replace

from templgen.errors import JobError, Location
from templgen.geometry import Line, Motion, Vec
from templgen.job.model import Job, Mast
from templgen.job.names import BASE_PLATE
from templgen.layout.assembly import (
    SKIN_PLANE,
    Bend,
    Cutout,
    Face,
    Fastener,
    MastFit,
    Part,
    Plane,
    StructureLine,
    TrimEdge,
)
from templgen.layout.fasteners import FastenerSpecs
from templgen.layout.faults import Faults, SkippedError
from templgen.layout.openings.model import OpeningSet
from templgen.layout.shape_use import Shapes
from templgen.shapes.names import unknown
from templgen.units import format_length

if TYPE_CHECKING:
    from templgen.layout.openings.plan import Plan

__all__ = ["Draft", "base_plate_name"]


class Draft(Struct):
    """The job, the tools to read it, and what stands so far.

    `measured_lines` are the structure lines as measured, in the measured frame; `placements` the motions
    from a feature's own frame to the skin plane, `plans` the openings in their own frames. `failed` names
    what was refused already.
    """

    job: Job
    view: Motion
    shapes: Shapes
    specs: FastenerSpecs
    faults: Faults
    planes: dict[str, Plane] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    faces: dict[str, Face] = field(default_factory=dict)
    fasteners: list[Fastener] = field(default_factory=list)
    cutouts: list[Cutout] = field(default_factory=list)
    bends: list[Bend] = field(default_factory=list)
    structures: dict[str, StructureLine] = field(default_factory=dict)
    trims: list[TrimEdge] = field(default_factory=list)
    masts: list[MastFit] = field(default_factory=list)
    targets: dict[str, tuple[str, ...]] = field(default_factory=dict)
    openings: list[OpeningSet] = field(default_factory=list)
    plans: dict[str, Plan] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    measured_lines: dict[str, Line] = field(default_factory=dict)
    placements: dict[str, Motion] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)

    def add_part(self, part: Part, faces: Iterable[Face]) -> None:
        """Add a part with its faces; JobError where a name is taken."""
        new = {face.name: face for face in faces}
        for face in new.values():
            if face.name in self.faces or part.name in self.parts:
                raise JobError(
                    f'"{face.name}" would be the name of two things', at=face.at, hint="choose another name"
                )
        self.parts[part.name] = part
        self.faces.update(new)

    def note(self, text: str) -> None:
        """Add a sentence for the report, once."""
        if text not in self.notes:
            self.notes.append(text)

    def reorder(self, orders: dict[str, int]) -> None:
        """Give faces their place in the stack."""
        for name, order in orders.items():
            self.faces[name] = replace(self.faces[name], order=order)

    def structure(self, name: str, at: Location) -> StructureLine:
        """Return a structure by name; JobError for an unknown one."""
        if name in self.structures:
            return self.structures[name]
        self.refuse_unknown(name, "structure", [each.name for each in self.job.structure], at)

    def refuse_unknown(self, name: str, what: str, known: Iterable[str], at: Location) -> NoReturn:
        """Raise JobError for an unknown name, SkippedError for one that was refused already."""
        names = list(known)
        if name in self.failed or name in names:
            raise SkippedError(name)
        raise JobError(f'no {what} is called "{name}"', at=at, hint=unknown(name, names))

    def face_in(self, part: str, plane: str) -> Face | None:
        """Return the face of a part that lies in a plane."""
        names = self.parts[part].faces if part in self.parts else ()
        return next((self.faces[name] for name in names if self.faces[name].plane == plane), None)

    def show(self, length: float) -> str:
        """Return a length for a complaint, in the job's unit first."""
        return format_length(length, self.job.unit)

    def to_skin(self, point: Vec) -> Vec:
        """Return a point of the measured frame in the skin plane."""
        return self.view.apply(point)

    @property
    def skin_faces(self) -> list[Face]:
        """All faces in the skin plane, the paper left out."""
        return [
            face
            for face in self.faces.values()
            if face.plane == SKIN_PLANE and self.parts[face.part].kind != "paper"
        ]


def base_plate_name(job: Job, mast: Mast) -> str:
    """Return the part name of a mast's base plate: short where there is one mast only."""
    return BASE_PLATE if len(job.mast) == 1 else f"{BASE_PLATE} of {mast.name}"
