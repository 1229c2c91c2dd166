"""The cutting plans on a sheet: holes in the waste, cuts between them, their words and their tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from templgen.drawing import CircleMark, Item, Meaning, Table
from templgen.geometry import Vec
from templgen.job.model import Job
from templgen.job.names import SKIN
from templgen.layout.assembly import Assembly
from templgen.layout.cutting.model import CuttingPlan, PlanHole
from templgen.sheets.facts import both, listed, one
from templgen.sheets.groups import Group
from templgen.sheets.lettering import NOTE
from templgen.sheets.marks import centre_mark
from templgen.sheets.placement import Label
from templgen.units import format_number, mm_to_inches

__all__ = ["cutting_list", "cutting_table", "marks_of", "plan_items", "plan_labels", "plan_steps", "plans_of"]

_CROSS = 3.0
_COLUMNS = ("mark", "cutout", "parts", "x", "y", "drill", "diameter", "pilot")
_CHAIN = "chain, pricked through the paper"
_LISTED = ("mark", "cutout", "parts", "what", "x", "y", "to x", "to y", "drill", "diameter", "pilot")
_HOLE_WORDS = {"corners": "hole in a corner", "chain": "hole of the chain", "none": "hole"}


def plans_of(assembly: Assembly, group: Group) -> tuple[CuttingPlan, ...]:
    """Return the plans of a group's cutouts."""
    names = {cutout.name for cutout in group.cutouts}
    return tuple(plan for plan in assembly.cutting if plan.cutout in names)


def plan_items(plans: Sequence[CuttingPlan]) -> list[Item]:
    """Return the holes of some plans with their centres; straight cuts follow the rough line."""
    items: list[Item] = []
    for plan in plans:
        for hole in plan.holes:
            radius = hole.diameter / 2
            items.append(CircleMark(hole.at, radius, Meaning.ROUGH, name=hole.name))
            items += centre_mark(hole.at, 0.0, min(_CROSS, 0.8 * radius))
    return items


def plan_labels(job: Job, plans: Sequence[CuttingPlan], middle: Vec) -> list[Label]:
    """Return a label for each drilled corner, one for a chain; they turn away from `middle`.

    On a sheet that is stuck on whole they stand in the waste: no leader crosses the finish line.
    """
    labels = []
    for plan in plans:
        if plan.method == "corners":
            labels += [_corner_label(hole, middle, plan.backed) for hole in plan.holes]
        elif plan.method == "chain":
            labels.append(_chain_label(job, plan))
    return [replace(label, in_waste=job.use == "stick") for label in labels]


def _corner_label(hole: PlanHole, middle: Vec, backed: bool) -> Label:
    wood = ", wood behind" if backed and hole.cutter.is_backed_up else ""
    pilot = (f"pilot {hole.pilot}{wood}",)
    full = (f"{hole.name} {hole.words}", *(pilot if hole.pilot else ()))
    away = hole.at - middle
    outwards = away.unit() if away.length > 1.0 else None
    variants = (full, full[:1], (hole.name,))
    return Label((hole.at,), variants, NOTE, hole.diameter / 2, 0.0, outwards, near=False, reach=45.0)


def _chain_label(job: Job, plan: CuttingPlan) -> Label:
    holes = plan.holes
    first = f"{holes[0].name} to {holes[-1].name}: chain of {len(holes)} x {holes[0].words}"
    full = (first, f"{both(job, plan.pitch or 0.0)} apart")
    targets = tuple(hole.at for hole in holes)
    return Label(targets, (full, full[:1]), NOTE, holes[0].diameter / 2, near=False, reach=45.0)


def plan_steps(plans: Sequence[CuttingPlan], along: str = "inside the dashed line") -> list[str]:
    """Return how the waste is opened, in the order of the work; nothing where no hole is planned.

    `along` says by which line of the sheet the straight cuts run.
    """
    steps = []
    planned = [plan for plan in plans if plan.holes]
    corners = [plan for plan in planned if plan.method == "corners"]
    if planned:
        names = listed([marks_of(plan.holes) for plan in planned])
        steps.append(f"Prick the centres of {names} through the paper.")
    if corners:
        names = listed([marks_of(plan.holes) for plan in corners])
        wood = ", wood behind" if all(plan.backed for plan in corners) else ""
        steps.append(f"Drill {names}: pilot{wood}, then each with its own bit.")
    for plan in planned:
        if plan.method == "chain":
            steps.append(
                f"Drill the chain {marks_of(plan.holes)}, {plan.holes[0].words}; cut the webs through."
            )
    if any(plan.cuts for plan in corners):
        bent = any(len(plan.cuts) > len(plan.holes) for plan in corners)
        pieces = ", a bent side in short straight pieces" if bent else ""
        steps.append(f"Cut straight from hole to hole {along}{pieces}; stop short of the edge.")
    return steps


def marks_of(holes: Sequence[PlanHole]) -> str:
    """Return the names of some holes in short."""
    names = [hole.name for hole in holes]
    return listed(names) if len(names) <= 2 else f"{names[0]} to {names[-1]}"


def cutting_table(job: Job, assembly: Assembly) -> Table:
    """Return what is drilled in waste: what it opens, where it is, what drills it.

    x and y count from the job's origin in the frame in which it was measured, in the job's unit. A chain is
    one row: its holes are pricked through the paper, and their places stand in `cutting_list`.
    """
    rows = [row for plan in assembly.cutting for row in _told(job, assembly, plan)]
    has_chain = any(row[-1] for row in rows)
    columns = (*_COLUMNS, _CHAIN) if has_chain else _COLUMNS
    shown = tuple(row if has_chain else row[:-1] for row in rows)
    return Table("Drilling the waste", columns, shown, _notes(job, assembly))


def _told(job: Job, assembly: Assembly, plan: CuttingPlan) -> Iterator[tuple[str, ...]]:
    """One row for each hole, its last field empty; of a chain one row for all."""
    of = _cutout(assembly, plan)
    if plan.method != "chain":
        for hole in plan.holes:
            yield (hole.name, *of, *_place(job, assembly, hole.at), *_drill(job, hole), "")
        return
    pitch, web = one(job, plan.pitch or 0.0), one(job, plan.web or 0.0)
    chain = f"{len(plan.holes)} holes, {pitch} apart, webs of {web} at least; places: cutting-plan.csv"
    yield (marks_of(plan.holes), *of, "", "", *_drill(job, plan.holes[0]), chain)


def cutting_list(job: Job, assembly: Assembly) -> Table:
    """Return the whole plans, as a file lists them: besides the holes the straight cuts between them.

    Places are those of `cutting_table`; a cut goes from its x and y to its other end.
    """
    rows = tuple(row for plan in assembly.cutting for row in _listed(job, assembly, plan))
    job_words = f"Job {job.file}, digest {job.digest}, {job.hand} hand."
    frame = f"x ({job.axes.x}) and y ({job.axes.y}) as measured on the {job.measured_on}."
    return Table("Cutting plan", _LISTED, rows, (job_words, frame, *_notes(job, assembly)))


def _listed(job: Job, assembly: Assembly, plan: CuttingPlan) -> Iterator[tuple[str, ...]]:
    of = _cutout(assembly, plan)
    for hole in plan.holes:
        place = _place(job, assembly, hole.at)
        yield (hole.name, *of, _HOLE_WORDS[plan.method], *place, "", "", *_drill(job, hole))
    for number, cut in enumerate(plan.cuts, 1):
        ends = (*_place(job, assembly, cut.start), *_place(job, assembly, cut.end))
        yield (f"cut {number}", *of, "straight cut", *ends, "", "", "")


def _notes(job: Job, assembly: Assembly) -> tuple[str, ...]:
    unit = "inches" if job.unit == "in" else "mm"
    bench = any(SKIN not in plan.faces or len(plan.faces) > 1 for plan in assembly.cutting if plan.holes)
    made = "In a part that is made on the bench the same holes are on its own sheet; where a shop cuts it by "
    return (
        f"Holes in the waste of cutouts. Lengths in {unit}, from: {job.axes.origin}.",
        *((f"{made}its cut file they are not drilled in it.",) if bench else ()),
        *(f"{note[:1].upper()}{note[1:]}." for plan in assembly.cutting for note in plan.notes),
    )


def _cutout(assembly: Assembly, plan: CuttingPlan) -> tuple[str, str]:
    return plan.cutout, listed([assembly.faces[name].part for name in plan.faces if name in assembly.faces])


def _place(job: Job, assembly: Assembly, at: Vec) -> tuple[str, str]:
    measured = assembly.view.inverse().apply(at)
    return _number(job, measured.x), _number(job, measured.y)


def _drill(job: Job, hole: PlanHole) -> tuple[str, str, str]:
    return hole.words, both(job, hole.diameter), hole.pilot


def _number(job: Job, mm: float) -> str:
    return format_number(mm_to_inches(mm), 3) if job.unit == "in" else format_number(mm, 2)
