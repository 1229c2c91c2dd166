"""Random assemblies, sound and unsound: every rule answers, none raises, and an answer is complete."""

from __future__ import annotations

import random
from typing import Any

import pytest

from templgen.checks import RULES, run_checks
from templgen.layout.finding import Severity, Verdict
from tests.unit.checks.builder import assembly

SPECS: dict[str, Any] = {
    "universal": {
        "diameter": "1/8 in",
        "hole": "0.1285 in",
        "head_diameter": "1/4 in",
        "driven_diameter": "3/16 in",
    },
    "flush": {"diameter": 3, "hole": 3.3, "head": "flush", "seat": "countersunk", "head_height": 1.1},
    "blind": {
        "kind": "blind rivet",
        "diameter": 3.2,
        "hole": 3.3,
        "head": "protruding",
        "grip_min": 1,
        "grip_max": 3,
    },
    "screw": {"kind": "screw", "diameter": 4.2, "hole": 4.6, "head": "flush", "seat": "dimpled"},
    "plain": {"kind": "hole", "diameter": 12, "hole": 12, "head": "none"},
}


def random_case(rng: random.Random) -> dict[str, Any]:
    def point() -> list[float]:
        return [round(rng.uniform(-70, 70), 2), round(rng.uniform(-50, 50), 2)]

    def outline() -> dict[str, Any]:
        kind = rng.randrange(3)
        if kind == 0:
            return {"circle": [*point(), rng.uniform(4, 40)]}
        if kind == 1:
            return {
                "rectangle": [rng.uniform(20, 150), rng.uniform(20, 100)],
                "centre": point(),
                "corner": rng.choice([0, 3]),
            }
        return {"points": [point() for _ in range(rng.randint(3, 7))]}

    y = round(rng.uniform(-60, 60), 2)
    flange = [[-100, y], [100, y], [100, y + 16], [-100, y + 16]]
    faces: dict[str, Any] = {
        "skin": {"outline": outline()} if rng.random() < 0.3 else {},
        "plate": {"order": 1, "kind": "base plate", "outline": outline()},
        "rib 7 flange": {
            "part": "rib 7",
            "kind": "structure",
            "order": 2,
            "outline": {"points": [[-100, y + 4], [100, y + 4], *flange[2:]]},
            "formed": [[[-100, y + 4], [100, y + 4]]],
            "beyond": [[flange[1], flange[2]], [flange[3], flange[0]]],
        },
    }
    stacks = [["skin"], ["skin", "plate"], ["skin", "rib 7 flange"], ["skin", "plate", "rib 7 flange"]]
    sets = [
        {
            "spec": rng.choice(list(SPECS)),
            "at": [point() for _ in range(rng.randint(1, 6))],
            "stack": rng.choice(stacks),
            "doubt": rng.choice([0, 0.3]),
            "exists": rng.random() < 0.3,
            "row": rng.choice(["", "seam"]),
            "head_side": rng.choice(["outside", "inside"]),
        }
        for _ in range(rng.randint(0, 4))
    ]
    return {
        "job": {"drilled_to": {"cut": 0.3}, **({"room_behind": 9} if rng.random() < 0.5 else {})},
        "faces": faces,
        "fasteners": sets,
        "cutouts": [
            {
                "name": f"cut {n}",
                "outline": outline(),
                "faces": ["skin"],
                "purpose": rng.choice(["fit", "access"]),
            }
            for n in range(rng.randint(0, 3))
        ],
        "structures": [
            {
                "name": "rib 7",
                "flange": {"points": flange},
                "lines": {"heel": [[-100, y], [100, y]]},
                "thickness": 0.8,
                "bend_radius": 3.2,
                "doubt": 0.3,
            }
        ],
        "trims": [
            {
                "face": "plate",
                "through": [[-80, y - 1], [80, y - 1]],
                "set_back": 1,
                "edge": rng.choice(["free", "butting"]),
            }
        ],
        "masts": [{"name": "mast", "cutout": "cut 0", "flange_face": "plate", "fillet": rng.choice([0, 1])}],
    }


@pytest.mark.parametrize("seed", range(100))
def test_every_rule_answers(seed: int) -> None:
    case = random_case(random.Random(seed))
    try:
        built = assembly(case, SPECS)
    except ValueError:
        pytest.skip("three points in line make no outline")
    found = run_checks(built)
    assert {finding.rule for finding in found} == {rule.name for rule in RULES}
    for finding in found:
        assert finding.message
        assert "nan" not in finding.message
        assert "inf" not in finding.message.split()
        if finding.verdict is Verdict.FAIL:
            assert finding.cure
        if finding.verdict in (Verdict.PASS, Verdict.NOT_APPLICABLE):
            assert finding.severity is Severity.INFORMATION
        if finding.measured is not None and finding.limit is not None and finding.verdict is Verdict.FAIL:
            assert finding.measured != pytest.approx(finding.limit, abs=1e-7) or "knife" in finding.source
