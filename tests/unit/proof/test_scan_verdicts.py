"""What is said of a picture: inside, outside, cannot judge, or why it is refused."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from templgen.drawing import Correction
from templgen.proof.measured import Outcome
from templgen.proof.scan.chart import residual_chart
from templgen.proof.scan.judgement import (
    Doubt,
    Kind,
    References,
    default_features,
    sight,
    verdict_of,
)
from templgen.proof.scan.lengths import Card, Rule
from templgen.proof.scan.metadata import FileFacts
from templgen.proof.scan.picture import Picture, ScanError
from templgen.proof.scan.words import residual_lines, sighted_lines
from tests.unit.proof.pictures import (
    CARD,
    Camera,
    Damage,
    Print,
    Scanner,
    Taken,
    judged_demo,
    photographed,
    raster,
    scanned,
    wanted,
)

TRUE, WRONG, FITTED = Print(1.0003, 0.9998), Print(1.004, 1.004), Print(0.95, 0.95)


SCANNER = Scanner(dpi=200)
CLEAN = Damage()


@cache
def _scan(printed: Print, damage: Damage = CLEAN) -> Taken:
    return scanned(raster(200), printed, SCANNER, damage)


def _photo(printed: Print, tells: bool = True) -> Taken:
    return photographed(raster(200), printed, Camera(width=2800, height=2100, tells=tells), CLEAN)


def _outcome(
    taken: Taken, references: References, tolerance: float | None = None
) -> tuple[Outcome, Doubt | None]:
    verdict, doubt = verdict_of(sight(taken.picture, references), wanted(tolerance))
    assert verdict is not None
    return verdict.outcome, doubt


def test_a_known_scanner_tells_inside_from_outside() -> None:
    references = References(scanner=SCANNER.record())
    assert _outcome(_scan(TRUE), references) == (Outcome.INSIDE, None)
    assert _outcome(_scan(WRONG), references) == (Outcome.OUTSIDE, None)


def test_a_print_corrected_for_its_printer_is_inside_and_says_that_it_is_corrected() -> None:
    """What the printer does to the page undoes the correction in it; on another printer it is outside."""
    correction = Correction(1.0 / 1.006, 1.0 / 0.995, 0.0, "garage", 1)  # for a page that stands upright
    corrected = raster(200, 1, correction)
    printer = Print(1.006, 0.995) if corrected.width < corrected.height else Print(0.995, 1.006)
    references = References(scanner=SCANNER.record())
    for does, outcome in ((printer, Outcome.INSIDE), (Print(), Outcome.OUTSIDE)):
        seen = sight(scanned(corrected, does, SCANNER, CLEAN).picture, references)
        verdict, doubt = verdict_of(seen, wanted(None, correction))
        assert verdict is not None
        assert verdict.outcome is outcome
        assert any(
            "corrected for a printer already" in line
            for line in sighted_lines(seen, verdict, doubt, "mm", "")
        )


def test_the_word_of_the_file_never_proves_a_print() -> None:
    """Even to a tolerance that its uncertainty would allow."""
    assert _outcome(_scan(TRUE), References()) == (Outcome.CANNOT_JUDGE, Doubt.SCALE)
    assert _outcome(_scan(TRUE), References(), 10.0) == (Outcome.CANNOT_JUDGE, Doubt.SCALE)


def test_the_word_of_the_file_shows_a_fitted_page() -> None:
    assert _outcome(_scan(FITTED), References()) == (Outcome.OUTSIDE, None)


def test_two_rules_prove_and_one_does_not() -> None:
    taken = _scan(TRUE)
    ends = (np.array([[30.0, 25.0], [250.0, 25.0]]), np.array([[15.0, 10.0], [15.0, 200.0]]))
    along_x, along_y = (
        Rule(float(np.linalg.norm(marks[1] - marks[0])), taken.to_pixels(marks, 0.0), "rule")
        for marks in ends
    )
    assert _outcome(taken, References((along_x, along_y)), 0.5) == (Outcome.INSIDE, None)
    assert _outcome(taken, References((along_x,)), 0.5) == (Outcome.CANNOT_JUDGE, Doubt.SCALE)
    seen = sight(taken.picture, References((along_x,)))
    assert seen.size is not None
    assert seen.size.proven == (True, False)


def test_a_misread_rule_is_refused() -> None:
    taken = _scan(TRUE)
    marks = np.array([[30.0, 25.0], [180.0, 25.0]])
    with pytest.raises(ScanError, match="no scanner is so far off"):
        sight(taken.picture, References((Rule(160.0, taken.to_pixels(marks, 0.0), "rule"),)))


def test_references_that_contradict_one_another_are_refused() -> None:
    taken = _scan(TRUE)
    marks = np.array([[30.0, 25.0], [180.0, 25.0]])
    wrong = Rule(151.5, taken.to_pixels(marks, 0.0), "rule")
    with pytest.raises(ScanError, match=r"contradict|by all else"):
        sight(taken.picture, References((wrong,), scanner=SCANNER.record()))


def test_a_drawing_of_the_size_of_a_card_is_no_card() -> None:
    """A printed outline would prove the print by itself."""
    page = raster(200)
    grey = page.grey.copy()
    corner, size = np.array([60.0, 45.0]), np.array(CARD[:2])
    low, high = (corner / page.step).round().astype(int), ((corner + size) / page.step).round().astype(int)
    for width in (2, 4, 8):
        cv2.rectangle(grey, low.tolist(), high.tolist(), 0, width)
        drawn = replace(page, grey=grey)
        taken = scanned(drawn, TRUE, SCANNER, CLEAN)
        with pytest.raises(ScanError, match="no card"):
            sight(taken.picture, References(card=Card(CARD[:2], (0.1, 0.1), "id-1")))


def test_a_fold_is_not_judged_and_said_to_be_one() -> None:
    references = References(scanner=SCANNER.record())
    across = raster(200).crosses.ymin + 62.5
    outcome, doubt = _outcome(_scan(Print(), Damage(fold=(across, 0.25, 0.3))), references)
    assert (outcome, doubt) == (Outcome.CANNOT_JUDGE, Doubt.UNEVEN)


def test_a_photo_without_a_reference_tells_shape_only() -> None:
    taken = _photo(TRUE)
    seen = sight(taken.picture, References())
    assert seen.kind is Kind.PHOTO
    verdict, doubt = verdict_of(seen, wanted(10.0))
    assert verdict is not None
    assert (verdict.outcome, doubt) == (Outcome.CANNOT_JUDGE, Doubt.SCALE)
    told = "\n".join(sighted_lines(seen, verdict, doubt, "mm", ""))
    assert "x : y" in told
    assert "scale itself is not known" in told


def test_a_photo_of_a_page_drawn_out_of_shape_is_outside() -> None:
    taken = _photo(Print(1.0, 0.97))
    assert _outcome(taken, References()) == (Outcome.OUTSIDE, Doubt.SCALE)


def test_a_photo_is_told_from_a_scan_without_a_word_of_the_file() -> None:
    taken = _photo(TRUE, tells=False)
    assert sight(taken.picture, References()).kind is Kind.PHOTO
    assert sight(_scan(TRUE).picture, References()).kind is Kind.SCAN


def test_a_folded_scan_is_not_taken_for_a_photo() -> None:
    taken = _scan(Print(), Damage(fold=(120.0, 1.2, 0.3)))
    assert sight(taken.picture, References()).kind is Kind.SCAN


def test_without_a_job_the_crosses_are_judged() -> None:
    seen = sight(_scan(TRUE).picture, References(scanner=SCANNER.record()))
    verdict, _ = verdict_of(seen, default_features(seen.found))
    assert verdict is not None
    box = raster(200).crosses
    assert verdict.worst.feature.span == pytest.approx(np.hypot(box.width, box.height))


def test_sheet_and_job_are_told_by_the_markers() -> None:
    code = sight(_scan(TRUE).picture, References()).found.code
    assert code.sheet == 1
    assert judged_demo().job.digest.startswith(code.digest)


def _picture(grey: np.ndarray) -> Picture:
    return Picture("x.png", np.ascontiguousarray(grey), FileFacts((200.0, 200.0)))


def test_part_of_a_sheet_is_not_judged() -> None:
    """The crosses stand in the upper two thirds of the upright page, so a third of it is half of them."""
    taken = _scan(TRUE)
    rows, columns = taken.picture.grey.shape
    for part in (np.s_[: rows // 3], np.s_[:, : columns // 3], np.s_[rows // 2 :, columns // 4 :]):
        with pytest.raises(ScanError, match="all of"):
            sight(_picture(taken.picture.grey[part]), References())


def test_no_sheet_two_sheets_and_a_mirrored_sheet_are_told() -> None:
    grey = _scan(TRUE).picture.grey
    with pytest.raises(ScanError, match="no markers found"):
        sight(_picture(np.full((900, 900), 240, np.uint8)), References())
    with pytest.raises(ScanError, match="no markers found"):
        sight(_picture(grey[:, ::-1]), References())
    other = scanned(raster(200, 4), TRUE, SCANNER, CLEAN).picture.grey
    rows = max(len(grey), len(other))
    both = np.hstack(
        [np.pad(each, ((0, rows - len(each)), (0, 0)), constant_values=250) for each in (grey, other)]
    )
    with pytest.raises(ScanError, match="more than one sheet"):
        sight(_picture(both), References())


def test_a_resolution_that_programs_write_when_they_know_none_is_not_believed() -> None:
    taken = _scan(TRUE)
    unknown = Picture("x.png", taken.picture.grey, FileFacts((72.0, 72.0)))
    seen = sight(unknown, References())
    assert seen.measured is None
    assert verdict_of(seen, wanted()) == (None, Doubt.SCALE)
    assert any("nothing is known" in line for line in sighted_lines(seen, None, Doubt.SCALE, "mm", ""))


def test_the_estimators_own_error_is_told_apart() -> None:
    seen = sight(_scan(TRUE).picture, References(scanner=SCANNER.record()))
    verdict, doubt = verdict_of(seen, wanted())
    lines = sighted_lines(seen, verdict, doubt, "in", "")
    assert any("estimator's own error" in line for line in lines)
    assert any(line.startswith("INSIDE") for line in lines)


def test_residuals_are_told_and_drawn() -> None:
    taken = _scan(TRUE, Damage(missing=(3,)))
    seen = sight(taken.picture, References(scanner=SCANNER.record()))
    assert len(residual_lines(seen)) == 1 + len(seen.fit.leftovers.slots)
    chart = cv2.imdecode(np.frombuffer(residual_chart(taken.picture, seen), np.uint8), cv2.IMREAD_COLOR)
    red = (chart[..., 2] > 150) & (chart[..., 1] < 60)
    box = raster(200).crosses
    assert chart.shape[1] == pytest.approx(5.0 * (box.width + 32.0), abs=2)
    assert red.sum() > 20 * len(seen.fit.leftovers.slots)
