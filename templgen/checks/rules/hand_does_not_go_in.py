"""The hand that has to go in does not pass the opening.

Rule: The clear hole, less what nutplates take of it, passes the smallest published opening for what has to go
    in: a bare hand, a hand round a tool (always where solid rivets are bucked through it), or both hands. The
    builder's own hand goes before the table: it counts as a flat shape with round edges, as wide and as thick
    as measured.
Why: What can not be reached can not be undone, safety-wired or looked at.
Bad: Both hands through a hole of 102 x 127 mm (4 x 5 in).
Good: One bare hand through the same hole.
Source: MIL-STD-1472, arm and hand access dimensions, from memory, so it warns; the builder's own hand may
    fail.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templgen.checks.openings import clear_space_of, cut_doubt, none_here, of_opening
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import both
from templgen.geometry.convex import SAGITTA
from templgen.geometry.holding import HoleSpace, hold_turned
from templgen.layout.finding import Finding, Severity
from templgen.layout.openings.model import Hand, OpeningSet
from templgen.layout.work.access import HAND
from templgen.trade.hands import HandOpening, hand_opening
from templgen.trade.source import BUILDERS_TABLE, Source
from templgen.units import inches_to_mm, mm_to_inches

PUBLISHED = hand_opening("bare hand").source
OWN_HAND = Source(BUILDERS_TABLE)
TOOL = "hand with tool"
ANGLES = tuple(15.0 * number for number in range(12))


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for everything that has to go in through every opening."""
    if not survey.assembly.openings:
        yield RULE.not_applicable(none_here)
    for opening in survey.assembly.openings:
        space = clear_space_of(survey, opening)
        for need in _needs(survey, opening):
            own = own_size(opening.hand, need)
            if own is None:
                yield _published(survey, opening, space, hand_opening(need))
            else:
                yield _own(survey, opening, space, need, *own)


def _needs(survey: Survey, opening: OpeningSet) -> list[str]:
    """What the job asks for, and a hand with a tool where solid rivets are bucked through the opening."""
    access = HAND + opening.name
    bucked = any(
        each.access == access and each.spec.kind == "solid rivet" and not each.exists
        for each in survey.assembly.fasteners
    )
    needs: list[str] = list(opening.hand.needs)
    return [*needs, TOOL] if bucked and not {TOOL, "two hands"} & set(needs) else needs


def own_size(hand: Hand, need: str) -> tuple[float, float] | None:
    """Return width and thickness of what goes in by the builder's own measure, mm; None where not given."""
    width, thickness = {
        "bare hand": (hand.width, hand.thickness),
        "hand with tool": (hand.tool_width, hand.tool_thickness),
        "two hands": (hand.two_hands_width, hand.thickness),
    }[need]
    if width is None or thickness is None:
        return None
    return max(width, thickness), min(width, thickness)


def room_for(space: HoleSpace, width: float, height: float, radius: float = 0.0) -> float:
    """Return the room (mm, below 0 where there is none) round a rectangle with a radius all round."""
    w, h = width / 2, height / 2
    figure: NDArray[np.float64] = np.array([(-w, -h), (w, -h), (w, h), (-w, h)])
    room = hold_turned(space, figure, ANGLES)[0].clearance - radius
    # chords stand for the arcs of the hole: what lacks no more than they cost, fits
    return 0.0 if -SAGITTA <= room < 0.0 else room


def _published(survey: Survey, opening: OpeningSet, space: HoleSpace, table: HandOpening) -> Finding:
    rooms = [room_for(space, table.width_mm, table.height_mm)]
    size = f"{both(table.width_mm)} x {both(table.height_mm)}"
    if table.round_mm is not None:
        rooms.append(room_for(space, 0.0, 0.0, table.round_mm / 2))
        size += f" or {both(table.round_mm)} round"
    told = Told(
        of_opening(opening, opening.ring_face),
        f"{table.need} through {opening.name}: {table.words} needs {size}; {_left(max(rooms))}",
        f"make the opening {both(max(-2 * max(rooms), 0.0))} wider, or give the size of your own hand",
        Severity.WARNING,
        source=table.source,
    )
    return told_one(RULE, max(rooms), 0.0, cut_doubt(survey, opening), told)


def _own(
    survey: Survey, opening: OpeningSet, space: HoleSpace, need: str, width: float, thickness: float
) -> Finding:
    room = room_for(space, width - thickness, 0.0, thickness / 2)
    # with nutplates taken off by straight lines, or in a hole that is not convex, a miss is no proof
    whole = HoleSpace.of(opening.clear_hole)
    proven = room < 0.0 and whole.is_convex and room_for(whole, width - thickness, 0.0, thickness / 2) < 0.0
    told = Told(
        of_opening(opening, opening.ring_face),
        f"{need} through {opening.name}: your own is {both(width)} x {both(thickness)}; {_left(room)}",
        f"make the opening {both(max(-2 * room, 0.0))} wider",
        Severity.ERROR if proven else Severity.WARNING,
        source=OWN_HAND,
    )
    return told_one(RULE, room, 0.0, cut_doubt(survey, opening), told)


def _left(room: float) -> str:
    return f"{both(room)} left all round" if room >= 0.0 else f"{both(-room)} too little all round"


RULE = Rule(
    name="hand-does-not-go-in",
    title="The hand that has to go in does not pass the opening",
    formula="the clear hole holds 4 x 2-1/4 in or 4 in round (bare hand), 3-3/4 in (tool), 8 x 5 in (both)",
    sources=(PUBLISHED, OWN_HAND),
    severity=Severity.ERROR,
    cure="make the opening larger, or give the size of your own hand",
    example=WorkedExample(
        "4 x 2.25 in in a hole of 5 x 4 in, along it: (4 - 2.25) / 2 or (5 - 4) / 2, the less",
        lambda: mm_to_inches(min(inches_to_mm(4.0 - 2.25), inches_to_mm(5.0 - 4.0)) / 2),
        0.5,
        "in",
    ),
    func=check,
)
