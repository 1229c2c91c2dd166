"""The drill schedule by part and by step: what is drilled in each part, and what in each step of the work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from templgen.drawing import Table
from templgen.job.model import Job
from templgen.layout.assembly import Assembly, Face, Fastener
from templgen.layout.hardware_list import seat_words_in
from templgen.layout.work.marks import marks_in_short
from templgen.layout.work.model import Step
from templgen.layout.work.sources import Sources
from templgen.sheets.facts import one, ranges
from templgen.sheets.holes import in_face

__all__ = ["by_part", "by_step"]

_BY_PART = (
    "part",
    "holes",
    "count",
    "pilot",
    "final drill",
    "final size",
    "countersink or dimple",
    "made from",
    "remark",
)
_BY_STEP = ("step", "what", "holes", "count", "drill", "size", "in", "remark")


def by_part(job: Job, assembly: Assembly) -> Table:
    """Return one row for each kind of hole in each face that is drilled, holes in the waste last."""
    sources = Sources(assembly)
    rows = [row for face in assembly.faces.values() for row in _rows_of(job, assembly, face, sources)]
    rows += _waste_rows(job, assembly)
    notes = ("Places of the holes: the drill schedule by number. Which is drilled when: by step.",)
    return Table("Drill schedule by part", _BY_PART, tuple(rows), notes)


def _rows_of(job: Job, assembly: Assembly, face: Face, sources: Sources) -> Iterator[tuple[str, ...]]:
    kinds: dict[tuple[object, ...], list[Fastener]] = {}
    for hole in assembly.holes(face.name):
        each = sources.shown(hole.fastener, face.name)
        if not each.exists:
            key = (each.spec.name, round(hole.diameter, 6), each.made_from, each.head_side, each.stack)
            kinds.setdefault(key, []).append(each)
    for group in kinds.values():
        first = group[0]
        spec, diameter = first.spec, first.hole_in(face.name)
        wider = in_face(first, face.name).spec.drill
        is_other = abs(diameter - spec.hole) > 1e-6
        locating = [each.number for each in group if each.locating]
        yield (
            face.name,
            ranges([each.number for each in group]),
            str(len(group)),
            first.pilot,
            f"{wider} for the floating nut".strip() if is_other else spec.drill,
            one(job, diameter),
            seat_words_in(job, assembly, first, face),
            first.made_from,
            f"{ranges(locating)} locating" if locating else "",
        )


def _waste_rows(job: Job, assembly: Assembly) -> Iterator[tuple[str, ...]]:
    for plan in assembly.cutting:
        kinds: dict[tuple[str, str, float], list[str]] = {}
        for hole in plan.holes:
            kinds.setdefault((hole.words, hole.pilot, hole.diameter), []).append(hole.name)
        for face, ((drill, pilot, diameter), names) in product(plan.faces, kinds.items()):
            yield (
                face,
                marks_in_short(names),
                str(len(names)),
                pilot,
                drill,
                one(job, diameter),
                "",
                "paper",
                f"in the waste of {plan.cutout}",
            )


def by_step(job: Job, steps: Sequence[Step]) -> Table:
    """Return what is drilled in each step, in the order of the work."""
    rows = tuple(
        (
            str(step.number),
            step.title,
            marks_in_short(drilling.holes),
            str(len(drilling.holes)),
            drilling.drill,
            one(job, drilling.diameter),
            " + ".join(drilling.parts),
            drilling.remark,
        )
        for step in steps
        for drilling in step.drills
    )
    return Table("Drill schedule by step", _BY_STEP, rows)
