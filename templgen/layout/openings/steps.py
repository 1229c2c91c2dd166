"""Closings and tasks of the job, with their access needs taken apart."""

from __future__ import annotations

from typing import Literal, cast

from templgen.job.around import THROUGH
from templgen.job.model import Job
from templgen.layout.openings.model import Closing, Task

__all__ = ["closings", "tasks"]


def closings(job: Job) -> tuple[Closing, ...]:
    """Return what ends an access for good, in the order of the file."""
    return tuple(
        Closing(
            each.name,
            each.closes,
            cast(Literal["inside", "outside", "hand through"], kind),
            opening,
            tuple(each.before),
            tuple(each.after),
            each.done,
            where=each.where(),
        )
        for each in job.closing
        for kind, opening in (_parted(each.takes),)
    )


def tasks(job: Job) -> tuple[Task, ...]:
    """Return the work that the job lists, in the order of the file."""
    return tuple(
        Task(
            each.name,
            cast(Literal["both sides", "outside only", "hand through"], kind),
            opening,
            tuple(each.before),
            tuple(each.after),
            where=each.where(),
        )
        for each in job.task
        for kind, opening in (_parted(each.access),)
    )


def _parted(access: str) -> tuple[str, str]:
    """Return an access and the opening that it names.

    >>> _parted("hand through hatch"), _parted("outside only")
    (('hand through', 'hatch'), ('outside only', ''))
    """
    if access.startswith(THROUGH):
        return THROUGH.strip(), access.removeprefix(THROUGH)
    return access, ""
