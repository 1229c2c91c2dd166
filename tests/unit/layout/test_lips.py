"""The bent lip of a cover: reliefs, blank, bend lines; what can not be bent is refused."""

from __future__ import annotations

import math

import pytest

from templgen.errors import JobFaults
from templgen.geometry import Arc, Line
from templgen.layout.assembly import Assembly
from templgen.layout.flat import FlatPattern, flat_pattern
from templgen.trade.bending import bend_allowance
from tests.unit.layout.jobs import rib
from tests.unit.layout.opening_jobs import CIRCLE, RACECOURSE, RECTANGLE, laid_opening

LIP = '{ kind = "lying", thickness = 0.8, lip = { height = 8, bend_radius = 2.4 } }'
ARC = 90 * (0.01743 * 2.4 + 0.0078 * 0.8)
"""Bend allowance by the formula of AC 43.13-1B para 4-56, mm."""
BACK = 2.4 + 0.8
"""Setback of a right angle: R + T (the same place), mm."""


def cover(**keys: str) -> tuple[Assembly, FlatPattern]:
    assembly, _ = laid_opening(**{"cover": LIP, **keys})
    return assembly, flat_pattern(assembly, "hatch cover")


def lip_edges(pattern: FlatPattern) -> list[Line]:
    """The far edges of the lips: they run along the second tangents."""
    found = []
    for bend in pattern.bends:
        along = bend.tangents[1].direction
        found += [
            each
            for each in pattern.outline.outer.segments
            if isinstance(each, Line)
            and abs(each.direction.cross(along)) < 1e-9
            and abs(each.length - bend.tangents[1].length) < 1e-9
            and each.direction.dot(along) > 0
        ]
    return found


def test_a_lip_is_developed_with_the_bend_allowance() -> None:
    """From tangent to tangent the arc's length, beyond it what is left of the height."""
    _, pattern = cover()
    assert len(pattern.bends) == 4
    assert bend_allowance(90, 2.4, 0.8) == pytest.approx(ARC)
    for bend, edge in zip(pattern.bends, lip_edges(pattern), strict=True):
        first, second = bend.tangents
        out = -first.direction.perp()
        assert (second.start - first.start).dot(out) == pytest.approx(ARC)
        assert (edge.start - second.start).dot(out) == pytest.approx(8 - BACK)
        assert bend.allowance == pytest.approx(ARC)
        assert bend.towards == "towards you, to the outside"


def test_the_bent_cover_is_as_large_as_its_outline_says() -> None:
    """Bent up, each lip stands with its outer face on the outline: tangent to tangent and two setbacks."""
    _, hatch = laid_opening(cover=LIP)
    _, pattern = cover()
    box = hatch.cover.bounds
    xs = [bend.tangents[0].start.x for bend in pattern.bends if abs(bend.tangents[0].direction.x) < 1e-9]
    ys = [bend.tangents[0].start.y for bend in pattern.bends if abs(bend.tangents[0].direction.y) < 1e-9]
    assert max(xs) - min(xs) + 2 * BACK == pytest.approx(box.width)
    assert max(ys) - min(ys) + 2 * BACK == pytest.approx(box.height)


def test_each_lip_ends_at_reliefs_round_a_hole_on_the_tangent() -> None:
    """Twice the inside radius wide (FAA-H-8083-31, relief holes); the lip is what is left between them."""
    _, hatch = laid_opening(cover=LIP)
    _, pattern = cover()
    ends = [
        each
        for each in pattern.outline.outer.segments
        if isinstance(each, Arc) and abs(each.sweep) == pytest.approx(180)
    ]
    assert [each.radius for each in ends] == pytest.approx([2.4] * 8)
    lines = [bend.tangents[0] for bend in pattern.bends]
    for arc in ends:
        off = min(abs(line.direction.cross(arc.centre - line.start)) for line in lines)
        assert off == pytest.approx(0, abs=1e-9)
    straight = sorted(each.length for each in hatch.cover.segments if isinstance(each, Line))
    assert sorted(line.length for line in lines) == pytest.approx([each - 2 * 4.8 for each in straight])


def test_area_is_that_of_the_outline_with_lips_and_without_reliefs() -> None:
    _, hatch = laid_opening(cover=LIP)
    _, pattern = cover()
    growth = 8 - (2 * BACK - ARC)
    lips = growth * sum(bend.tangents[0].length for bend in pattern.bends)
    relief = 4.8 * BACK + math.pi * 2.4**2 / 2
    assert pattern.outline.area == pytest.approx(hatch.cover.area + lips - 8 * relief)


def test_a_racecourse_has_lips_along_its_straight_sides_alone() -> None:
    _, pattern = cover(outline=RACECOURSE)
    assert len(pattern.bends) == 2


def test_straight_edges_too_short_for_a_lip_stay_plain_and_are_told() -> None:
    outline = '{ shape = "rectangle", length = 120, width = 50, corner_radius = 17 }'
    assembly, pattern = cover(outline=outline)
    assert len(pattern.bends) == 2
    assert any("2 of its straight edges are shorter than 17.60 mm" in note for note in assembly.notes)


def test_lips_do_not_depend_on_how_the_opening_is_turned() -> None:
    _, plain = cover()
    _, turned = cover(more="angle = 37")
    assert turned.outline.area == pytest.approx(plain.outline.area)
    assert len(turned.bends) == 4


@pytest.mark.parametrize(
    ("outline", "lip", "says"),
    [
        (CIRCLE, "height = 8, bend_radius = 2.4", "a curved edge can not be bent over"),
        (RECTANGLE, "height = 3, bend_radius = 2.4", "its bend alone takes 3.20 mm"),
    ],
)
def test_what_can_not_be_bent_is_refused(outline: str, lip: str, says: str) -> None:
    with pytest.raises(JobFaults, match=says):
        laid_opening(outline=outline, cover=f'{{ kind = "lying", lip = {{ {lip} }} }}')


def test_reliefs_that_meet_in_a_sharp_corner_are_refused_with_a_radius() -> None:
    sharp = '{ shape = "rectangle", length = 190, width = 160, corner_radius = 3 }'
    cut = f'{{ kind = "lying", outline = {sharp}, lip = {{ height = 8, bend_radius = 2.4 }} }}'
    with pytest.raises(JobFaults, match="reliefs at the ends of two lips meet") as caught:
        laid_opening(cover=cut)
    assert "5.60 mm" in str(caught.value)


def test_a_lipped_cover_is_not_trimmed() -> None:
    line = '{ structure = "rib", line = "web face", set_back = 1 }'
    trim = f'[[trim]]\nparts = ["hatch cover"]\nlines = [{line}]\nedge = "free"\n'
    with pytest.raises(JobFaults, match="bent lip and is not trimmed"):
        laid_opening(cover=LIP, more=f"\n{rib()}{trim}")
