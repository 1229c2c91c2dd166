"""The job accepts a finding that there is not.

Rule: Every acceptance answers to a finding: its rule, feature and part name one, and its value is no worse
    than `down_to`. What answers to nothing is said, and stays until the job is put in order.
Why: A name was mistyped, or the part was changed since; the finding that somebody looked at is another one
    now.
Bad: An acceptance of "hole-to-near-edge".
Good: The same of "hole-too-near-edge"; or none, when the hole was moved.
Source: Our own rule for our own file; it warns.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import both
from templgen.errors import near_names
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import OWN_DEFAULT, Source

if TYPE_CHECKING:
    from templgen.job.model import Acceptance

OWN = Source(OWN_DEFAULT)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one warning for every acceptance that answered to no finding."""
    if not survey.acceptances:
        yield RULE.not_applicable("the job accepts nothing")
        return
    for acceptance in survey.unmatched:
        yield _unmatched(survey, acceptance)
    matched = len(survey.acceptances) - len(survey.unmatched)
    if matched:
        message = f"{matched} of {len(survey.acceptances)} acceptances answer to a finding"
        yield RULE.found(Verdict.PASS, message, severity=Severity.INFORMATION, count=matched)


def _unmatched(survey: Survey, acceptance: Acceptance) -> Finding:
    return RULE.found(
        Verdict.FAIL,
        f"{acceptance.rule} of {acceptance.feature} in {acceptance.part} down to {both(acceptance.down_to)}, "
        f"accepted by {acceptance.who}, {acceptance.when}: {_reason(survey, acceptance)}",
        Subject(acceptance.where()),
        cure="correct its names, or take it out",
    )


def _reason(survey: Survey, acceptance: Acceptance) -> str:
    """Which of its words is wrong, as far as that can be told."""
    assembly = survey.assembly
    features = {f.feature for f in assembly.fasteners} | {c.feature for c in assembly.cutouts}
    features |= {mast.name for mast in assembly.masts} | {""}
    for what, given, known in (
        ("rule", acceptance.rule, set(survey.rule_names)),
        ("feature", acceptance.feature, features),
        ("part", acceptance.part, set(assembly.parts) | {""}),
    ):
        if given not in known:
            near = near_names(given, known, likeness=0.4)
            return f'no {what} is called "{given}"' + (f" (nearest: {near[0]})" if near else "")
    return "no finding of these names stands at this value or a better one, or it can not be accepted"


RULE = Rule(
    name="acceptance-matches-nothing",
    title="The job accepts a finding that there is not",
    formula="every acceptance answers to a finding",
    sources=(OWN,),
    severity=Severity.WARNING,
    cure="correct the acceptance, or take it out",
    example=WorkedExample(
        "a hole at 5.8 mm, accepted down to 6.0 mm, is worse by", lambda: 6.0 - 5.8, 0.2, "mm"
    ),
    func=check,
    runs_last=True,
)
