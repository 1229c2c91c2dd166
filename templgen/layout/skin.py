"""The skin: without edges unless the job gives skin edges, then the metal between them."""

from __future__ import annotations

from msgspec.structs import replace

from templgen.errors import JobError
from templgen.geometry import Bounds, Contour, Line, Region, Vec
from templgen.geometry.trim import HalfPlane, trim_region
from templgen.job.names import SKIN
from templgen.layout.assembly import SKIN_PLANE, Face, Part
from templgen.layout.draft import Draft

__all__ = ["add_skin", "bound_skin"]

BEYOND = 500.0
"""How far round everything else the skin is drawn where no edge is known, mm; those sides are no edges."""


def add_skin(draft: Draft) -> None:
    """Add the skin, as yet without an outline."""
    skin = draft.job.skin
    face = Face(SKIN, SKIN, SKIN_PLANE, skin.thickness, skin.material, None, order=0, at=skin.where())
    draft.add_part(Part(SKIN, (SKIN,), made=False, kind="skin"), [face])


def bound_skin(draft: Draft) -> None:
    """Give the skin the edges that were measured: half-planes of metal, clipped to a box far outside.

    Raises:
        JobError: the edges leave no metal.
    """
    edges = [each for each in draft.structures.values() if each.kind == "skin edge"]
    box = _bounds(draft)
    if not edges or box is None:
        return
    planes = [
        HalfPlane(each.lines["skin edge"].start, each.lines["skin edge"].direction * each.flange_side)
        for each in edges
    ]
    kept = trim_region(Region(_rectangle(box.grown(BEYOND))), planes).kept
    if not kept:
        raise JobError("the skin edges leave no metal between them", at=edges[0].where)
    sides = tuple(
        edge
        for edge in kept[0].segments
        if isinstance(edge, Line) and not any(_on(plane, edge.midpoint) for plane in planes)
    )
    draft.faces[SKIN] = replace(draft.faces[SKIN], outline=kept[0], beyond=sides)


def _on(plane: HalfPlane, point: Vec) -> bool:
    return abs(plane.height_of(point)) < 1e-6


def _rectangle(box: Bounds) -> Contour:
    return Contour.polygon(box.corners)


def _bounds(draft: Draft) -> Bounds | None:
    """Return the box round everything laid out in the skin plane."""
    faces = [face.outline.bounds for face in draft.skin_faces if face.outline is not None]
    cutouts = [cutout.contour.bounds for cutout in draft.cutouts]
    lines = [line.bounds for each in draft.structures.values() for line in each.lines.values()]
    points = [corner for box in (*faces, *cutouts, *lines) for corner in box.corners]
    return Bounds.of([*points, *(each.at for each in draft.fasteners if each.plane == SKIN_PLANE)])
