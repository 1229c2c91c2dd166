"""The steps of the work as a table, for lists and spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.drawing import Table
from templgen.job.model import Job
from templgen.layout.work.marks import listed, marks_in_short
from templgen.layout.work.model import Drilling, Step
from templgen.sheets.facts import both

__all__ = ["steps_table"]

_COLUMNS = ("step", "what", "how", "parts", "holes", "drill", "access", "no access afterwards", "to tick")


def steps_table(job: Job, steps: Sequence[Step]) -> Table:
    """Return one row for each step, in the order of the work; what a closing ends has a column of its own."""
    rows = tuple(
        (
            str(step.number),
            step.title,
            step.detail,
            listed(step.parts),
            marks_in_short(step.holes),
            "; ".join(_drill(job, each) for each in step.drills),
            step.access,
            step.takes,
            "; ".join(step.ticks),
        )
        for step in steps
    )
    notes = (
        f"Job {job.file}, digest {job.digest}, {job.hand} hand.",
        "In this order every step has its access when its turn comes, unless a check says that it is lost. "
        "Access is what has to be open: nothing given means that any will do.",
    )
    return Table("Order of the work", _COLUMNS, rows, notes)


def _drill(job: Job, drilling: Drilling) -> str:
    name = f"{drilling.drill}, " if drilling.drill else ""
    remark = f" ({drilling.remark})" if drilling.remark else ""
    parts = listed(drilling.parts)
    return f"{marks_in_short(drilling.holes)} in {parts}: {name}{both(job, drilling.diameter)}{remark}"
