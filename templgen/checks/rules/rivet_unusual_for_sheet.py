"""A rivet's diameter is unusual for the sheet it holds.

Rule: A solid rivet is at least as thick as the thickest sheet of its stack, else it warns; it is at most
    three times as thick, else it is told for information. Both are guides and stop nothing.
Why: A thin rivet shears before the sheet bears; a thick one tears thin sheet while it is driven.
Bad: A 3/32 rivet in a spar flange of 0.125 in.
Good: A 1/8 rivet in 0.040 in sheet (3.1 t).
Source: NAVEDTRA 14018 ch. 13 rules 6 and 7. AC 43.13-1B para 4-58g picks 1/8 for 0.032 in (3.9 t), so the
    upper guide is disputed.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import Kind, kinds_in
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import both, counted
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.units import inches_to_mm, mm_to_inches

LEAST = limit("diameter-least")
MOST = limit("diameter-most")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield two results for every kind of solid rivet and its stack."""
    kinds = [kind for kind in kinds_in(survey) if kind.spec.kind == "solid rivet"]
    if not kinds:
        yield RULE.not_applicable("no solid rivet to drive")
    for kind in kinds:
        yield from _judge(survey, kind)


def _judge(survey: Survey, kind: Kind) -> Iterator[Finding]:
    thickest = max(kind.stack, key=lambda face: face.thickness)
    diameter, sheet = kind.spec.diameter, thickest.thickness
    on = survey.hole(kind.first, thickest)
    rivets = f"{counted(len(kind.indices), 'rivet')} {kind.spec.name}, {both(diameter)}"
    what = f"{rivets}, in {thickest.name} of {both(sheet)}"
    least, most = LEAST.mm(thickness=sheet), MOST.mm(thickness=sheet)
    thin = Told(
        on,
        f"{what}: at least {both(least)}",
        f"use a rivet of {both(least)} or more",
        Severity(LEAST.severity),
        source=LEAST.source,
    )
    thick = Told(
        on,
        f"{what}: guide at most {both(most)}",
        f"a rivet of {both(most)} or less is usual",
        Severity(MOST.severity),
        source=MOST.source,
    )
    yield told_one(RULE, diameter, least, 0.0, thin)
    yield told_one(RULE, diameter, most, 0.0, thick, at_most=True)


RULE = Rule(
    name="rivet-unusual-for-sheet",
    title="A rivet's diameter is unusual for the sheet it holds",
    formula=f"{LEAST.formula_text}; {MOST.formula_text}",
    sources=(LEAST.source, MOST.source),
    severity=Severity(LEAST.severity),
    cure="use another diameter",
    example=WorkedExample(
        "sheet of 0.040 in: guide at most 3 x 0.040 in",
        lambda: mm_to_inches(MOST.mm(thickness=inches_to_mm(0.040))),
        0.120,
        "in",
    ),
    func=check,
)
