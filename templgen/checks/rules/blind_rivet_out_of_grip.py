"""A blind rivet holds a stack that is thinner or thicker than its grip range.

Rule: The thickness of all sheets of the stack lies within the rivet's grip range, as its maker's table
    gives it. A flange that the rivet passes counts.
Why: Too thin a stack leaves the rivet loose, too thick a stack leaves no formed side; neither shows from
    outside.
Bad: A rivet of 1/16 to 1/8 in grip through 0.032 + 0.040 + 0.064 in.
Good: The rivet of the next longer grip.
Source: The builder's own table; the sum is derived.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import Kind, kinds_in
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted
from templgen.layout.finding import Finding, Severity
from templgen.trade.source import BUILDERS_TABLE, Source

BUILDER = Source(BUILDERS_TABLE)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every kind of blind rivet and its stack."""
    kinds = [kind for kind in kinds_in(survey) if kind.spec.kind == "blind rivet"]
    if not kinds:
        yield RULE.not_applicable("no blind rivet")
    for kind in kinds:
        yield from _judge(survey, kind)


def _judge(survey: Survey, kind: Kind) -> Iterator[Finding]:
    spec, grip, on = kind.spec, kind.grip, survey.hole(kind.first, kind.head_face)
    sheets = " + ".join(f"{face.name} {both(face.thickness)}" for face in kind.stack)
    what = f"{counted(len(kind.indices), 'rivet')} {spec.name}: {both(grip)} of metal ({sheets})"
    for bound, at_most, word in ((spec.grip_min, False, "least"), (spec.grip_max, True, "largest")):
        if bound is None:
            cure = f"give grip_{'max' if at_most else 'min'} from the maker's table"
            yield RULE.not_checked(f"{what}; its {word} grip is not given", on, cure=cure)
            continue
        message = f"{what}, {word} grip {both(bound)}"
        off = grip - bound if at_most else bound - grip
        cure = f"take a rivet whose grip is {at_least(off)} {'longer' if at_most else 'shorter'}"
        yield told_one(RULE, grip, bound, 0.0, Told(on, message, cure), at_most=at_most)


RULE = Rule(
    name="blind-rivet-out-of-grip",
    title="A blind rivet's grip range does not hold its stack",
    formula="least grip <= sum of the sheets <= largest grip",
    sources=(BUILDER,),
    severity=Severity.ERROR,
    cure="take the rivet of another grip",
    example=WorkedExample(
        "skin 0.032, plate 0.040 and flange 0.032 in", lambda: 0.032 + 0.040 + 0.032, 0.104, "in"
    ),
    func=check,
)
