"""How near the recovered scale comes to the truth, from the real PDF, distorted in every way there is."""

from __future__ import annotations

import numpy as np
import pytest

from templgen.proof.scan.judgement import References, Sighted, sight
from templgen.proof.scan.lengths import Card, Rule
from templgen.proof.scan.stretches import Measured
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
)

SCAN = 0.0002  # 0.02 % from a 300 dpi scan by a known scanner
PHOTO = 0.001  # 0.1 % from a photo
ODD = Print(1.0061, 0.9926, 0.08)
MEASURED_CARD = Card(CARD[:2], (0.03, 0.03), "card")


def _off(measured: Measured | None, printed: Print) -> tuple[float, float]:
    assert measured is not None
    return abs(measured.best[0] / printed.x - 1.0), abs(measured.best[1] / printed.y - 1.0)


def _seen(taken: Taken, scanner: Scanner) -> Sighted:
    return sight(taken.picture, References(scanner=scanner.record()))


@pytest.mark.parametrize(
    "printed",
    [Print(1.005, 1.005), Print(1.03, 0.97), Print(0.995, 1.01, -0.3)],
    ids=lambda p: f"x{p.x}-y{p.y}-skew{p.skew}",
)
def test_scale_of_a_print_off_by_up_to_3_percent(printed: Print) -> None:
    scanner = Scanner()
    seen = _seen(scanned(raster(300), printed, scanner, Damage()), scanner)
    assert max(_off(seen.measured, printed)) < SCAN
    assert seen.measured is not None
    assert seen.measured.best[2] == pytest.approx(printed.skew, abs=0.01)


DAMAGES = {
    "blur": Damage(blur=2.0),
    "noise": Damage(noise=16.0),
    "uneven light": Damage(light=0.5),
    "carriage": Damage(wave=(0.02, 70.0, 0.7)),
    "torn corner": Damage(torn=55.0),
    "missing markers": Damage(missing=(3, 8)),
    "jpeg": Damage(jpeg=35),
    "all of it": Damage(1.3, 10.0, 0.35, 60, None, 30.0, (1,), (0.015, 60.0, 2.0)),
}


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)
def test_scale_from_a_damaged_scan(damage: Damage) -> None:
    scanner = Scanner(x=1.004, y=0.997, turn=1.2)
    seen = _seen(scanned(raster(300), ODD, scanner, damage, seed=3), scanner)
    assert max(_off(seen.measured, ODD)) < SCAN


@pytest.mark.parametrize("turn", [-4.0, 91.0])
def test_scale_however_the_sheet_lies(turn: float) -> None:
    """x and y stay those of the page when the scanner's axes are off by different shares."""
    scanner = Scanner(x=1.01, y=0.992, turn=turn)
    seen = _seen(scanned(raster(300), ODD, scanner, Damage()), scanner)
    assert max(_off(seen.measured, ODD)) < SCAN


def test_scale_at_600_dpi() -> None:
    scanner = Scanner(dpi=600, x=0.996, y=1.003)
    seen = _seen(scanned(raster(600), ODD, scanner, Damage(blur=1.2, noise=8.0)), scanner)
    assert max(_off(seen.measured, ODD)) < SCAN / 2


def test_scale_at_150_dpi() -> None:
    scanner = Scanner(dpi=150)
    seen = _seen(scanned(raster(300), ODD, scanner, Damage(noise=5.0)), scanner)
    assert max(_off(seen.measured, ODD)) < 2 * SCAN


def test_every_sheet_with_markers_is_measured() -> None:
    for number in range(2, 6):
        scanner = Scanner(dpi=200)
        seen = _seen(scanned(raster(200, number), ODD, scanner, Damage()), scanner)
        assert seen.found.code.sheet == number
        assert max(_off(seen.measured, ODD)) < SCAN


def test_a_fold_is_within_the_limits() -> None:
    """Even where it lies so that it looks most like a scale."""
    scanner = Scanner(dpi=200)
    low = raster(200).crosses.ymin
    for place, down in ((37.5, 0.3), (62.5, 0.1), (102.5, 0.5), (122.5, 0.2)):
        taken = scanned(raster(200), Print(), scanner, Damage(fold=(low + place, down, 0.3)))
        measured = _seen(taken, scanner).measured
        assert measured is not None
        assert abs(measured.best[1] - 1.0) < measured.limits[1], (place, down)


def test_residuals_name_the_markers_beyond_a_fold() -> None:
    """What one half of the sheet is drawn towards the other shows as opposite residuals beside the fold."""
    at = 62.5
    across = raster(300).crosses.ymin + at
    taken = scanned(raster(300), Print(), Scanner(), Damage(fold=(across, 0.4, 0.2)))
    left = _seen(taken, Scanner()).fit.leftovers
    near = [
        (y, off) for (_, y), (_, off) in zip(left.places, left.residuals, strict=True) if abs(y - at) < 40.0
    ]
    assert all((off < 0.0) == (y > at) for y, off in near)
    assert left.largest > 0.05


CAMERAS = {
    "straight above": Camera(tilt=(0.5, 10.0), k1=0.0),
    "aslant": Camera(tilt=(18.0, 250.0), turn=-8.0),
    "barrel, on its side": Camera(k1=-0.06, turn=90.0, over=360.0),
    "pincushion, unknown camera": Camera(k1=0.03, tells=False),
}


@pytest.mark.parametrize("camera", CAMERAS.values(), ids=CAMERAS)
def test_scale_from_a_photo_with_a_card(camera: Camera) -> None:
    taken = photographed(
        raster(300), ODD, camera, Damage(blur=1.0, light=0.25, jpeg=85), card=(105.0, 55.0, 6.0)
    )
    seen = sight(taken.picture, References(card=MEASURED_CARD))
    assert max(_off(seen.measured, ODD)) < PHOTO
    assert seen.card is not None


def test_scale_from_a_photo_with_two_rules() -> None:
    taken = photographed(raster(300), ODD, CAMERAS["aslant"], Damage(blur=1.0))
    ends = (np.array([[40.0, 25.0], [190.0, 25.0]]), np.array([[20.0, 40.0], [20.0, 190.0]]))
    rules = tuple(Rule(150.0, taken.to_pixels(marks, 0.5), "rule") for marks in ends)
    seen = sight(taken.picture, References(rules=rules))
    assert max(_off(seen.measured, ODD)) < PHOTO


@pytest.mark.parametrize("tilt", [1.0, 12.0])
def test_shape_from_a_photo_that_tells_its_focal_length(tilt: float) -> None:
    taken = photographed(raster(300), ODD, Camera(tilt=(tilt, 70.0)), Damage())
    measured = sight(taken.picture, References()).measured
    assert measured is not None
    assert not measured.scale_known
    assert measured.best[0] / measured.best[1] == pytest.approx(ODD.x / ODD.y, abs=PHOTO)
    assert measured.best[2] == pytest.approx(ODD.skew, abs=0.03)


def test_scale_of_the_scanner_from_a_card() -> None:
    """True size known, both axes of the scanner off by different shares."""
    scanner = Scanner(x=1.008, y=0.993)
    taken = scanned(raster(300), ODD, scanner, Damage(), card=(105.0, 55.0, 2.0))
    size = sight(taken.picture, References(card=MEASURED_CARD)).size
    assert size is not None
    assert size.proven == (True, True)
    for found, true, u in zip(size.mm, scanner.record().mm, size.u, strict=True):
        assert abs(found / true - 1.0) < min(2 * u, 0.0006)


def test_own_error_is_far_below_the_limits_and_covers_what_noise_does() -> None:
    """The estimator's own error is told apart: the same sheet with other noise scatters by about that."""
    scanner = Scanner(dpi=150)
    found = [
        _seen(scanned(raster(150), ODD, scanner, Damage(noise=12.0), seed), scanner).measured
        for seed in range(6)
    ]
    values = np.array([m.best[:2] for m in found if m])
    own = np.array([m.own[:2] for m in found if m]).mean(axis=0)
    assert (values.std(axis=0) < own).all()
    assert all(m.own[axis] < m.limits[axis] / 2 for m in found if m for axis in (0, 1))
