"""One hole is there twice.

Rule: No hole has its centre inside another hole of the same face: then one of them was laid out twice.
Why: The shop's machine cuts the place twice and burns its edge; the schedule counts a rivet too many.
Bad: A pattern and a single hole that both name the corner of a plate.
Good: One of them.
Source: Derived; nobody can accept it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import both, counted, hole_name
from templgen.geometry.bulk import distinct
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

DERIVED = Source("geometry of the holes", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one finding for every hole that is there twice, and one for all others."""
    holes, pairs = survey.holes, survey.sharing_pairs
    if len(holes) < 2:
        yield RULE.not_applicable("fewer than two holes")
        return
    smaller = np.minimum(holes.hole[pairs.first], holes.hole[pairs.second]) / 2
    twice = pairs.where(pairs.distance < smaller)
    for first, second, distance in zip(twice.first, twice.second, twice.distance, strict=True):
        one, other = holes.fastener(int(second)), holes.fastener(int(first))
        one, other = (other, one) if one.exists else (one, other)
        yield RULE.found(
            Verdict.FAIL,
            f"{hole_name(one)} is {hole_name(other)} again: {both(float(distance))} from centre to centre",
            survey.hole(one, survey.shared_face(one, other)),
            measured=float(distance),
            limit=float(min(one.spec.hole, other.spec.hole) / 2),
            cure="leave one of them out",
        )
    alone = len(holes) - len(distinct(np.concatenate((twice.first, twice.second))))
    if alone:
        yield RULE.found(
            Verdict.PASS, f"{counted(alone, 'hole')} once each", severity=Severity.INFORMATION, count=alone
        )


RULE = Rule(
    name="doubled-hole",
    title="One hole is there twice",
    formula="no centre inside another hole",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="leave one of them out",
    example=WorkedExample(
        "two #30 holes are one hole twice below 0.1285 / 2 in", lambda: 0.1285 / 2, 0.06425, "in"
    ),
    func=check,
    acceptable=False,
)
