"""The least distances: evidence, severity, and millimetres."""

from __future__ import annotations

import pytest

from templgen.errors import UnitError
from templgen.trade.limits import all_limits, bend_clearance, least_web, limit, narrowest_flange

INCH = 25.4


@pytest.mark.parametrize("found", all_limits(), ids=lambda found: found.name)
def test_severity_follows_evidence(found):
    assert found.severity in ("error", "warning", "information")
    assert found.severity != "error" or found.source.may_fail
    assert found.formula_text
    assert found.value >= 0


def test_names_are_unique():
    assert len({found.name for found in all_limits()}) == len(all_limits()) > 30


def test_an_unknown_limit_names_the_nearest():
    with pytest.raises(UnitError, match="nearest: edge-least"):
        limit("edge-leest")


def test_a_limit_asks_for_the_size_it_is_a_multiple_of():
    assert limit("edge-preferred").mm(diameter=3.175) == pytest.approx(6.35 + 1.5875)
    assert limit("diameter-least").mm(thickness=1.0) == 1.0
    assert limit("countersink-depth").mm(head_height=1.1) == 1.1
    assert limit("corner-access").mm() == 12.7
    with pytest.raises(ValueError, match="multiple of D"):
        limit("edge-least").mm(thickness=1.0)


def test_two_diameters_are_the_floor_for_every_head():
    assert limit("edge-least").severity == "error"
    assert limit("edge-flush").severity == "warning"
    assert limit("edge-flush").value > limit("edge-least").value
    assert limit("pitch-most").severity != "error"


def test_web_between_openings_is_a_multiple_up_to_what_is_enough():
    assert least_web(2.0) == 3.0
    assert least_web(50.0) == least_web(None) == 9.525


def test_bend_clearance_adds_up():
    assert bend_clearance(1.0, 3.0, 2.0) == 6.0
    assert narrowest_flange(1.0, 3.0, 2.0, 3.175) == pytest.approx(6.0 + INCH / 32 + 6.35)
