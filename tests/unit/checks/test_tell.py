from __future__ import annotations

import numpy as np
import pytest

from templgen.checks.registry import find_rule
from templgen.checks.rule import ROUNDING_MM, Subject, judge
from templgen.checks.tell import Measured, Told, told, told_one
from templgen.layout.finding import Finding, Severity, Verdict

RULE = find_rule("hole-too-near-edge")


@pytest.mark.parametrize(
    ("measured", "doubt", "verdict"),
    [
        (6.35, 0.0, Verdict.PASS),
        (6.35 - ROUNDING_MM / 2, 0.0, Verdict.PASS),
        (6.35 - ROUNDING_MM * 2, 0.0, Verdict.FAIL),
        (6.85, 0.5, Verdict.PASS),
        (6.84, 0.5, Verdict.DOUBTFUL),
        (6.35, 0.01, Verdict.DOUBTFUL),
        (6.34, 5.0, Verdict.FAIL),
    ],
)
def test_verdict_on_and_beside_the_limit(measured: float, doubt: float, verdict: Verdict) -> None:
    assert judge(measured, 6.35, doubt) is verdict
    found = told_one(RULE, measured, 6.35, doubt, Told(Subject(), "x"))
    assert found.verdict is verdict
    arrays = Measured(np.array([measured]), np.array([6.35]), np.array([doubt]))
    assert [f.verdict for f in told(RULE, arrays, lambda _: Told(Subject(), "x"), Subject())] == [verdict]


def test_at_most_turns_the_limit_round() -> None:
    assert told_one(RULE, 25.4, 25.4, 0, Told(Subject(), "x"), at_most=True).verdict is Verdict.PASS
    assert told_one(RULE, 25.5, 25.4, 0, Told(Subject(), "x"), at_most=True).verdict is Verdict.FAIL
    doubtful = told_one(RULE, 25.2, 25.4, 0.3, Told(Subject(), "x"), at_most=True)
    assert doubtful.verdict is Verdict.DOUBTFUL
    assert "margin 0.20 mm (0.008 in), doubt 0.30 mm (0.012 in)" in doubtful.message


def test_what_passes_is_one_line_with_the_tightest_place() -> None:
    values = Measured(np.array([9.0, 7.0, 8.0, 5.0]), np.full(4, 6.0), np.zeros(4))
    asked: list[int] = []

    def say(index: int) -> Told:
        asked.append(index)
        return Told(Subject(), "too near", "move it")

    found = list(told(RULE, values, say, Subject(face="plate")))
    assert asked == [3]
    assert [(f.verdict, f.count, f.measured) for f in found] == [
        (Verdict.FAIL, 1, 5.0),
        (Verdict.PASS, 3, 7.0),
    ]
    assert found[1].severity is Severity.INFORMATION


def _said_of(values: list[float], marked: bool = True) -> list[Finding]:
    count = len(values)
    arrays = Measured(np.array(values), np.full(count, 6.0), np.zeros(count))
    on = [Subject(feature="hatch", face="plate", mark=str(n + 1) if marked else "") for n in range(count)]
    return list(told(RULE, arrays, lambda n: Told(on[n], f"{values[n]} is too near"), Subject()))


def test_many_places_that_fail_alike_are_one_line_that_names_them_with_the_worst() -> None:
    alike, other = [5.0, 5.1, 4.95, 5.05, 5.0], [2.0]
    found = _said_of(alike + other)
    assert [(each.measured, each.count) for each in found] == [(2.0, 1), (4.95, 5)]
    assert found[1].message == "4.95 is too near; the worst of 5 places: holes 1 to 5"
    assert len(_said_of([5.0, 5.1, 4.95])) == 3  # few are located each
    assert len(_said_of([5.0, 4.5, 4.0, 3.5, 3.0])) == 5  # so are those that differ
    assert len(_said_of(alike, marked=False)) == 5  # and those that have no name
    assert [each.count for each in _said_of([5.0] * 130)] == [60, 60, 10]


def test_a_pass_has_no_cure() -> None:
    assert told_one(RULE, 9, 6, 0, Told(Subject(), "x", "move it", Severity.ERROR)).cure == ""
