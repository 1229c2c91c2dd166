"""Laws of the comparison over random drawings: what is drawn is found, and one changed mark is told."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from templgen.drawing import CircleMark, Drawing, Item, LineMark, Meaning, PageInfo, PathMark
from templgen.exporters.dxf import dxf_bytes
from templgen.exporters.pdf import pdf_bytes
from templgen.exporters.svg import svg_bytes
from templgen.geometry import Contour, Line, Motion, Vec
from templgen.proof.difference import Kind
from templgen.proof.readback import read_back
from templgen.proof.tolerance import WITHIN

WRITERS = {"svg": svg_bytes, "pdf": lambda drawing: pdf_bytes([drawing]), "dxf": dxf_bytes}
INFO = PageInfo("Random", "feedface")
each = pytest.mark.parametrize("kind", WRITERS)


def drawing(items: Sequence[Item]) -> Drawing:
    return Drawing(tuple(items), INFO, 400.0, 400.0)


@st.composite
def plates(draw: st.DrawFn) -> Drawing:
    """Draw a plate with holes and lines that keep 6 mm from one another."""
    dice = random.Random(draw(st.integers(0, 10**6)))
    places = [Vec(30.0 + 20.0 * i, 30.0 + 20.0 * j) for i in range(15) for j in range(15)]
    items: list[Item] = [PathMark(Contour.rectangle(360.0, 350.0, 7.0, Vec(200.0, 200.0)), Meaning.CUT)]
    for number, place in enumerate(dice.sample(places, draw(st.integers(3, 40)))):
        at = place + Vec(dice.uniform(-4, 4), dice.uniform(-4, 4))
        match dice.randrange(3):
            case 0:
                items.append(CircleMark(at, dice.uniform(0.4, 3.0), Meaning.HOLE, str(number)))
            case 1:
                way = Vec.polar(dice.uniform(1.0, 4.0), dice.uniform(0, 360))
                items.append(LineMark(Line(at - way, at + way), Meaning.BEND))
            case _:
                corner = dice.uniform(0.1, 1.0)
                turned = Contour.rectangle(3.0, 4.0, corner).moved(Motion.rotation(dice.uniform(0, 360)))
                items.append(PathMark(turned.moved(Motion.translation(at)), Meaning.CUT))
    return drawing(items)


@each
@settings(max_examples=15, deadline=None)
@given(plate=plates())
def test_what_is_drawn_is_found(kind: str, plate: Drawing) -> None:
    result = read_back(kind, WRITERS[kind](plate), plate)
    assert result.differences == ()
    assert result.shapes == len(plate.items)


@each
@settings(max_examples=15, deadline=None)
@given(plate=plates(), seed=st.integers(0, 999))
def test_the_order_of_a_file_does_not_matter(kind: str, plate: Drawing, seed: int) -> None:
    shuffled = random.Random(seed).sample(plate.items, len(plate.items))
    assert read_back(kind, WRITERS[kind](drawing(shuffled)), plate).differences == ()


@each
@settings(max_examples=15, deadline=None)
@given(plate=plates(), dx=st.floats(-3.0, 3.0), dy=st.floats(-3.0, 3.0), which=st.integers(1, 2))
def test_one_mark_that_moved_is_told_with_its_way(
    kind: str, plate: Drawing, dx: float, dy: float, which: int
) -> None:
    far = math.hypot(dx, dy)
    assume(far > 2.5 * WITHIN[kind])
    mark = plate.items[which]
    shift = Vec(dx, dy)
    moved: Item
    if isinstance(mark, CircleMark):
        moved = replace(mark, centre=mark.centre + shift)
    elif isinstance(mark, LineMark):
        moved = replace(mark, line=Line(mark.line.start + shift, mark.line.end + shift))
    else:
        assert isinstance(mark, PathMark)
        moved = replace(mark, contour=mark.contour.moved(Motion.translation(shift)))
    file = WRITERS[kind](drawing([*plate.items[:which], moved, *plate.items[which + 1 :]]))
    result = read_back(kind, file, plate)
    (told,) = result.differences
    assert told.kind is Kind.MOVED
    assert told.size == pytest.approx(far, abs=2 * WITHIN[kind])
    assert result.shapes == len(plate.items) - 1


@each
@settings(max_examples=10, deadline=None)
@given(plate=plates(), which=st.integers(0, 2))
def test_one_mark_more_or_less_is_told(kind: str, plate: Drawing, which: int) -> None:
    fewer = drawing([*plate.items[:which], *plate.items[which + 1 :]])
    (missing,) = read_back(kind, WRITERS[kind](fewer), plate).differences
    assert missing.kind is Kind.MISSING
    (added,) = read_back(kind, WRITERS[kind](plate), fewer).differences
    assert added.kind is Kind.ADDED


@each
@settings(max_examples=10, deadline=None)
@given(plate=plates(), degrees=st.floats(-170.0, 170.0), mirrored=st.booleans())
def test_a_drawing_that_was_turned_or_mirrored_is_seen_through(
    kind: str, plate: Drawing, degrees: float, mirrored: bool
) -> None:
    """Whatever lies somewhere else as a whole is one fact, and all marks are found on it."""
    assume(abs(degrees) > 0.01)
    motion = Motion.rotation(degrees, Vec(200.0, 200.0))
    if mirrored:
        motion = Motion.mirror(Vec(200.0, 0.0), Vec(0.0, 1.0)).then(motion)
    items: list[Item] = []
    for mark in plate.items:
        if isinstance(mark, CircleMark):
            items.append(replace(mark, centre=motion.apply(mark.centre)))
        elif isinstance(mark, LineMark):
            items.append(replace(mark, line=mark.line.moved(motion)))
        elif isinstance(mark, PathMark):
            items.append(replace(mark, contour=mark.contour.moved(motion)))
    result = read_back(kind, WRITERS[kind](drawing(items)), plate)
    kinds = {told.kind for told in result.differences}
    assert kinds <= {Kind.TURN, Kind.MIRROR}
    assert (Kind.MIRROR in kinds) is mirrored
    assert result.shapes == len(plate.items)
