"""The paper of a template: a rectangle round what it marks. Paper has no edge distances."""

from __future__ import annotations

from templgen.errors import Location
from templgen.geometry import Bounds, Contour, Motion, Region
from templgen.job.model import Mast
from templgen.job.names import PAPER, SKIN
from templgen.layout.assembly import SKIN_PLANE, Face, Part
from templgen.layout.draft import Draft
from templgen.layout.masts import flange_frame

__all__ = ["PAPER_MARGIN", "PAPER_ORDER", "add_papers", "paper_name"]

PAPER_MARGIN = 12.0
"""How far the paper reaches beyond what it marks, mm: a finger's width to hold it down by."""

PAPER_ORDER = -100


def paper_name(draft: Draft, mast: Mast) -> str:
    """Return the name of a mast's paper: short where there is one mast only."""
    return PAPER if len(draft.job.mast) == 1 else f"{PAPER} of {mast.name}"


def add_papers(draft: Draft) -> None:
    """Add one paper for each mast, square to it; without a mast one for all that is made in the skin."""
    for mast in draft.job.mast:
        if mast.name in draft.failed:
            continue
        with draft.faults.guard(mast.where(), mast.name):
            box = draft.shapes.outline(mast.flange.outline).contour.bounds
            _add(draft, paper_name(draft, mast), box, flange_frame(draft, mast), mast.where())
    if not draft.job.mast:
        everything = _made_bounds(draft)
        if everything is not None:
            _add(draft, PAPER, everything, Motion.identity(), draft.job.where())


def _add(draft: Draft, name: str, box: Bounds, frame: Motion, at: Location) -> None:
    box = box.grown(PAPER_MARGIN)
    sheet = Region(Contour.rectangle(box.width, box.height, centre=box.centre).moved(frame))
    face = Face(name, name, SKIN_PLANE, 0.0, PAPER, sheet, PAPER_ORDER, at=at)
    draft.add_part(Part(name, (name,), made=True, kind="paper", side="outside"), [face])


def _made_bounds(draft: Draft) -> Bounds | None:
    """Return the box round everything new in the skin plane."""
    faces = [
        face.outline.bounds
        for face in draft.skin_faces
        if face.outline is not None and draft.parts[face.part].made and face.part != SKIN
    ]
    cutouts = [cutout.contour.bounds for cutout in draft.cutouts if cutout.plane == SKIN_PLANE]
    new = [each.at for each in draft.fasteners if not each.exists and each.plane == SKIN_PLANE]
    points = [corner for box in (*faces, *cutouts) for corner in box.corners]
    return Bounds.of([*points, *new])
