"""The steps of the work as a table, for lists and spreadsheets."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.drawing import Table
from templgen.layout.work.marks import listed, marks_in_short
from templgen.layout.work.model import Step

__all__ = ["steps_table"]

_COLUMNS = ("step", "what", "how", "parts", "holes", "access", "to tick")


def steps_table(steps: Sequence[Step]) -> Table:
    """Return one row for each step, in the order of the work."""
    rows = tuple(
        (
            str(step.number),
            step.title,
            step.detail,
            listed(step.parts),
            marks_in_short(step.holes),
            step.access,
            "; ".join(step.ticks),
        )
        for step in steps
    )
    return Table("Order of the work", _COLUMNS, rows)
