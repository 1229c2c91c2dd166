"""Lengths, spares and weights of a whole job against handbook formulas and open data.

Sources beside each check. What is from memory says so.
"""

from __future__ import annotations

import pytest

from templgen.layout.assembly import Assembly
from templgen.layout.fastener_lengths import length_of
from templgen.layout.weights import weights
from templgen.trade.screws import find_screw, standard_screw_length
from templgen.units import MM_PER_INCH as INCH
from tests.unit.layout.jobs import laid, read

JOB = """
title = "lengths"
unit = "in"
hand = "left"
measured_on = "outside"
measured_to = 0.01
drilled_to = {{ locating = 0.005, rivet = 0.01, screw = 0.01, hole = 0.01, cut = 0.01 }}
axes = {{ origin = "corner", x = "aft", y = "outboard" }}
skin = {{ material = "2024-T3 clad", thickness = {skin} }}
fastener = {{ rivet = {{ kind = "solid rivet", size = "{size}", head = "{head}"{seat} }} }}

[[part]]
name = "plate"
at = {{ x = 0, y = 0 }}
outline = {{ shape = "rectangle", length = 10, width = 5, corner_radius = 0 }}
material = "2024-T3 clad"
thickness = {plate}
side = "inside"
holes = [{{ fastener = "rivet", points = [[0, 0], [2, 0]], through = ["skin", "plate"] }}]
"""


def job_text(skin: float, plate: float, size: str = "1/8", head: str = "universal") -> str:
    """A plate of 10 x 5 in on a skin, held by two rivets."""
    seat = ', seat = "dimpled"' if head == "flush" else ""
    return JOB.format(skin=skin, plate=plate, size=size, head=head, seat=seat)


def rivet_dash(assembly: Assembly) -> str:
    """The length of the rivets in sixteenths of an inch."""
    return length_of(assembly, assembly.fasteners[0], "in").dash


@pytest.mark.parametrize(
    ("skin", "plate", "size", "wanted", "dash"),
    [
        (0.032, 0.032, "1/8", 0.2515, "5"),
        (0.032, 0.040, "1/8", 0.2595, "5"),
        (0.032, 0.032, "3/32", 0.204625, "4"),
        (0.064, 0.064, "5/32", 0.362375, "6"),
        (0.040, 0.125, "3/16", 0.44625, "8"),
    ],
)
def test_faa_h_8083_31_fig_4_76_and_navedtra_14018_rivet_length(
    skin: float, plate: float, size: str, wanted: float, dash: str
) -> None:
    """1 1/2 D + G = L, worked by hand; then the next length up (TM 10-5410-229-13P), in 1/16 in."""
    assembly = laid(job_text(skin, plate, size))
    told = length_of(assembly, assembly.fasteners[0], "in")
    assert told.wanted_mm == pytest.approx(wanted * INCH)
    assert told.dash == dash
    assert told.mm == pytest.approx(int(dash) * INCH / 16)


def test_faa_h_8083_31_a_flush_rivet_is_measured_over_its_head() -> None:
    """From memory, confidence high: the length of a countersunk rivet includes its head, as its grip does."""
    flush, round_head = laid(job_text(0.032, 0.032, head="flush")), laid(job_text(0.032, 0.032))
    assert rivet_dash(flush) == rivet_dash(round_head)
    assert "over the head" in length_of(flush, flush.fasteners[0], "in").words
    assert "over the head" not in length_of(round_head, round_head.fasteners[0], "in").words


@pytest.mark.parametrize(
    ("size", "pitch_in"), [("#6", 1 / 32), ("#8", 1 / 32), ("#10", 1 / 32), ("1/4", 1 / 28)]
)
def test_asme_b1_1_pitch_of_the_thread_that_shows(size: str, pitch_in: float) -> None:
    """UNC #6 and #8, UNF #10 and 1/4 (from memory, confidence high); AC 43.13-1B 7-37: one thread shows."""
    assert find_screw(size).pitch_mm == pytest.approx(pitch_in * INCH)


@pytest.mark.parametrize(
    ("wanted_in", "sold_in"), [(0.363, 3 / 8), (0.376, 7 / 16), (0.5, 0.5), (1.0, 1.0), (1.01, 1.125)]
)
def test_screws_are_sold_in_sixteenths_common_practice_no_source(wanted_in: float, sold_in: float) -> None:
    assert standard_screw_length(wanted_in * INCH) == pytest.approx(sold_in * INCH)


def test_density_of_2024_from_memory_gives_the_weight_of_a_plate() -> None:
    """0.100 lb per cubic inch (MIL-HDBK-5, from memory): 10 x 5 x 0.064 in less two #30 holes."""
    text = job_text(0.032, 0.064)
    plate = next(row for row in weights(read(text), laid(text)).rows if row.name == "plate")
    volume = (50 - 2 * 3.14159265 / 4 * 0.1285**2) * 0.064
    assert plate.grams == pytest.approx(volume * 0.100 * 453.59237, rel=1e-5)
