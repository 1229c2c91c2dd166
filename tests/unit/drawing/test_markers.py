"""Markers: the table of bits against the library they were made from, the code, and the outlines."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from templgen.drawing.markers import (
    CELLS,
    DIGEST_DIGITS,
    MOST_STEPS,
    PIECES,
    SLOTS,
    SheetCode,
    code_of,
    marker_bits,
    marker_contours,
    marker_ids,
)
from templgen.geometry import Vec

FAMILY = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
NUMBERS = range(len(FAMILY.bytesList))

codes = st.builds(
    SheetCode,
    columns=st.integers(0, MOST_STEPS),
    rows=st.integers(0, MOST_STEPS),
    inches=st.booleans(),
    corrected=st.booleans(),
    sheet=st.integers(0, 63),
    digest=st.integers(0, 16**DIGEST_DIGITS - 1).map(lambda number: f"{number:0{DIGEST_DIGITS}x}"),
)


def test_bits_are_those_of_the_open_family() -> None:
    """Every marker against OpenCV's dictionary DICT_5X5_1000."""
    for number in NUMBERS:
        bits = cv2.aruco.Dictionary.getBitsFromByteList(FAMILY.bytesList[number : number + 1], CELLS - 2)
        assert np.array_equal(np.array(marker_bits(number)), bits.astype(bool)), number


def test_outlines_drawn_are_the_markers_that_the_library_draws() -> None:
    """Filled by OpenCV, cell by cell the same picture as its own."""
    step = 10
    for number in range(0, len(NUMBERS), 7):
        picture = np.full((CELLS * step, CELLS * step), 255, np.uint8)
        for contour in marker_contours(number, Vec(CELLS / 2, CELLS / 2), float(CELLS)):
            points = [(point.x * step - 0.5, (CELLS - point.y) * step - 0.5) for point in contour.vertices]
            cv2.fillPoly(picture, [np.round(np.array(points) * 16).astype(np.int32)], 0, shift=4)
        own = cv2.aruco.generateImageMarker(FAMILY, number, CELLS)
        middles = picture[step // 2 :: step, step // 2 :: step]
        assert np.array_equal(middles, own), number


def test_outlines_cover_the_black_cells_and_nothing_else() -> None:
    for number in NUMBERS:
        black = CELLS**2 - sum(sum(row) for row in marker_bits(number))
        area = sum(contour.area for contour in marker_contours(number, Vec(3.0, 4.0), float(CELLS)))
        assert area == pytest.approx(black)


@given(codes, st.sets(st.integers(0, SLOTS - 1), max_size=6))
def test_a_code_is_read_from_what_is_left_of_its_markers(code: SheetCode, lost: set[int]) -> None:
    """Any markers may be lost as long as at most one piece is lost in both its places."""
    ids = marker_ids(code)
    pieces = {slot % PIECES: number % 64 for slot, number in enumerate(ids) if slot not in lost}
    found = code_of(pieces)
    assert found == (code if len(pieces) >= PIECES - 1 else None)


@given(codes, st.integers(0, PIECES - 1), st.integers(1, 63))
def test_a_misread_piece_is_noticed(code: SheetCode, place: int, change: int) -> None:
    pieces = {slot: number % 64 for slot, number in enumerate(marker_ids(code)[:PIECES])}
    assert code_of(pieces | {place: pieces[place] ^ change}) is None


@given(codes)
def test_opposite_markers_say_the_same_and_all_numbers_differ(code: SheetCode) -> None:
    ids = marker_ids(code, SLOTS + 10)
    assert len(set(ids)) == len(ids)
    assert max(ids) < len(NUMBERS)
    for slot in range(PIECES):
        assert ids[slot] % 64 == ids[slot + PIECES] % 64
