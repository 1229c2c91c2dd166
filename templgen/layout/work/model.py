"""Pieces of work and the steps that are told of them."""

from __future__ import annotations

from enum import IntEnum

from msgspec import Struct, field

from templgen.errors import Location

__all__ = ["ON_THE_BENCH", "Drilling", "Stage", "Step", "Work"]

_NOWHERE = Location("<job>", 1, 1)


class Stage(IntEnum):
    """What kind of work it is; of two works that wait for nothing the lower one comes first."""

    CLOSED_BEFORE = 0
    PROVE = 10
    TRIAL = 11
    LOOK = 12
    STOP = 13
    MAKE = 20
    SUPPORT = 30
    TAPE = 31
    LOCATE = 32
    PILOT = 33
    CUT = 34
    TRY = 35
    MATCH = 40
    LUGS_CLAMPED = 45
    FINAL = 50
    LUGS = 51
    DIMPLE = 52
    NUTPLATES = 53
    CLEAN = 60
    FEED = 61
    CLEAR_TABLE = 62
    NUTPLATES_IN_PLACE = 63
    FASTEN = 70
    BOX = 71
    SLEEVE = 72
    FLARE = 73
    THREAD = 74
    TASK = 75
    CONNECT = 76
    LEAK = 78
    CLOSE = 80
    COVER = 85
    LEAK_AGAIN = 90
    RECORD = 95


ON_THE_BENCH = frozenset(
    {
        Stage.PROVE,
        Stage.TRIAL,
        Stage.MAKE,
        Stage.LUGS,
        Stage.FINAL,
        Stage.DIMPLE,
        Stage.NUTPLATES,
        Stage.BOX,
        Stage.SLEEVE,
        Stage.FLARE,
    }
)
"""Work that needs no access to the aircraft, unless its need says otherwise."""


class Work(Struct, frozen=True):
    """One piece of work.

    Attributes:
        key: unique name, for the order.
        stage: what kind of work it is.
        feature: what the builder named; "" for the whole job.
        need: access that it needs: "outside", "inside", "hand through NAME"; empty for the bench.
        wish: access that it uses where that is still there, and does without where it is not.
        fasteners: names of the fasteners concerned.
        cutouts: names of the cutouts concerned.
        parts: names of the parts concerned.
        words: what it is called in a finding: "13 solid rivets 1/8 of mast".
        takes: a closing's: the access that is gone afterwards.
        where: its place in the job file.
    """

    key: str
    stage: Stage
    feature: str = ""
    need: frozenset[str] = frozenset()
    fasteners: tuple[str, ...] = ()
    cutouts: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    words: str = ""
    takes: str = ""
    where: Location = field(default_factory=lambda: _NOWHERE)
    wish: frozenset[str] = frozenset()


class Drilling(Struct, frozen=True):
    """Holes of one step and one drill: their marks, the parts, the drill, its diameter in mm."""

    holes: tuple[str, ...]
    parts: tuple[str, ...]
    drill: str
    diameter: float
    remark: str = ""


class Step(Struct, frozen=True):
    """One step of the work, as a packet tells it.

    Attributes:
        number: from 1.
        title: in few words.
        detail: how it is done, in sentences.
        parts: names of the parts concerned.
        holes: marks of the holes concerned.
        access: "bench", "both sides", "outside only", "inside", "hand through NAME"; "" where any will do.
        ticks: what is ticked off.
        drills: what is drilled in this step.
        feature: what the builder named; "" for the whole job.
        stage: what kind of work it is.
        takes: a closing's: the access that is gone afterwards.
    """

    number: int
    title: str
    detail: str
    parts: tuple[str, ...]
    holes: tuple[str, ...]
    access: str
    ticks: tuple[str, ...]
    drills: tuple[Drilling, ...] = ()
    feature: str = ""
    stage: Stage = Stage.TASK
    takes: str = ""
