"""Solid rivets and splices against the printed tables and worked examples of the handbooks."""

from __future__ import annotations

import math

import pytest

from templgen.trade.limits import all_limits, limit, narrowest_flange
from templgen.trade.rivets import (
    driven_head,
    find_solid_rivet,
    flush_rivet_strength,
    rivet_head,
    rivet_shear,
    solid_rivet_length_mm,
    standard_rivet_length,
)
from templgen.trade.screws import cone_diameter, countersink_depth, leaves_knife_edge
from templgen.trade.sheet import gauge_thickness
from templgen.trade.splices import (
    rivets_per_inch,
    rivets_per_inch_by_formula,
    splice_rivet_count,
    splice_share,
    splice_tables,
)

INCH = 25.4
ENTRIES = [
    pytest.param(
        table.alloys[-1],
        thickness,
        nominal,
        count,
        id=f"AC 43.13-1B Table {table.name} t={thickness} D={nominal}",
    )
    for table in splice_tables()
    for thickness, row in table.entries.items()
    for nominal, count in row.items()
]


@pytest.mark.parametrize(("alloy", "thickness", "nominal", "count"), ENTRIES)
def test_every_printed_entry_agrees_with_the_closed_form(alloy, thickness, nominal, count):
    # The closed form was found from the entries (derived); 0.07 is its worst miss over both tables.
    assert rivets_per_inch_by_formula(alloy, thickness, nominal) == pytest.approx(count, abs=0.07)


def test_table_4_10_and_4_11_have_all_their_entries():
    # AC 43.13-1B p. 4-38 and 4-39: 43 and 47 printed numbers, counted row by row.
    assert [sum(len(row) for row in table.entries.values()) for table in splice_tables()] == [43, 47]


@pytest.mark.parametrize(
    ("alloy", "thickness", "nominal", "count"),
    [
        pytest.param("2024-T3 clad", 0.016, "3/32", 6.5, id="AC 43.13-1B Table 4-10 first"),
        pytest.param("2024-T3 clad", 0.032, "1/8", 4.9, id="AC 43.13-1B Table 4-10 4-58g"),
        pytest.param("2024-T3 clad", 0.081, "1/8", 12.5, id="AC 43.13-1B Table 4-10 last 1/8"),
        pytest.param("2024-T3 clad", 0.128, "1/4", 4.9, id="AC 43.13-1B Table 4-10 last"),
        pytest.param("5052", 0.064, "3/32", 12.7, id="AC 43.13-1B Table 4-11 last 3/32"),
        pytest.param("5052-H32", 0.128, "5/32", 9.2, id="AC 43.13-1B Table 4-11 last 5/32"),
    ],
)
def test_printed_entries_read_back(alloy, thickness, nominal, count):
    found = rivets_per_inch(alloy, thickness, nominal)
    assert found.value == count
    assert found.source.may_fail


def test_thicknesses_of_the_splice_tables_are_wire_gauges():
    # ASTM B258 (from memory, confidence high): gauge n is 0.005 in x 92 ^ ((36 - n) / 39).
    gauges = [26, 24, 22, 20, 19, 18, 16, 14, 12, 11, 10, 8]
    for table in splice_tables():
        printed = list(table.entries)
        assert [gauge_thickness(n) / INCH for n in gauges] == pytest.approx(printed, abs=0.0006)


def test_ac_43_13_1b_para_4_58g_thirty_seven_rivets():
    # Clad 2024, 0.032 thick, 10 in wide, 1/8 rivets, single lap: 4.9 x 0.75 = 3.7 (rounded), x 10 = 37.
    per_inch = rivets_per_inch("2024-T3 clad", 0.032, "1/8").value
    share = splice_share("single lap sheet joint").value
    assert splice_rivet_count(per_inch, share, 10.0) == 37


def test_ac_43_13_1b_para_4_58g_two_rows_come_out_at_four_diameters():
    # The same example accepts 2 x 20 rivets over 10 in: 0.5 in pitch, 4 D of a 1/8 rivet.
    assert limit("pitch-two-rows").mm(diameter=INCH / 8) == pytest.approx(10 * INCH / 20)


def test_faa_h_8083_31_fig_4_76_and_navedtra_14018_length():
    # 1 1/2 D + G = L: two sheets of 0.032 and a 1/8 rivet, 0.2515 in; the next standard length is 5/16.
    length = solid_rivet_length_mm(2 * 0.032 * INCH, INCH / 8)
    assert length == pytest.approx(0.2515 * INCH)
    assert standard_rivet_length(length).dash == "5"


def test_tm_10_5410_229_13p_next_length_and_ac_43_13_1b_p_4_16_half_size():
    # AC 43.13-1B p. 4-16 names MS20470AD4-3.5: half sizes exist.
    assert standard_rivet_length(3.4 / 16 * INCH, half_sizes=True).dash == "3.5"
    assert standard_rivet_length(3.4 / 16 * INCH).dash == "4"


@pytest.mark.parametrize(
    ("nominal", "width", "height"),
    [
        pytest.param("1/8", 0.188, 0.063, id="wartime structural repair manual para 14, 1/8"),
        pytest.param("5/32", 0.234, 0.078, id="wartime structural repair manual para 14, 5/32"),
    ],
)
def test_driven_heads(nominal, width, height):
    head = driven_head(find_solid_rivet(nominal).diameter_mm)
    assert head.diameter_mm / INCH == pytest.approx(width, abs=0.0006)
    assert head.height_mm is not None
    assert head.height_mm / INCH == pytest.approx(height, abs=0.0006)


def test_mil_hdbk_5h_p_8_9_smallest_driven_head():
    head = driven_head(1.0, "minimum")
    assert (head.diameter_mm, head.height_mm) == (1.3, 0.3)


@pytest.mark.parametrize(
    ("nominal", "faa", "wartime", "nominal_in"),
    [
        ("3/32", ("#40", 0.098), ("#41", 0.096), 0.096),
        ("1/8", ("#30", 0.1285), ("#30", 0.1285), 0.1285),
        ("5/32", ("#21", 0.159), ("#22", 0.157), 0.159),
        ("3/16", ("#11", 0.191), ("#12", 0.189), 0.191),
        ("1/4", ("F", 0.257), ("1/4", 0.250), 0.257),
    ],
    ids=lambda value: f"FAA-H-8083-31 ch 4 {value}" if isinstance(value, str) else None,
)
def test_holes_of_the_handbook_the_wartime_manual_and_mil_hdbk_5(nominal, faa, wartime, nominal_in):
    first, second, third = find_solid_rivet(nominal).holes
    assert first.drill is not None
    assert second.drill is not None
    assert (first.drill.name, first.diameter_mm) == (faa[0], pytest.approx(faa[1] * INCH))
    assert (second.drill.name, second.diameter_mm) == (wartime[0], pytest.approx(wartime[1] * INCH))
    assert third.diameter_mm == pytest.approx(nominal_in * INCH)


@pytest.mark.parametrize("nominal", ["3/32", "1/8", "5/32", "3/16"])
def test_mil_hdbk_5_shear_is_30_ksi_on_the_nominal_hole(nominal):
    # MIL-HDBK-5F and MIL-HDBK-5 Table 8.1.2(b): 217, 388, 596, 862 lbf; 30 ksi gives 217, 389, 596, 860.
    shear = rivet_shear(nominal)
    assert shear is not None
    area = math.pi / 4 * (find_solid_rivet(nominal).nominal_hole_mm / INCH) ** 2
    assert shear.value == pytest.approx(30_000 * area, rel=0.003)


def test_mil_hdbk_5_shear_values_read_back():
    values = [rivet_shear(nominal) for nominal in ("3/32", "1/8", "5/32", "3/16")]
    assert [value.value for value in values if value] == [217, 388, 596, 862]


def test_mil_hdbk_5f_countersinking_0_032_costs_18_percent():
    dimpled, countersunk = flush_rivet_strength(0.032, "dimpled"), flush_rivet_strength(0.032, "countersunk")
    assert dimpled is not None
    assert countersunk is not None
    assert 1 - countersunk.value / dimpled.value == pytest.approx(0.18, abs=0.005)


def test_mil_hdbk_5f_flush_strengths_read_back():
    sheets = (0.032, 0.040, 0.063)
    dimpled = [flush_rivet_strength(sheet, "dimpled") for sheet in sheets]
    countersunk = [flush_rivet_strength(sheet, "countersunk") for sheet in sheets]
    assert [value.value for value in dimpled if value] == [217, 217, 217]
    assert [value.value for value in countersunk if value] == [178, 193, 216]


@pytest.mark.parametrize("nominal", ["3/32", "1/8", "5/32", "3/16"])
def test_ms20426_heads_are_cones_of_100_degrees(nominal):
    # MS20426 (from memory, confidence high): diameter and height agree with the cone to 0.001 in of height.
    rivet = find_solid_rivet(nominal)
    head = rivet_head(rivet, "flush")
    assert head.height_mm is not None
    assert countersink_depth(head.diameter_mm, rivet.diameter_mm) == pytest.approx(
        head.height_mm, abs=0.001 * INCH
    )
    assert cone_diameter(rivet.diameter_mm, head.height_mm) == pytest.approx(
        head.diameter_mm, abs=0.0015 * INCH
    )


def test_mil_hdbk_5f_a_3_32_flush_rivet_in_0_032_is_a_knife_edge():
    height = rivet_head(find_solid_rivet("3/32"), "flush").height_mm
    assert height is not None
    assert leaves_knife_edge(0.032 * INCH, height)
    assert not leaves_knife_edge(0.040 * INCH, height)


def test_a_half_inch_flange_of_0_032_can_not_hold_head_and_edge():
    # Derived: t 0.032 + R 0.125 + half the driven head 0.094 + margin 1/32 = 0.282; + 2 D 0.250 = 0.532 in.
    half_head = driven_head(INCH / 8).diameter_mm / 2
    narrowest = narrowest_flange(0.032 * INCH, 0.125 * INCH, half_head, INCH / 8)
    assert narrowest / INCH == pytest.approx(0.532, abs=0.0005)
    assert narrowest > 0.5 * INCH


LIMITS = [
    ("AC 43.13-1B para 4-57, Fig 4-5", "edge-least", 2.0, "D", 0),
    ("FAA-H-8083-31 ch 4 flush edge", "edge-flush", 2.5, "D", 0),
    ("FAA-H-8083-31 ch 4 preferred edge", "edge-preferred", 2.0, "D", 1 / 16),
    ("FAA-H-8083-31 ch 4 preferred flush edge", "edge-preferred-flush", 2.5, "D", 1 / 16),
    ("FAA-H-8083-31 ch 4 largest edge", "edge-lap-most", 4.0, "D", 0),
    ("TM 1-1520-240-BD para 2-5", "edge-fastener-changes", 1.5, "D", 0),
    ("NAVEDTRA 14018 ch 13 pitch", "pitch-least", 3.0, "D", 0),
    ("NAVEDTRA 14018 ch 13 usual pitch", "pitch-usual", 4.0, "D", 0),
    ("NAVEDTRA 14018 ch 13 largest pitch", "pitch-most", 8.0, "D", 0),
    ("older CAA handbook, 24 t", "pitch-most-by-sheet", 24.0, "t", 0),
    ("FAA-H-8083-31 ch 4 flush pitch", "pitch-flush", 3.5, "D", 0),
    ("FAA-H-8083-31 ch 4 two rows", "pitch-two-rows", 4.0, "D", 0),
    ("FAA-H-8083-31 ch 4 two flush rows", "pitch-two-rows-flush", 4.5, "D", 0),
    ("TM 10-5410-229-13P p 5-4", "row-to-row", 2.5, "D", 0),
    ("geometry of the bend", "head-on-bend", 0.0, "mm", 0),
    ("common practice, shop margin", "head-to-bend-margin", INCH / 32, "mm", 0),
    ("common practice, shop margin of heads", "head-to-head", INCH / 32, "mm", 0),
    ("common practice, filing", "rough-cut-allowance", INCH / 32, "mm", 0),
    ("common practice, dimple dies", "dimple-die", INCH / 4, "mm", 0),
    ("NAVEDTRA 14018 ch 13 cutout corners", "corner-access-least", INCH / 4, "mm", 0),
    ("AC 43.13-1B patch figures", "corner-access", INCH / 2, "mm", 0),
    ("own default, smallest file", "corner-fit", INCH / 16, "mm", 0),
    ("geometry of a notch", "corner-zero", 0.0, "mm", 0),
    ("own default, 2 D rule on the opening", "web-between-openings", 1.5, "D", 0),
    ("own default, 4 D of 3/32", "web-enough", 4 * 3 / 32 * INCH, "mm", 0),
    ("own default, clearance", "clearance-to-structure", INCH / 16, "mm", 0),
    ("own default, hand drilling", "hand-drilling-doubt", 0.4, "mm", 0),
    ("NAVEDTRA 14018 ch 13 rule 6", "diameter-least", 1.0, "t", 0),
    ("NAVEDTRA 14018 ch 13 rule 7", "diameter-most", 3.0, "t", 0),
    ("AC 43.13-1B para 4-58g(2)(a)", "diameter-about", 3.0, "t", 0),
    ("NAVEDTRA 14018 ch 13 rule 5", "structural-rivet-least", 3 / 32 * INCH, "mm", 0),
    ("geometry of the countersink", "countersink-depth", 1.0, "h", 0),
    ("common practice, dimple under 0.040", "dimple-below", 0.040 * INCH, "mm", 0),
    ("geometry of the dimple", "dimple-reach", 1.0, "h", 0),
    ("wartime manual p. 93, strap under nutplates", "dimple-strap", 0.064 * INCH, "mm", 0),
    ("MIL-HDBK-5H p 8-9", "bearing-thickness", 0.18, "D", 0),
]


@pytest.mark.parametrize(
    ("name", "value", "unit", "plus_in"), [pytest.param(*row, id=i) for i, *row in LIMITS]
)
def test_limits_read_back(name, value, unit, plus_in):
    found = limit(name)
    assert (found.value, found.unit) == (pytest.approx(value), unit)
    assert found.plus_mm == pytest.approx(plus_in * INCH)


def test_every_limit_is_read_back():
    assert {name for _, name, *_ in LIMITS} == {found.name for found in all_limits()}
