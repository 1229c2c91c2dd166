"""A hole that exists is not where the template has it, or the holes do not fix the template.

Rule: After the best turn and shift (no scale, no mirror; each hole weighted with how well it was measured)
    every measured hole lies on its target as near as the doubts explain. One hole that is off more is named;
    the fit is then made without it.
Why: The paper is laid on those holes. One that was measured wrong turns the whole template; holes that stand
    close together turn it with every hair's breadth.
Bad: Three rivets of which one was read 4 mm off; two rivets 20 mm apart that carry a template 300 mm long.
Good: Four rivets round the template, each within what it was measured to.
Source: Derived: geometry of rigid motions. How far the farthest corner may be off is our own default.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_most, both, counted
from templgen.geometry.alignment import placement_doubts
from templgen.layout.alignment import LARGEST_LEVER, AlignedHole, Alignment, DistanceBetween
from templgen.layout.assembly import SKIN_PLANE
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import OWN_DEFAULT, Source
from templgen.units import format_number

DERIVED = Source("geometry of rigid motions", derived=True)
ENOUGH_HOLES = 3
AGAIN = "measure it again, and its neighbours from it"


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for each hole and distance, and one for what they fix together."""
    alignment = survey.assembly.alignment
    if alignment is None:
        yield RULE.not_applicable("no hole that exists was measured to lay the paper on")
        return
    yield from (_distance(each) for each in alignment.distances)
    if alignment.state in ("too few", "not fixed"):
        yield _can_not_judge(alignment)
    elif alignment.state == "mirrored":
        yield _mirrored(alignment)
    else:
        yield from (_hole(alignment, each) for each in alignment.holes)
        yield from _together(alignment)


def _hole(alignment: Alignment, each: AlignedHole) -> Finding:
    name, on = each.hole.name, Subject(each.hole.where, "", "", SKIN_PLANE, each.place)
    if each.is_wrong:
        return _measured_wrong(alignment, each, on)
    words = f"{name} is {both(each.residual)} from its target after the fit"
    if len(alignment.suspects) > 1 and any(name in names for names in alignment.suspects):
        words += "; it may be the one that was measured wrong"
    told = Told(on, f"{words}; doubts explain {both(each.bound)}", cure=AGAIN, source=DERIVED)
    return told_one(RULE, each.residual, each.bound, max(0.0, each.bound - each.doubt), told, at_most=True)


def _measured_wrong(alignment: Alignment, each: AlignedHole, on: Subject) -> Finding:
    return RULE.found(
        Verdict.FAIL,
        f"{each.hole.name} was measured wrong, or is not the hole that was meant: the other "
        f"{counted(alignment.used, 'hole')} fit without it, and put it {both(each.residual)} off",
        on,
        measured=each.residual,
        limit=each.bound,
        cure=AGAIN,
        source=str(DERIVED),
    )


def _distance(each: DistanceBetween) -> Finding:
    off, limit = abs(each.length - each.expected), each.doubt + each.target_doubt
    words = (
        f"from {each.start} to {each.end} it is {both(each.length)}, on the template {both(each.expected)}: "
        f"off by {both(off)}; doubts explain {both(limit)}"
    )
    told = Told(Subject(each.where, "", "", SKIN_PLANE), words, cure="measure it again", source=DERIVED)
    return told_one(RULE, off, limit, each.target_doubt, told, at_most=True)


def _together(alignment: Alignment) -> Iterator[Finding]:
    """What the holes fix together: which are suspect, and whether they carry the template."""
    on = _first(alignment)
    if alignment.state == "does not fit":
        yield RULE.found(
            Verdict.FAIL,
            f"the holes do not fit the template together; {_suspects(alignment)}; no target is drawn",
            on,
            cure=f"measure again{_and_next(alignment)}",
            source=str(DERIVED),
        )
        return
    off = f"the template's farthest corner may be off {both(alignment.placement_doubt)}"
    if alignment.used < ENOUGH_HOLES:
        reason = f"two holes do not show which of them was measured wrong; {off}"
    elif alignment.lever > LARGEST_LEVER:
        reason = f"the holes stand too close together for this template: {off}"
    else:
        yield RULE.found(
            Verdict.PASS,
            f"{counted(alignment.used, 'hole')} fix the template: {off}",
            on,
            severity=Severity.INFORMATION,
            measured=alignment.lever,
            limit=LARGEST_LEVER,
            unit="times the worst hole's doubt",
        )
        return
    yield RULE.not_checked(f"{reason}{_next(alignment)}", on, cure=_cure(alignment))


def _can_not_judge(alignment: Alignment) -> Finding:
    reason = "one hole does not fix how the template is turned"
    if alignment.state == "not fixed":
        reason = "the distances leave some hole free to move: measure more pairs, not all along one line"
    return RULE.not_checked(f"{reason}{_next(alignment)}", _first(alignment), cure=_cure(alignment))


def _mirrored(alignment: Alignment) -> Finding:
    return RULE.found(
        Verdict.FAIL,
        "the holes fit the template only as its mirror image: x or y of their places was read backwards, or "
        "they were measured on the other face",
        _first(alignment),
        cure="look at the datum again; the paper is never laid by a mirrored fit",
        source=str(DERIVED),
    )


def _first(alignment: Alignment) -> Subject:
    return Subject(alignment.holes[0].hole.where, "", "", SKIN_PLANE)


def _suspects(alignment: Alignment) -> str:
    sets = [" with ".join(names) for names in alignment.suspects]
    if len(sets) > 1:
        return f"it can not be told which was measured wrong: {', or '.join(sets)}"
    return "too few agree to tell which was measured wrong"


def _next(alignment: Alignment) -> str:
    best = alignment.next_hole
    if best is None:
        return "; no other known rivet can be measured: give one more in [[structure]], far from these"
    return f"; one more helps most at {best.name}: then {at_most(best.placement_doubt)} at that corner"


def _and_next(alignment: Alignment) -> str:
    return "" if alignment.next_hole is None else f", and {alignment.next_hole.name} too"


def _cure(alignment: Alignment) -> str:
    best = alignment.next_hole
    return "measure another hole, far from these" if best is None else f"measure {best.name} too"


def _lever_of_two() -> float:
    """Two holes 100 mm apart, a corner on their line 150 mm from their middle: they swing it 150 / 50."""
    holes, corner = np.array([(-50.0, 0.0), (50.0, 0.0)]), np.array([(150.0, 0.0)])
    return float(placement_doubts(holes, np.ones(2), corner)[0])


RULE = Rule(
    name="existing-hole-does-not-fit",
    title="A hole that exists is not where the template has it",
    formula=(
        "residual after the best turn and shift at most what the doubts explain; farthest corner off at most "
        f"{format_number(LARGEST_LEVER, 1, trim=True)} x the worst hole's doubt"
    ),
    sources=(DERIVED, Source(OWN_DEFAULT)),
    severity=Severity.ERROR,
    cure="measure the hole that is named again, or measure one more",
    example=WorkedExample(
        "two holes 100 mm apart, a corner on their line 150 mm from their middle",
        _lever_of_two,
        3.0,
        "times their doubt",
    ),
    func=check,
)
