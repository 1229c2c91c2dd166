"""The closing order: every piece of work before the closing that takes its access.

First what must follow what: stages of a feature, and what the job says. Then each work that needs an access
goes before each closing that takes it. Where the closing comes first already the access is lost; where the
job's own words run in a ring there is no order at all. Both are told, and the rest is sorted all the same.
Last come wishes: what a work uses where it can, and does without where the closing comes first.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from templgen.layout.work.model import Stage, Work

__all__ = ["Lost", "Ordered", "Ring", "order_works"]


class Lost(Struct, frozen=True):
    """A work whose access a closing has ended; `chain` leads from the closing to the work."""

    work: Work
    closing: Work
    chain: tuple[Work, ...]


class Ring(Struct, frozen=True):
    """Works that wait for each other, each for the one before; the first is also the last."""

    works: tuple[Work, ...]


class Ordered(Struct, frozen=True):
    """Works in an order that can be worked, what stands against it, and what each has to do without."""

    works: tuple[Work, ...]
    lost: tuple[Lost, ...]
    rings: tuple[Ring, ...]
    without: dict[str, frozenset[str]]


class _Graph:
    """Which work comes before which."""

    def __init__(self, works: Sequence[Work]) -> None:
        self.works = {work.key: work for work in works}
        self.later: dict[str, dict[str, None]] = {work.key: {} for work in works}

    def add(self, before: str, after: str) -> None:
        self.later[before][after] = None

    def path(self, start: str, end: str) -> list[str]:
        """Return the works from one to another, the shortest way; empty where none leads there."""
        came: dict[str, str] = {start: start}
        row = [start]
        for key in row:
            for other in self.later[key]:
                if other not in came:
                    came[other] = key
                    row.append(other)
        if end not in came:
            return []
        way = [end]
        while way[-1] != start:
            way.append(came[way[-1]])
        return way[::-1]

    def of(self, keys: Iterable[str]) -> tuple[Work, ...]:
        return tuple(self.works[key] for key in keys)


def order_works(
    works: Sequence[Work], fixed: Iterable[tuple[str, str]], asked: Iterable[tuple[str, str]]
) -> Ordered:
    """Put works in order.

    Args:
        works: all of them.
        fixed: pairs of keys, before and after, that follow from the work itself.
        asked: pairs that the job asks for; where these run in a ring the last one is left out.
    """
    graph, rings, lost = _Graph(works), [], []
    for before, after in fixed:
        graph.add(before, after)
    for before, after in asked:
        back = graph.path(after, before)
        if back or before == after:
            rings.append(Ring(graph.of([*(back or [after]), after])))
        else:
            graph.add(before, after)
    for closing in works:
        for work in works if closing.takes else ():
            if closing.takes not in work.need or work is closing:
                continue
            chain = graph.path(closing.key, work.key)
            if chain:
                lost.append(Lost(work, closing, graph.of(chain)))
            else:
                graph.add(work.key, closing.key)
    without = _wishes(graph, works)
    return Ordered(graph.of(_sorted(graph)), tuple(lost), tuple(rings), without)


def _wishes(graph: _Graph, works: Sequence[Work]) -> dict[str, frozenset[str]]:
    """Put works before closings that take what they wish for; return what comes too late, by work."""
    without: dict[str, frozenset[str]] = {}
    for closing in works:
        for work in works if closing.takes else ():
            if closing.takes not in work.wish or work is closing:
                continue
            if graph.path(closing.key, work.key):
                without[work.key] = without.get(work.key, frozenset()) | {closing.takes}
            else:
                graph.add(work.key, closing.key)
    return without


def _sorted(graph: _Graph) -> list[str]:
    """Return all works, each after those it waits for; of those that are free the lowest stage first."""
    waits = _waits(graph.later)
    places = {key: number for number, key in enumerate(graph.works)}
    free: list[tuple[Stage, int, str]] = [
        (graph.works[key].stage, places[key], key) for key, count in waits.items() if not count
    ]
    heapq.heapify(free)
    done = []
    while free:
        key = heapq.heappop(free)[2]
        done.append(key)
        for other in graph.later[key]:
            waits[other] -= 1
            if not waits[other]:
                heapq.heappush(free, (graph.works[other].stage, places[other], other))
    assert len(done) == len(waits)  # noqa: S101 - no ring was let in
    return done


def _waits(later: Mapping[str, Mapping[str, None]]) -> dict[str, int]:
    waits = dict.fromkeys(later, 0)
    for row in later.values():
        for key in row:
            waits[key] += 1
    return waits
