"""The steps of a job, in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.work.access import access_words
from templgen.layout.work.doubts import Doubt, with_stops
from templgen.layout.work.drillings import drillings
from templgen.layout.work.model import ON_THE_BENCH, Step, Work
from templgen.layout.work.texts import tell
from templgen.layout.work.works import closing_order

__all__ = ["work_steps"]


def work_steps(job: Job, assembly: Assembly, doubts: Sequence[Doubt] = ()) -> tuple[Step, ...]:
    """Return all steps of a job, numbered, each with its access when its turn comes.

    `doubts` are open findings that can make a step impossible: they stop the work before metal is cut, and
    that step names them.

    What has lost its access, or an order that runs in a ring, is told by the checks; here such work stands
    where the job's other words leave it.
    """
    ordered = closing_order(assembly)
    without = ordered.without
    return tuple(
        _step(
            job, assembly, replace(work, wish=work.wish - without.get(work.key, frozenset())), number, doubts
        )
        for number, work in enumerate(with_stops(ordered.works, doubts), 1)
    )


def _step(job: Job, assembly: Assembly, work: Work, number: int, doubts: Sequence[Doubt]) -> Step:
    access = work.need | work.wish
    words = access_words(access) if access or work.stage in ON_THE_BENCH else ""
    own = [each for each in doubts if each.is_about(work, words)]
    told, drills = tell(job, assembly, work, own), drillings(job, assembly, work)
    holes = tuple(dict.fromkeys([*work.fasteners, *(mark for drill in drills for mark in drill.holes)]))
    return Step(
        number,
        told.title,
        told.detail,
        work.parts,
        holes,
        words,
        told.ticks,
        drills,
        work.feature,
        work.stage,
        work.takes,
    )
