"""No print that is outside may pass: seeded pictures with all that goes wrong, and a truth that is known.

Many printers are off by just about the tolerance, where a false pass is nearest. References are off by as
much as they are said to be: records, cards, pixels of rules; and the word of the file by up to 1 % an axis.
"""

from __future__ import annotations

import json
import math
import os
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from templgen.proof.measured import Outcome
from templgen.proof.scan.judgement import References, Wanted, sight, verdict_of
from templgen.proof.scan.lengths import Card, Rule
from templgen.proof.scan.picture import ScanError
from templgen.proof.scan.scale import PixelSize
from templgen.sheets.proving import largest_feature
from tests.unit.proof.pictures import (
    CARD,
    Camera,
    Damage,
    Print,
    Scanner,
    Taken,
    photographed,
    raster,
    scanned,
    wanted,
)

CASES = 1000
TOLERANCES = (0.254, 0.5, 1.0)  # mm
SLICE = (*range(0, CASES, 41), 477)  # 25 cases of all kinds, and a card of which one edge was misread

KINDS = (*("record",) * 4, "card", "rules", "file", "photo card", "photo rules", "photo")


@dataclass(frozen=True)
class Told:
    """What came of a case; `off` is how far the scales are off the truth, `share` that over their limits."""

    seed: int
    kind: str
    outcome: str
    outside: bool
    off: tuple[float, float] = (math.nan, math.nan)
    share: float = 0.0


def _print(rng: np.random.Generator, share: float) -> Print:
    """A third are nearly true, a third stand about the tolerance, a third are far off.

    `share` is the scale that is off by just the tolerance over the largest feature.
    """
    size = (0.4 * share, 2.0 * share, 0.03)[rng.integers(3)]
    x, y = 1.0 + size * rng.uniform(-1, 1, 2)
    lean = math.degrees(min(size, 3.0 * share)) * rng.uniform(-1, 1)
    return Print(float(x), float(y), float(lean))


def _damage(rng: np.random.Generator, height: float, is_photo: bool) -> Damage:
    def chance(share: float) -> bool:
        return bool(rng.random() < share)

    return Damage(
        blur=float(rng.uniform(0.4, 1.8)),
        noise=float(rng.uniform(0, 14)),
        light=float(rng.uniform(0, 0.45)),
        jpeg=int(rng.integers(35, 95)) if chance(0.5) else 100,
        fold=_fold(rng, height) if chance(0.25) else None,
        torn=float(rng.uniform(15, 60)) if chance(0.2) else 0.0,
        missing=_missing(rng) if chance(0.3) else (),
        wave=_wave(rng) if not is_photo and chance(0.4) else None,
    )


def _missing(rng: np.random.Generator) -> tuple[int, ...]:
    return tuple(int(slot) for slot in rng.choice(14, rng.integers(1, 4), replace=False))


def _fold(rng: np.random.Generator, height: float) -> tuple[float, float, float]:
    return float(rng.uniform(0.1, 0.9) * height), float(rng.uniform(0.02, 0.6)), float(rng.uniform(0, 0.6))


def _wave(rng: np.random.Generator) -> tuple[float, float, float]:
    return float(rng.uniform(0.005, 0.06)), float(rng.uniform(20, 120)), float(rng.uniform(0, 2 * math.pi))


def _card(rng: np.random.Generator) -> tuple[tuple[float, float], Card]:
    """The true size of a card, and what calipers or the standard say of it."""
    is_measured = rng.random() < 0.5
    off = (0.03, 0.03) if is_measured else (0.13, 0.06)
    long, short = (CARD[side] + float(rng.uniform(-1, 1)) * off[side] for side in (0, 1))
    return (long, short), Card(CARD[:2], off, "card")


def _rules(taken: Taken, rng: np.random.Generator, height: float) -> tuple[Rule, ...]:
    """A rule along x and one along y, their marks read to a pixel."""
    ends = (np.array([[30.0, 25.0], [180.0, 27.0]]), np.array([[20.0, 30.0], [22.0, 180.0]]))
    found = []
    for marks in ends:
        length = float(np.linalg.norm(marks[1] - marks[0])) + float(rng.uniform(-0.05, 0.05))
        pixels = taken.to_pixels(marks, height) + rng.uniform(-1, 1, (2, 2))
        found.append(Rule(length, pixels, "rule"))
    return tuple(found)


def judged(seed: int) -> Told:
    """Make one case and judge it."""
    rng = np.random.default_rng(seed)
    dpi = int(rng.choice([200, 200, 300]))
    page = raster(dpi)
    kind = KINDS[seed % len(KINDS)]
    aim = wanted(float(rng.choice(TOLERANCES)))
    printed = _print(rng, aim.tolerance / largest_feature(aim.features))
    damage = _damage(rng, page.height, kind.startswith("photo"))
    size, card = _card(rng)
    place = (float(rng.uniform(60, 150)), float(rng.uniform(50, 90)), float(rng.uniform(-20, 110)))
    shown = {"card": place, "card_size": size} if kind.endswith("card") else {}
    references = References(card=card) if kind.endswith("card") else References()
    if kind.startswith("photo"):
        camera = Camera(
            width=10 * dpi + 1000,
            height=(10 * dpi + 1000) * 3 // 4,
            film=float(rng.uniform(24, 35)),
            over=float(rng.uniform(300, 420)),
            tilt=(float(rng.uniform(0, 20)), float(rng.uniform(0, 360))),
            turn=float(rng.uniform(-10, 10)),
            k1=float(rng.uniform(-0.06, 0.03)),
            tells=bool(rng.random() < 0.6),
        )
        taken = photographed(page, printed, camera, damage, seed, **shown)
        if kind == "photo rules":
            references = References(rules=_rules(taken, rng, float(rng.uniform(0, 1))))
    else:
        scanner = Scanner(
            dpi,
            x=1.0 + float(rng.uniform(-0.01, 0.01)),
            y=1.0 + float(rng.uniform(-0.01, 0.01)),
            turn=float(rng.choice([0, 90, 180, 270]) + rng.uniform(-3, 3)),
        )
        taken = scanned(page, printed, scanner, damage, seed, **shown)
        if kind == "record":
            u = float(rng.choice([0.00005, 0.0003]))
            x, y = (size * (1.0 + 2.0 * u * float(rng.uniform(-1, 1))) for size in scanner.record().mm)
            references = References(scanner=PixelSize((x, y), (u, u), (True, True), ("record",)))
        if kind == "rules":
            references = References(rules=_rules(taken, rng, 0.0))
    bare = Told(seed, kind, "refused", printed.is_outside(aim))
    return _told(bare, taken, references, printed, aim)


def _told(bare: Told, taken: Taken, references: References, printed: Print, aim: Wanted) -> Told:
    try:
        seen = sight(taken.picture, references)
    except ScanError:
        return bare
    verdict, _ = verdict_of(seen, aim)
    outcome = verdict.outcome if verdict else Outcome.CANNOT_JUDGE
    measured = seen.measured
    if measured is None or not measured.scale_known:
        return replace(bare, outcome=outcome.value)
    off = (measured.best[0] / printed.x - 1.0, measured.best[1] / printed.y - 1.0)
    share = max(abs(each) / limit for each, limit in zip(off, measured.limits, strict=False))
    return replace(bare, outcome=outcome.value, off=off, share=share)


def is_false_pass(told: Told) -> bool:
    return told.outside and told.outcome == Outcome.INSIDE.value


def is_false_alarm(told: Told) -> bool:
    return not told.outside and told.outcome == Outcome.OUTSIDE.value


@pytest.mark.parametrize("seed", SLICE)
def test_no_false_pass(seed: int) -> None:
    told = judged(seed)
    assert not is_false_pass(told), told
    assert not is_false_alarm(told), told
    assert told.share < 1.0, told


@pytest.mark.heavy
def test_no_false_pass_in_a_thousand() -> None:
    found = [judged(seed) for seed in range(CASES)]
    keep = os.environ.get("TEMPLGEN_SCAN_CASES")
    if keep:
        Path(keep).write_text("\n".join(json.dumps(vars(told)) for told in found), encoding="utf-8")
    assert [told for told in found if is_false_pass(told)] == []
    assert [told for told in found if is_false_alarm(told)] == []
    # Limits of two standard uncertainties, added up: the truth lies within them nearly always.
    assert sum(told.share >= 1.0 for told in found) <= CASES / 100
    counts = Counter((told.outcome, told.outside) for told in found)
    # The test would be worth nothing if everything were refused.
    assert counts[Outcome.INSIDE.value, False] > CASES / 20
    assert counts[Outcome.OUTSIDE.value, True] > CASES / 4
