"""From measured values to findings: what fails is located, what passes is summed up in one line.

A verdict counts doubt: a value passes, passes only if the measurement is right (then the finding says
margin and
doubt), or fails.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from msgspec import Struct

from templgen.checks.holes import Flags, Floats
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, judge
from templgen.checks.words import at_least, both, counted
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

__all__ = ["Measured", "Told", "told", "told_one"]


class Measured(Struct, frozen=True, eq=False):
    """Values (n,) that must be at least (or at most) their limits; each known to `doubt` either way, mm."""

    value: Floats
    limit: Floats
    doubt: Floats
    at_most: bool = False

    @property
    def margin(self) -> Floats:
        """How much is left to the limit; negative where it is broken."""
        return self.limit - self.value if self.at_most else self.value - self.limit

    @property
    def fails(self) -> Flags:
        """Where the value is on the wrong side of its limit."""
        flags: Flags = self.margin < -ROUNDING_MM
        return flags

    @property
    def doubtful(self) -> Flags:
        """Where it passes only if the measurement is right."""
        flags: Flags = ~self.fails & (self.margin - self.doubt < -ROUNDING_MM)
        return flags


class Told(Struct, frozen=True):
    """What is said of one place; severity, acceptable and source only where they are not the rule's own."""

    on: Subject
    message: str
    cure: str = ""
    severity: Severity | None = None
    acceptable: bool | None = None
    source: Source | None = None


def told(
    rule: Rule,
    measured: Measured,
    say: Callable[[int], Told],
    whole: Subject,
    what: str = "hole",
    places: str | None = None,
) -> Iterator[Finding]:
    """Yield one finding for each place that fails or is in doubt, and one for all that pass.

    Args:
        rule: the rule that speaks.
        measured: one value per place.
        say: what to say of place i; asked only where it does not pass.
        whole: subject of the line that sums up.
        what, places: singular and plural of a place.
    """
    shaky = measured.fails | measured.doubtful
    for index in np.flatnonzero(shaky):
        value, limit, doubt = (float(a[index]) for a in (measured.value, measured.limit, measured.doubt))
        yield told_one(rule, value, limit, doubt, say(int(index)), at_most=measured.at_most)
    passed = np.flatnonzero(~shaky)
    if len(passed):
        yield _summary(rule, measured, passed, whole, what, places)


def told_one(
    rule: Rule,
    value: float,
    limit: float,
    doubt: float,
    said: Told,
    *,
    at_most: bool = False,
    unit: str = "mm",
) -> Finding:
    """Return the finding on one value that must be at least (or at most) `limit`, whatever its verdict."""
    verdict = judge(-value, -limit, doubt) if at_most else judge(value, limit, doubt)
    message, cure, severity = said.message, said.cure, said.severity
    if verdict is Verdict.DOUBTFUL:
        margin = abs(value - limit)
        message += f"; margin {both(margin)}, doubt {both(doubt)}"
        cure = f"measure or mark it better, or gain {at_least(doubt - margin)}"
    elif verdict is Verdict.PASS:
        cure, severity = "", Severity.INFORMATION
    return rule.found(
        verdict,
        message,
        said.on,
        severity=severity,
        measured=value,
        limit=limit,
        doubt=doubt,
        unit=unit,
        cure=cure,
        source=None if said.source is None else str(said.source),
        acceptable=said.acceptable,
    )


def _summary(
    rule: Rule, measured: Measured, passed: np.ndarray, whole: Subject, what: str, places: str | None
) -> Finding:
    """The line for all places that pass, with the one that comes nearest to its limit."""
    tightest = passed[np.argmin(measured.margin[passed])]
    value, limit = float(measured.value[tightest]), float(measured.limit[tightest])
    number = counted(len(passed), what, places)
    known = bool(np.isfinite(value))
    least = f"least {both(value)}, needs {both(limit)}" if known else "none has an edge near it"
    if measured.at_most:
        least = f"most {both(value)}, allowed {both(limit)}"
    where = f" in {whole.face}" if whole.face and whole.face not in number else ""
    return rule.found(
        Verdict.PASS,
        f"{number}{where}: {least}",
        whole,
        severity=Severity.INFORMATION,
        measured=value if known else None,
        limit=limit,
        doubt=float(measured.doubt[tightest]),
        count=len(passed),
    )
