"""Skin edges bound the skin; the far sides of its box are no edges."""

from __future__ import annotations

import pytest

from templgen.geometry import Vec, region_contains
from tests.unit.layout.jobs import faults, head, laid

EDGE = (
    '\n[[structure]]\nname = "{name}"\nkind = "skin edge"\nfrom = {start}\nto = {end}\nskin_side = "{side}"\n'
)
HOLE = '\n[[hole]]\nname = "a"\nat = { x = 50, y = 40 }\ndiameter = 5\n'


def test_a_skin_without_edges_goes_on() -> None:
    assert laid(head() + HOLE).faces["skin"].outline is None


def test_one_edge_leaves_the_metal_on_its_side() -> None:
    text = head() + EDGE.format(name="edge", start=[0, 10], end=[100, 10], side="left") + HOLE
    face = laid(text).faces["skin"]
    assert face.outline is not None
    assert face.outline.bounds.ymin == pytest.approx(10)
    assert len(face.beyond) == 3
    free = [edge for edge in face.outline.outer.segments if edge not in face.beyond]
    assert [edge.midpoint.y for edge in free] == pytest.approx([10])
    assert region_contains(face.outline, Vec(50, 40))


def test_the_other_hand_keeps_the_same_metal() -> None:
    edge = EDGE.format(name="edge", start=[20, 0], end=[20, 90], side="right")
    plain = laid(head() + edge + HOLE).faces["skin"].outline
    other = laid(head(measured_hand="right") + edge + HOLE).faces["skin"].outline
    assert plain is not None
    assert other is not None
    assert plain.bounds.xmin == pytest.approx(20)
    assert other.bounds.xmax == pytest.approx(-20)


def test_two_edges_make_a_corner() -> None:
    text = head() + EDGE.format(name="low", start=[0, 10], end=[100, 10], side="left")
    text += EDGE.format(name="side", start=[30, 0], end=[30, 90], side="right") + HOLE
    face = laid(text).faces["skin"]
    assert face.outline is not None
    assert (face.outline.bounds.xmin, face.outline.bounds.ymin) == pytest.approx((30, 10))
    assert len(face.beyond) == 2


def test_edges_that_leave_nothing_are_refused() -> None:
    text = head() + EDGE.format(name="low", start=[0, 10], end=[100, 10], side="right")
    text += EDGE.format(name="high", start=[0, 90], end=[100, 90], side="left") + HOLE
    assert any("leave no metal" in fault for fault in faults(text))


def test_without_a_mast_the_paper_covers_what_is_made() -> None:
    outline = laid(head() + HOLE).faces["paper"].outline
    assert outline is not None
    assert (outline.bounds.centre, outline.bounds.width) == (Vec(50, 40), pytest.approx(24))
