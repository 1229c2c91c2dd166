"""Known lengths, the size of a pixel, scanner records, and what a fit may hide."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from templgen.errors import UnitError
from templgen.proof.records import RecordError
from templgen.proof.scan.hidden import affine_basis, hidden_scale, lens_basis
from templgen.proof.scan.lengths import parse_card, parse_rule
from templgen.proof.scan.picture import ScanError
from templgen.proof.scan.scale import FILE_U, Known, PixelSize, pixel_size
from templgen.proof.scan.scanner import (
    ScannerRecord,
    pixel_size_of,
    read_scanner,
    scanner_text,
    write_scanner,
)

DPI = (300.0, 300.0)
NOMINAL = 25.4 / 300.0


def test_a_rule_as_it_is_typed() -> None:
    rule = parse_rule("6 in:118,240.5:1890,243")
    assert rule.length == pytest.approx(152.4)
    assert rule.ends.tolist() == [[118.0, 240.5], [1890.0, 243.0]]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("150mm", "allowed: LENGTH:X,Y:X,Y"),
        ("150mm:1,2", "allowed: LENGTH:X,Y:X,Y"),
        ("150mm:a,2:3,4", "allowed: LENGTH:X,Y:X,Y"),
        ("150mm:1,2:3,4", "less than 50 pixels apart"),
        ("0mm:1,2:300,4", "allowed: up to"),
        ("9 m:1,2:300,4", "9 m"),
    ],
)
def test_what_is_no_rule_is_said(text: str, words: str) -> None:
    with pytest.raises(UnitError, match=words):
        parse_rule(text)


@pytest.mark.parametrize("text", ["85.57x53.96mm", "85.57 mm x 53.96 mm", "53.96x85.57", "85.57×53.96 mm"])
def test_a_card_as_it_was_measured(text: str) -> None:
    assert parse_card(text).sides == (85.57, 53.96)


def test_a_bank_card_is_id_1_within_its_standard() -> None:
    """ISO/IEC 7810, ID-1: 85.60 x 53.98 mm, unused 85.47 to 85.72 by 53.92 to 54.03 mm (from memory)."""
    card = parse_card("ID-1")
    assert card.sides == (85.60, 53.98)
    for side, off, (low, high) in zip(card.sides, card.off, ((85.47, 85.72), (53.92, 54.03)), strict=True):
        assert side - off <= low
        assert side + off >= high


@pytest.mark.parametrize("text", ["", "card", "85.6", "85.6x53.98x0.76mm", "8x5mm", "a x b"])
def test_what_is_no_card_is_said(text: str) -> None:
    with pytest.raises(UnitError):
        parse_card(text)


def _known(x: float, y: float, size: tuple[float, float], u: float = 0.0005) -> Known:
    return Known("rule", np.array([x, y]), math.hypot(x * size[0], y * size[1]), u)


@given(st.floats(-0.012, 0.012), st.floats(-0.012, 0.012), st.floats(0.0, 90.0))
def test_two_lengths_tell_both_axes(off_x: float, off_y: float, turn: float) -> None:
    size = (NOMINAL * (1.0 + off_x), NOMINAL * (1.0 + off_y))
    a = math.radians(turn)
    lengths = [
        _known(1000.0 * math.cos(a), 1000.0 * math.sin(a), size),
        _known(-1000.0 * math.sin(a), 1000.0 * math.cos(a), size),
    ]
    found = pixel_size(DPI, lengths, None, "x")
    assert found is not None
    aslant = abs(math.cos(2.0 * a))
    if aslant > 0.3:
        assert found.proven == (True, True)
        assert found.mm == pytest.approx(size, rel=1e-5)
    elif aslant < 0.05:
        # Both lengths say the same of both axes.
        assert found.proven == (False, False)


def test_one_length_tells_one_axis() -> None:
    found = pixel_size(DPI, [_known(1500.0, 3.0, (NOMINAL, NOMINAL * 1.01))], None, "x")
    assert found is not None
    assert found.proven == (True, False)
    assert found.u[1] == pytest.approx(FILE_U, rel=0.05)
    assert "resolution in the file" in found.source


def test_nothing_is_known_without_a_word_of_the_file() -> None:
    assert pixel_size(None, [], None, "x") is None


def test_the_file_alone_proves_nothing() -> None:
    found = pixel_size(DPI, [], None, "x")
    assert found == PixelSize(
        (NOMINAL, NOMINAL), (FILE_U, FILE_U), (False, False), ("resolution in the file",)
    )


def test_more_lengths_tell_more() -> None:
    size = (NOMINAL, NOMINAL)
    both = [_known(1500.0, 0.0, size), _known(0.0, 1500.0, size)]
    one, two = pixel_size(DPI, both, None, "x"), pixel_size(DPI, both * 4, None, "x")
    assert one is not None
    assert two is not None
    assert two.u[0] == pytest.approx(one.u[0] / 2.0, rel=1e-3)


def _record(**changes: object) -> ScannerRecord:
    values: dict[str, object] = {
        "name": "glass",
        "dpi": DPI,
        "true_dpi": (300.81, 299.4),
        "off": (0.08, 0.11),
        "measured_with": 'card, "long" side',
        "date": "",
    }
    return ScannerRecord(**(values | changes))  # type: ignore[arg-type]


def test_a_record_comes_back_as_it_was_written(tmp_path: Path) -> None:
    path = write_scanner(tmp_path / "deep", _record())
    assert path.read_text(encoding="utf-8") == scanner_text(_record())
    assert read_scanner(tmp_path / "deep", "glass") == _record()


def test_a_record_gives_the_size_of_a_pixel() -> None:
    size = pixel_size_of(_record(), DPI, "x")
    assert size.mm == pytest.approx((25.4 / 300.81, 25.4 / 299.4))
    assert size.u == pytest.approx((0.0004, 0.00055))
    with pytest.raises(ScanError, match="at 600 x 600 dpi"):
        pixel_size_of(_record(), (600.0, 600.0), "x")
    with pytest.raises(ScanError, match="does not say"):
        pixel_size_of(_record(), None, "x")


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ('name = "glass"\n', "", "missing key name"),
        ('date = ""', 'date = ""\ncolour = 1', "unknown key colour"),
        ("[300.00, 300.00]", "[300.00]", "two numbers above 0"),
        ("[0.0800, 0.1100]", "[-1.0, 0.1]", "two numbers above 0"),
        ("[300.8100, 299.4000]", "[400.0, 299.4]", "over 3 % off"),
        ('date = ""', "date = 3", "are words"),
        ("dpi = [", "dpi = [[", "glass.toml"),
    ],
)
def test_a_wrong_record_is_said(tmp_path: Path, before: str, after: str, words: str) -> None:
    text = scanner_text(_record())
    assert before in text
    (tmp_path / "glass.toml").write_text(text.replace(before, after, 1), encoding="utf-8")
    with pytest.raises(RecordError, match=words):
        read_scanner(tmp_path, "glass")


def test_an_unknown_scanner_is_said_with_those_there_are(tmp_path: Path) -> None:
    write_scanner(tmp_path, _record())
    with pytest.raises(RecordError, match="there are: glass"):
        read_scanner(tmp_path, "office")


LEVELS = np.array([0.0, 7.0, 30.0, 51.0, 82.0, 110.0, 126.0, 133.0])
FRAME = np.array([(x, y) for y in LEVELS for x in (0.0, 60.0, 170.0)])


@given(st.sampled_from((LEVELS[1:] + LEVELS[:-1]) / 2.0), st.floats(-0.9, 0.9))
def test_a_step_anywhere_is_within_what_may_be_hidden(at: float, height: float) -> None:
    """A fold between any two levels of markers: the scale that it feigns is below the limit."""
    basis = affine_basis(FRAME)
    moved = np.concatenate([np.zeros(len(FRAME)), height * (FRAME[:, 1] > at)])
    solution = np.linalg.lstsq(basis, moved, rcond=None)[0]
    residuals = (moved - basis @ solution).reshape(2, -1).T
    feigned = abs(float(solution[4]))
    assert feigned <= hidden_scale(FRAME, residuals, 0.003, basis)[1] + 1e-9


def test_a_gap_without_neighbours_may_hide_much() -> None:
    few = FRAME[(FRAME[:, 1] < 10.0) | (FRAME[:, 1] > 120.0)]
    limits = [hidden_scale(p, np.zeros_like(p), 0.003, affine_basis(p))[1] for p in (few, FRAME)]
    assert limits[0] > 3.0 * limits[1]


def test_a_lens_may_hide_more_than_a_flatbed() -> None:
    none = np.zeros_like(FRAME)
    flat = hidden_scale(FRAME, none, 0.003, affine_basis(FRAME))
    lens = hidden_scale(FRAME, none, 0.003, lens_basis(FRAME, FRAME.mean(axis=0)))
    assert lens[1] > flat[1]
