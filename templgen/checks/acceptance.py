"""A finding that somebody accepts: by rule, feature and part, down to a value, with a reason.

A worse value is not accepted any more. Derived geometry can not be accepted at all: nobody can sign away
that a
hole lies off the part.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace

from templgen.checks.rule import ROUNDING_MM
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Accepted, Finding, Verdict

if TYPE_CHECKING:
    from templgen.job.model import Acceptance

__all__ = ["apply_acceptances"]


def apply_acceptances(
    assembly: Assembly, findings: Sequence[Finding], acceptances: Sequence[Acceptance]
) -> tuple[list[Finding], tuple[Acceptance, ...]]:
    """Return the findings, those accepted marked so, and the acceptances that matched none."""
    judged, used = list(findings), set()
    for number, acceptance in enumerate(acceptances):
        for index, finding in enumerate(judged):
            if _speaks_of(assembly, acceptance, finding) and covers(acceptance, finding):
                judged[index] = replace(finding, accepted=_signature(acceptance))
                used.add(number)
    return judged, tuple(item for number, item in enumerate(acceptances) if number not in used)


def covers(acceptance: Acceptance, finding: Finding) -> bool:
    """Whether a finding is no worse than what was accepted."""
    if not finding.acceptable or finding.measured is None or finding.limit is None:
        return False
    at_least = _must_be_at_least(finding)
    worse = acceptance.down_to - finding.measured if at_least else finding.measured - acceptance.down_to
    return worse <= ROUNDING_MM


def _must_be_at_least(finding: Finding) -> bool:
    """Whether smaller is worse: a failing value is on the bad side of its limit, a doubtful one is not."""
    below = (finding.measured or 0.0) < (finding.limit or 0.0) - ROUNDING_MM
    return below == (finding.verdict is Verdict.FAIL)


def _speaks_of(assembly: Assembly, acceptance: Acceptance, finding: Finding) -> bool:
    if finding.verdict not in (Verdict.FAIL, Verdict.DOUBTFUL) or finding.rule != acceptance.rule:
        return False
    if finding.feature != acceptance.feature:
        return False
    face = assembly.faces.get(finding.face)
    return acceptance.part == (face.part if face else "")


def _signature(acceptance: Acceptance) -> Accepted:
    return Accepted(acceptance.reason, acceptance.who, acceptance.when, acceptance.down_to)
