from __future__ import annotations

from typing import Any

from templgen.checks import RULES, run_checks
from templgen.layout.finding import Severity, Verdict
from tests.checks.test_rule_cases import acceptance
from tests.unit.checks.builder import FILE, assembly

SPECS = {
    "rivet": {
        "diameter": "1/8 in",
        "hole": "0.1285 in",
        "drill": "#30",
        "head_diameter": "1/4 in",
        "driven_diameter": "3/16 in",
    }
}


def case(*points: tuple[float, float]) -> dict[str, Any]:
    return {
        "faces": {"skin": {}, "plate": {"order": 1, "outline": {"rectangle": [80, 60]}}},
        "fasteners": [{"spec": "rivet", "at": points, "stack": ["skin", "plate"], "feature": "mast"}],
    }


def test_every_rule_answers_to_an_empty_job() -> None:
    found = run_checks(assembly({}, {}))
    assert {finding.rule for finding in found} == {rule.name for rule in RULES}
    assert {finding.verdict for finding in found} == {Verdict.NOT_APPLICABLE}


def test_every_rule_answers_to_a_plate() -> None:
    found = run_checks(assembly(case((0, 0), (20, 0)), SPECS))
    assert {finding.rule for finding in found} == {rule.name for rule in RULES}
    assert not any(finding.stops_cut_files for finding in found)


def test_errors_come_first_and_what_passes_last() -> None:
    found = run_checks(assembly(case((36, 0), (0, 0), (39.5, 0)), SPECS))
    verdicts = [finding.verdict for finding in found]
    order = [Verdict.FAIL, Verdict.DOUBTFUL, Verdict.NOT_CHECKED, Verdict.NOT_APPLICABLE, Verdict.PASS]
    assert verdicts == sorted(verdicts, key=order.index)
    failing = [finding.severity for finding in found if finding.verdict is Verdict.FAIL]
    assert failing == sorted(failing, key=[Severity.ERROR, Severity.WARNING, Severity.INFORMATION].index)


def test_accepted_findings_come_after_those_that_stand() -> None:
    accept = [acceptance({"rule": "hole-too-near-edge", "feature": "mast", "part": "plate", "down_to": 5})]
    found = run_checks(assembly(case((35, 0), (0, 26)), SPECS), accept)
    edge = [
        finding
        for finding in found
        if finding.rule == "hole-too-near-edge" and finding.verdict is Verdict.FAIL
    ]
    assert [finding.accepted is None for finding in edge] == [True, False]
    assert edge[1].accepted is not None
    assert (edge[1].accepted.who, edge[1].accepted.down_to) == ("A. Builder", 5)


def test_a_doubtful_finding_can_be_accepted() -> None:
    job = case((33.5, 0), (0, 0))
    job["job"] = {"drilled_to": {"cut": 0.5}}
    accept = [acceptance({"rule": "hole-too-near-edge", "feature": "mast", "part": "plate", "down_to": 6.5})]
    found = [f for f in run_checks(assembly(job, SPECS), accept) if f.rule == "hole-too-near-edge"]
    assert [(f.verdict, f.accepted is not None) for f in found] == [
        (Verdict.DOUBTFUL, True),
        (Verdict.PASS, False),
    ]


def test_what_speaks_of_the_whole_job_stands_at_the_top_of_its_file() -> None:
    found = run_checks(assembly(case((0, 0), (20, 0)), SPECS))
    assert {finding.at.file for finding in found} == {FILE}
    top = next(finding for finding in found if finding.rule == "doubled-hole")
    assert (top.at.line, top.at.column) == (1, 1)


def test_same_assembly_same_findings() -> None:
    job = case((36, 0), (0, 0), (39.5, 0), (0, 8))
    assert run_checks(assembly(job, SPECS)) == run_checks(assembly(job, SPECS))
