"""A panel that is opened at every flight is held by self-locking nuts.

Rule: Where the job says that a panel is opened before or after each flight, none of its nutplates is self-
    locking.
Why: The locking of a nut wears with every opening, and the screws come loose.
Bad: A fuel sampling hatch opened before every flight on MS21047 nutplates.
Good: The same hatch on quarter-turn fasteners, or on nutplates that are not self-locking with another lock.
Source: AC 43.13-1B para 7-64d.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.openings import none_here, of_opening
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import counted
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import OpeningSet
from templgen.trade.nutplates import nutplate_notes

SOURCE = nutplate_notes()[0]


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every opening."""
    if not survey.assembly.openings:
        yield RULE.not_applicable(none_here)
    for opening in survey.assembly.openings:
        yield _of_opening(opening)


def _of_opening(opening: OpeningSet) -> Finding:
    on = of_opening(opening, opening.ring_face)
    if opening.opened != "every flight":
        return RULE.not_applicable(f"{opening.name} is opened rarely", on)
    locking = [plate for plate in opening.nutplates if plate.spec.self_locking]
    if not locking:
        message = f"{opening.name} is opened at every flight and has no self-locking nut"
        return RULE.found(
            Verdict.PASS, message, on, severity=Severity.INFORMATION, measured=0.0, limit=0.0, unit="nuts"
        )
    return RULE.found(
        Verdict.FAIL,
        f"{opening.name} is opened at every flight and has {counted(len(locking), 'self-locking nutplate')} "
        f"({locking[0].spec.name})",
        of_opening(opening, opening.ring_face, locking[0].at),
        measured=float(len(locking)),
        limit=0.0,
        unit="nuts",
        cure="take quarter-turn fasteners, or nuts that do not lock themselves",
    )


RULE = Rule(
    name="self-locking-nuts-on-panel-opened-every-flight",
    title="A panel opened at every flight has self-locking nuts",
    formula="opened at every flight: no self-locking nut",
    sources=(SOURCE,),
    severity=Severity.ERROR,
    cure="take quarter-turn fasteners, or nuts that do not lock themselves",
    example=WorkedExample(
        "self-locking nuts allowed on a panel opened every flight", lambda: 0.0, 0.0, "nuts"
    ),
    func=check,
)
