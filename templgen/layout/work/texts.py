"""Each piece of work in words: title, how it is done, what is ticked off."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.work.doubts import Doubt
from templgen.layout.work.model import Stage, Work
from templgen.layout.work.telling import Subject, Told
from templgen.layout.work.texts_drilling import DRILLING_TEXTS
from templgen.layout.work.texts_fastening import FASTENING_TEXTS
from templgen.layout.work.texts_preparing import PREPARING_TEXTS

__all__ = ["tell"]

_TEXTS = {**PREPARING_TEXTS, **DRILLING_TEXTS, **FASTENING_TEXTS}
_SAID_THERE = (Stage.STOP, Stage.FEED)
"""Stages whose own words speak of the findings."""


def tell(job: Job, assembly: Assembly, work: Work, doubts: Sequence[Doubt] = ()) -> Told:
    """Return a piece of work in words; `doubts` are the open findings that can make it impossible."""
    told = _TEXTS[work.stage](Subject(job, assembly, work, tuple(doubts)))
    if not doubts or work.stage in _SAID_THERE:
        return told
    stands = " ".join(f"Finding {each.number} stands: {each.words}." for each in doubts)
    return replace(told, detail=f"{stands} {told.detail}")
