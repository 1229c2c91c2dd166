"""Closings and tasks wait for each other.

Rule: What the job says of its order (`before`, `after`) can be worked: no task or closing waits for itself by
    way of others, and no hand goes through an opening before it is cut or after its cover is on.
Why: Such an order stands still at the bench, with the skin half riveted.
Bad: Paint after the leak check, the leak check after the far skin, the far skin after paint.
Good: The same three without the last word.
Source: Derived from the order that the job gives.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import counted
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.work.model import Stage, Work
from templgen.layout.work.order import Ring, order_works
from templgen.trade.source import Source

DERIVED = Source("the order of the work", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for each ring, or one for an order that can be worked."""
    assembly = survey.assembly
    if not assembly.closings and not assembly.tasks:
        yield RULE.not_applicable("the job names no closing and no task")
        return
    ordered = survey.work_order
    told = {frozenset(work.key for work in ring.works): ring for ring in ordered.rings}
    yield from (_told(ring) for ring in told.values())
    if not told:
        number = counted(len(ordered.works), "piece")
        yield RULE.found(
            Verdict.PASS,
            f"{number} of work in order",
            severity=Severity.INFORMATION,
            count=len(ordered.works),
        )


def _told(ring: Ring) -> Finding:
    chain = " before ".join(work.words for work in ring.works)
    named = [work for work in ring.works if work.stage in (Stage.TASK, Stage.CLOSE, Stage.CLOSED_BEFORE)]
    where = (named or list(ring.works))[0].where
    return RULE.found(Verdict.FAIL, chain, Subject(where), cure="take one of these words back")


def _example() -> float:
    """Two tasks that wait for each other."""
    works = [Work("a", Stage.TASK), Work("b", Stage.TASK)]
    return float(len(order_works(works, [], [("a", "b"), ("b", "a")]).rings))


RULE = Rule(
    name="order-of-work-runs-in-a-ring",
    title="Closings and tasks wait for each other",
    formula="no work waits for itself",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="take one of these words back",
    example=WorkedExample("rings of two tasks that wait for each other", _example, 1.0, ""),
    func=check,
    acceptable=False,
)
