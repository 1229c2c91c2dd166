"""Fastener specs: completed from the trade's tables, or the builder's numbers only."""

from __future__ import annotations

import pytest

from templgen.errors import JobFaults
from templgen.layout.assembly import FastenerSpec
from tests.unit.layout.jobs import faults, head, laid, read

BLIND = (
    '{ kind = "blind rivet", size = "1/8", head = "protruding", hole = "#30", head_diameter = 6.4, '
    "head_height = 1.0, grip_min = 0.5, grip_max = 3.2, unset_length = 7.6 }"
)


def _text(definition: str) -> str:
    lines = head().replace("[fastener]", f"[fastener]\nmine = {definition}")
    return lines + '\n[[hole]]\nname = "a"\nat = { x = 0, y = 0 }\nfastener = "mine"\n'


def _spec(definition: str) -> FastenerSpec:
    return laid(_text(definition)).fasteners[0].spec


def test_a_solid_rivet_is_completed_with_sources() -> None:
    # Hole #30 for 1/8: FAA-H-8083-31 ch. 4; universal head about 2 D, driven head 1.5 D x 0.5 D.
    spec = _spec('{ kind = "solid rivet", size = "1/8", head = "universal" }')
    assert (spec.diameter, spec.drill, spec.hole) == (3.175, "#30", pytest.approx(0.1285 * 25.4))
    assert (spec.head_diameter, spec.head_height) == (pytest.approx(6.35), None)
    assert (spec.driven_diameter, spec.driven_height) == pytest.approx((4.7625, 1.5875))
    assert len(spec.sources) == 3


def test_a_flush_rivet_takes_its_head_from_the_table() -> None:
    # MS20426 100 degree head, 1/8: 0.225 in wide, 0.042 in high (from memory, confidence high).
    spec = _spec('{ kind = "solid rivet", size = "1/8", head = "flush", seat = "dimpled" }')
    assert (spec.head_diameter, spec.head_height) == pytest.approx((0.225 * 25.4, 0.042 * 25.4))
    assert spec.is_flush
    assert spec.seat == "dimpled"


def test_a_flush_screw_has_its_sharp_diameter() -> None:
    # MS24693 theoretical sharp diameter of #8: 0.332 in; B18.2.8 close fit hole #15.
    spec = _spec('{ kind = "screw", size = "#8", head = "flush", seat = "countersunk" }')
    assert spec.sharp_diameter == pytest.approx(0.332 * 25.4)
    assert spec.drill == "#15"
    assert spec.driven_diameter is None


def test_a_protruding_screw_has_no_head_in_the_tables() -> None:
    spec = _spec('{ kind = "screw", size = "#8", head = "protruding", hole = "#18" }')
    assert (spec.head_diameter, spec.sharp_diameter, spec.drill) == (None, None, "#18")


def test_a_blind_rivet_has_the_builders_numbers_only() -> None:
    spec = _spec(BLIND)
    assert (spec.driven_diameter, spec.driven_height, spec.shear_lbf) == (None, None, None)
    assert (spec.grip_min, spec.grip_max, spec.unset_length) == (0.5, 3.2, 7.6)
    assert spec.sources == ("given by the builder",)


def test_a_plain_hole_knows_its_drill_where_there_is_one() -> None:
    text = head() + '\n[[hole]]\nname = "a"\nat = { x = 0, y = 0 }\ndiameter = '
    spec = laid(text + '"1/4 in"\n').fasteners[0].spec
    assert (spec.kind, spec.drill, spec.hole, spec.head) == ("hole", "1/4", 6.35, "none")
    assert laid(text + "41.3\n").fasteners[0].spec.drill == ""


def test_a_size_without_a_row_needs_the_makers_numbers() -> None:
    with pytest.raises(JobFaults, match=r'"M4" is no screw size.*or give hole and head_diameter'):
        read(_text('{ kind = "screw", size = "M4", head = "protruding" }'))
    given = '{ kind = "screw", size = "M4", head = "protruding", hole = "4.3 mm", head_diameter = 7 }'
    spec = _spec(given)
    assert (spec.diameter, spec.hole, spec.head_diameter) == (4.0, 4.3, 7.0)


def test_a_rivet_that_does_not_go_into_its_hole_is_refused() -> None:
    (fault,) = faults(_text('{ kind = "solid rivet", size = "1/8", head = "universal", hole = "#40" }'))
    assert "does not go into a hole #40" in fault


def test_doubt_follows_what_the_hole_is_for() -> None:
    text = head().replace(
        "[fastener]",
        f'[fastener]\nblind = {BLIND}\nscrew = {{ kind = "screw", size = "#8", head = "protruding" }}',
    )
    for name, key in (("r", 'fastener = "plate"'), ("b", 'fastener = "blind"'), ("s", 'fastener = "screw"')):
        text += f'\n[[hole]]\nname = "{name}"\nat = {{ x = 0, y = 0 }}\n{key}\n'
    text += '\n[[hole]]\nname = "h"\nat = { x = 0, y = 0 }\ndiameter = 5\n'
    text += '\n[[hole]]\nname = "l"\nat = { x = 0, y = 0 }\ndiameter = 5\nlocating = true\n'
    doubts = {each.feature: each.doubt for each in laid(text).fasteners}
    assert doubts == {"r": 0.2, "b": 0.2, "s": 0.25, "h": 0.35, "l": 0.1}
