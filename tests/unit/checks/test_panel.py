"""A panel of thousands of holes: everything that is wrong is found and located, nothing else is."""

from __future__ import annotations

import numpy as np

from templgen.checks import find_rule, run_checks
from templgen.checks.neighbours import ALL_PAIRS_UP_TO, near_pairs_of
from templgen.checks.survey import Survey
from templgen.layout.finding import Verdict
from tests.unit.checks.builder import assembly

SPECS = {"rivet": {"diameter": 3, "hole": 3.3, "head_diameter": 6, "driven_diameter": 4.5}}
SIDE, PITCH = 60, 12.0


def panel(moved: dict[int, tuple[float, float]]) -> Survey:
    points = [(PITCH * (n % SIDE), PITCH * (n // SIDE)) for n in range(SIDE * SIDE)]
    for number, (dx, dy) in moved.items():
        points[number] = (points[number][0] + dx, points[number][1] + dy)
    half = PITCH * SIDE / 2 - PITCH / 2
    sheet = {"rectangle": [PITCH * SIDE + 20, PITCH * SIDE + 20], "centre": [half, half]}
    case = {
        "faces": {"skin": {"outline": sheet}},
        "fasteners": [{"spec": "rivet", "at": points, "stack": ["skin"]}],
    }
    return Survey(assembly(case, SPECS))


def test_one_percent_of_broken_holes_is_found_hole_by_hole() -> None:
    # every hundredth hole of an inner column moves 4 mm towards its neighbour: 12 - 4 = 8 mm, 3 D is 9 mm
    moved = {n: (4.0, 0.0) for n in range(30, SIDE * SIDE, 100) if n % SIDE not in (0, SIDE - 1)}
    survey = panel(moved)
    found = run_checks(survey.assembly, rules=[find_rule("pitch-too-small")])
    failing = [finding for finding in found if finding.verdict is Verdict.FAIL]
    assert len(survey.holes) > ALL_PAIRS_UP_TO
    assert sum(finding.count for finding in failing) == len(moved) == 36
    assert {finding.measured for finding in failing} == {8.0}
    # holes are numbered from 1; each broken pair is named by the hole that the moved one came near to
    named = [name for f in failing for name in f.message.rsplit("holes ", 1)[1].split(", ")]
    assert sorted(map(int, named)) == [n + 2 for n in moved]


def test_a_sound_panel_passes_in_one_line() -> None:
    found = run_checks(
        panel({}).assembly, rules=[find_rule("hole-too-near-edge"), find_rule("pitch-too-small")]
    )
    assert [(finding.rule, finding.verdict, finding.count) for finding in found] == [
        ("pitch-too-small", Verdict.PASS, SIDE * SIDE),
        ("hole-too-near-edge", Verdict.PASS, SIDE * SIDE),
    ]


def test_near_pairs_of_a_panel_are_those_of_all_pairs() -> None:
    survey = panel(dict.fromkeys(range(0, SIDE * SIDE, 37), (4.0, 3.0)))
    reach = np.full(len(survey.holes), 13.0)
    near = near_pairs_of(survey.holes, np.arange(len(survey.holes)), reach)
    gaps = survey.holes.xy[:, None, :] - survey.holes.xy[None, :, :]
    first, second = np.nonzero(np.triu(np.hypot(gaps[..., 0], gaps[..., 1]) <= 13.0, 1))
    assert set(zip(near.first, near.second, strict=True)) == set(zip(first, second, strict=True))
