"""The holes on which templates are pinned: locating holes, or two pilots where a template has none."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from templgen.job.names import PAPER, SKIN
from templgen.layout.assembly import Fastener

__all__ = ["pins_of"]


def pins_of(fasteners: Sequence[Fastener]) -> tuple[Fastener, ...]:
    """Return the holes by which a second template is laid where the first one was.

    The locating holes; where none is marked, the two pilots farthest apart that the first template gave the
    skin. Empty where it gave less than two.
    """
    locating = tuple(each for each in fasteners if each.locating)
    if locating:
        return locating
    papered = [each for each in fasteners if each.made_from in ("", PAPER) and SKIN in each.stack]
    pairs = combinations(papered, 2)
    return max(pairs, key=lambda pair: pair[0].at.distance_to(pair[1].at), default=())
