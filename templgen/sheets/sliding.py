"""Where a paper stands along the structure that it butts against: a straight edge can slide."""

from __future__ import annotations

from collections.abc import Iterator

from templgen.geometry import Bounds, Line, Vec
from templgen.job.model import Job
from templgen.job.names import PAPER
from templgen.layout.alignment import LEAST_HOLES
from templgen.layout.assembly import SKIN_PLANE, Assembly
from templgen.sheets.edges import can_butt
from templgen.sheets.extent import aligned_targets
from templgen.sheets.facts import both, listed, one
from templgen.sheets.groups import Group
from templgen.sheets.targets import row_words

__all__ = ["sliding_words"]


def sliding_words(
    job: Job, assembly: Assembly, group: Group, extent: Bounds, structure: str
) -> Iterator[str]:
    """Yield what fixes a paper along a structure that it butts against: a measure, and rivets drawn there.

    Nothing where it does not butt, or lies on holes that exist.
    """
    measured = next((each for each in job.structure if each.name == structure), None)
    laid_on_holes = sum(extent.contains(each.place) for each in aligned_targets(assembly)) >= LEAST_HOLES
    if measured is None or laid_on_holes or not can_butt(job):
        return
    # The line as it was measured: its first point is where the builder's own measures begin.
    line = Line(*(assembly.view.apply(Vec(*point)) for point in (measured.start, measured.end)))
    mark, at = _mark(group)
    along = (at - line.start).dot(line.direction)
    way = "before" if along < 0 else "from"
    first = f"its first measured point (x {one(job, measured.start[0])}, y {one(job, measured.start[1])})"
    yield f"Along {structure}: {mark} stands {both(job, abs(along))} {way} {first}"
    rivets = [
        each
        for each in assembly.fasteners
        if each.exists and each.plane == SKIN_PLANE and each.feature == structure and extent.contains(each.at)
    ]
    if rivets:
        names = listed([each.name for each in rivets])
        yield f"Before you cut, tick the edge square off {names}: there stand these rivets"
        for told in row_words(job, assembly, rivets):
            yield f"Count, or it lies one pitch off: {told}"


def _mark(group: Group) -> tuple[str, Vec]:
    """A hole of the template to measure to, a locating one if there is any; else the middle of a cutout."""
    pricked = (each for each in group.fasteners if each.made_from == PAPER)
    hole = min(pricked, key=lambda each: (not each.locating, each.number), default=None)
    if hole is not None:
        return f"hole {hole.number}", hole.at
    if group.mast is not None:
        return f"the middle of {group.mast.name}", group.mast.centre
    cutout = group.cutouts[0]
    return f"the middle of {cutout.name}", cutout.contour.bounds.centre
