"""Run the whole catalogue over an assembly, apply what somebody accepted, sort what came out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace

from templgen.checks.acceptance import apply_acceptances
from templgen.checks.registry import RULES
from templgen.checks.rule import JOB_START
from templgen.checks.survey import Survey
from templgen.checks.words import speaking
from templgen.errors import GeometryError, Location
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.progress import Progress, untold

if TYPE_CHECKING:
    from templgen.checks.rule import Rule
    from templgen.job.model import Acceptance

__all__ = ["run_checks"]

_VERDICTS = (
    Verdict.FAIL,
    Verdict.DOUBTFUL,
    Verdict.NOT_CHECKED,
    Verdict.TOLD,
    Verdict.NOT_APPLICABLE,
    Verdict.PASS,
)
_SEVERITIES = (Severity.ERROR, Severity.WARNING, Severity.INFORMATION)


def run_checks(
    assembly: Assembly,
    acceptances: Sequence[Acceptance] = (),
    rules: Sequence[Rule] = RULES,
    progress: Progress = untold,
) -> tuple[Finding, ...]:
    """Return what every rule says of an assembly, errors first; a rule is never silent.

    An acceptance holds for findings of its rule, feature and part down to its value. A worse value stands,
    and so does derived geometry, which nobody can accept.
    """
    with speaking(assembly.unit):
        judged = _judged(assembly, acceptances, rules, progress)
    placed = [_with_place(finding, _first_line(assembly)) for finding in judged]
    return tuple(sorted(placed, key=_order))


def _judged(
    assembly: Assembly, acceptances: Sequence[Acceptance], rules: Sequence[Rule], progress: Progress
) -> list[Finding]:
    survey = Survey(assembly)
    found: list[Finding] = []
    for number, rule in enumerate(rules):
        progress(rule.name, number, len(rules))
        if not rule.runs_last:
            found += _asked(rule, survey)
    judged, unmatched = apply_acceptances(assembly, found, acceptances)
    last = Survey(assembly, acceptances, unmatched, [rule.name for rule in rules])
    judged.extend(finding for rule in rules if rule.runs_last for finding in _asked(rule, last))
    return judged


def _asked(rule: Rule, survey: Survey) -> list[Finding]:
    """What a rule says; an outline that makes no figure (see outline-not-simple) can not be judged."""
    try:
        return list(rule.func(survey))
    except GeometryError as error:
        return [rule.not_checked(f"an outline can not be judged: {error}", cure="put the outline in order")]


def _order(finding: Finding) -> tuple[object, ...]:
    verdict = finding.verdict
    grave = 3 if finding.accepted else _SEVERITIES.index(finding.severity)
    place = finding.place
    return (
        _VERDICTS.index(verdict),
        grave,
        finding.at,
        finding.rule,
        finding.face,
        (place.x, place.y) if place else (0.0, 0.0),
        finding.message,
    )


def _first_line(assembly: Assembly) -> Location | None:
    """The top of the job file, for findings that speak of the whole job."""
    places = [face.at for face in assembly.faces.values()]
    named = next((at.file for at in places if at.file != JOB_START.file), None)
    return Location(named, 1, 1) if named else None


def _with_place(finding: Finding, top: Location | None) -> Finding:
    return replace(finding, at=top) if top and finding.at == JOB_START else finding
