"""A seam or a stiffener has a gap between two of its fasteners.

Rule: In a row that the job declares a seam or a stiffener the next fastener follows within 8 D. Other rows,
    such as those of a plate or a bracket, have no largest pitch.
Why: Between two far rivets the sheets gape and buckle, and water and dirt get in.
Bad: A seam of 1/8 rivets with one gap of 38 mm (1.5 in).
Good: The same seam at 19 mm (3/4 in), 6 D.
Source: NAVEDTRA 14018 ch. 13 (seldom above 8 D). Others print 10 D and 12 D, so it warns and never fails.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from templgen.checks.holes import Flags, Floats, Ints
from templgen.checks.rows import rows_of, sets_of
from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import both, hole_name, multiple
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.units import inches_to_mm, mm_to_inches

LIMIT = limit("pitch-most")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every row that is declared a seam or a stiffener."""
    declared = np.array([bool(fastener.row) for fastener in survey.holes.fasteners], dtype=bool)
    chains = _chains(survey, declared & ~survey.holes.exists)
    steps = [step for chain in chains for step in pairwise(chain)]
    if not steps:
        yield RULE.not_applicable("no row is declared a seam or a stiffener")
        return
    yield from _judge(survey, np.array(steps, dtype=np.intp))


def _chains(survey: Survey, chosen: Flags) -> list[Ints]:
    """The holes of each declared row in the order in which they follow; a bent row goes by its numbers."""
    chains = []
    for indices in sets_of(survey.holes, chosen):
        rows = rows_of(survey.holes, indices)
        whole = sum(len(row.indices) for row in rows) == len(indices)
        chains.extend([row.indices for row in rows] if whole else [indices])
    return chains


def _judge(survey: Survey, steps: Ints) -> Iterator[Finding]:
    holes = survey.holes
    first, second = steps[:, 0], steps[:, 1]
    gaps = holes.xy[second] - holes.xy[first]
    value: Floats = np.hypot(gaps[:, 0], gaps[:, 1])
    diameter = np.maximum(holes.diameter[first], holes.diameter[second])
    most = LIMIT.value * diameter

    def say(index: int) -> Told:
        one, other = holes.fastener(int(first[index])), holes.fastener(int(second[index]))
        more = int(np.ceil(value[index] / most[index])) - 1
        return Told(
            survey.hole(one, survey.shared_face(one, other)),
            f"{hole_name(one)} and {hole_name(other)} of a {one.row}: {both(value[index])} apart, at most "
            f"{both(most[index])} = {multiple(most[index], diameter[index])}",
            f"put {more} more between them",
        )

    measured = Measured(value, most, holes.doubt[first] + holes.doubt[second], at_most=True)
    yield from told(RULE, measured, say, Subject(), "step of a row", "steps of a row")


RULE = Rule(
    name="pitch-too-large",
    title="A seam or a stiffener has a gap between two of its fasteners",
    formula=LIMIT.formula_text,
    sources=(LIMIT.source,),
    severity=Severity(LIMIT.severity),
    cure="put more fasteners into the row",
    example=WorkedExample(
        "seam of 1/8 in rivets: 8 x 0.125 in",
        lambda: mm_to_inches(LIMIT.mm(diameter=inches_to_mm(0.125))),
        1.0,
        "in",
    ),
    func=check,
)
