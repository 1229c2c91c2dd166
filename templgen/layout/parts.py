"""Flat parts on the skin, hole patterns of their own, plain cutouts."""

from __future__ import annotations

from templgen.errors import JobError
from templgen.geometry import Contour
from templgen.job.model import Cutout as CutoutDef
from templgen.job.model import FlatPart, Pattern
from templgen.job.names import SKIN
from templgen.layout.assembly import SKIN_PLANE, Cutout, CutPurpose, Face, Part
from templgen.layout.draft import Draft
from templgen.layout.holes import Maker, add_hole_set
from templgen.layout.masts import cuts_region
from templgen.layout.places import place, placement
from templgen.layout.stacks import through_faces

__all__ = ["add_cutout", "add_flat_part", "add_part_holes", "add_pattern"]


def add_flat_part(draft: Draft, part: FlatPart) -> None:
    """Place a flat part and add its face, before anything is stacked."""
    frame = placement(draft, place(draft, part.at), part.angle)
    draft.placements[part.name] = frame
    outline = draft.shapes.region(part.outline).moved(frame)
    face = Face(
        part.name, part.name, SKIN_PLANE, part.thickness, part.material, outline, order=0, at=part.where()
    )
    draft.add_part(Part(part.name, (part.name,), made=True, kind="flat part", side=part.side), [face])


def add_part_holes(draft: Draft, part: FlatPart) -> None:
    """Add the holes of a flat part; they join skin and part unless the job says otherwise."""
    maker = Maker.in_skin(part.name, part.name, (SKIN, part.name), draft.placements[part.name])
    for number, holes in enumerate(part.holes, 1):
        with draft.faults.guard(holes.where(), part.name):
            add_hole_set(draft, holes, maker, f"{part.name}, hole set {number}")


def add_pattern(draft: Draft, pattern: Pattern) -> None:
    """Add a hole pattern of its own, in the skin unless the job names more."""
    frame = placement(draft, place(draft, pattern.at), pattern.angle)
    draft.placements[pattern.name] = frame
    maker = Maker.in_skin(pattern.name, "", (SKIN,), frame)
    add_hole_set(draft, pattern.holes, maker, pattern.name)


def add_cutout(draft: Draft, cutout: CutoutDef) -> None:
    """Add a plain cutout through the skin, or the parts named.

    Raises:
        JobError: a part named that the cutout does not touch; an outline with openings.
    """
    frame = placement(draft, place(draft, cutout.at), cutout.angle)
    draft.placements[cutout.name] = frame
    outline = draft.shapes.outline(cutout.outline)
    if outline.inner:
        raise JobError(
            f'"{cutout.name}" has openings in its outline; what is cut out has none',
            at=cutout.outline.where("shape"),
        )
    contour = outline.contour.moved(frame).as_ccw()
    for text in outline.told(draft.job.unit):
        draft.note(f"{cutout.name}: {text}")
    draft.cutouts.append(
        Cutout(
            cutout.name,
            cutout.name,
            SKIN_PLANE,
            contour,
            _faces(draft, cutout, contour),
            CutPurpose(cutout.purpose),
            draft.job.drilled_to.of("cut"),
            outline.deviation,
            where=cutout.where(),
        )
    )


def _faces(draft: Draft, cutout: CutoutDef, contour: Contour) -> tuple[str, ...]:
    at = cutout.where("through")
    faces = through_faces(draft, cutout.through or [SKIN], SKIN_PLANE, "", at)
    missed = [face.part for face in faces if not cuts_region(contour, face)]
    if missed:
        raise JobError(f'"{cutout.name}" does not touch "{missed[0]}"', at=at)
    return tuple(face.name for face in sorted(faces, key=lambda face: face.order))
