"""What the sheets say about proof and correction, and that the paper is corrected and the metal is not."""

from __future__ import annotations

import re
from functools import cache

import pytest

from templgen.drawing import CircleMark, Correction, Meaning, PathMark, Text
from templgen.errors import TemplgenError
from templgen.exporters.pdf import pdf_bytes
from templgen.exporters.svg import svg_bytes
from templgen.geometry import Bounds, Vec
from templgen.job.starters import starter
from templgen.proof.readers.pdf import read_pdf
from templgen.sheets import Sheet, build_sheets
from templgen.sheets.overlaps import overlaps
from templgen.sheets.proving import crosses_of, features_of, largest_feature, shortest_length, tolerance_of
from templgen.trade.paper import find_paper
from tests.unit.sheets.support import DEMO, built, judged

GARAGE = Correction(1.0042, 1.0006, 0.05, "garage", 2)
LONGEST = Correction(0.9712, 1.0099, -0.25, "W" * 24, 12)
PART = starter("part")


@cache
def corrected(correction: Correction, text: str = DEMO, paper: str = "letter") -> tuple[Sheet, ...]:
    return build_sheets(*judged(text), find_paper(paper), correction)


def banner(sheet: Sheet) -> str:
    """The words above the line under the banner."""
    frame = next(item for item in sheet.drawing.items if isinstance(item, PathMark) and item.name == "frame")
    top = frame.contour.bounds.ymax - 10.4
    return " ".join(item.text for item in sheet.drawing.items if isinstance(item, Text) and item.at.y > top)


@pytest.mark.parametrize("printer", ["garage", "attic", "W" * 12, "the one in the hall"])
def test_no_letter_of_the_banner_hangs_into_a_line_of_the_frame(printer: str) -> None:
    for sheet in corrected(Correction(1.0021, 1.0035, 0.0, printer, 1)):
        frame = next(
            each for each in sheet.drawing.items if isinstance(each, PathMark) and each.name == "frame"
        )
        top = frame.contour.bounds.ymax
        for item in sheet.drawing.items:
            if isinstance(item, Text) and item.at.y > top - 10.4 and item.height < 3.0:
                # letters hang by a quarter of their height at least; the frame's line is 0.5 wide
                assert item.at.y - 0.25 * item.height > top - 10.4 + 0.25, item.text
                assert item.at.y + item.height < top - 0.25, item.text
        assert ("Crosses in rings" in banner(sheet)) == (crosses_of(sheet.drawing) is not None)


def is_on_its_side(sheet: Sheet) -> bool:
    return (sheet.drawing.width or 0.0) > (sheet.drawing.height or 0.0)


def test_every_sheet_says_to_print_at_full_size() -> None:
    for sheet in built():
        assert "PRINT AT 100 %" in banner(sheet), sheet.name
        assert sheet.drawing.correction is None


def test_a_sheet_with_crosses_says_how_to_prove_it() -> None:
    job, assembly, _ = judged(DEMO)
    largest = largest_feature(features_of(built(), assembly))
    needed = shortest_length(0.5, largest, tolerance_of(job)) / 25.4
    for sheet in built():
        words = banner(sheet)
        if crosses_of(sheet.drawing) is None:
            assert "Steel rule" not in words
            continue
        assert f"templgen proof measured {job.file}" in words
        enough = f"read to 0.020 in over {needed:.1f} in or more"
        assert enough in words or f"0.020 in would need {needed:.1f} in" in words


@pytest.mark.parametrize("paper", ["letter, margin 12.7 mm", "a4, margin 10 mm", "letter, margin 8 mm"])
def test_a_wide_margin_leaves_no_sheet_without_its_banner(paper: str) -> None:
    for sheet in build_sheets(*judged(PART), find_paper(paper)):
        words = banner(sheet)
        assert "PRINT AT 100 %" in words, sheet.name
        if crosses_of(sheet.drawing) is not None:
            assert f'templgen proof measured test.toml --paper "{paper}"' in words
            assert "Steel rule: " in words
        assert overlaps(sheet.drawing) == []


def test_crosses_that_are_too_near_say_how_finely_to_read() -> None:
    job, assembly, _ = judged(DEMO)
    largest = largest_feature(features_of(built(), assembly))
    sheet = built()[0]
    crosses = crosses_of(sheet.drawing)
    assert crosses is not None
    read_to = min(crosses.width, crosses.height) * tolerance_of(job) / largest / 25.4
    assert f"from cross to cross read to {read_to:.3f} in" in banner(sheet)


def test_the_tolerance_is_the_jobs_or_a_hundredth_of_an_inch() -> None:
    assert tolerance_of(judged(DEMO)[0]) == 0.254
    wider = DEMO.replace('paper = "letter"', 'paper = "letter"\ntolerance = "0.4 mm"', 1)
    assert tolerance_of(judged(wider)[0]) == pytest.approx(0.4)
    metric = DEMO.replace('unit = "in"  ', 'unit = "mm"  ', 1)
    assert 'unit = "mm"' in metric


@pytest.mark.parametrize("correction", [GARAGE, LONGEST], ids=["garage", "longest"])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_every_corrected_sheet_says_for_which_printer(correction: Correction, paper: str) -> None:
    for sheet in corrected(correction, PART, paper):
        own = correction.turned() if is_on_its_side(sheet) else correction
        words = banner(sheet)
        assert f"CORRECTED FOR PRINTER {correction.printer}" in words
        skew = f" skew {own.skew:.2f}°" if round(own.skew, 2) else ""
        assert f"x {own.x:.4f} y {own.y:.4f}{skew}: correction {correction.number}, print at 100 %" in words
        assert "On any other printer this sheet is wrong." in words
        assert "PRINT AT 100 %" not in words
        title = "".join(item.text for item in sheet.drawing.items if isinstance(item, Text))
        assert f"{correction.printer},correction{correction.number}" in title.replace(" ", "")
        assert overlaps(sheet.drawing) == []


def test_the_large_words_are_large() -> None:
    for sheet in corrected(GARAGE):
        (large,) = (
            item
            for item in sheet.drawing.items
            if isinstance(item, Text) and item.text.startswith("CORRECTED FOR PRINTER")
        )
        assert large.height == 5.0
        assert large.bold


def test_every_sheet_carries_the_correction_of_how_it_lies() -> None:
    for sheet in corrected(GARAGE):
        found = sheet.drawing.correction
        wanted = GARAGE.turned() if is_on_its_side(sheet) else GARAGE
        assert found == wanted
    assert {is_on_its_side(sheet) for sheet in corrected(GARAGE)} == {True, False}


def test_the_crosses_of_a_corrected_sheet_wear_rings() -> None:
    for sheet in corrected(GARAGE):
        crosses = crosses_of(sheet.drawing)
        rings = [
            item.centre
            for item in sheet.drawing.items
            if isinstance(item, CircleMark) and item.meaning is Meaning.CROSS
        ]
        assert rings == (list(crosses.corners) if crosses else [])
    assert not any(
        isinstance(item, CircleMark) and item.meaning is Meaning.CROSS
        for sheet in built()
        for item in sheet.drawing.items
    )


def test_a_record_without_a_correction_changes_no_place() -> None:
    plain = build_sheets(*judged(PART), find_paper("letter"), Correction(1.0, 1.0, 0.0, "garage"))
    for sheet in plain:
        assert sheet.drawing.correction is None
        assert "PRINT AT 100 %" in banner(sheet)
        words = " ".join(item.text for item in sheet.drawing.items if isinstance(item, Text))
        assert "garage, not corrected" in words


def test_a_correction_that_pushes_the_frame_off_the_paper_is_refused() -> None:
    """Letter is 279.4 mm high and the frame ends 6.35 mm below: 2.3 % more is over the edge."""
    corrected(Correction(1.0, 1.023, 0.0, "garage", 1), PART)
    with pytest.raises(TemplgenError, match=r"pushes the frame 0\.3 mm over the edge of the page"):
        corrected(Correction(1.0, 1.0243, 0.0, "garage", 1), PART)


def test_the_margin_that_makes_room_for_a_correction_is_named() -> None:
    """279.4 mm high, scaled by 1.0299 from its foot: the frame may end 8.12 mm below the edge, so 8.5 mm."""
    great = Correction(1.0, 1.0299, 0.0, "garage", 1)
    with pytest.raises(TemplgenError, match=r'prove on --paper "letter, margin 8\.5 mm"'):
        build_sheets(*judged(PART), find_paper("letter"), great)
    assert build_sheets(*judged(PART), find_paper("letter, margin 8.5 mm"), great)
    with pytest.raises(TemplgenError, match="over the edge"):
        build_sheets(*judged(PART), find_paper("letter, margin 8 mm"), great)


def test_same_job_and_same_record_give_the_same_bytes() -> None:
    first = corrected(GARAGE, PART)
    again = build_sheets(*judged(PART), find_paper("letter"), GARAGE)
    for a, b in zip(first, again, strict=True):
        assert svg_bytes(a.drawing) == svg_bytes(b.drawing)
    assert pdf_bytes([s.drawing for s in first]) == pdf_bytes([s.drawing for s in again])


def test_the_file_says_its_printer() -> None:
    for sheet in corrected(GARAGE, PART):
        assert ("printer", "garage, correction 2") in sheet.drawing.info.facts
        assert b"printer: garage, correction 2" in svg_bytes(sheet.drawing)
    assert "printer: garage" in read_pdf(pdf_bytes([corrected(GARAGE, PART)[0].drawing])).keywords


def test_the_crosses_are_read_off_the_drawing() -> None:
    for sheet in built():
        crosses = crosses_of(sheet.drawing)
        if sheet.kind == "notes":
            assert crosses is None
            continue
        assert crosses is not None
        words = " ".join(item.text for item in sheet.drawing.items if isinstance(item, Text))
        for what, length in (("A to B", crosses.width), ("A to D", crosses.height)):
            (printed,) = re.findall(rf"{what} ([\d.]+) in", words)
            assert float(printed) * 25.4 == pytest.approx(length, abs=1e-6)


def test_features_are_what_is_cut_and_drilled() -> None:
    """The demo: its holes lie 5 in and 3.3 in apart at most, its plate is 6 in by 4 in less the trim."""
    _, assembly, _ = judged(DEMO)
    found = {feature.name: feature for feature in features_of(built(), assembly)}
    assert {"Template: mast", "Part: base plate", "Flat pattern: rib clip", "Fit page: mast"} <= set(found)
    assert not any(name.startswith("Rough") for name in found)
    locating = next(feature for name, feature in found.items() if name.startswith("mast, hole set 1"))
    assert locating.span == pytest.approx(5.0 * 25.4, abs=1e-6)
    assert found["Part: base plate"].span > 6.0 * 25.4


def test_features_of_the_legend_are_not_taken_for_the_jobs() -> None:
    _, assembly, _ = judged(DEMO)
    for feature in features_of(built(), assembly):
        crosses = crosses_of(built()[feature.sheet - 1].drawing)
        assert crosses is not None
        box = Bounds.of(feature.points)
        assert box is not None
        assert all(crosses.contains(corner) for corner in box.corners)


def test_a_feature_has_the_largest_distance_of_its_points_as_its_size() -> None:
    _, assembly, _ = judged(DEMO)
    for feature in features_of(built(), assembly):
        pairs = [a.distance_to(b) for a in feature.points for b in feature.points]
        assert feature.span == max(pairs)
        assert all(isinstance(point, Vec) for point in feature.points)
