"""From measured values to findings: what fails is located, what passes is summed up in one line.

Many places of one feature and one part that fail alike, by about the same, are one line too: the worst of
them is located, the others are named.

A verdict counts doubt: a value passes, passes only if the measurement is right (then the finding says
margin and
doubt), or fails.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from operator import itemgetter

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from templgen.checks.holes import Flags, Floats
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, judge
from templgen.checks.words import at_least, both, counted, marks_words
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

__all__ = ["Measured", "Told", "told", "told_one"]

ONE_BY_ONE = 3
"""So many places that fail alike are still told one by one."""

MOST_TOGETHER = 60
"""So many places are told together, each by name."""

ALIKE_MM = 0.25
"""Places whose values differ by no more fail alike: about what a hand drill makes of one number."""


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

    More than `ONE_BY_ONE` places that fail alike have one finding together.

    Args:
        rule: the rule that speaks.
        measured: one value per place.
        say: what to say of place i; asked only where it does not pass.
        whole: subject of the line that sums up.
        what, places: singular and plural of a place.
    """
    shaky = measured.fails | measured.doubtful
    if shaky.any():
        yield from _located(rule, measured, say, np.flatnonzero(shaky))
    passed = np.flatnonzero(~shaky)
    if len(passed):
        yield _summary(rule, measured, passed, whole, what, places)


def _located(
    rule: Rule, measured: Measured, say: Callable[[int], Told], shaky: np.ndarray
) -> Iterator[Finding]:
    """The places that do not pass: one by one, or where many are alike the worst of them for all."""
    alike: dict[tuple[object, ...], list[tuple[float, Finding, str]]] = {}
    for index in shaky:
        value, limit, doubt = (float(a[index]) for a in (measured.value, measured.limit, measured.doubt))
        said = say(int(index))
        found = told_one(rule, value, limit, doubt, said, at_most=measured.at_most)
        kind = (found.verdict, found.severity, found.acceptable, found.source, found.feature, found.face)
        left = float(measured.margin[index]) - (doubt if found.verdict is Verdict.DOUBTFUL else 0.0)
        alike.setdefault((*kind, limit), []).append((left, found, said.on.mark))
    for one_kind in alike.values():
        for group in _equals(one_kind):
            named = all(mark for _, _, mark in group)  # what is not located has its name
            many = named and len(group) > ONE_BY_ONE
            yield from [_together(group)] if many else (found for _, found, _ in group)


def _equals(places: list[tuple[float, Finding, str]]) -> Iterator[list[tuple[float, Finding, str]]]:
    """Part places where what is left to their limits differs, the worst first."""
    group: list[tuple[float, Finding, str]] = []
    for place in sorted(places, key=itemgetter(0)):
        if group and (place[0] > group[0][0] + ALIKE_MM or len(group) == MOST_TOGETHER):
            yield group
            group = []
        group.append(place)
    yield group


def _together(alike: Sequence[tuple[float, Finding, str]]) -> Finding:
    """One finding for places that are alike: that of the worst, which comes first and names the others."""
    worst = alike[0][1]
    marks = marks_words(mark for _, _, mark in alike)
    message = f"{worst.message}; the worst of {counted(len(alike), 'place')}: {marks}"
    return replace(worst, message=message, count=len(alike))


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
