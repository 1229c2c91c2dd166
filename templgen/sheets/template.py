"""The template of a group of features in the skin: finish line, holes, structure, edges, labels and steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from templgen.drawing import Item, Meaning, PathMark
from templgen.geometry import Bounds, Line, Side, Vec, locate
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly
from templgen.layout.finding import Finding
from templgen.sheets.allowance import rough_contours
from templgen.sheets.cutting import plan_items, plan_labels, plans_of
from templgen.sheets.edges import edge_items, edge_labels
from templgen.sheets.extent import (
    measure_lines,
    paper_structures,
    structure_runs,
    template_extent,
)
from templgen.sheets.facts import one
from templgen.sheets.groups import Group
from templgen.sheets.holes import hole_items, hole_labels, hole_sections
from templgen.sheets.lettering import CALLOUT, NOTE
from templgen.sheets.mast_marks import axis_items, axis_labels, axis_lines
from templgen.sheets.measure_marks import measure_items, measure_labels
from templgen.sheets.notes import Block, Paragraph
from templgen.sheets.placement import Label
from templgen.sheets.remarks import Remark, accepted_section, finding_labels, nearest_on, remark_section
from templgen.sheets.scene import Scene, Section
from templgen.sheets.sliding import sliding_words
from templgen.sheets.steps import template_steps
from templgen.sheets.targets import rivet_targets

__all__ = ["template_scene"]


def template_scene(
    job: Job, assembly: Assembly, group: Group, remarks: Sequence[Remark], rough: bool
) -> Scene:
    """Return the template of a group as a scene in the skin plane; `rough`: a rough template follows."""
    box = group.bounds
    assert box is not None  # noqa: S101  a group has marks
    extent = template_extent(assembly, group)
    own = [remark for remark in remarks if _belongs(assembly, remark.finding, group)]
    return Scene(
        tuple(_items(job, assembly, group, box)),
        extent,
        (
            *_labels(job, assembly, group, box, extent.centre),
            *finding_labels(own, lambda finding: _place_in(finding, extent, group)),
        ),
        structure_runs(assembly),
        rivet_targets(assembly),
        tuple(cutout.contour for cutout in group.cutouts),
        mirrored=job.laid_on == "inside",
        plane=assembly.planes[SKIN_PLANE],
        blocks=tuple(_sliding_blocks(job, assembly, group, extent)),
        accepted=accepted_section(job, remarks),
        more=(
            *remark_section(job, own),
            Section("order of work", tuple(template_steps(job, assembly, group, rough))),
            *hole_sections(job, assembly, group.fasteners),
        ),
    )


def _sliding_blocks(job: Job, assembly: Assembly, group: Group, extent: Bounds) -> Iterator[Block]:
    """How the paper is placed along what it butts against: on the sheet itself, however little room."""
    for name in paper_structures(group):
        told = list(sliding_words(job, assembly, group, extent, name))
        if told:
            yield Paragraph(" ".join(f"{each}." for each in told), bold=True)


def _items(job: Job, assembly: Assembly, group: Group, box: Bounds) -> list[Item]:
    return [
        *_plate_items(group),
        *edge_items(group.trims, box),
        *_nose_items(group),
        *hole_items(group.fasteners),
        *(PathMark(cutout.contour, Meaning.CUT, name=cutout.name) for cutout in group.cutouts),
        *_rough_items(job, assembly, group),
        *measure_items(measure_lines(assembly, group)),
    ]


def _labels(job: Job, assembly: Assembly, group: Group, box: Bounds, middle: Vec) -> list[Label]:
    """In the order in which they take their places: what must be near comes first."""
    return [
        *edge_labels(job, group.trims, box),
        *hole_labels(job, group.fasteners, middle),
        *measure_labels(job, assembly, measure_lines(assembly, group)),
        *_cutout_labels(group),
        *_nose_labels(group),
        *_plate_labels(job, assembly, group),
        *(plan_labels(job, plans_of(assembly, group), middle) if job.use == "stick" else ()),
    ]


def _rough_items(job: Job, assembly: Assembly, group: Group) -> list[Item]:
    """The rough lines and the holes in the waste, where all lines are on one sheet."""
    if job.use != "stick":
        return []
    rough = rough_contours(job, group)
    marks = plan_items(plans_of(assembly, group))
    return [
        *(PathMark(loop, Meaning.ROUGH, name=name) for name, loops in rough.items() for loop in loops),
        *marks,
    ]


def _place_in(finding: Finding, extent: Bounds, group: Group) -> Vec | None:
    """Where a finding stands on the sheet; one in a cutout at its edge."""
    place = finding.place
    if place is None or finding.plane != SKIN_PLANE or not extent.grown(2.0).contains(place):
        return None
    for cutout in group.cutouts:
        if locate(place, cutout.contour) is Side.INSIDE:
            return nearest_on(place, (cutout.contour,))
    return place


def _belongs(assembly: Assembly, finding: Finding, group: Group) -> bool:
    """Whether a finding speaks of something on this template."""
    features = {c.feature for c in group.cutouts} | {f.feature for f in group.fasteners}
    faces = {face.name for face in group.plates} | {trim.face for trim in group.trims}
    return finding.feature in features or finding.face in faces or not (finding.feature or finding.face)


def _plate_items(group: Group) -> list[Item]:
    return [
        PathMark(contour, Meaning.HIDDEN, name=face.name)
        for face in group.plates
        if face.outline is not None
        for contour in face.outline.contours
    ]


def _plate_labels(job: Job, assembly: Assembly, group: Group) -> list[Label]:
    labels = []
    for face in group.plates:
        if face.outline is None:
            continue
        side = assembly.parts[face.part].side
        text = (f"{face.part}, {side} the skin", f"{face.material}, {one(job, face.thickness)}")
        targets = tuple(segment.midpoint for segment in face.outline.outer.segments if segment.length > 3.0)
        labels.append(Label(targets, (text, text[:1], (face.part,)), NOTE, near=False))
    return labels


def _cutout_labels(group: Group) -> list[Label]:
    labels = []
    for cutout in group.cutouts:
        contour = cutout.contour
        targets = tuple(contour.point_at(contour.length * step / 12)[0] for step in range(12))
        text = (f"{cutout.name}: finish line",)
        labels.append(Label(targets, (text, (cutout.name,)), CALLOUT, reach=45.0, near=False))
    return labels


def _nose_line(group: Group) -> tuple[Line, Line] | None:
    """The axis of the mast, outside the cutout."""
    if group.mast is None or not group.cutouts:
        return None
    return axis_lines(group.cutouts[0].contour, group.mast.forward, group.mast.centre)


def _nose_items(group: Group) -> list[Item]:
    lines = _nose_line(group)
    return axis_items(lines) if lines else []


def _nose_labels(group: Group) -> list[Label]:
    lines = _nose_line(group)
    return axis_labels(lines) if lines else []
