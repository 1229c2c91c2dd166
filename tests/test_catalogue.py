"""The rule catalogue as a whole: names, manual pages, worked examples, evidence behind severity."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from templgen.checks import RULES, catalogue_table, describe_rule, find_rule, run_checks
from templgen.checks.registry import gather, manual_of
from templgen.checks.rule import Rule
from templgen.errors import TemplgenError
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.limits import all_limits
from tests.unit.checks.builder import assembly

CASES = Path(__file__).parent / "checks"
SECTIONS = ["Rule", "Why", "Bad", "Good", "Source"]
by_name = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)


def test_names_are_unique_and_sorted() -> None:
    names = [rule.name for rule in RULES]
    assert names == sorted(set(names))
    assert len(names) >= 30


@by_name
def test_name_is_kebab_case_and_no_code(rule: Rule) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)+", rule.name)


@by_name
def test_manual_page_has_its_five_sections_in_order(rule: Rule) -> None:
    manual = manual_of(rule)
    first, blank, *rest = manual.split("\n")
    assert first.endswith(".")
    assert blank == ""
    heads = [line.partition(":")[0] for line in rest if line and not line.startswith(" ")]
    assert heads == SECTIONS
    assert all(line.startswith("    ") or line.partition(":")[2].strip() for line in rest if line)


@by_name
def test_worked_example_holds(rule: Rule) -> None:
    assert rule.example.work() == pytest.approx(rule.example.result, abs=rule.example.within)


@by_name
def test_rule_says_what_it_needs_to_say(rule: Rule) -> None:
    assert rule.title
    assert rule.formula
    assert rule.cure
    assert rule.sources
    page = describe_rule(rule)
    for part in (rule.name, rule.title, rule.formula, *map(str, rule.sources), *SECTIONS):
        assert part in page


@by_name
def test_error_needs_evidence_that_may_fail_a_job(rule: Rule) -> None:
    if rule.severity is Severity.ERROR:
        assert any(source.may_fail for source in rule.sources)
    if not rule.acceptable:
        assert rule.severity is Severity.ERROR
        assert all(source.derived for source in rule.sources), "only derived geometry is beyond acceptance"


def test_limits_of_error_severity_have_the_evidence() -> None:
    for limit in all_limits():
        assert limit.severity != "error" or limit.source.may_fail, limit.name


def _all_findings() -> list[tuple[Rule, Finding]]:
    found = []
    for path in sorted(CASES.glob("*.toml")):
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        rule = find_rule(table["rule"])
        for case in table["case"]:
            built = assembly(case, table.get("specs", {}))
            found += [(rule, finding) for finding in run_checks(built, rules=[rule])]
    return found


def test_every_error_names_a_source_that_may_fail_a_job() -> None:
    errors = [
        (rule, finding)
        for rule, finding in _all_findings()
        if finding.verdict is Verdict.FAIL and finding.severity is Severity.ERROR
    ]
    assert len(errors) > 50
    for rule, finding in errors:
        grave = {str(source) for source in rule.sources if source.may_fail}
        whole = finding.source == rule.citation and all(source.may_fail for source in rule.sources)
        assert finding.source in grave or whole, finding


def test_no_finding_is_graver_than_its_rule_and_only_derived_geometry_is_beyond_acceptance() -> None:
    order = [Severity.INFORMATION, Severity.WARNING, Severity.ERROR]
    for rule, finding in _all_findings():
        assert order.index(finding.severity) <= order.index(rule.severity)
        if not finding.acceptable and finding.verdict is Verdict.FAIL:
            assert finding.severity is Severity.ERROR
            assert "derived" in finding.source, finding


def test_every_failing_finding_gives_a_cure_and_a_place_in_the_job() -> None:
    for _, finding in _all_findings():
        if finding.verdict is Verdict.FAIL:
            assert finding.cure
            assert finding.at.line >= 1
        if finding.verdict is Verdict.DOUBTFUL:
            assert finding.severity is Severity.WARNING
            assert finding.doubt


def test_find_rule_names_the_nearest() -> None:
    with pytest.raises(TemplgenError, match="hole-too-near-edge"):
        find_rule("hole-to-near-edge")
    with pytest.raises(TemplgenError, match="there are: acceptance-matches-nothing"):
        find_rule("xyzzy")


def test_a_double_name_and_a_module_without_a_rule_raise() -> None:
    from templgen.checks.rules import doubled_hole, holes_overlap

    assert [rule.name for rule in gather({"a": holes_overlap, "b": doubled_hole})] == [
        "doubled-hole",
        "holes-overlap",
    ]
    with pytest.raises(ValueError, match="two rules are called doubled-hole"):
        gather({"a": doubled_hole, "b": doubled_hole})
    with pytest.raises(ValueError, match=r"checks/rules/re.py has no RULE"):
        gather({"re": re})


def test_table_has_one_row_for_every_rule() -> None:
    table = catalogue_table()
    assert [row[0] for row in table.rows] == [rule.name for rule in RULES]
    assert all(len(row) == len(table.columns) for row in table.rows)
