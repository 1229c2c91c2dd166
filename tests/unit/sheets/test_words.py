"""Line breaks, columns, tables and free places."""

from __future__ import annotations

import pytest

from templgen.drawing import CircleMark, LineMark, Meaning, PathMark, Table, Text
from templgen.drawing.font import text_width
from templgen.errors import ExportError
from templgen.geometry import Bounds, Contour, Line, Motion, Vec
from templgen.sheets.facts import listed, ranges
from templgen.sheets.lettering import words, wrap, wrapped
from templgen.sheets.marks import hatch_lines
from templgen.sheets.notes import Heading, Paragraph, pour
from templgen.sheets.placement import Label, place
from templgen.sheets.space import Space
from templgen.sheets.table_rows import table_blocks
from templgen.sheets.view import clipped, moved, moved_with_words, view_of

LONG = "Lay the sheet on the outside of the skin, the targets on the rivets of the rib."


@pytest.mark.parametrize("width", [12.0, 30.0, 55.0, 500.0])
def test_no_line_is_wider_than_asked_and_no_word_is_lost(width: float) -> None:
    lines = wrap(LONG, width)
    assert all(text_width(line, 2.5) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == LONG.replace(" ", "")


def test_a_word_wider_than_the_column_is_broken() -> None:
    lines = wrap("a" * 60, 10.0)
    assert len(lines) > 3
    assert "".join(lines) == "a" * 60


def test_an_empty_text_has_no_lines() -> None:
    assert wrap("   ", 10.0) == []


def test_variants_of_a_label_are_each_once_and_grow_narrower() -> None:
    variants = wrapped(LONG, 500.0, 400.0, 60.0, 30.0)
    assert len(variants) == 3
    assert [len(lines) for lines in variants] == sorted(len(lines) for lines in variants)


def test_notes_flow_into_the_next_area_and_the_rest_is_returned() -> None:
    blocks = [Paragraph(LONG) for _ in range(12)]
    areas = [Bounds(0, 0, 40, 30), Bounds(50, 0, 90, 30)]
    poured = pour(blocks, areas)
    assert 0 < len(poured.rest) < 12
    assert {item.at.x >= 50 for item in poured.items if isinstance(item, Text)} == {True, False}
    assert all(item.at.y >= 0 for item in poured.items if isinstance(item, Text))


def test_a_heading_never_stands_alone_at_the_foot_of_a_column() -> None:
    heading, paragraph = Heading("Findings"), Paragraph(LONG)
    room = heading.height(40) + paragraph.height(40) - 0.1
    poured = pour([heading, paragraph], [Bounds(0, 0, 40, room)])
    assert poured.rest == (heading, paragraph)


def test_table_keeps_its_columns_within_the_width_and_every_cell() -> None:
    table = Table("Holes", ("number", "fastener"), (("1", LONG), ("2", "none")))
    poured = pour(table_blocks(table, 60.0), [Bounds(0, 0, 60, 200)])
    said = "".join(item.text for item in poured.items if isinstance(item, Text)).replace(" ", "")
    assert LONG.replace(" ", "") in said
    for item in poured.items:
        if isinstance(item, Text):
            assert item.at.x + text_width(item.text, item.height, item.bold) <= 60.5


def test_numbers_and_names_in_words() -> None:
    assert ranges([3, 1, 2, 7, 8, 12]) == "1 to 3, 7, 8, 12"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert listed(["a"]) == "a"
    assert listed([]) == ""


def test_a_label_takes_no_place_that_is_taken_and_uses_a_leader_then() -> None:
    hole = CircleMark(Vec(50, 50), 2.0, Meaning.HOLE, name="1")
    free = Space(Bounds(0, 0, 100, 100))
    free.take([hole])
    label = Label((Vec(50, 50),), (("1: #30",),), keep=2.0, arms=2.0)
    beside = place(free, label)
    assert beside is not None
    assert not any(isinstance(item, PathMark) for item in beside.items)
    crowded = Space(Bounds(0, 0, 100, 100))
    crowded.take([hole])
    crowded.take_box(Bounds(40, 40, 60, 60))
    far = place(crowded, Label((Vec(50, 50),), (("1: #30",),), keep=2.0, arms=2.0))
    assert far is None, "a leader may not pass words"


def test_a_label_without_room_takes_its_shorter_words_or_is_lost() -> None:
    space = Space(Bounds(0, 0, 14, 14))
    found = place(space, Label((Vec(7, 2),), (("a long line of words",), ("1",)), keep=1.0))
    assert found is not None
    assert found.variant == 1
    assert place(Space(Bounds(0, 0, 3, 3)), Label((Vec(1, 1),), (("a long line",),))) is None


def test_a_label_does_not_stand_in_waste() -> None:
    waste = Contour.rectangle(60, 60, centre=Vec(50, 50))
    space = Space(Bounds(0, 0, 100, 100), [waste])
    assert place(space, Label((Vec(50, 50),), (("1",),), far=False)) is None


def test_view_mirrors_and_turns_marks_and_refuses_words() -> None:
    motion = view_of(True, 90, Vec(1, 2), Vec(10, 20))
    line = moved(LineMark(Line(Vec(1, 2), Vec(2, 2)), Meaning.CUT), motion)
    assert isinstance(line, LineMark)
    # x -> -x, then a quarter turn: the way to +x becomes the way to -y.
    assert line.line.start == Vec(10, 20)
    assert line.line.end.x == pytest.approx(10)
    assert line.line.end.y == pytest.approx(19)
    with pytest.raises(ExportError):
        moved(words("aft", 0, 0), motion)
    with pytest.raises(ExportError):
        moved_with_words([words("aft", 0, 0)], Motion.mirror_x())


def test_a_line_is_cut_off_at_a_box() -> None:
    found = clipped(Line(Vec(-50, 5), Vec(50, 5)), Bounds(0, 0, 10, 10))
    assert found is not None
    assert (found.start.x, found.end.x) == pytest.approx((0, 10))
    assert clipped(Line(Vec(-50, 15), Vec(50, 15)), Bounds(0, 0, 10, 10)) is None


def test_hatching_stays_inside() -> None:
    box = Contour.rectangle(20, 8, centre=Vec(10, 4))
    for mark in hatch_lines(box):
        assert isinstance(mark, PathMark)
        for point in mark.contour.vertices:
            assert -1e-6 <= point.x <= 20 + 1e-6
            assert -1e-6 <= point.y <= 8 + 1e-6
