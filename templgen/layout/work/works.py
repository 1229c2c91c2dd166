"""All pieces of work of an assembly, and what follows what: preparation, features, tasks and closings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from templgen.layout.assembly import Assembly
from templgen.layout.openings.model import Closing, Task
from templgen.layout.work.access import BOTH, HAND, INSIDE, need_of_task, taken
from templgen.layout.work.features import feature_works, features_of, own_parts
from templgen.layout.work.model import Stage, Work
from templgen.layout.work.order import Ordered, order_works
from templgen.layout.work.sources import Sources

__all__ = ["closing_order", "works_of"]

_MAKING = (Stage.MAKE, Stage.PROVE, Stage.TRIAL, Stage.LOOK)
_LATE = (Stage.CONNECT, Stage.LEAK, Stage.COVER, Stage.LEAK_AGAIN, Stage.RECORD)
"""What does not hold up a task that comes after a feature."""
_ON_MADE_PARTS = (Stage.MATCH, Stage.LUGS_CLAMPED, Stage.LUGS, Stage.FINAL)
_FIRST_ON_SKIN = (Stage.LOCATE, Stage.PILOT, Stage.CUT)


def closing_order(assembly: Assembly) -> Ordered:
    """Return all work of an assembly in an order in which each has its access, and what has lost it."""
    works = works_of(assembly)
    by_name = _by_name(assembly, works)
    return order_works(works, _fixed(assembly, works), _asked(assembly, works, by_name))


def works_of(assembly: Assembly) -> tuple[Work, ...]:
    """Return all pieces of work, unsorted."""
    works, sources = list(_preparation(assembly)), Sources(assembly)
    for feature in features_of(assembly):
        works += feature_works(assembly, feature, sources)
    works += [_task(task) for task in assembly.tasks]
    works += [_closing(closing) for closing in assembly.closings]
    return (*works, Work("record", Stage.RECORD, words="the aircraft's records"))


def _preparation(assembly: Assembly) -> Iterator[Work]:
    yield Work("prove", Stage.PROVE, words="the proof of the prints")
    masts = tuple(mast.name for mast in assembly.masts)
    if assembly.cutouts:
        yield Work("trial", Stage.TRIAL, parts=masts, words="the trial cut")
    yield Work("look", Stage.LOOK, words="a look behind the skin", wish=INSIDE)
    made = tuple(
        part.name
        for part in assembly.parts.values()
        if part.made and part.kind in ("base plate", "flat part", "bracket")
    )
    if made:
        yield Work("make", Stage.MAKE, parts=made, words="the parts")
    yield Work("support", Stage.SUPPORT, parts=("skin",), words="the support of the skin", wish=BOTH)
    if any("skin" in cutout.faces for cutout in assembly.cutouts):
        yield Work("tape", Stage.TAPE, parts=("skin",), words="tape round the cut", wish=BOTH)


def _task(task: Task) -> Work:
    return Work(
        f"task {task.name}",
        Stage.TASK,
        need=need_of_task(task),
        words=f'"{task.name}"',
        where=task.where,
    )


def _closing(closing: Closing) -> Work:
    stage = Stage.CLOSED_BEFORE if closing.done else Stage.CLOSE
    words, takes = f'"{closing.name}"', taken(closing)
    return Work(f"closing {closing.name}", stage, words=words, takes=takes, where=closing.where)


def _of_stage(works: Sequence[Work], *stages: Stage) -> list[Work]:
    return [work for work in works if work.stage in stages]


def _fixed(assembly: Assembly, works: Sequence[Work]) -> Iterator[tuple[str, str]]:
    """Yield what the work itself asks for."""
    on_skin = _of_stage(works, *_FIRST_ON_SKIN)
    for early in _of_stage(works, Stage.PROVE, Stage.TRIAL, Stage.LOOK, Stage.SUPPORT, Stage.TAPE):
        yield from ((early.key, work.key) for work in on_skin)
    for feature in features_of(assembly):
        own = [work for work in works if work.feature == feature]
        yield from _stage_by_stage(own)
    for making in _of_stage(works, Stage.MAKE):
        yield from ((making.key, work.key) for work in _of_stage(works, *_ON_MADE_PARTS))
    yield from _through_openings(works)
    records = _of_stage(works, Stage.RECORD)
    for work in works:
        yield from ((work.key, record.key) for record in records if work is not record)


def _stage_by_stage(works: Sequence[Work]) -> Iterator[tuple[str, str]]:
    """Yield that within a feature each stage waits for the one before, and what is matched goes in turn."""
    yield from ((one.key, other.key) for one, other in pairwise(_of_stage(works, Stage.MATCH)))
    stages = sorted({work.stage for work in works})
    for one, other in pairwise(stages):
        for before in _of_stage(works, one):
            yield from ((before.key, after.key) for after in _of_stage(works, other))


def _through_openings(works: Sequence[Work]) -> Iterator[tuple[str, str]]:
    """Yield that a hand goes in once the opening is cut, and before its cover is on."""
    for work in works:
        for name in (need.removeprefix(HAND) for need in sorted(work.need) if need.startswith(HAND)):
            for other in works:
                if other.feature != name or other is work:
                    continue
                if other.stage is Stage.CUT:
                    yield other.key, work.key
                elif other.stage is Stage.COVER:
                    yield work.key, other.key


def _by_name(assembly: Assembly, works: Sequence[Work]) -> dict[str, list[Work]]:
    """Return the works of every name that the job can mention, those of the bench left out."""
    found: dict[str, list[Work]] = {}
    for feature in features_of(assembly):
        own = [work for work in works if work.feature == feature and work.stage not in _MAKING]
        for name in (feature, *own_parts(assembly, feature)):
            found.setdefault(name, []).extend(own)
    for kind, rows in (("task", assembly.tasks), ("closing", assembly.closings)):
        for row in rows:
            found[row.name] = [work for work in works if work.key == f"{kind} {row.name}"]
    return found


def _asked(
    assembly: Assembly, works: Sequence[Work], by_name: dict[str, list[Work]]
) -> Iterator[tuple[str, str]]:
    """Yield what the job asks for; a closing that is done already comes before all work on the aircraft."""
    rows: Iterable[tuple[str, Task | Closing]] = (
        *((f"task {task.name}", task) for task in assembly.tasks),
        *((f"closing {closing.name}", closing) for closing in assembly.closings),
    )
    for key, row in rows:
        for name in row.after:
            yield from ((work.key, key) for work in by_name.get(name, ()) if work.stage not in _LATE)
        for name in row.before:
            yield from ((key, work.key) for work in by_name.get(name, ()))
    for closing in (closing for closing in assembly.closings if closing.done):
        for work in works:
            if (work.need or work.wish) and not work.takes:
                yield f"closing {closing.name}", work.key
