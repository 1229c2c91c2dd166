"""The frame of markers: where they stand, and that they are in nobody's way."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templgen.drawing import Drawing, Item, Meaning, PathMark, Text
from templgen.drawing.markers import SLOTS, SheetCode
from templgen.geometry import Bounds, Vec
from templgen.sheets.crosses import CROSS_ARM, corner_crosses
from templgen.sheets.lettering import bounds_of
from templgen.sheets.markers import (
    MARKER_SIZE,
    crosses_of_code,
    marker_places,
    numbered_places,
    sheet_code,
)
from templgen.sheets.overlaps import overlaps
from templgen.sheets.proving import crosses_of
from templgen.sheets.space import chords
from tests.unit.sheets.support import DEMO, built, judged, sheet, sheets_of

QUIET = 1.0

# From A5 to A1, in steps of a quarter of an inch or 5 mm.
codes = st.builds(
    SheetCode,
    columns=st.integers(18, 160),
    rows=st.integers(12, 160),
    inches=st.booleans(),
    corrected=st.just(False),
    sheet=st.just(1),
    digest=st.just("abc"),
)


def _boxes(drawing: Drawing) -> list[Bounds]:
    """The boxes of all markers of a sheet."""
    boxes: dict[str, Bounds] = {}
    for item in drawing.items:
        if isinstance(item, PathMark) and item.meaning is Meaning.MARKER:
            box = item.contour.bounds
            boxes[item.name] = boxes[item.name].union(box) if item.name in boxes else box
    return list(boxes.values())


@given(codes)
def test_markers_stand_apart_and_clear_of_crosses_and_words(code: SheetCode) -> None:
    places = marker_places(code)
    assert not places or len(places) >= SLOTS
    half = MARKER_SIZE / 2
    boxes = [Bounds(p.x - half, p.y - half, p.x + half, p.y + half) for p in places]
    for one, other in combinations(boxes, 2):
        assert one.distance_to(other) >= 2 * QUIET - 1e-9 or _round_a_corner(one, other)
    box = crosses_of_code(code)
    crosses = corner_crosses(box.grown(4.0), "in" if code.inches else "mm")
    words = [bounds_of(item) for item in crosses.items if isinstance(item, Text)]
    for each in boxes:
        assert all(each.distance_to(word) >= QUIET - 1e-6 for word in words)
        assert all(
            each.distance_to(Bounds(c.x, c.y, c.x, c.y)) >= CROSS_ARM + QUIET - 1e-6 for c in box.corners
        )


def _round_a_corner(one: Bounds, other: Bounds) -> bool:
    """Two markers on two sides that meet in a cross stand corner to corner."""
    return (
        abs(one.centre.x - other.centre.x) > MARKER_SIZE and abs(one.centre.y - other.centre.y) > MARKER_SIZE
    )


@given(codes)
def test_markers_reach_from_side_to_side(code: SheetCode) -> None:
    """A scale is told over nearly the whole distance of the crosses."""
    places, box = marker_places(code), crosses_of_code(code)
    if places:
        across, along = (
            max(values) - min(values) for values in ([p.x for p in places], [p.y for p in places])
        )
        assert across == pytest.approx(box.width)
        assert along == pytest.approx(box.height)


@given(codes)
def test_the_same_piece_stands_at_opposite_places(code: SheetCode) -> None:
    places, box = marker_places(code), crosses_of_code(code)
    half = SLOTS // 2
    for slot in range(half if places else 0):
        one, other = places[slot], places[slot + half]
        assert one.distance_to(other) > 0.9 * min(box.width, box.height)


@given(codes)
def test_a_drawing_area_of_letter_or_more_holds_the_markers(code: SheetCode) -> None:
    """The smallest area on letter is 80 x 180 mm or 170 x 85 mm."""
    box = crosses_of_code(code)
    if min(box.width, box.height) >= 75.0 and box.width + box.height >= 240.0:
        assert marker_places(code)


def test_every_sheet_with_crosses_has_markers_and_no_other() -> None:
    for each in built():
        has_crosses = crosses_of(each.drawing) is not None
        assert bool(_boxes(each.drawing)) == has_crosses, each.name


def test_markers_stand_where_their_code_says() -> None:
    job = judged(DEMO)[0]
    for number, each in enumerate(built(), 1):
        box = crosses_of(each.drawing)
        if box is None:
            continue
        code = sheet_code(box, job.unit, number, job.digest, False)
        assert code is not None
        corner = Vec(box.xmin, box.ymin)
        expected = {
            f"marker {marker}": (corner + place, MARKER_SIZE) for marker, place in numbered_places(code)
        }
        found: dict[str, Bounds] = {}
        for item in each.drawing.items:
            if isinstance(item, PathMark) and item.meaning is Meaning.MARKER:
                bounds = item.contour.bounds
                found[item.name] = found[item.name].union(bounds) if item.name in found else bounds
        assert found.keys() == expected.keys()
        for name, (centre, size) in expected.items():
            assert found[name].centre.distance_to(centre) < 1e-9
            assert found[name].width == pytest.approx(size)


@pytest.mark.parametrize("seed", range(6))
def test_nothing_stands_on_a_marker_or_in_the_white_round_it(seed: int) -> None:
    for each in sheets_of(seed) if seed else built():
        boxes = _boxes(each.drawing)
        ink = [box for item in each.drawing.items for box in _ink(item)]
        for box in boxes:
            assert all(box.distance_to(other) > 0.6 for other in ink), each.name
        assert overlaps(each.drawing) == []


def _ink(item: Item) -> list[Bounds]:
    """Boxes of what a mark covers, markers left out."""
    if isinstance(item, Text):
        return [bounds_of(item)]
    if item.meaning is Meaning.MARKER:
        return []
    return [piece.bounds for piece in chords(item)]


def test_a_plate_of_102_by_152_mm_fits_one_letter_page_with_its_markers() -> None:
    """The demo's base plate is 4 in by 6 in."""
    drawing = sheet("template").drawing
    assert sorted((drawing.width, drawing.height)) == pytest.approx([215.9, 279.4])
    plate = next(
        item.contour.bounds
        for item in sheet("part").drawing.items
        if isinstance(item, PathMark) and item.meaning is Meaning.CUT
    )
    assert sorted((plate.width, plate.height)) == pytest.approx(
        [101.6, 152.4], abs=1.5
    )  # one edge is trimmed
    assert len(_boxes(drawing)) >= SLOTS


def test_a_correction_is_said_by_the_markers() -> None:
    box = Bounds(0.0, 0.0, 150.0, 100.0)
    plain, corrected = (sheet_code(box, "mm", 1, "abcdef", each) for each in (False, True))
    assert plain is not None
    assert corrected is not None
    assert plain.number != corrected.number


def test_a_sheet_without_a_digest_or_too_large_to_scan_has_none() -> None:
    assert sheet_code(Bounds(0.0, 0.0, 150.0, 100.0), "mm", 1, "", False) is None
    assert sheet_code(Bounds(0.0, 0.0, 1500.0, 100.0), "mm", 1, "abc", False) is None
