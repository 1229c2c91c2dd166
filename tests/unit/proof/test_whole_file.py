"""Maps in plain words, with values worked by hand."""

from __future__ import annotations

import math

import pytest

from templgen.proof.difference import Difference, Kind, both, microns
from templgen.proof.readers.model import Matrix
from templgen.proof.summary import summed
from templgen.proof.whole_file import told_map

BOX = (0.0, 0.0, 200.0, 100.0)


def told(*matrix: float, within: float = 0.001) -> list[str]:
    assert len(matrix) == 6
    found: Matrix = matrix  # type: ignore[assignment]  # six numbers, as asserted
    return [str(each) for each in told_map(found, BOX, within, "the whole file")]


def turn(degrees: float, x: float = 1.0, y: float = 1.0) -> tuple[float, ...]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return c * x, s * x, -s * y, c * y, 0.0, 0.0


def test_a_map_that_moves_nothing_is_not_told() -> None:
    assert told(1, 0, 0, 1, 0, 0) == []
    assert told(1 + 4e-6, 0, 0, 1, 0, 0) == []  # 0.8 um over 200 mm


def test_a_scale_is_told_with_its_size() -> None:
    """0.0394 x 200 mm is 7.88 mm, which is 0.310 in."""
    (line,) = told(1.0394, 0, 0, 1.0394, 0, 0)
    assert line.startswith("the whole file is scaled 1.0394 in x and y: 7.88 mm (0.310 in) over 200.00 mm")
    assert "units changed? inches read as millimetres would be 25.4" in line


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (25.4, "inches were taken for millimetres"),
        (1 / 25.4, "millimetres were taken for inches"),
        (96 / 25.4, "for pixels of 1/96 in"),
        (25.4 / 72, "points of 1/72 in were taken for millimetres"),
        (4 / 3, "were mixed up"),
        (10.0, "centimetres"),
        (0.95, "fit-to-page"),
    ],
)
def test_a_scale_that_a_mix_up_gives_is_named(ratio: float, words: str) -> None:
    (line,) = told(ratio, 0, 0, ratio, 0, 0)
    assert words in line


def test_one_axis_is_told_apart() -> None:
    (line,) = told(1.0, 0, 0, 0.996, 0, 0)
    assert "1.000000 in x and 0.996000 in y" in line
    assert "one axis only" in line


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (90.0, "by 90 degrees counter-clockwise"),
        (-0.05, "by 0.05 degrees clockwise"),
        (180.0, "by 180 degrees"),
    ],
)
def test_a_turn_is_told(degrees: float, words: str) -> None:
    (line,) = told(*turn(degrees))
    assert words in line


def test_a_mirror_is_told_with_the_turn_that_is_left() -> None:
    assert told(-1, 0, 0, 1, 200, 0) == [
        "the whole file is mirrored left to right: the part is the other hand"
    ]
    assert told(1, 0, 0, -1, 0, 100) == [
        "the whole file is mirrored top to bottom: the part is the other hand"
    ]
    first, second = told(*turn(30.0, 1.0, -1.0))
    assert "top to bottom" in first
    assert "30 degrees counter-clockwise" in second


def test_a_slant_is_told_in_degrees() -> None:
    """tan 0.1 degrees is 0.0017453; over 200 mm that is 0.35 mm."""
    (line,) = told(1, 0, math.tan(math.radians(0.1)), 1, 0, 0)
    assert line == "the whole file is slanted by 0.1 degrees: 0.35 mm (0.014 in) over 200.00 mm (7.874 in)"


def test_a_shift_is_told_in_both_ways() -> None:
    (line,) = told(1, 0, 0, 1, -25.4, 0.5)
    assert line.endswith("shifted 25.40 mm (1.000 in) to the left and 0.50 mm (0.020 in) up")


def test_small_lengths_keep_their_places() -> None:
    assert both(12.7) == "12.70 mm (0.500 in)"
    assert both(0.0123) == "0.012 mm (0.0005 in)"
    assert both(3.2804, near=0.0004) == "3.2804 mm (0.12915 in)"
    assert microns(0.00041) == "0.4 um"


def row(kind: Kind, count: int, layer: str = "hole", to: str = "") -> list[Difference]:
    return [Difference(kind, f"mark {i}", size=float(i), layer=layer, to=to) for i in range(count)]


def test_a_lost_layer_is_one_fact() -> None:
    (line,) = summed(row(Kind.MISSING, 19), {"hole": 19})
    assert str(line) == "the layer 'hole' is lost: 19 marks"


def test_a_renamed_layer_is_one_fact() -> None:
    (line,) = summed(row(Kind.LAYER, 19, to="0"), {"hole": 19})
    assert str(line) == "the layer 'hole' has become '0': 19 marks"


def test_most_of_a_layer_is_not_all_of_it() -> None:
    told = summed(row(Kind.MISSING, 18), {"hole": 19})
    assert not any("lost" in str(line) for line in told)


def test_long_rows_show_the_largest_and_count_the_rest() -> None:
    lines = [str(line) for line in summed(row(Kind.MOVED, 10), {"hole": 19})]
    assert lines[:3] == ["mark 9", "mark 8", "mark 7"]
    assert lines[3] == "7 more of this sort (moved) on the layer 'hole', by up to 6.00 mm (0.236 in)"
    assert len(lines) == 4


def test_short_rows_are_told_one_by_one() -> None:
    assert len(summed(row(Kind.MOVED, 6), {})) == 6
