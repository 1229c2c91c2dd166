"""A structural rivet is smaller than 3/32 in.

Rule: Rivets of 3/32 in and more only: smaller ones are not for structure.
Why: A smaller rivet carries next to nothing and is easily over-driven.
Bad: A doubler riveted with 1/16 rivets.
Good: The same doubler with 3/32 rivets at a wider pitch.
Source: NAVEDTRA 14018 ch. 13 rule 5.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import kinds_in
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import both, counted
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.units import mm_to_inches

LIMIT = limit("structural-rivet-least")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every kind of rivet and its stack."""
    kinds = [kind for kind in kinds_in(survey) if kind.spec.kind in ("solid rivet", "blind rivet")]
    if not kinds:
        yield RULE.not_applicable("no rivet to set")
    for kind in kinds:
        what = f"{counted(len(kind.indices), 'rivet')} {kind.spec.name}"
        message = f"{what}: diameter {both(kind.spec.diameter)}, structure takes {both(LIMIT.mm())} and more"
        said = Told(
            survey.hole(kind.first, kind.head_face), message, f"use rivets of {both(LIMIT.mm())} or more"
        )
        yield told_one(RULE, kind.spec.diameter, LIMIT.mm(), 0.0, said)


RULE = Rule(
    name="rivet-too-small",
    title="A structural rivet is smaller than 3/32 in",
    formula=LIMIT.formula_text,
    sources=(LIMIT.source,),
    severity=Severity(LIMIT.severity),
    cure="use larger rivets",
    example=WorkedExample("smallest structural rivet", lambda: mm_to_inches(LIMIT.mm()), 0.09375, "in"),
    func=check,
)
