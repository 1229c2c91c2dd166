"""Two holes overlap.

Rule: In every face the centres of two holes stand at least half the sum of their diameters apart. Two holes
    whose centres lie within each other are one hole twice: see doubled-hole.
Why: Two holes that meet are one ragged slot; the second drill is drawn into the first hole.
Bad: A #30 hole 2 mm from a #40 hole.
Good: One of the two.
Source: Derived; nobody can accept it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, hole_name
from templgen.layout.finding import Finding, Severity
from templgen.trade.source import Source

DERIVED = Source("geometry of the holes", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for all pairs of holes that share a face."""
    holes, pairs = survey.holes, survey.sharing_pairs
    apart = pairs.distance >= np.minimum(holes.hole[pairs.first], holes.hole[pairs.second]) / 2
    pairs = pairs.where(apart)
    if len(holes) < 2:
        yield RULE.not_applicable("fewer than two holes")
        return
    least = (holes.hole[pairs.first] + holes.hole[pairs.second]) / 2

    def say(index: int) -> Told:
        one, other = holes.fastener(int(pairs.second[index])), holes.fastener(int(pairs.first[index]))
        one, other = (other, one) if one.exists else (one, other)
        short = float(least[index] - pairs.distance[index])
        return Told(
            survey.hole(one, survey.shared_face(one, other)),
            f"{hole_name(one)} and {hole_name(other)} overlap by {both(short)}",
            f"leave one out, or move them {at_least(short)} apart and more",
        )

    doubt = holes.doubt[pairs.first] + holes.doubt[pairs.second]
    measured = Measured(pairs.distance, least, doubt)
    yield from told(RULE, measured, say, Subject(), "pair of holes", "pairs of holes")
    if not len(pairs):
        yield RULE.not_applicable("no two holes that share a face come near to each other")


RULE = Rule(
    name="holes-overlap",
    title="Two holes overlap",
    formula="centre to centre at least half the sum of the diameters",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="leave one out, or move them apart",
    example=WorkedExample(
        "#30 (0.1285 in) and #40 (0.098 in) 0.08 in apart: overlap",
        lambda: (0.1285 + 0.098) / 2 - 0.08,
        0.03325,
        "in",
    ),
    func=check,
    acceptable=False,
)
