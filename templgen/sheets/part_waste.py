"""The waste of a part that is made on the bench: its own holes and cuts, and where a ring is parted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from templgen.drawing import Item, LineMark, Meaning
from templgen.geometry import Vec
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.cutting.model import CuttingPlan
from templgen.layout.openings.model import OpeningSet
from templgen.sheets.blanks import Blank
from templgen.sheets.cutting import marks_of, plan_items, plan_labels, plan_steps
from templgen.sheets.facts import both, listed
from templgen.sheets.lettering import NOTE
from templgen.sheets.placement import Label

__all__ = [
    "only_hole",
    "parting_labels",
    "parting_words",
    "plans_on",
    "waste_items",
    "waste_labels",
    "waste_words",
]


def plans_on(assembly: Assembly, blank: Blank) -> tuple[CuttingPlan, ...]:
    """Return the plans by which openings of a part are cut on the bench, where wood goes behind it."""
    own = {cutout.name for cutout in blank.cutouts}
    return tuple(replace(plan, backed=True) for plan in assembly.cutting if plan.cutout in own and plan.holes)


def waste_items(plans: Sequence[CuttingPlan]) -> list[Item]:
    """Return the holes in the waste and the straight cuts between them: a part has no rough template."""
    cuts = [LineMark(cut, Meaning.ROUGH) for plan in plans for cut in plan.cuts]
    return [*plan_items(plans), *cuts]


def waste_labels(job: Job, plans: Sequence[CuttingPlan], middle: Vec) -> list[Label]:
    """Return the words of the holes, in the waste: the centres are pricked before the paper is cut.

    One hole alone leaves no room there: it is named with its opening.
    """
    several = [plan for plan in plans if len(plan.holes) > 1]
    return [replace(label, in_waste=True, near=True) for label in plan_labels(job, several, middle)]


def only_hole(plans: Sequence[CuttingPlan], cutout: str) -> str:
    """Return the one hole that opens a cutout in words; "" where there are more or none."""
    found = (plan.holes[0] for plan in plans if plan.cutout == cutout and len(plan.holes) == 1)
    return next((f"; {hole.name} {hole.words}" for hole in found), "")


def waste_words(plans: Sequence[CuttingPlan]) -> Iterator[str]:
    """Yield how the openings of a part are cut, in the order of the work; a shop drills none of it."""
    yield from plan_steps(plans, "on the long dashes in the waste")[1:]
    if plans:
        names = listed([marks_of(plan.holes) for plan in plans])
        yield f"File to the line. A shop that cuts the part by its cut file cuts this opening: no {names}."


def _parted(assembly: Assembly, blank: Blank) -> OpeningSet | None:
    """The opening whose ring this part is, or a piece of it, where that ring is parted."""
    rings = (each for each in assembly.openings if each.ring_cuts)
    return next((each for each in rings if set(each.ring_faces) & set(blank.part.faces)), None)


def _gap(job: Job, opening: OpeningSet) -> float:
    return next(each.ring.cut_gap for each in job.opening if each.name == opening.name)


def parting_labels(job: Job, assembly: Assembly, blank: Blank) -> list[Label]:
    """Return the width of the cut of a ring, at each cut that this piece has."""
    opening = _parted(assembly, blank)
    if opening is None:
        return []
    wide = f"cut {both(job, _gap(job, opening))} wide"
    words = wide if opening.ring_made == "split" else f"{wide} to the other half"
    # Beside the middle of the cut stands metal on either side: the leader comes from outside the ring.
    ends = [(cut.end, (cut.end - cut.start).unit()) for cut in opening.ring_cuts]
    variants = ((words,), (wide,))
    return [Label((end,), variants, NOTE, 0.0, 0.0, way, near=False, lost=words) for end, way in ends]


def parting_words(job: Job, assembly: Assembly, blank: Blank) -> Iterator[str]:
    """Yield how the inner edge of a ring's piece comes about, which belongs to its outline."""
    opening = _parted(assembly, blank)
    if opening is None:
        return
    if opening.ring_made == "split":
        yield (
            "Its opening: drill a hole in the waste inside it, saw round from there inside the line, file to "
            f"the line. Saw the cut, {both(job, _gap(job, opening))} wide, last, between its two lines."
        )
    else:
        yield "Its inner edge is open: saw in from its ends inside the line, file to it; no hole is drilled."
