"""Screws and ring rivets along their lines: even spacing, counts and pitches, symmetry."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from templgen.geometry import Contour, Vec
from templgen.layout.openings.model import OpeningSet
from templgen.shapes.perimeter import length_along
from tests.unit.layout.jobs import faults
from tests.unit.layout.opening_jobs import D_HOLE, RACECOURSE, SYMMETRIC, by_name, laid_opening, opening_job

EQUAL = 1e-9


def _screws(**keys: str) -> tuple[OpeningSet, list[Vec]]:
    assembly, hatch = laid_opening(**keys)
    named = by_name(assembly)
    return hatch, [named[name].at for name in hatch.screws]


def _steps(line: Contour, points: list[Vec]) -> list[float]:
    """The lengths along a closed line from each point to the next."""
    along = [length_along(line, point) for point in points]
    return [(b - a) % line.length for a, b in pairwise([*along, along[0]])]


def _count(number: int, more: str = "") -> str:
    return f'{{ fastener = "screw", count = {number} {more} }}'


@pytest.mark.parametrize("number", [5, 8, 17])
@pytest.mark.parametrize("outline", [*SYMMETRIC.values(), D_HOLE], ids=[*SYMMETRIC, "d-hole"])
def test_free_screws_are_evenly_spaced_along_the_true_length(outline: str, number: int) -> None:
    hatch, points = _screws(outline=outline, screws=_count(number, ', fixed = "none"'))
    steps = _steps(hatch.screw_line, points)
    assert len(points) == number
    assert max(steps) - min(steps) < EQUAL
    assert sum(steps) == pytest.approx(hatch.screw_line.length, abs=1e-9)


@pytest.mark.parametrize("more", ["", ', fixed = "corners"'])
def test_fewer_screws_than_corners_are_refused_with_what_is_allowed(more: str) -> None:
    (line,) = faults(opening_job(screws=_count(3, more)))
    assert "hatch: count = 3 leaves corners without a screw: it has 4 (count = 4 or more, or fixed" in line
    _, points = _screws(screws=_count(4, more))
    assert len(points) == 4


def test_spaces_between_fixed_corners_are_equal_by_closed_formula() -> None:
    """From corner to corner: a straight side and two eighths of a circle of the grown radius."""
    hatch, points = _screws(screws=_count(12))
    grown = (hatch.screw_line.bounds.width - 120) / 2
    eighth = math.pi / 4 * (15 + grown)
    long, short = 120 - 2 * 15 + 2 * eighth, 90 - 2 * 15 + 2 * eighth
    wanted = sorted([long / 3] * 6 + [short / 3] * 6)
    assert sorted(_steps(hatch.screw_line, points)) == pytest.approx(wanted, abs=EQUAL)


@pytest.mark.parametrize("number", [4, 6, 8, 10, 12, 14])
def test_count_and_pitch_agree(number: int) -> None:
    hatch, points = _screws(screws=_count(number))
    widest = max(_steps(hatch.screw_line, points))
    _, again = _screws(screws=f'{{ fastener = "screw", pitch = {widest + 1e-9} }}')
    assert [(p.x, p.y) for p in again] == [pytest.approx((p.x, p.y), abs=1e-9) for p in points]
    _, more = _screws(screws=f'{{ fastener = "screw", pitch = {widest - 1e-3} }}')
    assert len(more) > number


def _about(points: list[Vec], centre: Vec, x: float, y: float) -> set[tuple[float, float]]:
    return {(round(x * (p.x - centre.x), 7) + 0.0, round(y * (p.y - centre.y), 7) + 0.0) for p in points}


@pytest.mark.parametrize("number", [4, 10])
@pytest.mark.parametrize("outline", SYMMETRIC.values(), ids=SYMMETRIC)
def test_symmetric_openings_have_symmetric_patterns(outline: str, number: int) -> None:
    """Screws, lug rivets and ring rivets are their own image in both axes."""
    assembly, hatch = laid_opening(outline=outline, screws=_count(number))
    for group in ("hatch screws", "hatch nutplate rivets", "hatch ring rivets"):
        points = [each.at for each in assembly.fasteners if each.group == group]
        itself = _about(points, hatch.centre, 1, 1)
        assert _about(points, hatch.centre, -1, 1) == itself
        assert _about(points, hatch.centre, 1, -1) == itself


def test_ten_screws_of_a_square_stand_opposite_each_other() -> None:
    square = '{ shape = "rectangle", length = 120, width = 120, corner_radius = 20 }'
    hatch, points = _screws(outline=square, screws=_count(10))
    assert _about(points, hatch.centre, -1, -1) == _about(points, hatch.centre, 1, 1)


def test_screws_beside_the_corners_stand_as_far_as_told() -> None:
    hatch, points = _screws(screws=_count(8, ', fixed = "beside corners", beside = 20'))
    steps = _steps(hatch.screw_line, points)
    assert sorted(steps)[:4] == pytest.approx([40.0] * 4, abs=EQUAL)


def test_places_of_the_builder_get_a_screw() -> None:
    hatch, points = _screws(screws=_count(7, ', fixed = "none", places = [[100, 0], [0, 90]]'))
    line = hatch.screw_line.bounds
    assert min(p.distance_to(Vec(line.xmax, line.centre.y)) for p in points) < EQUAL
    assert min(p.distance_to(Vec(line.centre.x, line.ymax)) for p in points) < EQUAL


def test_a_racecourse_has_no_corners() -> None:
    text = opening_job(outline=RACECOURSE, screws=_count(8, ', fixed = "corners"'))
    assert any('hatch has no corners; fixed = "none" is left' in each for each in faults(text))


def test_two_rows_of_rivets_are_staggered() -> None:
    assembly, hatch = laid_opening(more="rivets = { rows = 2, count = 28 }")
    points = [by_name(assembly)[name].at for name in hatch.ring_rivets]
    outer, inner = points[:28], points[28:]
    assert len(inner) == 28
    line = hatch.rivet_lines[0]
    places = [length_along(line, point) for point in outer]
    steps = [(b - a) % line.length for a, b in pairwise([*places, places[0]])]
    between = [(a + step / 2) % line.length for a, step in zip(places, steps, strict=True)]
    assert [length_along(line, point) for point in inner] == pytest.approx(between, abs=1e-6)


def test_two_rows_that_are_not_staggered_stand_beside_each_other() -> None:
    assembly, hatch = laid_opening(more="rivets = { rows = 2, count = 28, staggered = false, row_gap = 9 }")
    points = [by_name(assembly)[name].at for name in hatch.ring_rivets]
    assert [a.distance_to(b) for a, b in zip(points[:28], points[28:], strict=True)] == pytest.approx(
        [9.0] * 28
    )


def test_ring_rivets_keep_the_default_pitch() -> None:
    """Six diameters of the chosen 3/32 rivet at most; 3 x 0.8 mm is nearest to 3/32 in."""
    assembly, hatch = laid_opening()
    rivets = [by_name(assembly)[name] for name in hatch.ring_rivets]
    assert {each.spec.size for each in rivets} == {"3/32"}
    pitches = _steps(hatch.rivet_lines[0], [each.at for each in rivets])
    assert max(pitches) <= 6 * 3 / 32 * 25.4 + 1e-9
    assert any("about three times the skin" in note for note in assembly.notes)
