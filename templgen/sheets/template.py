"""The template of a group of features in the skin: finish line, holes, structure, edges, labels and steps."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.drawing import Item, LineMark, Meaning, PathMark
from templgen.geometry import Bounds, Contour, Line, Vec
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly, Fastener, StructureLine
from templgen.layout.finding import Finding
from templgen.sheets.edges import can_butt, edge_items, edge_labels, edges_of
from templgen.sheets.facts import both, drill_words, listed, one
from templgen.sheets.groups import Group
from templgen.sheets.holes import hole_blocks, hole_items, hole_labels, memory_blocks
from templgen.sheets.lettering import CALLOUT, NOTE
from templgen.sheets.marks import target_marks
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.placement import Label
from templgen.sheets.remarks import Remark, finding_labels, remark_blocks
from templgen.sheets.scene import Run, Scene

__all__ = ["locating", "structure_runs", "template_extent", "template_scene"]

_TARGETS = 2
_NOSE = 9.0
_SAME_LINE = 0.01


def template_scene(
    job: Job, assembly: Assembly, group: Group, remarks: Sequence[Remark], rough: bool
) -> Scene:
    """Return the template of a group as a scene in the skin plane; `rough` says that a rough template follows."""
    box = group.bounds
    assert box is not None  # noqa: S101  a group has marks
    extent = template_extent(assembly, group)
    fasteners = list(group.fasteners)
    middle = extent.centre
    own = [remark for remark in remarks if _belongs(assembly, remark.finding, group)]
    items: list[Item] = [
        *_plate_items(group),
        *edge_items(group.trims, box),
        *_nose_items(group),
        *hole_items(fasteners),
        *(PathMark(cutout.contour, Meaning.CUT, name=cutout.name) for cutout in group.cutouts),
    ]
    labels = [
        *hole_labels(job, fasteners, middle),
        *_cutout_labels(group, middle),
        *_nose_labels(group),
        *edge_labels(job, group.trims, box),
        *_plate_labels(job, assembly, group, middle),
        *finding_labels(own, lambda finding: _place_in(finding, extent)),
    ]
    blocks = [
        *_steps(job, assembly, group, rough),
        *remark_blocks(job, own, in_full=False),
        *hole_blocks(job, fasteners),
        *memory_blocks(fasteners),
    ]
    return Scene(
        tuple(items),
        extent,
        tuple(labels),
        structure_runs(assembly),
        rivet_targets(assembly),
        tuple(cutout.contour for cutout in group.cutouts),
        mirrored=job.laid_on == "inside",
        plane=assembly.planes[SKIN_PLANE],
        blocks=tuple(blocks),
    )


def _place_in(finding: Finding, extent: Bounds) -> Vec | None:
    place = finding.place
    if place is None or finding.plane != SKIN_PLANE or not extent.grown(2.0).contains(place):
        return None
    return place


def locating(fasteners: Sequence[Fastener]) -> list[Fastener]:
    """Return the locating holes."""
    return [fastener for fastener in fasteners if fastener.locating]


def _belongs(assembly: Assembly, finding: Finding, group: Group) -> bool:
    """Whether a finding speaks of something on this template."""
    features = {c.feature for c in group.cutouts} | {f.feature for f in group.fasteners}
    faces = {face.name for face in group.plates}
    return finding.feature in features or finding.face in faces or not (finding.feature or finding.face)


def template_extent(assembly: Assembly, group: Group) -> Bounds:
    """Return what must come onto the page: the group, what was trimmed away, two rivets at each trimmed edge."""
    box = group.bounds
    assert box is not None  # noqa: S101  a group has marks
    for edge in edges_of(group.trims, box):
        box = box.union(edge.line.bounds)
        for region in edge.metal.cut_away if edge.metal else ():
            box = box.union(region.bounds)
    for name in dict.fromkeys(trim.structure for trim in group.trims):
        for point in _nearest_rivets(assembly, name, box):
            box = box.union(Bounds(point.x, point.y, point.x, point.y).grown(4.0))
    return box


def _nearest_rivets(assembly: Assembly, structure: str, box: Bounds) -> list[Vec]:
    """Existing rivets of a structure that stand beside the box, at least the nearest two."""
    rivets = [
        f.at for f in assembly.fasteners if f.exists and f.feature == structure and f.plane == SKIN_PLANE
    ]
    rivets.sort(key=lambda at: Bounds(at.x, at.y, at.x, at.y).distance_to(box))
    if len(rivets) < _TARGETS:
        return rivets
    reach = Bounds(rivets[1].x, rivets[1].y, rivets[1].x, rivets[1].y).distance_to(box)
    return [at for at in rivets if Bounds(at.x, at.y, at.x, at.y).distance_to(box) <= reach + 1e-6]


def structure_runs(assembly: Assembly) -> tuple[Run, ...]:
    """Return all lines of all structure; lines that fall together are drawn once, with both names."""
    return tuple(run for structure in assembly.structures.values() for run in _runs_of(structure))


def _runs_of(structure: StructureLine) -> list[Run]:
    merged: list[tuple[Line, list[str]]] = []
    for name, line in structure.lines.items():
        same = next((names for other, names in merged if _coincide(line, other)), None)
        if same is None:
            merged.append((line, [name]))
        else:
            same.append(name)
    return [
        Run(line, Meaning.STRUCTURE, (f"{structure.name}: {', '.join(names)}",)) for line, names in merged
    ]


def _coincide(a: Line, b: Line) -> bool:
    return a.start.distance_to(b.start) < _SAME_LINE and a.end.distance_to(b.end) < _SAME_LINE


def rivet_targets(assembly: Assembly) -> tuple[tuple[Vec, tuple[Item, ...]], ...]:
    """Return existing rivets in the skin as targets."""
    return tuple(
        (f.at, tuple(target_marks(f.at, f.spec.hole / 2)))
        for f in assembly.fasteners
        if f.exists and f.plane == SKIN_PLANE
    )


def _plate_items(group: Group) -> list[Item]:
    return [
        PathMark(contour, Meaning.HIDDEN, name=face.name)
        for face in group.plates
        if face.outline is not None
        for contour in face.outline.contours
    ]


def _plate_labels(job: Job, assembly: Assembly, group: Group, middle: Vec) -> list[Label]:
    labels = []
    for face in group.plates:
        if face.outline is None:
            continue
        side = assembly.parts[face.part].side
        text = (f"{face.part}, {side} the skin", f"{face.material}, {one(job, face.thickness)}")
        targets = tuple(segment.midpoint for segment in face.outline.outer.segments if segment.length > 3.0)
        labels.append(Label(targets, (text,), NOTE, reach=40.0, near=False))
    return labels


def _cutout_labels(group: Group, middle: Vec) -> list[Label]:
    labels = []
    for cutout in group.cutouts:
        contour = cutout.contour
        targets = tuple(contour.point_at(contour.length * step / 12)[0] for step in range(12))
        text = (f"{cutout.name}: finish line", "cut the paper on the centre of the line")
        labels.append(Label(targets, (text, (cutout.name,)), CALLOUT, reach=45.0, near=False))
    return labels


def _nose_line(group: Group) -> tuple[Line, Line] | None:
    """The axis of the mast, outside the cutout: before the nose and behind the tail."""
    if group.mast is None or not group.cutouts:
        return None
    contour = group.cutouts[0].contour
    ahead, centre = group.mast.forward, group.mast.centre
    reach = [(vertex - centre).dot(ahead) for vertex in _outline_points(contour)]
    nose, tail = centre + ahead * (max(reach) + 1.0), centre + ahead * (min(reach) - 1.0)
    return Line(nose, nose + ahead * _NOSE), Line(tail, tail - ahead * _NOSE)


def _outline_points(contour: Contour) -> list[Vec]:
    return [segment.point_at(step / 8) for segment in contour.segments for step in range(9)]


def _nose_items(group: Group) -> list[Item]:
    lines = _nose_line(group)
    return [LineMark(line, Meaning.CENTRE) for line in lines] if lines else []


def _nose_labels(group: Group) -> list[Label]:
    lines = _nose_line(group)
    if lines is None:
        return []
    nose, tail = lines
    return [
        Label((nose.end, nose.midpoint), (("nose",),), CALLOUT, outwards=nose.direction, reach=25.0),
        Label((tail.end, tail.midpoint), (("tail",),), CALLOUT, outwards=tail.direction, reach=25.0),
    ]


def _steps(job: Job, assembly: Assembly, group: Group, rough: bool) -> list[Block]:
    """How to use the sheet, in the order of the work."""
    steps = [
        "Print at 100 %. Lay a steel rule on both rulers and from cross to cross: if they are not true, do not "
        "use this print.",
    ]
    if group.mast is not None:
        steps.append("First a trial cut in scrap or card, and the fit page over the real mast.")
    steps += _placing(job, assembly, group)
    steps += _locating_steps(job, group)
    steps += _cutting(job, group, rough)
    blocks: list[Block] = [Heading("How to use it", space=0.0)]
    return blocks + [Paragraph(text, lead=f"{number}.") for number, text in enumerate(steps, 1)]


def _placing(job: Job, assembly: Assembly, group: Group) -> list[str]:
    structures = list(dict.fromkeys(trim.structure for trim in group.trims))
    lay = f"Lay the sheet on the {job.laid_on} of the skin"
    if can_butt(job) and structures:
        return [f"Cut the paper along the thick ticked edge. {lay}: the edge stops at {listed(structures)}."]
    rows = structures or list(assembly.structures)
    count = sum(f.exists and f.feature in rows for f in assembly.fasteners)
    if count >= _TARGETS:
        return [f"{lay}: the targets on the rivets of {listed(rows)}, two at least, far apart."]
    return [f"{lay} by the lines of the structure, and measure back to the origin: {job.axes.origin}."]


def _locating_steps(job: Job, group: Group) -> list[str]:
    holes = locating(group.fasteners)
    if not holes:
        return []
    names = listed([str(hole.number) for hole in holes])
    spec = holes[0].spec
    first = spec.pilot or drill_words(job, spec)
    apart = ""
    if len(holes) == 2:
        apart = f" They are {both(job, holes[0].at.distance_to(holes[1].at))} apart: measure."
    return [f"Mark the locating holes {names}, drill them {first} and pin the sheet back on them.{apart}"]


def _cutting(job: Job, group: Group, rough: bool) -> list[str]:
    if not group.cutouts:
        return ["Mark the other hole centres and drill them pilot size first."]
    if job.use == "stick":
        return [
            "Stick the sheet on. Cut to the dashed rough line, then file to the centre of the finish line."
        ]
    start = (
        "Trace and cut by the rough template first; then this one, pinned on the same holes. "
        if rough
        else ""
    )
    return [
        f"{start}Cut the paper on the centre of the finish line.",
        "Trace against the paper. The outer edge of the ink is the finished edge, the ink is waste: file it away.",
    ]
