"""The sheet of a made part: its flat blank at 1:1, as seen from outside."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from templgen.drawing import Item, LineMark, Meaning, PathMark
from templgen.geometry import Arc, Bounds, Contour, Side, Vec, locate
from templgen.job.model import Job
from templgen.job.names import PAPER
from templgen.layout.assembly import Assembly, Cutout, Fastener, MastFit
from templgen.layout.finding import Finding
from templgen.layout.flat import FlatBend, FlatHole
from templgen.sheets.blanks import Blank, place_in_flat, through_parts
from templgen.sheets.edges import edge_items, edge_labels
from templgen.sheets.face_stamp import stamped_axis
from templgen.sheets.facts import both, drill_words, numbers, one
from templgen.sheets.holes import hole_items, hole_labels, hole_sections, in_face
from templgen.sheets.lettering import NOTE, wrapped
from templgen.sheets.marks import bend_ticks
from templgen.sheets.mast_marks import reference_items, reference_labels
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.part_waste import (
    only_hole,
    parting_labels,
    parting_words,
    plans_on,
    waste_items,
    waste_labels,
    waste_words,
)
from templgen.sheets.placement import Label
from templgen.sheets.remarks import Remark, accepted_section, finding_labels, nearest_on, remark_section
from templgen.sheets.ring_marks import ledge_items, ledge_labels, ledge_steps, opening_laid_by
from templgen.sheets.scene import Scene, Section
from templgen.trade.bending import sight_line

__all__ = ["bend_words", "part_scene"]


def part_scene(job: Job, assembly: Assembly, blank: Blank, remarks: Sequence[Remark]) -> Scene:
    """Return a flat blank as a scene in the plane of its (first) face."""
    own = [remark for remark in remarks if _belongs(blank, remark)]
    placed = [replace(in_face(hole.fastener, hole.face), at=hole.at) for hole in blank.pattern.holes]
    extent, masts, plans = _extent(blank), _masts_on(assembly, blank), plans_on(assembly, blank)
    opening = opening_laid_by(assembly, blank)
    items: list[Item] = [
        *edge_items(blank.trims, extent),
        *(mark for bend in blank.pattern.bends for mark in _bend_items(bend)),
        *hole_items(placed),
        *waste_items(plans),
        *(mark for mast, cut in masts for mark in reference_items(mast, cut)),
        *ledge_items(blank, opening),
        *(PathMark(contour, Meaning.CUT, name=blank.part.name) for contour in blank.contours),
    ]
    labels = ledge_labels(blank, opening)
    labels += [replace(label, within=True) for label in hole_labels(job, placed, extent.centre)]
    labels += [_bend_label(job, bend) for bend in blank.pattern.bends]
    labels += [_cutout_label(job, cutout, only_hole(plans, cutout.name)) for cutout in blank.cutouts]
    labels += [label for mast, cut in masts for label in reference_labels(mast, cut, _has_bore(blank, mast))]
    labels += parting_labels(job, assembly, blank)
    labels += waste_labels(job, plans, extent.centre)
    labels += edge_labels(job, blank.trims, extent)
    labels += finding_labels(own, lambda finding: _shown_at(blank, finding))
    return Scene(
        tuple(items),
        extent,
        tuple(labels),
        waste=blank.pattern.cutouts,
        keep=(blank.pattern.outline.outer,),
        face="outside",
        plane=None if blank.is_bent else assembly.planes[blank.face.plane],
        accepted=accepted_section(job, remarks),
        more=(
            *remark_section(job, own),
            Section("how to use it", tuple(_steps(job, assembly, blank)), carried=True),
            *hole_sections(job, assembly, placed),
        ),
    )


def _masts_on(assembly: Assembly, blank: Blank) -> list[tuple[MastFit, bool]]:
    """The masts that stand on a plate, and whether the plate has their cutout itself."""
    cut = {cutout.name for cutout in blank.cutouts}
    return [(mast, mast.cutout in cut) for mast in assembly.masts if mast.flange_face == blank.face.name]


def _shown_at(blank: Blank, finding: Finding) -> Vec | None:
    """Where a finding stands on the metal of a blank; one beside it or in an opening at its edge."""
    place = place_in_flat(blank, finding)
    if place is None:
        return None
    outer = blank.pattern.outline.outer
    openings = [contour for contour in blank.contours if contour is not outer]
    on_metal = locate(place, outer) is not Side.OUTSIDE
    on_metal &= all(locate(place, contour) is not Side.INSIDE for contour in openings)
    return place if on_metal else nearest_on(place, blank.contours)


def _has_bore(blank: Blank, mast: MastFit) -> bool:
    return any(locate(mast.centre, cutout.contour) is Side.INSIDE for cutout in blank.cutouts)


def _belongs(blank: Blank, remark: Remark) -> bool:
    finding = remark.finding
    return finding.face in blank.part.faces or finding.feature == blank.part.name


def _extent(blank: Blank) -> Bounds:
    box = blank.pattern.outline.bounds
    for region in (region for trim in blank.trims for region in trim.cut_away):
        box = box.union(region.bounds)
    return box


def _bend_items(bend: FlatBend) -> list[Item]:
    items: list[Item] = []
    for line in bend.tangents:
        items += [LineMark(line, Meaning.BEND), *bend_ticks(line.start, line.end)]
    return items


def bend_words(job: Job, bend: FlatBend) -> str:
    """Return a bend in words: which way, how much, which inside radius."""
    radius = both(job, bend.inside_radius)
    return f"bend {bend.angle:g}° {bend.towards}, inside radius {radius}"


def _bend_label(job: Job, bend: FlatBend) -> Label:
    """At an end of a tangent line first, where a leader can stay outside the outline."""
    targets = tuple(line.point_at(step) for step in (1.0, 0.0, 0.5) for line in bend.tangents)
    variants = wrapped(bend_words(job, bend), 78.0, 52.0, 38.0, 26.0)
    return Label(targets, variants, NOTE, outwards=bend.tangents[0].direction, near=False)


def _cutout_label(job: Job, cutout: Cutout, hole: str) -> Label:
    contour = cutout.contour
    targets = tuple(contour.point_at(contour.length * step / 12)[0] for step in range(12))
    words = f"{cutout.name}, {_size_words(job, contour)}{hole}"
    return Label(targets, ((words,), (f"{cutout.name}{hole}",)), NOTE, near=False, reach=40.0)


def _size_words(job: Job, contour: Contour) -> str:
    """The diameter of a round cutout, width and height of any other."""
    first, box = contour.segments[0], contour.bounds
    if isinstance(first, Arc) and all(
        isinstance(part, Arc) and part.centre.distance_to(first.centre) < 1e-6 for part in contour.segments
    ):
        return f"dia {both(job, 2 * first.radius)}"
    return f"{one(job, box.width)} x {one(job, box.height)}"


def _steps(job: Job, assembly: Assembly, blank: Blank) -> list[Block]:
    box = blank.pattern.outline.bounds
    size = f"{one(job, box.width)} x {one(job, box.height)}"
    steps, plans = [], plans_on(assembly, blank)
    if job.use == "trace":
        prick = "Prick the hole centres, then cut" if _papered(blank) or plans else "Cut"
        steps += [
            f"{prick} the paper on the centre of the line.",
            "Lay it on the metal, print up (the outside face), and trace round it. The edge of the ink at "
            "the paper is the finished edge, the ink is waste.",
            f"Before the paper comes off write on the metal: outside{_towards(assembly, blank)}.",
        ]
    else:
        steps.append("Stick it on, print up (the outside face). Cut and file to the centre of the line.")
    steps += [*waste_words(plans), *parting_words(job, assembly, blank)]
    steps += [*ledge_steps(job, opening_laid_by(assembly, blank)), *_drilling(blank)]
    if blank.pattern.bends:
        steps += _bending(job, blank.pattern.bends[0])
    blocks: list[Block] = [Heading("How to use it"), Paragraph(f"Size in the flat: {size}.")]
    if blank.pattern.bends:
        blocks[1] = Paragraph(
            f"Flat pattern: {size}, bend allowance {both(job, blank.pattern.bends[0].allowance)}."
        )
    return blocks + [Paragraph(text, lead=f"{number}.") for number, text in enumerate(steps, 1)]


def _towards(assembly: Assembly, blank: Blank) -> str:
    """The arrow that a part is marked with; one that is bent has none on its flat pattern."""
    if blank.is_bent:
        return ""
    plane = assembly.planes[blank.face.plane]
    return f", and an arrow: {stamped_axis([plane.x_words, plane.y_words])[1]}"


def _papered(blank: Blank) -> list[Fastener]:
    """The holes that the part gets from its own paper."""
    return [hole.fastener for hole in blank.pattern.holes if hole.fastener.made_from == PAPER]


def _drilling(blank: Blank) -> Iterator[str]:
    own = _papered(blank)
    if any(hole.pilot for hole in own):
        yield (
            f"Drill {numbers(own)} pilot size on the bench; to size when the parts have been parted. The cut "
            "file has them at pilot size too."
        )
    elif own:
        yield f"Drill {numbers(own)} on the bench; they need no pilot."
    for guide, holes in through_parts(blank).items():
        yield (
            f"Holes {numbers(holes)} are drilled through the {guide}, clamped to it: dashed they only show "
            "about where. Drill none of them from this paper."
        )
    lugs = [hole.fastener for hole in blank.pattern.holes if hole.fastener.is_from_nutplate]
    if lugs:
        yield (
            f"Holes {numbers(lugs)} are drilled through the lugs, each nutplate held by its screw: dashed "
            "they only show about where. They are not in the cut file."
        )


def _bending(job: Job, bend: FlatBend) -> Iterator[str]:
    if bend.relief:
        size = both(job, bend.relief)
        yield f"Before it is bent drill the round end of every slot, {size}, and saw down to it."
    yield (
        "Bend between the two tangent lines; the sight line lies "
        f"{one(job, sight_line(bend.inside_radius))} from the tangent that goes under the brake's nose."
    )


def holes_words(job: Job, holes: Iterable[FlatHole]) -> list[str]:
    """Return one line for each kind of holes: how many, which drill, which pilot."""
    kinds: Counter[str] = Counter()
    for hole in holes:
        spec = in_face(hole.fastener, hole.face).spec
        pilot = f", pilot {spec.pilot}" if spec.pilot else ""
        kinds[f"{drill_words(job, spec)} ({one(job, spec.hole)}){pilot}"] += 1
    return [f"{count} x {words}" for words, count in kinds.items()]


def origin_of(blank: Blank) -> Vec:
    """Return the lower left corner of a blank."""
    box = _extent(blank)
    return Vec(box.xmin, box.ymin)
