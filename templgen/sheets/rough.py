"""The rough template: the finish line moved into the waste, on the same two locating or pilot holes."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.drawing import Item, Meaning, PathMark
from templgen.geometry import Bounds, Contour, Vec
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly, Fastener
from templgen.layout.cutting.model import CuttingPlan
from templgen.layout.pins import pins_of
from templgen.sheets.allowance import rough_contours, rough_words
from templgen.sheets.cutting import plan_items, plan_labels, plan_steps, plans_of
from templgen.sheets.extent import measure_lines, structure_runs, template_extent
from templgen.sheets.facts import both, listed
from templgen.sheets.groups import Group
from templgen.sheets.holes import hole_items, hole_labels
from templgen.sheets.lettering import CALLOUT
from templgen.sheets.marks import CENTRE_ARM
from templgen.sheets.measure_marks import measure_items, measure_labels
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.placement import Label
from templgen.sheets.remarks import Remark, accepted_section
from templgen.sheets.scene import Scene, Section
from templgen.sheets.steps import locating
from templgen.sheets.targets import rivet_targets

__all__ = ["rough_detail", "rough_scene"]

_ROUND = 5.0


def rough_detail(group: Group) -> str:
    """Return what the head of a rough template says of it."""
    if not locating(group.fasteners):
        pins = pins_of(group.fasteners)
        return f"Used first. {'Pinned on pilot holes of' if pins else 'Laid as'} the finish one."
    return "Used first. On the same locating holes as the finish one."


def rough_scene(job: Job, assembly: Assembly, group: Group, remarks: Sequence[Remark]) -> Scene:
    """Return the rough template of a group as a scene in the skin plane."""
    rough = rough_contours(job, group)
    holes, plans = pins_of(group.fasteners), plans_of(assembly, group)
    marks: list[Item] = [
        PathMark(loop, Meaning.ROUGH, name=name) for name, loops in rough.items() for loop in loops
    ]
    marks += plan_items(plans)
    # Pinned on its holes it needs no structure; without any it is laid as the template is.
    box = _needed(rough, [hole.at for hole in holes])
    extent = box.grown(_ROUND) if box is not None and holes else template_extent(assembly, group)
    labels = [_pin_label(hole) for hole in holes if not hole.locating]
    labels += hole_labels(job, locating(holes), extent.centre)
    lines = None if holes else measure_lines(assembly, group)
    labels += measure_labels(job, assembly, lines)
    for name, loops in rough.items():
        labels.append(_line_label(job, name, loops[0]))
    labels += plan_labels(job, plans, extent.centre)
    return Scene(
        (*hole_items(holes), *marks, *measure_items(lines)),
        extent,
        tuple(labels),
        structure_runs(assembly),
        rivet_targets(assembly),
        tuple(loop for loops in rough.values() for loop in loops),
        mirrored=job.laid_on == "inside",
        plane=assembly.planes[SKIN_PLANE],
        accepted=accepted_section(job, remarks),
        more=(Section("how to use it", tuple(_steps(job, group, rough, plans)), carried=True),),
    )


def _needed(rough: dict[str, tuple[Contour, ...]], holes: list[Vec]) -> Bounds | None:
    box = Bounds.of(holes)
    for loops in rough.values():
        for loop in loops:
            box = loop.bounds if box is None else box.union(loop.bounds)
    return box


def _pin_label(hole: Fastener) -> Label:
    variants = ((f"{hole.number}: pin on this pilot",), (f"{hole.number}: pin",))
    return Label((hole.at,), variants, keep=hole.spec.hole / 2, arms=CENTRE_ARM, reach=30.0, bold=True)


def _line_label(job: Job, name: str, loop: Contour) -> Label:
    targets = tuple(loop.point_at(loop.length * step / 12)[0] for step in range(12))
    text = (f"{name}: rough line", f"{rough_words(job)} inside the finish line")
    return Label(targets, (text,), CALLOUT, reach=45.0, near=False)


def _left_for_the_file(job: Job, plans: Sequence[CuttingPlan]) -> str:
    """The allowance along the line, and the least at drilled holes, which stand nearer to the finish edge."""
    left = f"{rough_words(job)} is left for the file"
    least = min((plan.allowance for plan in plans if plan.holes), default=None)
    return f"{left}." if least is None else f"{left} along the line; at the drilled holes {both(job, least)}."


def _steps(
    job: Job, group: Group, rough: dict[str, tuple[Contour, ...]], plans: Sequence[CuttingPlan]
) -> list[Block]:
    pins = pins_of(group.fasteners)
    holes, kind = listed([str(hole.number) for hole in pins]), "locating" if locating(pins) else "pilot"
    pin, then = "Lay it as the finish template is laid.", "lay the finish template as this one was laid"
    if holes:
        pin, then = (
            f"Pin this sheet on the {kind} holes {holes}.",
            "pin the finish template on the same holes",
        )
    steps = [
        pin,
        *plan_steps(plans)[:1],
        "Cut the paper on the centre of the dashed line and trace against the paper.",
        *plan_steps(plans)[1:],
        f"Cut the metal inside the ink. {_left_for_the_file(job, plans)}",
        f"Then {then}, trace it, and file to its edge.",
    ]
    blocks: list[Block] = [Heading("How to use it")]
    blocks += [Paragraph(text, lead=f"{number}.") for number, text in enumerate(steps, 1)]
    narrow = [cutout.name for cutout in group.cutouts if cutout.name not in rough]
    if narrow:
        blocks.append(
            Paragraph(
                f"Too narrow for a rough line: {listed(narrow)}. Drill inside and file to the finish line."
            )
        )
    return blocks
