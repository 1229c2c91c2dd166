"""Bends against the K chart, the bend allowance of two handbooks, and the radius tables."""

from __future__ import annotations

import math

import pytest

from templgen.trade.bending import (
    bend_allowance,
    bend_deduction,
    developed_width,
    lowest_bend_radius,
    minimum_bend_radius,
    relief_hole_minimum,
    setback,
    setback_factor,
    shop_bend_radius,
)

INCH = 25.4


@pytest.mark.parametrize(
    ("angle", "printed", "last_place"),
    [
        (10, 0.0874, 1e-4),
        (45, 0.4142, 1e-4),
        (60, 0.5773, 1e-4),
        (90, 1.000, 1e-3),
        (100, 1.191, 1e-3),
        (120, 1.732, 1e-3),
        (150, 3.732, 1e-3),
    ],
    ids=lambda value: f"AC 43.13-1B Table 4-7 {value} deg" if isinstance(value, int) else None,
)
def test_k_chart(angle, printed, last_place):
    assert abs(setback_factor(angle) - printed) < last_place


def test_ac_43_13_1b_table_4_7_176_deg_is_a_misprint():
    # Printed 26.63; the neighbours rise with tan(N / 2), which gives 28.64.
    assert setback_factor(176) == pytest.approx(28.64, abs=0.005)
    assert setback_factor(175) < 26.63 < setback_factor(176)
    assert abs(setback_factor(176) - 26.63) > 1


def test_ac_43_13_1b_para_4_56_bend_allowance():
    # N (0.01743 R + 0.0078 T), 90 degrees, R 0.125, T 0.032: 0.196088 + 0.022464 = 0.218552.
    assert bend_allowance(90, 0.125, 0.032) == pytest.approx(0.218552, abs=1e-6)


def test_developed_width_of_an_angle():
    # Arithmetic from the printed formulas: legs 0.75 and 0.75, R 0.125, T 0.032: SB 0.157, width 1.404552 in.
    assert setback(90, 0.125, 0.032) == pytest.approx(0.157)
    assert developed_width([0.75, 0.75], [(90, 0.125)], 0.032) == pytest.approx(1.404552, abs=1e-6)
    assert bend_deduction(90, 0.125, 0.032) == pytest.approx(0.095448, abs=1e-6)


@pytest.mark.parametrize("angle", [15, 45, 90, 135])
def test_bend_allowance_is_the_arc_at_r_plus_0_447_t(angle):
    # Derived: 0.0078 / (pi / 180) = 0.447, so the formula is an arc whose radius is R + 0.447 T.
    exact = math.radians(angle) * (0.125 + 0.447 * 0.032)
    assert bend_allowance(angle, 0.125, 0.032) == pytest.approx(exact, rel=0.0015)


def test_navedtra_14018_constant_differs_by_less_than_one_percent():
    navy = 90 * (0.0173 * 0.125 + 0.0078 * 0.032)
    assert bend_allowance(90, 0.125, 0.032) == pytest.approx(navy, rel=0.01)
    assert bend_allowance(90, 0.125, 0.032) > navy


@pytest.mark.parametrize(
    ("alloy", "thickness", "radius"),
    [
        pytest.param("2024-T3", 0.040, 0.16, id="FAA-H-8083-31 Fig 4-125 2024-T3 0.040"),
        pytest.param(
            "2024-T3", 0.032, 0.12, id="FAA-H-8083-31 Fig 4-125 2024-T3 0.032 (from memory, medium)"
        ),
        pytest.param("2024-T3", 0.125, 0.625, id="Aluminum Association Table 3-1 2024-T3 1/8"),
        pytest.param("2024-T3", 0.25, 1.5, id="Aluminum Association Table 3-1 2024-T3 1/4"),
        pytest.param("2024-T3", 0.5, 3.75, id="Aluminum Association Table 3-1 2024-T3 1/2"),
        pytest.param("5052-H32", 0.03125, 0.0, id="Aluminum Association Table 3-1 5052-H32 1/32"),
        pytest.param("5052-H32", 0.125, 0.1875, id="Aluminum Association Table 3-1 5052-H32 1/8"),
        pytest.param("5052-H32", 0.5, 1.0, id="Aluminum Association Table 3-1 5052-H32 1/2"),
        pytest.param("6061-T6", 0.125, 0.3125, id="industry bend table 6061-T6 1/8"),
        pytest.param("6061-T6", 0.5, 2.5, id="industry bend table 6061-T6 1/2"),
    ],
)
def test_least_radii(alloy, thickness, radius):
    found = minimum_bend_radius(alloy, thickness * INCH)
    assert found is not None
    assert found[0] / INCH == pytest.approx(radius)


THICKNESSES = (0.015625, 0.03125, 0.0625, 0.125, 0.1875, 0.25, 0.375, 0.5)


@pytest.mark.parametrize(
    ("alloy", "multiples"),
    [
        pytest.param(
            "2024-T3", (2.5, 3, 4, 5, 5, 6, 7, 7.5), id="Aluminum Association p VII-78 Table 3-1 2024-T3"
        ),
        pytest.param(
            "5052-H32", (0, 0, 1, 1.5, 1.5, 1.5, 1.5, 2), id="Aluminum Association Table 3-1 5052-H32"
        ),
        pytest.param("6061-T6", (1, 1, 1.5, 2.5, 3, 3.5, 4.5, 5), id="industry bend table 6061-T6"),
    ],
)
def test_multiples_of_the_thickness(alloy, multiples):
    radii = [minimum_bend_radius(alloy, thickness * INCH) for thickness in THICKNESSES]
    printed = [multiple * thickness for multiple, thickness in zip(multiples, THICKNESSES, strict=True)]
    read = [found[0] / INCH for found in radii if found]
    if alloy == "2024-T3":  # FAA-H-8083-31 Fig. 4-125 asks for 0.06 and 0.12 in the two thinnest sheets
        printed[:2] = [0.06, 0.12]
    assert read == pytest.approx(printed)


@pytest.mark.parametrize(
    ("thickness", "radius"),
    [(0.016, 0.06), (0.020, 0.06), (0.025, 0.09), (0.032, 0.12), (0.040, 0.16)],
    ids=lambda value: f"FAA-H-8083-31 Fig 4-125 {value}",
)
def test_radii_of_2024_t3(thickness, radius):
    found = minimum_bend_radius("2024-T3", thickness * INCH)
    assert found is not None
    assert found[0] / INCH == pytest.approx(radius)


@pytest.mark.parametrize(
    ("alloy", "multiples"),
    [
        pytest.param(
            "2024-T3", (1.5, 2, 3, 4, 4, 5), id="AC 43.13-1B Table 4-6 2024-T3 low ends (from memory, medium)"
        ),
        pytest.param("5052-H32", (0, 0, 0.5, 0.5, 0.5, 0.5), id="AC 43.13-1B Table 4-6 5052-H32 low ends"),
        pytest.param("6061-T6", (0, 0.5, 1, 1.5, 2, 3), id="AC 43.13-1B Table 4-6 6061-T6 low ends"),
    ],
)
def test_low_ends_of_the_ranges(alloy, multiples):
    thicknesses = (0.016, 0.032, 0.064, 0.128, 0.182, 0.258)
    lowest = [lowest_bend_radius(alloy, thickness * INCH) for thickness in thicknesses]
    read = [found[0] / INCH for found in lowest if found]
    assert read == pytest.approx([m * t for m, t in zip(multiples, thicknesses, strict=True)])


@pytest.mark.parametrize(
    ("alloy", "radii"),
    [
        ("2024-T3", (0.063, 0.094, 0.125, 0.188, 0.188, 0.25, 0.281, 0.344, 0.375, 0.438, 0.562)),
        ("6061-T6", (0.063, 0.094, 0.094, 0.125, 0.156, 0.188, 0.25, 0.281, 0.312, 0.375, 0.5)),
        ("5052-H32", (0.063, 0.063, 0.063, 0.063, 0.094, 0.094, 0.125, 0.125, 0.156, 0.156, 0.188)),
    ],
    ids=lambda value: f"design notebook, shop radii {value}" if isinstance(value, str) else None,
)
def test_shop_radii(alloy, radii):
    thicknesses = (0.02, 0.025, 0.032, 0.04, 0.05, 0.063, 0.074, 0.08, 0.09, 0.1, 0.125)
    found = [shop_bend_radius(alloy, thickness * INCH) for thickness in thicknesses]
    assert [pair[0] / INCH for pair in found if pair] == pytest.approx(radii)


def test_a_design_notebooks_shop_radius_clears_the_minimum_of_2024_t3_up_to_0_040():
    for thickness in (0.020, 0.025, 0.032, 0.040):
        minimum, shop = (
            minimum_bend_radius("2024-T3", thickness * INCH),
            shop_bend_radius("2024-T3", thickness * INCH),
        )
        assert minimum is not None
        assert shop is not None
        assert shop[0] >= minimum[0]


@pytest.mark.parametrize(
    ("thickness", "diameter"),
    [(0.032, 1 / 8), (0.064, 1 / 8), (0.072, 3 / 16), (0.128, 3 / 16)],
    ids=lambda value: f"FAA-H-8083-31 ch 4 relief holes {value}",
)
def test_relief_holes(thickness, diameter):
    found = relief_hole_minimum(thickness * INCH)
    assert found is not None
    assert found / INCH == pytest.approx(diameter)
