"""What a piece of work speaks of, and what is told of it."""

from __future__ import annotations

from msgspec import Struct

from templgen.job.model import Job, Mast
from templgen.layout.assembly import Assembly, Fastener, MastFit
from templgen.layout.openings.model import OpeningSet
from templgen.layout.work.access import INSIDE
from templgen.layout.work.doubts import Doubt
from templgen.layout.work.marks import marks_in_short
from templgen.layout.work.model import Work
from templgen.units import format_length

__all__ = ["Subject", "Told"]


class Told(Struct, frozen=True):
    """A piece of work in words."""

    title: str
    detail: str
    ticks: tuple[str, ...]


class Subject:
    """A piece of work with what it speaks of."""

    def __init__(self, job: Job, assembly: Assembly, work: Work, doubts: tuple[Doubt, ...] = ()) -> None:
        self.job, self.assembly, self.work, self.doubts = job, assembly, work, doubts

    def show(self, length: float) -> str:
        """Return a length in both units, the job's first."""
        return format_length(length, self.job.unit)

    @property
    def inside_is_closed(self) -> bool:
        """Whether nobody reaches behind the skin: it is not needed, and no wish for it comes true."""
        return not any(each != "outside" for each in self.work.need | self.work.wish)

    @property
    def is_pinned(self) -> bool:
        """Whether its template is pinned on locating holes in the skin; a ring may have some that are not."""
        return bool(self.located)

    @property
    def located(self) -> list[Fastener]:
        """The locating holes that the skin has of its feature."""
        return [f for f in self.own if f.locating and "skin" in f.stack]

    @property
    def own(self) -> list[Fastener]:
        """All fasteners of its feature that are not there yet."""
        return [f for f in self.assembly.fasteners if f.feature == self.work.feature and not f.exists]

    @property
    def is_marked_before(self) -> bool:
        """Whether the parts are marked in an earlier step: where lugs are drilled with the cover off."""
        return any(f.is_from_nutplate and "skin" in f.stack for f in self.own)

    @property
    def is_dimpled_from_outside(self) -> bool:
        """Whether it dimples a skin behind which no squeezer reaches."""
        return "skin" in self.work.parts and not self.work.need | self.work.wish >= INSIDE

    @property
    def guide(self) -> str:
        """The part through whose holes others are match-drilled: the one that is named in the work's key."""
        return self.work.key.rpartition("through ")[2]

    @property
    def is_guided_over_pins(self) -> bool:
        """Whether the guide lies on a skin that has its locating holes already."""
        return self.guide != "skin" and "skin" in self.work.parts and self.is_pinned

    @property
    def marks(self) -> str:
        """The marks of its holes, in short."""
        return marks_in_short(self.work.fasteners)

    @property
    def fasteners(self) -> list[Fastener]:
        """Its fasteners."""
        named = {f.name: f for f in self.assembly.fasteners if not f.exists}
        return [named[name] for name in self.work.fasteners]

    @property
    def mast(self) -> MastFit:
        """The mast that it belongs to."""
        return next(mast for mast in self.assembly.masts if mast.name == self.work.feature)

    @property
    def mast_def(self) -> Mast:
        """The mast as the job has it."""
        return next(mast for mast in self.job.mast if mast.name == self.work.feature)

    @property
    def opening(self) -> OpeningSet:
        """The access opening that it belongs to."""
        return next(opening for opening in self.assembly.openings if opening.name == self.work.feature)

    @property
    def is_opening(self) -> bool:
        """Whether the feature is an access opening."""
        return any(opening.name == self.work.feature for opening in self.assembly.openings)

    @property
    def is_mast(self) -> bool:
        """Whether the feature is a mast."""
        return any(mast.name == self.work.feature for mast in self.assembly.masts)
