"""Lines, flanges and webs derived from one measured line."""

from __future__ import annotations

import pytest

from templgen.geometry import Line, Vec
from tests.unit.layout.jobs import demo, faults, head, laid, near, rib

HOLE = '\n[[hole]]\nname = "drain"\nat = { x = 5, y = 50 }\ndiameter = 6\n'
MM_PER_IN = 25.4


def test_demo_rib_lines_by_hand() -> None:
    # Rib 7 of the demo: row at y = 0, flange 5/8 in to the right of +x, so towards -y; t 0.032, R 1/8 in.
    # Heel 0.3125 in from the row; inner face 0.3125 - 0.032; tangent 0.3125 - 0.157; free edge -0.3125.
    lines = demo().structures["rib 7"].lines
    inches = {
        "heel": 0.3125,
        "web face": 0.3125,
        "web inner face": 0.2805,
        "bend tangent": 0.1555,
        "rivet row": 0.0,
        "free flange edge": -0.3125,
    }
    assert list(lines) == list(inches)
    for name, y_in in inches.items():
        assert near(lines[name].start, Vec(0.0, y_in * MM_PER_IN))
        assert near(lines[name].end, Vec(12 * MM_PER_IN, y_in * MM_PER_IN))


# In section from the heel: web 1.0, tangent 4.0, row 10 (flange middle), free edge 20.
@pytest.mark.parametrize(
    ("line_is", "measured_y"),
    [("heel", 0.0), ("web face", 0.0), ("rivet row", -10.0), ("free flange edge", -20.0)],
)
def test_every_measured_line_gives_the_same_section(line_is: str, measured_y: float) -> None:
    start, end = (0.0, measured_y), (200.0, measured_y)
    found = laid(head() + rib(line_is, start, end) + HOLE).structures["rib"].lines
    heights = {name: line.start.y for name, line in found.items()}
    assert heights == pytest.approx(
        {
            "heel": 0.0,
            "web face": 0.0,
            "web inner face": -1.0,
            "bend tangent": -4.0,
            "rivet row": -10.0,
            "free flange edge": -20.0,
        }
    )


def test_flange_side_is_seen_along_the_line() -> None:
    left = laid(head() + rib(flange_side="left") + HOLE).structures["rib"]
    back = laid(head() + rib(start=(200, 0), end=(0, 0), flange_side="left") + HOLE).structures["rib"]
    assert left.flange_side == back.flange_side == 1
    assert left.lines["free flange edge"].start.y == pytest.approx(20)
    assert back.lines["free flange edge"].start.y == pytest.approx(-20)


def test_flange_face_has_a_formed_and_a_free_edge_and_goes_on_at_its_ends() -> None:
    assembly = laid(head() + rib() + HOLE)
    face = assembly.faces["rib flange"]
    assert face.outline is not None
    assert face.outline.area == pytest.approx(200 * 16)
    assert face.formed == (Line(Vec(0, -4), Vec(200, -4)),)
    assert {edge.start.x for edge in face.beyond} == {0.0, 200.0}
    footprint = assembly.structures["rib"].flange
    assert footprint is not None
    assert footprint.area == pytest.approx(200 * 20)


def test_web_face_starts_at_its_bend() -> None:
    face = laid(head() + rib() + HOLE).faces["rib web"]
    assert face.outline is not None
    assert (face.outline.bounds.ymin, face.outline.bounds.ymax) == pytest.approx((4, 80))
    assert [edge.start.y for edge in face.formed] == pytest.approx([4])
    assert len(face.beyond) == 3


def test_web_plane_says_from_where_it_is_seen() -> None:
    plane = laid(head() + rib() + HOLE).planes["rib web"]
    assert (plane.x_words, plane.y_words, plane.seen_from) == ("aft", "away from the skin", "outboard")


def test_existing_rivets_join_skin_and_flange_in_the_row() -> None:
    rivets = [each for each in laid(head() + rib() + HOLE).fasteners if each.exists]
    assert [each.name for each in rivets] == ["R1", "R2", "R3", "R4", "R5"]
    assert [each.at.x for each in rivets] == pytest.approx([20, 45, 70, 95, 120])
    assert {round(each.at.y, 9) for each in rivets} == {-10.0}
    assert {each.stack for each in rivets} == {("skin", "rib flange")}
    assert {each.doubt for each in rivets} == {0.3}


def test_a_rivet_row_off_the_middle_moves_the_heel() -> None:
    text = head() + rib("rivet row").replace("count = 5", "count = 5, off = 8")
    assembly = laid(text + HOLE)
    assert assembly.structures["rib"].lines["heel"].start.y == pytest.approx(8)
    assert {round(each.at.y, 9) for each in assembly.fasteners if each.exists} == {0.0}


def test_measured_to_of_the_item_goes_before_the_jobs() -> None:
    text = head() + rib().replace("thickness = 1.0", "thickness = 1.0\nmeasured_to = 0.9")
    assembly = laid(text + HOLE)
    assert assembly.structures["rib"].doubt == 0.9
    assert {each.doubt for each in assembly.fasteners if each.exists} == {0.9}


def test_a_flange_that_its_bend_fills_is_refused() -> None:
    text = head() + rib().replace("bend_radius = 3", "bend_radius = 19")
    (fault,) = [each for each in faults(text + HOLE) if "no flat flange" in each]
    assert fault.startswith("test.toml:")
    assert "20.00 mm" in fault


def test_a_web_without_flange_lies_on_its_heel_only() -> None:
    text = head() + "\n".join(
        line for line in rib().splitlines() if not line.startswith(("flange_", "bend_", "rivets"))
    )
    assembly = laid(text + "\nflange = false\n" + HOLE)
    assert list(assembly.structures["rib"].lines) == ["heel", "web face"]
    assert assembly.parts["rib"].faces == ("rib web",)


def test_a_seam_is_one_line() -> None:
    text = head() + '[[structure]]\nname = "seam"\nkind = "seam"\nfrom = [0, 0]\nto = [0, 90]\n' + HOLE
    assembly = laid(text)
    assert list(assembly.structures["seam"].lines) == ["rivet row"]
    assert assembly.structures["seam"].flange is None
