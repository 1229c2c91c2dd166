"""What most likely happened: settings computed from paper sizes, feed, driver, skew."""

from __future__ import annotations

import pytest

from templgen.geometry import Vec
from templgen.proof.explain import Advice, explain
from templgen.proof.stretch import Reading, Stretch, solve
from templgen.trade.paper import find_paper

ALONG = (Vec(140.0, 0.0), Vec(0.0, 170.0), Vec(140.0, 170.0), Vec(140.0, -170.0))


def advice(
    x: float, y: float, skew: float = 0.0, *, paper: str = "letter", feed: str = "", off: float = 0.1
) -> Advice:
    truth = Stretch.of(x, y, skew)
    readings = [Reading("length", v, truth.length(v), off) for v in ALONG]
    return explain(solve(readings), find_paper(paper), feed)


@pytest.mark.parametrize(
    ("paper", "factor", "words"),
    [
        # Sides of the papers in mm: ISO 216 and ASME Y14.1.
        ("letter", 210.0 / 215.9, "the Letter page was fitted to A4 paper"),
        ("a4", 279.4 / 297.0, "the A4 page was fitted to Letter paper"),
        ("a3", 279.4 / 297.0, "the A3 page was fitted to Tabloid paper"),
        ("tabloid", 279.4 / 431.8, "the Tabloid page was fitted to Letter paper"),
        ("letter", 0.95, "fit to page"),
        ("letter", 0.96, "fit to page"),
        ("letter", 0.97, "fit to page"),
        ("letter", 0.5**0.5, "two pages were put on one sheet"),
        ("letter", 0.9, "a scale was set"),
        ("letter", 1.1, "a scale was set"),
    ],
)
def test_both_axes_alike_and_a_setting(paper: str, factor: float, words: str) -> None:
    found = advice(factor, factor, paper=paper)
    assert "by the same share" in found.happened
    assert words in found.happened
    assert "100 %" in found.do
    assert "Do not correct this" in found.do
    assert not found.is_printer


def test_both_axes_alike_and_small_is_the_driver() -> None:
    found = advice(0.996, 0.996)
    assert "driver" in found.happened
    assert found.is_printer
    assert "--save" in found.do


@pytest.mark.parametrize(
    ("x", "y", "feed", "words"),
    [
        (1.0, 0.994, "", "along the long side of the paper are off: the feed"),
        (1.0, 0.994, "long side", "along the long side of the paper are off: the feed"),
        (1.0, 0.994, "short side", "along the long side of the paper are off: the scan"),
        (1.006, 1.0, "", "along the short side of the paper are off: the scan"),
        (1.006, 1.0, "short side", "along the short side of the paper are off: the feed"),
    ],
)
def test_one_axis_only(x: float, y: float, feed: str, words: str) -> None:
    found = advice(x, y, feed=feed)
    assert words in found.happened
    assert ("as most do" in found.happened) == (feed == "")
    assert found.is_printer


def test_one_axis_by_much_is_a_page_stretched_to_fill() -> None:
    found = advice(1.0, 0.94)
    assert "stretched to fill" in found.happened
    assert not found.is_printer


def test_each_axis_by_its_own_share() -> None:
    found = advice(0.994, 1.008)
    assert "each by its own share" in found.happened
    assert "scan clock" in found.happened
    assert found.is_printer


def test_each_axis_by_much() -> None:
    found = advice(0.94, 1.05)
    assert "stretched to fill" in found.happened
    assert not found.is_printer


def test_a_true_print_asks_for_nothing() -> None:
    assert advice(1.0002, 0.9999) == Advice("The print is true, as far as these readings tell.", "")


def test_a_skew_alone() -> None:
    found = advice(1.0, 1.0, 0.3)
    assert "leans by 0.30 degrees" in found.happened
    assert "guides" in found.do


def test_a_skew_beside_another_cause() -> None:
    found = advice(1.0, 0.994, 0.3)
    assert "the feed" in found.happened
    assert "leans by 0.30 degrees" in found.happened


def test_coarse_readings_of_a_nearly_true_print_name_no_setting() -> None:
    """Off by half a percent, read to 1 %: A4 paper would be possible too, but is farther off than nothing."""
    found = advice(0.988, 0.988, off=1.6)
    assert "fitted" not in found.happened
