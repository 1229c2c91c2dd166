"""How a template is used: the rules of its finish line, and the steps in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.geometry import Bounds
from templgen.job.model import Job
from templgen.layout.alignment import LEAST_HOLES
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.pins import pins_of
from templgen.sheets.allowance import rough_words
from templgen.sheets.cutting import plan_steps, plans_of
from templgen.sheets.edges import can_butt, edges_of
from templgen.sheets.extent import aligned_targets, measure_lines, placing_structures, template_extent
from templgen.sheets.facts import both, drill_words, listed
from templgen.sheets.groups import Group
from templgen.sheets.measure_marks import measure_step
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.targets import row_words

__all__ = ["locating", "template_steps", "use_words"]


def use_words(job: Job, group: Group) -> str:
    """Return the rules of the finish line in words."""
    if not group.cutouts:
        return "Mark the hole centres through the paper."
    if job.use == "stick":
        return (
            "Stick the sheet on. Cut and file to the centre of the finish line; the dashed rough line lies "
            "in the waste."
        )
    if group.tight:
        return "Cut the paper on the line's centre. Trace: the outer edge of the ink is the finished edge."
    return (
        "Cut the paper on the centre of the line. Trace against it: the outer edge of the ink is the "
        "finished edge, the ink is waste."
    )


def locating(fasteners: Sequence[Fastener]) -> list[Fastener]:
    """Return the locating holes."""
    return [fastener for fastener in fasteners if fastener.locating]


def template_steps(job: Job, assembly: Assembly, group: Group, rough: bool) -> list[Block]:
    """Return how the sheet is used, in the order of the work."""
    steps = ["Print at 100 %. Prove both rulers and the crosses with a steel rule."]
    if group.mast is not None:
        steps.append("Trial cut in scrap or card; fit page over the real mast.")
    steps += _placing(job, assembly, group)
    steps += _locating_steps(job, group)
    steps += _cutting(job, assembly, group, rough)
    blocks: list[Block] = [Heading("How to use it")]
    return blocks + [Paragraph(text, lead=f"{number}.") for number, text in enumerate(steps, 1)]


def _placing(job: Job, assembly: Assembly, group: Group) -> list[str]:
    box = group.bounds
    assert box is not None  # noqa: S101  a group has marks
    cuts = [edge.paper for edge in edges_of(group.trims, box) if edge.paper is not None]
    structures = list(dict.fromkeys(trim.structure for trim in cuts))
    extent = template_extent(assembly, group)
    holes = [each for each in aligned_targets(assembly) if extent.contains(each.place)]
    if len(holes) >= LEAST_HOLES:
        cut = "Cut the paper along the thick ticked edge. " if can_butt(job) and structures else ""
        worst = max(each.residual for each in holes)
        return [
            f"{cut}Lay it on the {job.laid_on} of the skin by the targets with two rings on the holes "
            f"{listed([each.hole.name for each in holes])}, not by an edge. They are drawn where the holes "
            f"were measured, at most {both(job, worst)} from where the job has them."
        ]
    if can_butt(job) and structures:
        return [
            f"Cut the paper along the thick ticked edge; lay it on the {job.laid_on} of the skin so that the "
            f"edge stops at {listed(structures)}, and slide it along to the place that the sheet says."
        ]
    lines = measure_lines(assembly, group)
    rows = placing_structures(assembly, extent) if lines is None else []
    if rows:
        return [
            f"Lay it on the {job.laid_on} of the skin, the targets on the rivets of {listed(rows)}: two at "
            f"least, far apart. {_which(job, assembly, rows, extent)}"
        ]
    if lines is not None:
        return [measure_step(job, assembly, lines)]
    return [
        f"Lay it on the {job.laid_on} of the skin by measure from the origin, {job.axes.origin}: places of "
        "the holes in the drill schedule."
    ]


def _which(job: Job, assembly: Assembly, rows: Sequence[str], extent: Bounds) -> str:
    """Which rivet a target belongs on: the paper fits a row one pitch off as well."""
    shown = [each for each in assembly.fasteners if each.feature in rows and extent.contains(each.at)]
    return " ".join(f"{each}." for each in row_words(job, assembly, shown))


def _locating_steps(job: Job, group: Group) -> list[str]:
    holes = pins_of(group.fasteners)
    if not holes:
        return []
    names = listed([str(hole.number) for hole in holes])
    first = holes[0].pilot or drill_words(job, holes[0].spec)
    apart = ""
    if len(holes) == 2:
        apart = f" ({both(job, holes[0].at.distance_to(holes[1].at))} apart: measure)"
    if not locating(holes):
        return [f"Prick all centres, drill pilots; {names}{apart} pin the sheet when it is laid again."]
    return [f"Drill the locating holes {names} {first}{apart}; pin the sheet on them."]


def _cutting(job: Job, assembly: Assembly, group: Group, rough: bool) -> list[str]:
    if not group.cutouts:
        return ["Mark the hole centres, drill pilot size first."]
    if job.use == "stick":
        return [
            "Stick it on.",
            *plan_steps(plans_of(assembly, group)),
            f"Cut to the rough line, {rough_words(job)} inside, then file to the centre of the finish line.",
        ]
    if rough:
        how = "on the same holes" if pins_of(group.fasteners) else "laid in the same way"
        return [f"Rough cut first, by its own sheet {how}; then trace this one and file to it."]
    return ["Trace, cut inside the ink, file to its outer edge."]
