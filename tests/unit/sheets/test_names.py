"""Every name on the sheets of one job means one thing, and every target says which rivet it belongs on."""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from templgen.drawing import CircleMark, Drawing, Meaning, PathMark, Text
from templgen.geometry import Bounds, Vec
from templgen.sheets import Sheet
from templgen.sheets.lettering import bounds_of
from templgen.sheets.packet.joints import joints_of
from templgen.sheets.placement import LEADER
from tests.unit.sheets.support import built, circles, judged, texts
from tests.unit.sheets.test_measure_marks import NEAR
from tests.unit.sheets.test_packet import packet

OPENING = files("templgen.job.starters").joinpath("opening.toml").read_text(encoding="utf-8")
TILED = OPENING.replace("length = 100, width = 76", "length = 150, width = 110").replace(
    "off = 120", "off = 150"
)
LONG = NEAR.replace("length = 4.0, width = 3.0", "length = 12.0, width = 3.0")
OTHER_RIB = """[[structure]]
name = "rib 8"
kind = "rib"
line_is = "rivet row"
from = [0.0, 40.0]
to = [16.0, 40.0]
thickness = 0.032
flange_width = "3/4 in"
flange_side = "right"
bend_radius = "1/8 in"
rivets = [{ fastener = "old", first = 0.0, pitch = 4.0, count = 5 }]

[[structure]]"""
SECOND = NEAR.replace("[[structure]]", OTHER_RIB, 1)
PITCH = 1.25 * 25.4


def rivet_names(drawing: Drawing) -> dict[int, Text]:
    """The names of rivets, by number."""
    found = (item for item in drawing.items if isinstance(item, Text))
    return {int(item.text[1:]): item for item in found if re.fullmatch(r"R\d+", item.text)}


def targets(page: Sheet) -> list[Vec]:
    """Where the targets stand on a page."""
    return [each.centre for each in circles(page.drawing, Meaning.EXISTING) if each.name == "target"]


@pytest.mark.parametrize("text", [NEAR, LONG], ids=["one page", "tiles"])
def test_every_target_has_the_name_of_its_rivet(text: str) -> None:
    """Rivets one pitch apart have numbers one apart: named from any of them, all names are right."""
    pages = [page for page in built(text) if targets(page)]
    assert {page.kind for page in pages} == {"template", "rough"}
    seen: set[int] = set()
    for page in pages:
        names = rivet_names(page.drawing)
        places = targets(page)
        nearest = {n: min(places, key=bounds_of(each).centre.distance_to) for n, each in names.items()}
        assert len(names) == len(places) == len(set(nearest.values()))
        first = min(names)
        for number, at in nearest.items():
            assert at.distance_to(nearest[first]) == pytest.approx((number - first) * PITCH)
        seen |= names.keys()
    # the cutout reaches from 6 to 10 in, or from 2 to 14: those rivets stand opposite it at least
    assert seen >= (set(range(6, 10)) if text is NEAR else set(range(3, 13)))


@pytest.mark.parametrize(("text", "first"), [(NEAR, 6), (SECOND, 11)], ids=["only row", "second row"])
def test_the_order_of_work_says_on_which_rivet_a_target_belongs(text: str, first: int) -> None:
    """R6 stands at 5 x 1.25 in; where five rivets of another rib come before, the same rivet is R11."""
    told = " ".join(texts(next(page.drawing for page in built(text) if page.kind == "notes")))
    assert f"R{first} goes on the 6th rivet of rib 9, R{first + 3} on the 9th, counted from its first" in told
    assert "its first, at x = 0.000 in, y = 0.000 in." in told


def test_no_name_means_two_things() -> None:
    """On tiles, for there are targets to join them by as well."""
    _, assembly, _ = judged(TILED)
    pages = [*built(TILED, "letter"), *packet(TILED, "letter")]
    circles_named = {
        item.name for page in pages for item in page.drawing.items if isinstance(item, CircleMark)
    }
    joins = {name.split()[1] for name in circles_named if name.startswith("registration ")}
    kinds = [
        joins,
        {hole.name for plan in assembly.cutting for hole in plan.holes},
        {joint.mark for joint in joints_of(assembly)},
        {each.name for each in assembly.fasteners if each.exists},
        {each.name for each in assembly.fasteners if not each.exists},
        {"A", "B", "C", "D"},
    ]
    assert all(kinds)
    assert len(set.union(*kinds)) == sum(map(len, kinds))
    for page in pages:
        letters = [line for line in texts(page.drawing) if re.fullmatch("[A-Z]", line)]
        assert letters in ([], ["B", "C"]), page.title  # those of the corner crosses


def test_a_nutplate_has_one_label_with_a_leader_to_its_screw() -> None:
    _, assembly, _ = judged(OPENING)
    plates = [plate for each in assembly.openings for plate in each.nutplates]
    found = [page for page in packet(OPENING) if page.title.startswith("Plan of the set")]
    labels = [item for page in found for item in page.drawing.items if isinstance(item, Text)]
    assert sum(item.text.endswith("lugs F2") for item in labels) == len(plates)
    for page in found:
        items = page.drawing.items
        screws = [item for item in items if isinstance(item, CircleMark) and item.meaning is Meaning.HOLE]
        leaders = [item for item in items if isinstance(item, PathMark) and item.name == LEADER]
        for words in (item for item in labels if item in items and item.text.endswith("lugs F2")):
            box: Bounds = bounds_of(words).grown(1.5)
            ends = [leader.contour.segments[0] for leader in leaders]
            own = [line for line in ends if box.contains(line.end) or box.contains(line.start)]
            assert own, words.text
            tips = [line.start if box.contains(line.end) else line.end for line in own]
            assert any(
                abs(tip.distance_to(screw.centre) - screw.radius) < 0.01 for tip in tips for screw in screws
            )


def test_the_steps_of_a_fit_page_speak_of_its_holes_by_their_names() -> None:
    (page,) = (each for each in built() if "-fit-" in each.name)
    words = " ".join(texts(page.drawing))
    names = re.findall(r"(P\d): gap", words)
    steps = words[words.index("Before metal is touched") :]
    assert names == ["P1", "P2", "P3"]
    assert set(re.findall(r"P\d", steps)) == set(names)
    assert not re.search(r"\b[A-C] (is|too|fits|touches|even)\b", steps)
    asked = re.search(r"(P\d): gap [^:]*? per side the gap asked for", words)
    assert asked is not None
    assert f"{asked[1]} is the gap asked for" in steps
