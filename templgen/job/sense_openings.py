"""Sense of access openings: which keys go together, which names are mentioned, what is needed when."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

from templgen.errors import JobError, UnitError
from templgen.job.around import Around, Faults, access_faults, made_from_faults, mention, needs
from templgen.job.behind import OpeningBox, OpeningLead, OpeningObstacle
from templgen.job.fields import Node
from templgen.job.openings import (
    ClosingDef,
    NutplateDef,
    Opening,
    OpeningCover,
    OpeningNutplates,
    OpeningRing,
    OpeningRivets,
    OpeningScrews,
    TaskDef,
)
from templgen.job.wording import shown
from templgen.trade.nutplates import all_nutplates
from templgen.trade.rivets import find_solid_rivet

__all__ = ["OPENING_CHECKS"]

TAKEN = ("inside", "outside")


def _given(node: Node, *keys: str) -> list[str]:
    return [key for key in keys if key in node.keys_]


def _one_of(node: Node, words: str, first: str, second: str, *, needed: bool = False) -> Faults:
    """A fault where both keys are given, or neither though one is needed."""
    given = _given(node, first, second)
    if len(given) == 2:
        message = f"{words}: {first} and {second} are both given"
        yield JobError(message, at=node.where(second), hint="delete one of them")
    if needed and not given:
        yield JobError(f"{words}: {first} or {second} is needed", at=node.where())


def _only_with(node: Node, keys: Sequence[str], allowed: bool, words: str) -> Faults:
    for key in _given(node, *keys):
        if not allowed:
            yield JobError(f"{key} is for {words}", at=node.where(key), hint="delete it")


def _opening(opening: Opening, around: Around) -> Faults:
    words, flush = f"opening {shown(opening.name)}", opening.cover.kind == "flush"
    if flush and opening.outline_is is None:
        why = "a flush cover has two openings, the skin hole and the smaller clear hole in the ring"
        yield needs(opening, words, "outline_is", why)
    yield from _only_with(opening, ["outline_is"], flush, "a flush cover; under a lying one both are one")
    fixed = _given(opening.screws, "from_opening", "from_cover_edge")
    if len(fixed) == 2 and _given(opening.cover, "overlap", "outline", "ledge"):
        key = _given(opening.cover, "overlap", "outline", "ledge")[0]
        message = f"{words}: from_opening, from_cover_edge and {key} say one thing twice"
        yield JobError(message, at=opening.cover.where(key), hint="delete one of the three")


def _cover(cover: OpeningCover, around: Around) -> Faults:
    flush = cover.kind == "flush"
    if flush and cover.gap is None:
        yield needs(cover, "a flush cover", "gap", "how much smaller than the skin hole it is, all round")
    yield from _only_with(cover, ["gap", "ledge"], flush, "a flush cover")
    yield from _only_with(cover, ["overlap", "outline"], not flush, "a lying cover")
    yield from _one_of(cover, "the cover", "overlap", "outline")


def _ring(ring: OpeningRing, around: Around) -> Faults:
    yield from _one_of(ring, "the ring", "width", "outline")
    yield from _only_with(ring, ["cut_at", "cut_gap"], ring.made != "whole", 'made = "split" or "halves"')


def _screws(screws: OpeningScrews, around: Around) -> Faults:
    yield from mention("fastener", screws.fastener, around.names.fastener, screws.where("fastener"))
    yield from _one_of(screws, "the screws", "count", "pitch", needed=True)
    beside = screws.fixed == "beside corners"
    if beside and screws.beside is None:
        yield JobError(
            "beside corners: how far beside?",
            at=screws.where("fixed"),
            hint='for example beside = "3/4 in", from the middle of the corner along the row',
        )
    yield from _only_with(screws, ["beside"], beside, 'fixed = "beside corners"')
    if screws.count is not None:
        for number in screws.locating or []:
            if not 1 <= number <= screws.count:
                message = f"locating = {shown(screws.locating)}: there is no screw {shown(number)}"
                yield JobError(message, at=screws.where("locating"), hint=f"1 to {screws.count}")
    yield from _way_and_access(screws, around)


def _nutplates(plates: OpeningNutplates, around: Around) -> Faults:
    standards = dict.fromkeys(plate.standard for plate in all_nutplates())
    known = (*around.names.nutplate, *standards)
    yield from mention("nutplate", plates.kind, known, plates.where("kind"))
    if plates.rivet is not None:
        yield from mention("fastener", plates.rivet, around.names.fastener, plates.where("rivet"))
    yield from _way_and_access(plates, around)


def _rivets(rivets: OpeningRivets, around: Around) -> Faults:
    if rivets.fastener is not None:
        yield from mention("fastener", rivets.fastener, around.names.fastener, rivets.where("fastener"))
    yield from _one_of(rivets, "the rivets", "count", "pitch")
    yield from _only_with(rivets, ["row_gap", "staggered"], rivets.rows == 2, "rows = 2")
    yield from _way_and_access(rivets, around)


def _way_and_access(node: OpeningScrews | OpeningNutplates | OpeningRivets, around: Around) -> Faults:
    yield from made_from_faults(node, around)
    if node.access is not None:
        yield from access_faults(node.access, around, node.where("access"))


def _nutplate(plate: NutplateDef, around: Around) -> Faults:
    if plate.standard is not None:
        known = dict.fromkeys(each.standard for each in all_nutplates())
        yield from mention("nutplate standard", plate.standard, known, plate.where("standard"))
    elif plate.lugs is None:
        yield needs(plate, "a nutplate without a standard", "lugs", "how its lugs lie")
    if plate.floating and plate.free_play is None:
        why = "the hole in the ring is the screw and this, both ways"
        yield needs(plate, "a floating nutplate", "free_play", why)
    if plate.floating is False:
        yield from _only_with(plate, ["free_play"], False, "a floating nutplate")
    yield from _one_of(plate, "a nutplate", "rivet_spacing", "rivet_holes")
    yield from _one_of(plate, "a nutplate", "length", "outline")
    if plate.rivet is not None:
        try:
            find_solid_rivet(plate.rivet)
        except UnitError as error:
            yield JobError(f"rivet = {error}", at=plate.where("rivet"))


def _box(box: OpeningBox, around: Around) -> Faults:
    names = [plug.name for plug in box.plugs]
    for before, plug in zip([names[:place] for place in range(len(names))], box.plugs, strict=True):
        if plug.name in before:
            yield JobError(f"two plugs are called {shown(plug.name)}", at=plug.where("name"))
    for lead in box.leads:
        yield from mention("plug", lead.plug, names, lead.where("plug"))


def _lead(lead: OpeningLead, around: Around) -> Faults:
    if lead.rib is not None:
        yield from mention("structure", lead.rib, around.names.structure, lead.where("rib"))
    if (lead.rib is None) != (lead.slack_side is None):
        given, missing = ("rib", "slack_side") if lead.slack_side is None else ("slack_side", "rib")
        yield JobError(f"{given} and {missing} go together", at=lead.where(given), hint=f"give {missing} too")


def _obstacle(obstacle: OpeningObstacle, around: Around) -> Faults:
    same = [a == b for a, b in zip(obstacle.start, obstacle.end, strict=True)]
    if obstacle.kind == "line" and all(same):
        yield JobError("a line needs two different ends", at=obstacle.where("to"))
    if obstacle.kind == "box" and any(same):
        yield JobError("a box needs corners that differ in x, y and z", at=obstacle.where("to"))
    yield from _only_with(obstacle, ["diameter"], obstacle.kind == "line", 'kind = "line"')
    yield from _only_with(obstacle, ["swing"], obstacle.moving, "moving = true")


def _closing(closing: ClosingDef, around: Around) -> Faults:
    yield from access_faults(closing.takes, around, closing.where("takes"), TAKEN)
    if closing.done and closing.after:
        message = f"{shown(closing.name)} is done already, so nothing of this job comes before it"
        yield JobError(message, at=closing.where("after"), hint="delete after, or done")
    yield from _steps(closing, closing.before, "before", around)
    yield from _steps(closing, closing.after, "after", around)


def _task(task: TaskDef, around: Around) -> Faults:
    yield from access_faults(task.access, around, task.where("access"))
    yield from _steps(task, task.after, "after", around)
    yield from _steps(task, task.before, "before", around)


def _steps(node: ClosingDef | TaskDef, names: Sequence[str], key: str, around: Around) -> Faults:
    for name in names:
        if name == node.name:
            yield JobError(f"{shown(name)} comes {key} itself", at=node.where(key))
        yield from mention("closing, task or feature", name, around.names.steps, node.where(key))
    for one, other in pairwise(sorted(names)):
        if one == other:
            yield JobError(f"{key} names {shown(one)} twice", at=node.where(key))


OPENING_CHECKS: dict[type[Node], Callable[[Any, Around], Faults]] = {
    Opening: _opening,
    OpeningCover: _cover,
    OpeningRing: _ring,
    OpeningScrews: _screws,
    OpeningNutplates: _nutplates,
    OpeningRivets: _rivets,
    NutplateDef: _nutplate,
    OpeningBox: _box,
    OpeningLead: _lead,
    OpeningObstacle: _obstacle,
    ClosingDef: _closing,
    TaskDef: _task,
}
"""The check of each kind of table, for `sense`."""
