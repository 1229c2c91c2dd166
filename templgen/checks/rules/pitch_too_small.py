"""Two fasteners stand too near each other.

Rule: From hole centre to hole centre at least 3 D of the larger fastener, in one set, between two sets, and
    to rivets that exist. Flush heads want 3.5 D; between 3 D and 3.5 D it is a warning.
Why: The metal between two holes tears from hole to hole, and there is no room for the rivet set or the nose
    piece.
Bad: 1/8 rivets 9 mm (0.354 in) apart.
Good: The same rivets 9.5 mm (0.375 in) apart, better 4 D.
Source: NAVEDTRA 14018 ch. 13; AC 43.13-1B para 4-57; TM 10-5410-229-13P. 3.5 D: FAA-H-8083-31 ch. 4, from
    memory.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.holes import Flags, Holes
from templgen.checks.neighbours import Pairs
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, counted, hole_name, multiple
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.limits import limit
from templgen.units import inches_to_mm, mm_to_inches

LEAST = limit("pitch-least")
FLUSH = limit("pitch-flush")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for all pairs of fasteners that share a face."""
    fastened = int((~survey.holes.plain).sum())
    if fastened < 2:
        yield RULE.not_applicable("fewer than two fasteners")
        return
    pairs = survey.sharing_pairs
    pairs = pairs.where(_counted(survey.holes, pairs))
    yield from _judge(survey, pairs) if len(pairs) else [_none_near(survey, fastened)]


def _counted(holes: Holes, pairs: Pairs) -> Flags:
    """Pairs of fasteners, without those that overlap (see holes-overlap) and those of one nutplate."""
    first, second = pairs.first, pairs.second
    fastened = ~(holes.plain[first] | holes.plain[second])
    apart = pairs.distance >= (holes.hole[first] + holes.hole[second]) / 2 - ROUNDING_MM
    # the holes of one nutplate are as far apart as its maker made them
    one_plate = (holes.nutplate[first] == holes.nutplate[second]) & (holes.nutplate[first] > 0)
    flags: Flags = fastened & apart & ~one_plate
    return flags


def _judge(survey: Survey, pairs: Pairs) -> Iterator[Finding]:
    holes, first, second = survey.holes, pairs.first, pairs.second
    diameter = np.maximum(holes.diameter[first], holes.diameter[second])
    flush = holes.flush[first] | holes.flush[second]
    floor = LEAST.value * diameter
    # a flush pair below 3 D is told against 3 D, the graver limit
    of_flush = flush & (pairs.distance >= floor - ROUNDING_MM)
    least = np.where(of_flush, FLUSH.value * diameter, floor)

    def say(index: int) -> Told:
        one, other = holes.fastener(int(second[index])), holes.fastener(int(first[index]))
        one, other = (other, one) if one.exists else (one, other)
        broken, what = (FLUSH, " for flush heads") if of_flush[index] else (LEAST, "")
        together = "of one set" if (one.feature, one.group) == (other.feature, other.group) else "of two sets"
        times = multiple(least[index], diameter[index])
        return Told(
            survey.hole(one, survey.shared_face(one, other)),
            f"{hole_name(one)} and {hole_name(other)}, {together}: {both(pairs.distance[index])} apart, "
            f"needs {both(least[index])} = {times}{what}",
            f"move them {at_least(least[index] - pairs.distance[index])} apart",
            Severity(broken.severity),
            source=broken.source,
        )

    measured = Measured(pairs.distance, least, holes.doubt[first] + holes.doubt[second])
    yield from told(RULE, measured, say, Subject(), "pair of fasteners", "pairs of fasteners")


def _none_near(survey: Survey, count: int) -> Finding:
    least = float(LEAST.value * survey.holes.diameter[~survey.holes.plain].max())
    return RULE.found(
        Verdict.PASS,
        f"{counted(count, 'fastener')}: no two that share a face come near to {both(least)}",
        severity=Severity.INFORMATION,
        limit=least,
        count=count,
    )


RULE = Rule(
    name="pitch-too-small",
    title="Two fasteners stand too near each other",
    formula=f"{LEAST.formula_text}; {FLUSH.formula_text}",
    sources=(LEAST.source, FLUSH.source),
    severity=Severity(LEAST.severity),
    cure="move the holes apart, or leave one out",
    example=WorkedExample(
        "1/8 in rivets: 3 x 0.125 in",
        lambda: mm_to_inches(LEAST.mm(diameter=inches_to_mm(0.125))),
        0.375,
        "in",
    ),
    func=check,
)
