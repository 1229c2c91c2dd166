"""Sizes of a fastener that can not be: a head smaller than its hole, a hole for another fastener.

Most of them are a number in the wrong unit, so what it would be in the other one is said.
"""

from __future__ import annotations

from templgen.errors import JobError, UnitError
from templgen.job.airframe import FastenerDef
from templgen.job.around import Faults
from templgen.trade.plausible import MOST_HOLE, in_other_unit, nominal_diameter
from templgen.trade.rivets import find_solid_rivet
from templgen.trade.screws import find_screw
from templgen.units import Unit, format_length, format_number

__all__ = ["no_table_row", "size_faults"]


def no_table_row(kind: FastenerDef, error: UnitError) -> JobError | None:
    """The fault of a size that no table has, None where the builder gives what the table would."""
    if kind.hole is not None and kind.head_diameter is not None:
        return None
    hint = "or give hole and head_diameter from the maker's table"
    return JobError(str(error), at=kind.where("size"), hint=hint)


def _without_row(kind: FastenerDef) -> Faults:
    """A screw or a solid rivet of a size that no table has, and that the builder does not describe."""
    find = {"screw": find_screw, "solid rivet": find_solid_rivet}.get(kind.kind)
    try:
        _ = find and find(kind.size)
    except UnitError as error:
        fault = no_table_row(kind, error)
        if fault is not None:
            yield fault


def size_faults(kind: FastenerDef, hole: float | None, unit: Unit) -> Faults:
    """The faults of a fastener's sizes beside each other.

    Args:
        kind: the table of the fastener.
        hole: its final hole, mm, None where the job gives none that can be read.
        unit: the unit of the job.
    """
    yield from _without_row(kind)
    nominal = nominal_diameter(kind.kind, kind.size, unit)
    if hole is not None and nominal is not None and hole > MOST_HOLE * nominal:
        times = format_number(hole / nominal, 1, trim=True)
        message = f"hole = {format_length(hole, unit)} is {times} times as wide as a {kind.size} {kind.kind}"
        yield JobError(message, at=kind.where("hole"), hint='a drill is written by its name: "#30"')
        return
    across = nominal if hole is None else hole
    for key in ("head_diameter", "behind_diameter"):
        if across is not None:
            what = "its hole" if hole is not None else "its shank"
            yield from _larger(kind, key, across, what, unit)
    if kind.kind == "blind rivet" and nominal is not None:
        what = "its own diameter, and nothing is left to form a head behind"
        yield from _larger(kind, "unset_length", nominal, what, unit)


def _larger(kind: FastenerDef, key: str, than: float, what: str, unit: Unit) -> Faults:
    given = getattr(kind, key)
    if given is None or given > than:
        return
    yield JobError(
        f"{key} = {format_length(given, unit)} is not more than {format_length(than, unit)}, {what}",
        at=kind.where(key),
        hint=in_other_unit(given, unit, lambda other: other > than),
    )
