"""Weights against closed formulas: areas of rectangles and circles times thickness times density."""

from __future__ import annotations

from math import pi
from pathlib import Path

import pytest

from templgen.job import read_job
from templgen.job.model import Job
from templgen.layout import lay_out
from templgen.layout.assembly import Assembly
from templgen.layout.weights import GRAMS_PER_POUND, Weight, weight_table, weights
from templgen.shapes import ShapeLibrary
from templgen.trade.bending import bend_allowance, bend_deduction
from templgen.units import MM_PER_INCH
from tests.unit.layout.jobs import demo, head, mast, read, rib
from tests.unit.layout.opening_jobs import CIRCLE, RACECOURSE, RECTANGLE, opening_job

DENSITY = 0.100 * GRAMS_PER_POUND / MM_PER_INCH**3
"""2024 in g per mm3: 0.100 lb per cubic inch (MIL-HDBK-5, from memory, confidence high)."""


def made(text: str) -> tuple[Job, Assembly]:
    """Job and assembly of a text."""
    job = read(text)
    return job, lay_out(job, ShapeLibrary.standard())


def weighed(text: str) -> dict[str, Weight]:
    """The weights of a job by their names."""
    return {row.name: row for row in weights(*made(text)).rows}


def circle(diameter: float) -> float:
    """Area of a circle."""
    return pi * diameter**2 / 4


def test_a_plate_with_holes_and_cutouts() -> None:
    _, assembly = made(head() + rib() + mast())
    plate = weighed(head() + rib() + mast())["base plate"]
    cut = sum(abs(cutout.contour.area) for cutout in assembly.cutouts_of("base plate"))
    area = 120 * 80 - cut - 3 * circle(3.2639)
    assert plate.area == pytest.approx(area)
    assert plate.grams == pytest.approx(area * 1.0 * DENSITY, rel=1e-5)


def test_metal_taken_out_of_the_skin_is_below_zero() -> None:
    _, assembly = made(head() + rib() + mast())
    skin = weighed(head() + rib() + mast())["mast: out of skin"]
    cut = sum(abs(cutout.contour.area) for cutout in assembly.cutouts_of("skin"))
    assert skin.grams == pytest.approx(-(cut + 3 * circle(3.2639)) * 0.8 * DENSITY, rel=1e-5)


@pytest.mark.parametrize(
    ("outline", "hole"),
    [
        (RECTANGLE, 120 * 90 - (4 - pi) * 15**2),
        (CIRCLE, circle(120)),
        (RACECOURSE, 60 * 80 + circle(80)),
    ],
)
def test_opening_takes_its_area_and_holes_out_of_the_skin(outline: str, hole: float) -> None:
    _, assembly = made(opening_job(outline=outline))
    drilled = sum(circle(each.diameter) for each in assembly.holes("skin"))
    skin = weighed(opening_job(outline=outline))["hatch: out of skin"]
    assert skin.area == pytest.approx(hole + drilled, rel=1e-9)
    assert skin.grams == pytest.approx(-(hole + drilled) * 0.8 * DENSITY, rel=1e-5)


def test_whole_split_and_halved_rings_differ_by_their_cuts_only() -> None:
    """A cut takes its gap times the ring's width; the default gap is 0.8 mm."""
    whole, split = (
        weighed(opening_job(outline=CIRCLE, more=f'ring = {{ made = "{made_as}", width = 40 }}\n'))[
            "hatch ring"
        ]
        for made_as in ("whole", "split")
    )
    assert whole.area is not None
    assert split.area is not None
    assert whole.area - split.area == pytest.approx(0.8 * 40, rel=0.01)


def test_a_bent_clip_weighs_what_its_flat_does() -> None:
    """Flat width of a 90 degree clip: both legs to the tangents, and the bend allowance between them."""
    clip = next(row for row in weights(_demo_job(), demo()).rows if row.name == "rib clip")
    thickness, radius = 0.032 * MM_PER_INCH, 5 / 32 * MM_PER_INCH
    flats = (0.9 + 0.75) * MM_PER_INCH - 2 * (thickness + radius)
    width = flats + bend_allowance(90.0, radius, thickness)
    area = 1.5 * MM_PER_INCH * width - 4 * circle(3.2639)
    assert clip.area == pytest.approx(area)


def test_a_lip_adds_its_blank_along_the_straight_edges_and_loses_its_reliefs() -> None:
    """Between reliefs of 2 R at each end; a relief is a slot down to the tangent line with a round end."""
    plain, lipped = (
        weighed(opening_job(cover=cover))["hatch cover"]
        for cover in (
            '{ kind = "lying", overlap = 30 }',
            '{ kind = "lying", overlap = 30, lip = { height = 8, bend_radius = 2 } }',
        )
    )
    straight = 2 * (120 - 2 * 15) + 2 * (90 - 2 * 15) - 8 * 4.0
    growth = 8 - bend_deduction(90.0, 2.0, 0.8)
    reliefs = 8 * (4.0 * 2.8 + circle(4.0) / 2)
    assert (lipped.area or 0) - (plain.area or 0) == pytest.approx(straight * growth - reliefs)


def test_unknown_material_is_told_and_never_guessed() -> None:
    text = (head() + rib() + mast()).replace("2024-T3 clad", "beaten tin")
    found = weights(*made(text))
    assert all(row.grams is None for row in found.rows)
    assert found.change is None
    assert "not known" in weight_table(*made(text)).rows[-1]


def test_moment_is_mass_times_arm_and_the_opening_has_its_own() -> None:
    text = opening_job(more="arm = 2500\n").replace(
        'unit = "mm"', 'unit = "mm"\narm = 1000\ndatum = "firewall"'
    )
    job, assembly = made(text)
    found = weights(job, assembly)
    assert found.moment == pytest.approx((found.change or 0) * 2500)
    table = weight_table(job, assembly)
    assert table.rows[-1][-1] == f"{(found.change or 0) * 2500 / 1e6:.4f}"
    assert "firewall" in table.notes[0]


def test_without_an_arm_no_moment_is_told() -> None:
    table = weight_table(*made(opening_job()))
    assert "arm" not in table.columns
    assert weights(*made(opening_job())).moment is None


def test_change_is_the_sum_of_all_in_grams_and_pounds() -> None:
    found = weights(_demo_job(), demo())
    grams = sum(row.grams or 0.0 for row in found.rows)
    last = weight_table(_demo_job(), demo()).rows[-1]
    assert last[4:6] == (f"{grams:.2f}", f"{grams / 453.59237:.4f}")


def test_a_mass_that_the_job_gives_is_added_as_it_is() -> None:
    box = '\n[opening.hangs]\nname = "box"\nlength = 60\nwidth = 40\nheight = 20\nmass_g = 160\n'
    box += 'holes = [{ fastener = "small", points = [[25, 15]] }]\n'
    assert weighed(opening_job(more=box))["box"].grams == 160


def _demo_job() -> Job:
    return read_job(Path(__file__).parents[3] / "templgen" / "build" / "jobs" / "mast.toml")
