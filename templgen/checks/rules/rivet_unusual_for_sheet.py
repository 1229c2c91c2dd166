"""A rivet's diameter is unusual for the sheet it holds.

Rule: A solid rivet is at least as thick as the thickest sheet of its stack, else it warns; it is at most
    three times as thick, or the next size that is sold, else it is told for information. Both are guides and
    stop nothing.
Why: A thin rivet shears before the sheet bears; a thick one tears thin sheet while it is driven.
Bad: A 3/32 rivet in a spar flange of 0.125 in; a 1/8 rivet in 0.025 in sheet, where 3/32 is sold.
Good: A 1/8 rivet in 0.040 in sheet: 3 t is 0.120 in, and no size is sold between.
Source: NAVEDTRA 14018 ch. 13 rules 6 and 7. AC 43.13-1B para 4-58g picks 1/8 for 0.032 in (3.9 t), the next
    size above 3 t, so the upper guide by itself is disputed.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import Kind, kinds_in
from templgen.checks.rule import ROUNDING_MM, Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import both, counted
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.trade.rivets import SolidRivet, solid_rivets
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
    sold, usual = next_size(least), next_size(most)
    thin = Told(
        on,
        f"{what}: at least {both(least)}",
        f"use {_name(sold)} or thicker" if sold else f"use a rivet of {both(least)} or more",
        Severity(LEAST.severity),
        source=LEAST.source,
    )
    thick = Told(
        on,
        f"{what}: guide at most {both(most)}, or the next size sold",
        f"{_name(usual) if usual else f'a rivet of {both(most)}'} or thinner is usual",
        Severity(MOST.severity),
        source=MOST.source,
    )
    yield told_one(RULE, diameter, least, 0.0, thin)
    yield told_one(RULE, diameter, usual.diameter_mm if usual else most, 0.0, thick, at_most=True)


def next_size(diameter: float) -> SolidRivet | None:
    """Return the smallest solid rivet that is sold and not thinner than this, mm; None above the largest."""
    return next((each for each in solid_rivets() if each.diameter_mm >= diameter - ROUNDING_MM), None)


def _name(rivet: SolidRivet) -> str:
    return f"a {rivet.nominal} rivet, {both(rivet.diameter_mm)},"


def _usual_in(thickness_in: float) -> float:
    rivet = next_size(MOST.mm(thickness=inches_to_mm(thickness_in)))
    return 0.0 if rivet is None else mm_to_inches(rivet.diameter_mm)


RULE = Rule(
    name="rivet-unusual-for-sheet",
    title="A rivet's diameter is unusual for the sheet it holds",
    formula=f"{LEAST.formula_text}; {MOST.formula_text}, or the next size sold",
    sources=(LEAST.source, MOST.source),
    severity=Severity(LEAST.severity),
    cure="use another diameter",
    example=WorkedExample(
        "AC 43.13-1B para 4-58g, sheet of 0.032 in: 3 x 0.032 = 0.096 in, next size 1/8",
        lambda: _usual_in(0.032),
        0.125,
        "in",
    ),
    func=check,
)
