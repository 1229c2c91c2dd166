"""Behind the sheet there is no room for a blind rivet before it is pulled.

Rule: The free depth behind the stack is at least the unset length: what stands behind the sheets before the
    rivet is pulled, as the maker's table gives it. Parts between the skin and the rivet's end take their
    share of the room. Behind a web the room is measured on the side away from the bracket.
Why: The rivet's body meets what lies behind, and its head does not seat.
Bad: A rivet of 7.6 mm (0.30 in) unset length over a tube 5 mm behind the skin.
Good: A shorter rivet, or the tube moved aside while the rivet is set.
Source: The builder's own table and measurement; the comparison is derived.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from templgen.checks.kinds import Kind, kinds_in
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted
from templgen.layout.assembly import SKIN_PLANE
from templgen.layout.finding import Finding, Severity
from templgen.trade.source import BUILDERS_TABLE, Source

BUILDER = Source(BUILDERS_TABLE)


class _Room(Struct, frozen=True):
    """Where the room is, how much of it is free behind the stack (mm; None: nobody gave it), and the cure."""

    where: str
    free: float | None
    cure: str


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every kind of blind rivet and its stack."""
    kinds = [kind for kind in kinds_in(survey) if kind.spec.kind == "blind rivet"]
    if not kinds:
        yield RULE.not_applicable("no blind rivet")
    for kind in kinds:
        yield _judge(survey, kind)


def _judge(survey: Survey, kind: Kind) -> Finding:
    on, length = survey.hole(kind.first, kind.stack[-1]), kind.spec.unset_length
    what = f"{counted(len(kind.indices), 'rivet')} {kind.spec.name}"
    if length is None:
        cure = "give unset_length from the maker's table"
        return RULE.not_checked(f"{what}: its unset length is not given", on, cure=cure)
    room = _room(survey, kind)
    if room.free is None:
        missing = f"{what}: the room {room.where} is not given; it needs {both(length)}"
        return RULE.not_checked(missing, on, cure=room.cure)
    message = f"{what}: {both(room.free)} free {room.where}, its unset length is {both(length)}"
    return told_one(
        RULE,
        room.free,
        length,
        0.0,
        Told(on, message, f"take a rivet {at_least(length - room.free)} shorter"),
    )


def _room(survey: Survey, kind: Kind) -> _Room:
    """The room at the end of the rivets that has no head yet."""
    end = kind.stack[-1 if kind.head_face is kind.stack[0] else 0]
    if kind.first.plane == SKIN_PLANE:
        if kind.first.head_side != "outside":
            return _Room("outside the skin", None, "measure it there")
        room = survey.assembly.room_behind
        # the room is counted from the skin's inner face, the rest of the stack takes part of it
        taken = sum(face.thickness for face in kind.stack if face.order > 0)
        free = None if room is None else room - taken
        return _Room("behind the skin", free, "measure room_behind and give it in [skin]")
    bracket = kind.first.feature
    if survey.part_of(end).kind != "structure":
        return _Room(f"behind {end.name}", None, "measure it there")
    cure = f"measure room_behind_web and give it in the bracket {bracket}"
    return _Room(f"behind {end.name}", survey.assembly.room_behind_web.get(bracket), cure)


RULE = Rule(
    name="no-room-for-blind-rivet",
    title="There is no room behind the sheet for a blind rivet",
    formula="room behind the stack at least the unset length",
    sources=(BUILDER,),
    severity=Severity.ERROR,
    cure="take a shorter rivet, or make room",
    example=WorkedExample("room 0.25 in, plate 0.040 in behind the skin", lambda: 0.25 - 0.040, 0.21, "in"),
    func=check,
)
