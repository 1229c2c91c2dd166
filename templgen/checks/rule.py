"""What a rule is: a name that states the fault, a formula, its sources, the function that looks for it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from msgspec import Struct

from templgen.errors import Location
from templgen.geometry import Vec
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

if TYPE_CHECKING:
    from templgen.checks.survey import Survey

__all__ = ["JOB_START", "NOTHING", "ROUNDING_MM", "Rule", "Subject", "WorkedExample", "judge"]

ROUNDING_MM = 1e-6
"""Rounding noise of double numbers on a panel some metres long; a value this near to its limit is on it."""

JOB_START = Location("<job>", 1, 1)


class WorkedExample(Struct, frozen=True):
    """An example that can be worked again: words, the sum, and the result a source (or arithmetic) gives.

    `work` returns the result in `unit`; it must agree with `result` within `within`.
    """

    words: str
    work: Callable[[], float]
    result: float
    unit: str
    within: float = 0.0005


class Subject(Struct, frozen=True):
    """What a finding speaks of: place in the job file, feature, face, a point in its plane, a hole's mark."""

    at: Location = JOB_START
    feature: str = ""
    face: str = ""
    plane: str = ""
    place: Vec | None = None
    mark: str = ""


NOTHING = Subject()


class Rule(Struct, frozen=True):
    """One rule of the catalogue.

    Attributes:
        name: kebab-case, states the fault.
        title: the rule in one line.
        formula: as printed to the builder.
        sources: where the values come from; none is forgotten.
        severity: of the gravest failure this rule can give.
        cure: how it is put right, with a number where `func` can tell one.
        example: a worked example, held as a test.
        func: looks at the whole survey and returns what it found; never silent.
        acceptable: False for derived geometry, which nobody can accept away.
        runs_last: judged after the acceptances were applied.
    """

    name: str
    title: str
    formula: str
    sources: tuple[Source, ...]
    severity: Severity
    cure: str
    example: WorkedExample
    func: Callable[[Survey], Iterable[Finding]]
    acceptable: bool = True
    runs_last: bool = False

    @property
    def citation(self) -> str:
        """The sources as printed behind a finding."""
        return "; ".join(dict.fromkeys(str(source) for source in self.sources))

    def found(
        self,
        verdict: Verdict,
        message: str,
        on: Subject = NOTHING,
        *,
        severity: Severity | None = None,
        measured: float | None = None,
        limit: float | None = None,
        doubt: float | None = None,
        unit: str = "mm",
        cure: str = "",
        source: str | None = None,
        count: int = 1,
        acceptable: bool | None = None,
    ) -> Finding:
        """Return a finding of this rule; what passes only if the measurement is right is a warning."""
        grave = severity or self.severity
        return Finding(
            rule=self.name,
            rule_name=self.title,
            severity=Severity.WARNING if verdict is Verdict.DOUBTFUL else grave,
            verdict=verdict,
            message=message,
            at=on.at,
            feature=on.feature,
            face=on.face,
            plane=on.plane,
            place=on.place,
            measured=measured,
            limit=limit,
            doubt=doubt,
            unit=unit,
            cure=cure,
            source=self.citation if source is None else source,
            count=count,
            acceptable=self.acceptable if acceptable is None else acceptable,
        )

    def not_applicable(self, reason: str, on: Subject = NOTHING) -> Finding:
        """Return the result that there is nothing here to which the rule applies."""
        return self.found(Verdict.NOT_APPLICABLE, reason, on, severity=Severity.INFORMATION, count=0)

    def not_checked(self, reason: str, on: Subject = NOTHING, *, cure: str = "", count: int = 1) -> Finding:
        """Return the result that the rule applies and could not be judged, and why."""
        return self.found(Verdict.NOT_CHECKED, reason, on, severity=Severity.WARNING, cure=cure, count=count)


def judge(measured: float, limit: float, doubt: float = 0.0) -> Verdict:
    """Return the verdict on a value that must be at least `limit`, known to `doubt` either way (all mm).

    >>> judge(6.5, 6.35, 0.1).name, judge(6.5, 6.35, 0.2).name, judge(6.3, 6.35).name
    ('PASS', 'DOUBTFUL', 'FAIL')
    """
    if measured < limit - ROUNDING_MM:
        return Verdict.FAIL
    return Verdict.PASS if measured - doubt >= limit - ROUNDING_MM else Verdict.DOUBTFUL
