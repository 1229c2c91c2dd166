"""Rivets and holes that exist, on which a sheet is laid: their marks, their names, and which one each is.

A row fits its targets one pitch off as well. So every target has its name, and words say on which rivet of
the row it belongs, counted from the row's first one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from templgen.drawing import CircleMark, Item, Meaning
from templgen.job.model import Job
from templgen.layout.alignment import AlignedHole
from templgen.layout.assembly import Assembly, Fastener
from templgen.sheets.extent import aligned_targets, in_skin
from templgen.sheets.facts import one
from templgen.sheets.marks import CENTRE_ARM, LOCATING_RING, target_marks
from templgen.sheets.placement import Label
from templgen.sheets.scene import Target

__all__ = ["ordinal", "rivet_targets", "row_words"]

_ENDINGS = {1: "st", 2: "nd", 3: "rd"}


def rivet_targets(assembly: Assembly) -> tuple[Target, ...]:
    """Return existing rivets in the skin as targets; a measured hole where the fit puts it."""
    aligned = aligned_targets(assembly)
    taken = {each.hole.mark for each in aligned}
    rivets = (f for f in assembly.fasteners if f.exists and in_skin(f) and f.name not in taken)
    return (*(_rivet(each) for each in rivets), *(_hole(each) for each in aligned))


def _rivet(rivet: Fastener) -> Target:
    radius = rivet.spec.hole / 2
    label = Label((rivet.at,), ((rivet.name,),), keep=radius, arms=CENTRE_ARM)
    return Target(rivet.at, tuple(target_marks(rivet.at, radius)), label)


def _hole(each: AlignedHole) -> Target:
    """A target with a second ring, so that it is not taken for the rivets beside it."""
    name, keep = each.hole.name, each.hole.radius + LOCATING_RING
    label = Label((each.place,), ((f"lay on {name}",), (name,)), keep=keep, bold=True)
    ring = CircleMark(each.place, keep, Meaning.EXISTING, name="target ring")
    marks: tuple[Item, ...] = (*target_marks(each.place, each.hole.radius), ring)
    return Target(each.place, marks, label)


def row_words(job: Job, assembly: Assembly, rivets: Sequence[Fastener]) -> Iterator[str]:
    """Yield for each row which of its rivets the first and the last of some targets belong on.

    They are counted as the job gives the row; where its first rivet stands is said too, as it was measured.
    """
    rows: dict[tuple[str, str], list[Fastener]] = {}
    for each in assembly.fasteners:
        if each.exists and in_skin(each):
            rows.setdefault((each.feature, str(each.where)), []).append(each)
    for (structure, _), row in rows.items():
        own = [each for each in row if each in rivets]
        if not own:
            continue
        told = f"{own[0].name} goes on the {ordinal(row.index(own[0]) + 1)} rivet of {structure}"
        if len(own) > 1:
            told += f", {own[-1].name} on the {ordinal(row.index(own[-1]) + 1)}"
        first = assembly.view.inverse().apply(row[0].at)
        yield f"{told}, counted from its first, at x = {one(job, first.x)}, y = {one(job, first.y)}"


def ordinal(number: int) -> str:
    """Return a number that counts in a row.

    >>> [ordinal(number) for number in (1, 2, 3, 4, 11, 12, 21, 112)]
    ['1st', '2nd', '3rd', '4th', '11th', '12th', '21st', '112th']
    """
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{_ENDINGS.get(number % 10, 'th')}"
