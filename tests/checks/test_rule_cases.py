"""Every rule against its cases: tests/checks/<rule>.toml, one file for one rule.

A case is a small assembly (see tests/unit/checks/builder.py) and everything the rule must say of it, no
more and no
less. Lengths are millimetres unless they carry a unit.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from templgen.checks import RULES, find_rule, run_checks
from templgen.job.model import Acceptance
from templgen.layout.finding import Finding, Severity
from tests.unit.checks.builder import assembly, mm

FOLDER = Path(__file__).parent
FILES = sorted(FOLDER.glob("*.toml"))
WITHIN_MM = 0.0015
"""Expected values are written to three places."""

CASES = [
    pytest.param(table, case, id=f"{path.stem}: {case['name']}")
    for path in FILES
    for table in (tomllib.loads(path.read_text(encoding="utf-8")),)
    for case in table["case"]
]


@pytest.mark.parametrize(("table", "case"), CASES)
def test_case(table: dict[str, Any], case: dict[str, Any]) -> None:
    rule = find_rule(table["rule"])
    judged = {find_rule(name) for name in case.get("with", [])} | {rule}
    acceptances = [acceptance(each) for each in case.get("accept", [])]
    built = assembly(case, table.get("specs", {}))
    found = run_checks(built, acceptances, sorted(judged, key=lambda each: each.name))
    left = [finding for finding in found if finding.rule == rule.name]
    for expected in case["expect"]:
        match = next((finding for finding in left if answers(finding, expected)), None)
        assert match is not None, f"nothing answers to {expected} among\n" + "\n".join(map(shown, left))
        left.remove(match)
    assert not left, "not expected:\n" + "\n".join(map(shown, left))


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_has_passing_failing_and_limit_cases(rule: Any) -> None:
    path = FOLDER / f"{rule.name.replace('-', '_')}.toml"
    assert path.is_file(), f"{rule.name} has no case file"
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    assert table["rule"] == rule.name
    verdicts = {expected["verdict"] for case in table["case"] for expected in case["expect"]}
    if rule.severity is Severity.INFORMATION:
        assert "told" in verdicts
        return
    assert {"pass", "fail"} <= verdicts
    assert any(case.get("on_limit") for case in table["case"]), "no case lies on the limit"


def acceptance(table: dict[str, Any]) -> Acceptance:
    given = {"reason": "measured twice", "who": "A. Builder", "when": "2031-05-09", **table}
    return Acceptance(**{**given, "down_to": mm(given["down_to"])})


def answers(finding: Finding, expected: dict[str, Any]) -> bool:
    return all(_same(finding, key, value) for key, value in expected.items())


def _same(finding: Finding, key: str, value: Any) -> bool:
    match key:
        case "verdict":
            return finding.verdict.name.lower().replace("_", " ") == value
        case "severity":
            return finding.severity.value == value
        case "measured" | "limit" | "doubt":
            given = getattr(finding, key)
            return given is not None and abs(given - mm(value)) <= WITHIN_MM
        case "says" | "cure" | "source":
            return value in {"says": finding.message, "cure": finding.cure, "source": finding.source}[key]
        case "accepted":
            return (finding.accepted is not None) == value
        case "stops":
            return finding.stops_cut_files == value
        case "place":
            return finding.place is not None and finding.place.distance_to(_vec(value)) <= WITHIN_MM
        case "line":
            return finding.at.line == value
        case _:
            return bool(getattr(finding, key) == value)


def _vec(value: Any) -> Any:
    from templgen.geometry import Vec

    return Vec(float(value[0]), float(value[1]))


def shown(finding: Finding) -> str:
    return (
        f"  {finding.verdict.name} {finding.severity.name} {finding.message!r} cure={finding.cure!r} "
        f"face={finding.face!r} "
        f"measured={finding.measured} limit={finding.limit} doubt={finding.doubt} count={finding.count}"
    )
