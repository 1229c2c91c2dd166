"""The lines of an opening: how far they are from each other, and which hole is in which sheet."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from templgen.checks import find_rule, run_checks
from templgen.geometry import Contour, contour_contour, contour_inside, point_contour
from templgen.layout.finding import Verdict
from templgen.trade.limits import limit
from tests.unit.layout.jobs import faults, head
from tests.unit.layout.opening_jobs import CIRCLE, SYMMETRIC, laid_opening, opening_job

INCH = 25.4
FLUSH = '{ kind = "flush", gap = 0.4 }'


def _size(contour: Contour) -> tuple[float, float]:
    return contour.bounds.width, contour.bounds.height


@pytest.mark.parametrize("outline", SYMMETRIC.values(), ids=SYMMETRIC)
def test_all_lines_of_a_lying_cover_run_at_constant_distances(outline: str) -> None:
    """Points of each line lie at one distance from the next: the corner radii follow the opening's."""
    _, hatch = laid_opening(outline=outline)
    chain = [hatch.clear_hole, hatch.screw_line, hatch.cover, *hatch.rivet_lines[::-1], hatch.ring.outer]
    for inner, outer in pairwise(chain):
        least = contour_contour(inner, outer).distance
        apart = [
            point_contour(outer.point_at(outer.length * step / 97)[0], inner).distance for step in range(97)
        ]
        assert apart == pytest.approx([least] * 97, abs=1e-6)
        assert least > 0


def test_default_rows_stand_at_the_preferred_edge_distance() -> None:
    """2 D + 1/16 in of a #8 screw (0.164 in) from the opening and from the cover's edge."""
    _, hatch = laid_opening()
    wanted = (2 * 0.164 + 1 / 16) * INCH
    assert contour_contour(hatch.clear_hole, hatch.screw_line).distance == pytest.approx(wanted)
    assert contour_contour(hatch.screw_line, hatch.cover).distance == pytest.approx(wanted)
    ring_rivet = (2 * 3 / 32 + 1 / 16) * INCH
    assert contour_contour(hatch.rivet_lines[0], hatch.ring.outer).distance == pytest.approx(ring_rivet)


def test_one_hole_through_skin_and_ring_under_a_lying_cover() -> None:
    assembly, hatch = laid_opening()
    cutout = next(each for each in assembly.cutouts if each.feature == "hatch")
    assert [each.name for each in assembly.cutouts] == ["hatch"]
    assert cutout.faces == ("skin", "hatch ring")
    assert _size(cutout.contour) == pytest.approx((120.0, 90.0))
    assert hatch.skin_hole == hatch.clear_hole == cutout.contour
    assert assembly.faces["hatch cover"].order < 0 < assembly.faces["hatch ring"].order


def test_two_holes_under_a_flush_cover_are_never_mixed_up() -> None:
    assembly, hatch = laid_opening(cover=FLUSH, more='outline_is = "clear hole"')
    holes = {each.name: each for each in assembly.cutouts}
    assert {name: hole.faces for name, hole in holes.items()} == {
        "hatch skin hole": ("skin",),
        "hatch clear hole": ("hatch ring",),
    }
    assert _size(hatch.clear_hole) == pytest.approx((120.0, 90.0))
    edge = (2 * 0.164 + 1 / 16) * INCH
    ledge = 2 * edge + 0.4
    assert _size(hatch.skin_hole) == pytest.approx((120 + 2 * ledge, 90 + 2 * ledge))
    assert _size(hatch.cover) == pytest.approx((120 + 2 * ledge - 0.8, 90 + 2 * ledge - 0.8))
    assert holes["hatch skin hole"].contour == hatch.skin_hole
    assert holes["hatch clear hole"].contour == hatch.clear_hole
    assert assembly.faces["hatch cover"].order == 0
    screw = next(each for each in assembly.fasteners if each.spec.kind == "screw")
    assert screw.stack == ("hatch cover", "hatch ring")


def test_the_outline_may_be_either_of_the_two_holes() -> None:
    cover = '{ kind = "flush", gap = 0.5, ledge = 22 }'
    clear = '{ shape = "rectangle", length = 120, width = 90, corner_radius = 15 }'
    skin = '{ shape = "rectangle", length = 164, width = 134, corner_radius = 37 }'
    one = laid_opening(outline=clear, cover=cover, more='outline_is = "clear hole"')[1]
    other = laid_opening(outline=skin, cover=cover, more='outline_is = "skin hole"')[1]
    for name in ("skin_hole", "clear_hole", "cover", "screw_line"):
        first, second = getattr(one, name), getattr(other, name)
        assert (first.area, first.length) == pytest.approx((second.area, second.length))


def test_a_clear_hole_without_radius_left_is_rounded_and_said() -> None:
    skin = '{ shape = "rectangle", length = 164, width = 134, corner_radius = 15 }'
    cover = '{ kind = "flush", gap = 0.5, ledge = 22 }'
    assembly, hatch = laid_opening(outline=skin, cover=cover, more='outline_is = "skin hole"')
    radius = limit("corner-access").mm()
    assert hatch.clear_hole.area == pytest.approx(120 * 90 - (4 - math.pi) * radius**2)
    assert any("rounded to 12.70 mm" in note for note in assembly.notes)


def test_the_builders_numbers_go_before_the_defaults() -> None:
    _, hatch = laid_opening(
        cover='{ kind = "lying", overlap = 25, thickness = 1.6, material = "6061-T6" }',
        screws='{ fastener = "screw", count = 8, from_cover_edge = 11 }',
        more="ring = { width = 45, thickness = 1.3 }\nrivets = { from_edge = 7 }",
    )
    assert _size(hatch.cover) == pytest.approx((170, 140))
    assert _size(hatch.screw_line) == pytest.approx((148, 118))
    assert _size(hatch.ring.outer) == pytest.approx((210, 180))
    assert _size(hatch.rivet_lines[0]) == pytest.approx((196, 166))


def test_outlines_of_their_own_for_cover_and_ring() -> None:
    _, hatch = laid_opening(
        outline=CIRCLE,
        cover='{ kind = "lying", outline = { shape = "rectangle", length = 170, width = 160 } }',
        more='ring = { outline = { shape = "rectangle", length = 210, width = 205, corner_radius = 40 } }',
    )
    assert _size(hatch.cover) == pytest.approx((170, 160))
    assert _size(hatch.ring.outer) == pytest.approx((210, 205))
    assert contour_inside(hatch.clear_hole, hatch.screw_line)


def test_ring_and_cover_take_material_and_gauge_from_the_skin() -> None:
    assembly, _ = laid_opening()
    ring, cover = assembly.faces["hatch ring"], assembly.faces["hatch cover"]
    assert (ring.material, cover.material) == ("2024-T3 clad", "2024-T3 clad")
    assert cover.thickness == pytest.approx(0.8)
    assert ring.thickness == pytest.approx(0.040 * INCH)  # 0.8 mm is 0.032 in; the next gauge is 0.040


def test_numbers_without_room_for_each_other_are_refused() -> None:
    narrow = opening_job(more="ring = { width = 15 }")
    assert any("ring's edge does not lie outside the cover's edge" in each for each in faults(narrow))
    ledge = opening_job(cover='{ kind = "flush", gap = 1, ledge = 1 }', more='outline_is = "clear hole"')
    assert any("the ledge is 0.00 mm (0.000 in) too narrow" in each for each in faults(ledge))
    flush = opening_job(outline=CIRCLE, cover='{ kind = "flush", gap = 1, ledge = 70 }')
    assert any("leaves 0 outlines" in each for each in faults(flush + 'outline_is = "skin hole"'))


@pytest.mark.parametrize("screws", ["count = 12", "count = 7", "pitch = 30"])
@pytest.mark.parametrize("outline", SYMMETRIC.values(), ids=SYMMETRIC)
def test_rows_without_numbers_are_far_enough_apart_for_certain(outline: str, screws: str) -> None:
    """Screws that follow a curve may make a row that is turned by a fraction of a degree."""
    assembly, _ = laid_opening(outline=outline, screws=f'{{ fastener = "screw", {screws} }}')
    found = run_checks(assembly, rules=[find_rule("rows-too-close")])
    assert [each.message for each in found if each.verdict in (Verdict.FAIL, Verdict.DOUBTFUL)] == []


def test_the_face_that_was_measured_changes_no_metal() -> None:
    """Measured on the inside, the opening is the mirror image in the y axis."""
    one, hatch = laid_opening()
    other, mirrored = laid_opening(top=head(measured_on="inside"))
    assert mirrored.centre.x == pytest.approx(-hatch.centre.x)
    assert mirrored.clear_hole.area == pytest.approx(hatch.clear_hole.area)
    assert {(round(-f.at.x, 6), round(f.at.y, 6)) for f in other.fasteners} == {
        (round(f.at.x, 6), round(f.at.y, 6)) for f in one.fasteners
    }
