"""Lengths in the words of findings: the job's unit leads, the other stands in brackets, whatever the rule."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from templgen.checks import RULES, run_checks
from templgen.checks.words import at_least, at_most, both, speaking
from tests.unit.checks.builder import assembly
from tests.unit.sheets.support import DEMO, judged

CASES = Path(__file__).parents[2] / "checks"
OTHER = {"in": "mm", "mm": "in"}


def led_by(text: str, unit: str) -> list[str]:
    """Lengths and areas that lead with a unit and have the other one in brackets behind them.

    A drill is called by the size it is sold in, its inches to four places: "3.3 mm (0.1299 in)" is a name.
    """
    return re.findall(rf"(?<![\d.])-?[\d.]+ {unit}2? \((?!\d\.\d{{4}} in\))", text)


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_leads_with_the_unit_of_the_job(rule: Any, unit: Any) -> None:
    table = tomllib.loads((CASES / f"{rule.name.replace('-', '_')}.toml").read_text(encoding="utf-8"))
    for case in table["case"]:
        built = replace(assembly(case, table.get("specs", {})), unit=unit)
        for finding in run_checks(built, rules=[rule]):
            said = f"{finding.message} {finding.cure}"
            assert not led_by(said, OTHER[unit]), said


def test_the_demo_is_in_inches_and_so_are_its_findings() -> None:
    _, _, findings = judged(DEMO)
    said = " ".join(f"{finding.message} {finding.cure}" for finding in findings)
    assert len(led_by(said, "in")) > 20
    assert not led_by(said, "mm")


def test_what_is_rounded_up_or_down_leads_with_the_unit_too_and_the_unit_is_left_as_it_was() -> None:
    with speaking("in"):
        assert (both(3.175), at_least(0.351), at_most(0.65)) == (
            "0.125 in (3.18 mm)",
            "0.014 in (0.36 mm)",
            "0.025 in (0.65 mm)",
        )
        with speaking("mm"):
            assert both(3.175) == "3.18 mm (0.125 in)"
        assert both(3.175) == "0.125 in (3.18 mm)"
    assert both(3.175) == "3.18 mm (0.125 in)"
