"""Hands and faces: the other hand mirrors the metal, the face on which paper lies mirrors nothing here."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from templgen.geometry import Motion, Vec
from templgen.layout.assembly import Assembly, TrimEdge
from tests.unit.layout.jobs import faults, head, laid, mast, near, rib

TRIM = """
[[trim]]
parts = ["paper", "base plate"]
lines = [{ structure = "rib", line = "web face", set_back = 24, angle = 3 }]
"""
BRACKET = """
[[bracket]]
name = "clip"
structure = "rib"
along = 100
length = 40
web_leg = 25
skin_leg = 18
bend_radius = 3
material = "2024-T3 clad"
thickness = 0.8
side = "left"
web_holes = [{ fastener = "plate", points = [[-10, 15], [12, 15]] }]
skin_holes = [{ fastener = "plate", points = [[-10, 10]] }]
"""
FEATURES = rib(start=(0, 0), end=(190, 40)) + mast(angle=160) + BRACKET + TRIM
MIRROR = Motion.mirror_x()


def _outlines(assembly: Assembly) -> dict[str, tuple[Vec, ...]]:
    return {
        name: face.outline.outer.vertices for name, face in assembly.faces.items() if face.outline is not None
    }


@pytest.mark.parametrize(
    ("measured_on", "measured_hand"),
    [("outside", ""), ("inside", ""), ("outside", "right"), ("inside", "right")],
)
def test_metal_is_mirrored_by_either_and_not_by_both(measured_on: str, measured_hand: str) -> None:
    plain = laid(head() + FEATURES)
    other = laid(head(measured_on=measured_on, measured_hand=measured_hand) + FEATURES)
    mirrored = (measured_on == "inside") != (measured_hand == "right")
    assert other.view.is_mirrored == mirrored
    motion = MIRROR if mirrored else Motion.identity()
    for ours, theirs in zip(plain.fasteners, other.fasteners, strict=True):
        expected = motion.apply(ours.at) if ours.plane == "skin" else ours.at
        assert near(theirs.at, expected)
        assert (ours.name, ours.stack, ours.head_side) == (theirs.name, theirs.stack, theirs.head_side)
    for ours, theirs in zip(plain.cutouts, other.cutouts, strict=True):
        expected_contour = ours.contour.moved(motion).as_ccw()
        assert expected_contour.area == pytest.approx(theirs.contour.area)
        assert all(any(near(a, b, 1e-8) for b in theirs.contour.vertices) for a in expected_contour.vertices)


def test_mirrored_faces_and_lines_are_the_same_metal() -> None:
    plain, other = laid(head() + FEATURES), laid(head(measured_hand="right") + FEATURES)
    theirs = _outlines(other)
    for name, vertices in _outlines(plain).items():
        motion = MIRROR if plain.faces[name].plane == "skin" else Motion.identity()
        assert all(any(near(motion.apply(a), b, 1e-8) for b in theirs[name]) for a in vertices), name
    for name, line in plain.structures["rib"].lines.items():
        mirrored = other.structures["rib"].lines[name]
        assert near(mirrored.start, MIRROR.apply(line.start))
        assert near(mirrored.end, MIRROR.apply(line.end))
    assert plain.structures["rib"].flange_side == -other.structures["rib"].flange_side
    assert [trim.depth for trim in plain.trims] == pytest.approx([trim.depth for trim in other.trims])


def test_axis_words_stay_with_their_turned_vectors() -> None:
    plane = laid(head(measured_on="inside") + FEATURES).planes["skin"]
    assert (plane.x_words, plane.x_axis) == ("aft", Vec(-1.0, 0.0))
    assert (plane.y_words, plane.y_axis) == ("outboard", Vec(0.0, 1.0))
    web = laid(head(measured_on="inside") + rib() + mast()).planes["rib web"]
    assert (web.x_words, web.seen_from) == ("aft", "inboard")


def test_the_face_the_paper_lies_on_changes_no_metal() -> None:
    outside, inside = laid(head() + FEATURES), laid(head(laid_on="inside") + FEATURES)
    same = replace(inside, laid_on="outside", notes=outside.notes, targets=outside.targets)
    assert same.fasteners == outside.fasteners
    assert same.cutouts == outside.cutouts
    for ours, theirs in ((same.faces, outside.faces), (_by_face(same), _by_face(outside))):
        assert {name: ours[name] for name in ours if name != "paper"} == {
            name: theirs[name] for name in theirs if name != "paper"
        }


def _by_face(assembly: Assembly) -> dict[str, list[TrimEdge]]:
    """The trims of each face; inside, the paper's own end where it stops at the web."""
    found: dict[str, list[TrimEdge]] = {}
    for trim in assembly.trims:
        found.setdefault(trim.face, []).append(trim)
    return found


def test_words_of_one_hand_are_refused_on_the_other() -> None:
    text = (head(measured_hand="right") + FEATURES).replace('x = "aft"', 'x = "to the left"')
    (fault,) = faults(text)
    assert "to the left" in fault
    assert "inboard" in fault
