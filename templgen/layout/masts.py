"""Masts: the section through the skin, the cutout round it, the base plate it stands on.

The base plate is part of the mast (welded, riveted or cast to it). With the plate inside the skin, mast and
plate go in together from inside: the cutout is in the skin and in every flat part it meets between skin and
plate or outside the skin; with the plate outside it is in the skin and in all that lies further in. The plate
itself is not cut out: it carries the mast, and has the mast's bore where one is given.
"""

from __future__ import annotations

from templgen.errors import GeometryError, JobError
from templgen.geometry import Contour, Motion, Vec, contour_contour, contour_inside
from templgen.geometry.offset import offset_contour
from templgen.geometry.tolerance import CONTACT
from templgen.job.model import Mast
from templgen.job.names import SKIN
from templgen.layout.assembly import SKIN_PLANE, Cutout, CutPurpose, Face, MastFit, Part
from templgen.layout.draft import Draft, base_plate_name
from templgen.layout.frames import vec
from templgen.layout.holes import Maker, add_hole_set
from templgen.layout.places import place, placement
from templgen.shapes import Outline

__all__ = [
    "add_base_plate",
    "add_mast_cutout",
    "add_mast_holes",
    "cuts_region",
    "flange_frame",
    "opened_section",
]


def add_base_plate(draft: Draft, mast: Mast) -> None:
    """Place the mast and add its base plate, before anything is stacked."""
    frame = placement(draft, place(draft, mast.at), _forward_angle(draft, mast))
    draft.placements[mast.name] = frame
    flange, name = mast.flange, base_plate_name(draft.job, mast)
    outline = draft.shapes.region(flange.outline).moved(flange_frame(draft, mast))
    face = Face(
        name, name, SKIN_PLANE, flange.thickness, flange.material, outline, order=0, at=flange.where()
    )
    draft.add_part(Part(name, (name,), made=True, kind="base plate", side=flange.side), [face])


def add_mast_holes(draft: Draft, mast: Mast) -> None:
    """Add the base plate's holes; they join skin and plate unless the job says otherwise."""
    own = base_plate_name(draft.job, mast)
    maker = Maker.in_skin(mast.name, own, (SKIN, own), flange_frame(draft, mast))
    for number, holes in enumerate(mast.flange.holes, 1):
        with draft.faults.guard(holes.where(), mast.name):
            add_hole_set(draft, holes, maker, f"{mast.name}, hole set {number}")


def add_mast_cutout(draft: Draft, mast: Mast) -> None:
    """Add the cutout round the section at the skin, the bore in the plate, and what the mast's checks need.

    Raises:
        JobError: the section can not be offset by the gap, or the widest section makes no outline.
    """
    frame, plate = draft.placements[mast.name], base_plate_name(draft.job, mast)
    section = draft.shapes.outline(mast.section)
    widest = section if isinstance(mast.widest, str) else draft.shapes.outline(mast.widest)
    for text in (*section.told(draft.job.unit), *widest.told(draft.job.unit)):
        draft.note(f"{mast.name}: {text}")
    contour = opened_section(mast, section).moved(frame).as_ccw()
    draft.cutouts.append(
        Cutout(
            f"{mast.name} cutout",
            mast.name,
            SKIN_PLANE,
            contour,
            _passed(draft, plate, contour),
            CutPurpose.FIT,
            draft.job.drilled_to.of("cut"),
            section.deviation,
            where=mast.where("section"),
        )
    )
    if mast.bore is not None:
        draft.cutouts.append(_bore(draft, mast, frame, plate))
    draft.masts.append(_fit(draft, mast, section, widest, frame, plate))


def _forward_angle(draft: Draft, mast: Mast) -> float:
    """Return the angle of the nose in the measured frame, degrees."""
    forward = mast.forward
    if forward.line is None:
        return forward.angle
    line = draft.measured_lines.get(forward.line)
    if line is None:
        names = [each.name for each in draft.job.structure]
        draft.refuse_unknown(forward.line, "structure line", names, forward.where("line"))
    return line.direction.angle + forward.angle


def flange_frame(draft: Draft, mast: Mast) -> Motion:
    """Return the motion from the flange's own frame (its centre, x forward) to the skin plane."""
    centre = Vec(0.0, 0.0) if mast.flange.centre is None else vec(mast.flange.centre)
    return Motion.translation(centre).then(draft.placements[mast.name])


def opened_section(mast: Mast, section: Outline) -> Contour:
    """Return the section grown by the gap, arcs kept; in the mast's own frame."""
    try:
        grown = offset_contour(section.contour, mast.gap)
    except GeometryError as error:
        raise JobError(f"the cutout of {mast.name} can not be drawn: {error}", at=mast.where("gap")) from None
    outer = [contour for contour in grown if contour.is_ccw]
    if len(grown) != 1 or not outer:
        raise JobError(
            f"the gap round {mast.name} gives {len(grown)} outlines, not one",
            at=mast.where("gap"),
        )
    return outer[0]


def cuts_region(contour: Contour, face: Face) -> bool:
    """Whether a cutout takes metal from a face: it crosses its edge, lies in it, or swallows it."""
    if face.outline is None:
        return True
    outer = face.outline.outer
    if not contour.bounds.overlaps(outer.bounds):
        return False
    return (
        contour_contour(contour, outer).distance <= CONTACT
        or contour_inside(contour, outer)
        or contour_inside(outer, contour)
    )


def _passed(draft: Draft, plate: str, contour: Contour) -> tuple[str, ...]:
    """Return the skin and every flat part that the mast passes, outside first."""
    own = draft.faces[plate].order
    passed = [
        face
        for face in draft.skin_faces
        if (face.order < own if own > 0 else face.order > own)
        and draft.parts[face.part].kind in ("skin", "flat part")
        and cuts_region(contour, face)
    ]
    return tuple(face.name for face in sorted(passed, key=lambda face: face.order))


def _bore(draft: Draft, mast: Mast, frame: Motion, plate: str) -> Cutout:
    bore = mast.bore
    assert bore is not None  # noqa: S101 - asked for by the caller
    return Cutout(
        f"{mast.name} bore",
        mast.name,
        SKIN_PLANE,
        Contour.circle(Vec(0.0, 0.0), bore.diameter / 2).moved(frame).as_ccw(),
        (plate,),
        CutPurpose.FIT,
        draft.job.drilled_to.of("hole"),
        where=bore.where("diameter"),
    )


def _fit(draft: Draft, mast: Mast, section: Outline, widest: Outline, frame: Motion, plate: str) -> MastFit:
    bore = mast.bore
    passes = () if bore is None else tuple((each.name, each.diameter, each.count) for each in bore.passes)
    return MastFit(
        mast.name,
        section.contour.moved(frame).as_ccw(),
        widest.contour.moved(frame).as_ccw(),
        f"{mast.name} cutout",
        mast.gap,
        mast.fillet,
        plate,
        mast.flange.side,
        frame.apply_direction(Vec(1.0, 0.0)),
        frame.apply(Vec(0.0, 0.0)),
        draft.job.measured_to if mast.measured_to is None else mast.measured_to,
        max(section.deviation, widest.deviation),
        bore_diameter=None if bore is None else bore.diameter,
        bore_passes=passes,
        bore_together=bore is not None and bore.how == "together",
        where=mast.where(),
    )
