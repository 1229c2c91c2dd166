"""Line styles: told apart without colour."""

from __future__ import annotations

from itertools import combinations

import pytest

from templgen.drawing import Meaning, style_of

# ISO 128-2 line widths, the part of the series used here; from memory, confidence high.
SERIES = (0.18, 0.25, 0.35, 0.5, 0.7)


@pytest.mark.parametrize("meaning", Meaning, ids=lambda meaning: meaning.value)
def test_every_meaning_has_a_style_of_the_series(meaning: Meaning) -> None:
    style = style_of(meaning)
    assert style.width in SERIES
    assert len(style.pattern) % 2 == 0
    assert all(part > 0.0 for part in style.pattern)


def test_no_two_kinds_share_pattern_width_and_ends() -> None:
    for one, other in combinations(Meaning, 2):
        first, second = style_of(one), style_of(other)
        assert (first.pattern, first.width, first.ends) != (second.pattern, second.width, second.ends), (
            one,
            other,
        )


def test_no_two_kinds_of_the_legend_share_words() -> None:
    words = [style_of(meaning).legend for meaning in Meaning if style_of(meaning).legend]
    assert len(words) == len(set(words))
