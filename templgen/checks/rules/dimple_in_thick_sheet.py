"""A sheet is dimpled that is thick enough to be countersunk.

Rule: Sheet of 0.040 in and more under a dimpled head warns: it is countersunk rather than dimpled, for
    heads the size of 3/32 rivets; larger heads are dimpled in thicker sheet too. A sheet that is countersunk
    to take the dimples of those on it is none of them.
Why: Thick sheet cracks round the dimple and lifts beside it; a cover puffs out after its holes are dimpled.
Bad: A 0.063 in cover dimpled for #8 screws with hand dies.
Good: The same cover countersunk, if it is thicker than the countersink is deep; or of 0.032 in sheet,
    dimpled.
Source: Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import kinds_in
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.units import mm_to_inches

LIMIT = limit("dimple-below")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every kind of dimpled fastener and every sheet it dimples."""
    kinds = [kind for kind in kinds_in(survey) if kind.spec.is_flush and kind.spec.seat == "dimpled"]
    if not kinds:
        yield RULE.not_applicable("no dimpled fastener")
    for kind in kinds:
        for face in kind.dimpled:
            what = f"{counted(len(kind.indices), 'hole')} of {kind.spec.name}"
            message = f"{what}: {face.name} is {both(face.thickness)} thick, dimpled up to {both(LIMIT.mm())}"
            over = kind.stack.index(face) > 0 and face is kind.stack[-1]
            into = ' to take the dimples on it (under_dimples = "countersunk" of a ring)' if over else ""
            cure = f"countersink it{into}, or use sheet {at_least(face.thickness - LIMIT.mm())} thinner"
            said = Told(survey.hole(kind.first, face), message, cure)
            yield told_one(RULE, face.thickness, LIMIT.mm(), 0.0, said, at_most=True)


RULE = Rule(
    name="dimple-in-thick-sheet",
    title="A sheet is dimpled that is thick enough to be countersunk",
    formula="dimpled sheet at most 0.040 in",
    sources=(LIMIT.source,),
    severity=Severity(LIMIT.severity),
    cure="countersink the sheet, or use a thinner one",
    example=WorkedExample(
        "thickest sheet that is dimpled without a warning", lambda: mm_to_inches(LIMIT.mm()), 0.040, "in"
    ),
    func=check,
)
