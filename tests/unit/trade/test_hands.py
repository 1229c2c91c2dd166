"""Openings for hands, and how sheet gives."""

from __future__ import annotations

import pytest

from templgen.errors import UnitError
from templgen.trade.elastic import strip_deflection_in, yield_strain, youngs_modulus
from templgen.trade.hands import hand_opening, hand_openings
from templgen.units import mm_to_inches


def test_every_opening_is_wider_than_high_and_from_memory() -> None:
    assert [opening.need for opening in hand_openings()] == ["bare hand", "hand with tool", "two hands"]
    for opening in hand_openings():
        assert opening.width_mm >= opening.height_mm > 0
        assert not opening.source.may_fail
        assert "from memory" in str(opening.source)


def test_two_hands_have_no_round_opening() -> None:
    both = hand_opening("two hands")
    assert (mm_to_inches(both.width_mm), mm_to_inches(both.height_mm)) == pytest.approx((8.0, 5.0))
    assert both.round_mm is None


def test_an_unknown_need_names_the_nearest() -> None:
    with pytest.raises(UnitError, match='"bare hands" is no need of a hand; nearest: bare hand'):
        hand_opening("bare hands")


def test_strip_sags_with_the_fourth_power_of_its_span_and_the_third_of_its_gauge() -> None:
    # simply supported beam under uniform load, 5 w l^4 / (384 E I): w = 1, l = 10, I = 1 / 12, E = 10^7
    assert strip_deflection_in(1.0, 10.0, 1.0, 1e4) == pytest.approx(5 * 1e4 * 12 / (384 * 1e7))
    once = strip_deflection_in(0.5, 2.0, 0.04, 10500)
    assert strip_deflection_in(0.5, 4.0, 0.04, 10500) == pytest.approx(16 * once)
    assert strip_deflection_in(0.5, 2.0, 0.08, 10500) == pytest.approx(once / 8)


def test_clad_and_bare_sheet_share_a_modulus_and_an_unknown_sheet_has_none() -> None:
    clad, bare = youngs_modulus("2024-T3 clad"), youngs_modulus("2024-T3")
    assert clad is not None
    assert bare is not None
    assert clad.value == bare.value
    assert youngs_modulus("unobtainium") is None
    assert yield_strain("unobtainium") is None
    # 44 ksi over 10 500 ksi
    assert yield_strain("2024-T3 clad") == pytest.approx(0.00419, abs=1e-5)
