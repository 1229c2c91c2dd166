"""What a piece of work speaks of, and what is told of it."""

from __future__ import annotations

from dataclasses import dataclass

from templgen.job.model import Job, Mast
from templgen.layout.assembly import Assembly, Fastener, MastFit
from templgen.layout.openings.model import OpeningSet
from templgen.layout.work.marks import marks_in_short
from templgen.layout.work.model import Work
from templgen.units import format_length

__all__ = ["Subject", "Told"]


@dataclass(frozen=True, slots=True)
class Told:
    """A piece of work in words."""

    title: str
    detail: str
    ticks: tuple[str, ...]


class Subject:
    """A piece of work with what it speaks of."""

    def __init__(self, job: Job, assembly: Assembly, work: Work) -> None:
        self.job, self.assembly, self.work = job, assembly, work

    def show(self, length: float) -> str:
        return format_length(length, self.job.unit)

    @property
    def marks(self) -> str:
        return marks_in_short(self.work.fasteners)

    @property
    def fasteners(self) -> list[Fastener]:
        named = {f.name: f for f in self.assembly.fasteners if not f.exists}
        return [named[name] for name in self.work.fasteners]

    @property
    def mast(self) -> MastFit:
        return next(mast for mast in self.assembly.masts if mast.name == self.work.feature)

    @property
    def mast_def(self) -> Mast:
        return next(mast for mast in self.job.mast if mast.name == self.work.feature)

    @property
    def opening(self) -> OpeningSet:
        return next(opening for opening in self.assembly.openings if opening.name == self.work.feature)

    @property
    def is_mast(self) -> bool:
        return any(mast.name == self.work.feature for mast in self.assembly.masts)
