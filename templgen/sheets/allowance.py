"""The rough line: the finish line moved into the waste, so that something is left for the file."""

from __future__ import annotations

from templgen.errors import GeometryError
from templgen.geometry import Contour
from templgen.geometry.offset import offset_contour
from templgen.job.model import Job
from templgen.layout.cutting.plans import rough_allowance
from templgen.sheets.facts import both
from templgen.sheets.groups import Group

__all__ = ["rough_contours", "rough_words"]


def rough_words(job: Job) -> str:
    """Return the allowance in words."""
    return "1/16 in (1.59 mm)" if job.unit == "in" else both(job, rough_allowance(job.unit))


def rough_contours(job: Job, group: Group) -> dict[str, tuple[Contour, ...]]:
    """Return the rough line of every cutout by its name; nothing for one that is too narrow to hold any."""
    found = {}
    for cutout in group.cutouts:
        try:
            loops = offset_contour(cutout.contour, -rough_allowance(job.unit))
        except GeometryError:
            continue
        if loops:
            found[cutout.name] = tuple(loop for loop in loops if loop.is_ccw)
    return found
