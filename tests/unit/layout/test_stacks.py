"""Order of the faces, stacks of the holes, what a cutout passes."""

from __future__ import annotations

import pytest

from tests.unit.layout.jobs import faults, head, laid, mast, rib

PART = """
[[part]]
name = "{name}"
at = {{ x = 100, y = {y} }}
outline = {{ shape = "rectangle", length = 100, width = 60, corner_radius = 4 }}
material = "2024-T3 clad"
thickness = 1.6
side = "{side}"
holes = [{{ fastener = "plate", points = [[40, 20]]{through} }}]
"""


def _part(name: str, side: str = "inside", through: str = "", y: float = 60) -> str:
    listed = f", through = [{through}]" if through else ""
    return PART.format(name=name, side=side, through=listed, y=y)


def test_plates_then_flanges_then_bracket_legs() -> None:
    assembly = laid(head() + rib() + mast() + _part("doubler") + _part("fairing", "outside"))
    orders = {
        name: assembly.faces[name].order
        for name in ("fairing", "skin", "base plate", "doubler", "rib flange")
    }
    assert orders == {"fairing": -1, "skin": 0, "base plate": 1, "doubler": 2, "rib flange": 3}


def test_a_list_puts_the_doubler_under_the_plate() -> None:
    parts = _part("doubler", through='"skin", "doubler", "base plate"')
    assembly = laid(head() + rib() + mast() + parts)
    assert assembly.faces["doubler"].order == 1
    assert assembly.faces["base plate"].order == 2
    (hole,) = [each for each in assembly.fasteners if each.feature == "doubler"]
    assert hole.stack == ("skin", "doubler", "base plate")


def test_lists_that_contradict_are_refused() -> None:
    parts = _part("a", through='"skin", "a", "b"') + _part("b", through='"skin", "b", "a"')
    assert any("contradict" in fault for fault in faults(head() + rib() + mast() + parts))


def test_a_part_outside_can_not_stand_behind_the_skin() -> None:
    parts = _part("fairing", "outside", through='"skin", "fairing"')
    (fault,) = faults(head() + rib() + mast() + parts)
    assert "order that can not be" in fault
    assert "outside first: fairing, skin" in fault


def test_default_stack_of_a_part_outside_begins_with_it() -> None:
    assembly = laid(head() + rib() + mast() + _part("fairing", "outside"))
    (hole,) = [each for each in assembly.fasteners if each.feature == "fairing"]
    assert hole.stack == ("fairing", "skin")


def test_a_part_without_a_face_in_the_plane_is_refused() -> None:
    bare = "\n".join(
        line for line in rib().splitlines() if not line.startswith(("flange_", "bend_", "rivets"))
    )
    text = head() + bare + "\nflange = false\n" + _part("doubler", through='"skin", "doubler", "rib"')
    (fault,) = faults(text)
    assert '"rib" has no face in the plane of skin' in fault


@pytest.mark.parametrize(
    ("side", "part_side", "passed"),
    [
        ("inside", "inside", ("skin",)),
        ("inside", "outside", ("doubler", "skin")),
        ("outside", "inside", ("skin", "doubler")),
        ("outside", "outside", ("skin",)),
    ],
)
def test_the_mast_passes_what_lies_on_its_way(side: str, part_side: str, passed: tuple[str, ...]) -> None:
    # The plate comes first in the file, so a doubler on its side lies on it, out of the mast's way.
    assembly = laid(head() + rib() + mast(side=side) + _part("doubler", part_side))
    assert assembly.cutouts[0].faces == passed
    assert assembly.cutouts[1].faces == ("base plate",)


def test_the_mast_passes_a_doubler_between_skin_and_plate() -> None:
    parts = _part("doubler", through='"skin", "doubler", "base plate"')
    assert laid(head() + rib() + mast() + parts).cutouts[0].faces == ("skin", "doubler")


def test_a_part_beside_the_cutout_is_not_cut() -> None:
    assembly = laid(head() + rib() + mast() + _part("patch", "outside", y=300))
    assert assembly.cutouts[0].faces == ("skin",)


def test_a_cutout_names_only_what_it_touches() -> None:
    cutout = '\n[[cutout]]\nname = "lamp"\nat = { x = 100, y = 60 }\npurpose = "access"\n'
    cutout += 'through = ["doubler", "skin"]\noutline = { shape = "circle", diameter = 30 }\n'
    text = head() + rib() + _part("doubler") + cutout
    assert laid(text).cutouts[0].faces == ("skin", "doubler")
    far = text.replace("at = { x = 100, y = 60 }\npurpose", "at = { x = 300, y = 60 }\npurpose")
    (fault,) = faults(far)
    assert '"lamp" does not touch "doubler"' in fault
