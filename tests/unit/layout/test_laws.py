"""Laws that hold for every job: motions keep distances, numbers are unique, faults come all at once."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from templgen.errors import JobFaults
from templgen.layout import lay_out
from templgen.layout.assembly import Assembly
from templgen.shapes import ShapeLibrary
from tests.unit.layout.jobs import faults, head, laid, mast, read, rib

PLACES = st.tuples(st.integers(-500, 500), st.integers(-500, 500))
FACES, HANDS = st.sampled_from(["outside", "inside"]), st.sampled_from(["left", "right"])


def _distances(assembly: Assembly) -> list[float]:
    places = [each.at for each in assembly.fasteners if each.plane == "skin"]
    return [a.distance_to(b) for a, b in itertools.combinations(places, 2)]


@settings(max_examples=40, deadline=None)
@given(start=PLACES, end=PLACES, angle=st.integers(-180, 180), face=FACES, hand=HANDS, other=HANDS)
def test_hole_distances_do_not_depend_on_face_hand_or_place(
    start: tuple[int, int], end: tuple[int, int], angle: int, face: str, hand: str, other: str
) -> None:
    if (start[0] - end[0]) ** 2 + (start[1] - end[1]) ** 2 < 100:
        return
    standard = laid(head() + rib(end=(200, 0)) + mast(angle))
    moved = laid(head(hand, other, face) + rib(start=start, end=end) + mast(angle))
    assert _distances(moved) == pytest.approx(_distances(standard), abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(sizes=st.lists(st.integers(1, 6), min_size=1, max_size=5))
def test_numbers_run_through_all_features_in_the_order_written(sizes: list[int]) -> None:
    text = head() + rib()
    for index, size in enumerate(sizes):
        points = ", ".join(f"[{10 * k}, 0]" for k in range(size))
        text += (
            f'\n[[pattern]]\nname = "p{index}"\nat = {{ x = 0, y = {20 * index} }}\n'
            f"holes = {{ diameter = 4, points = [{points}] }}\n"
        )
    new = [each for each in laid(text).fasteners if not each.exists]
    assert [each.number for each in new] == list(range(1, sum(sizes) + 1))
    assert [each.feature for each in new] == [f"p{k}" for k, size in enumerate(sizes) for _ in range(size)]


def test_all_faults_come_in_one_run_with_their_places() -> None:
    text = head() + rib().replace("bend_radius = 3", "bend_radius = 30") + mast()
    text += '\n[[hole]]\nname = "a"\nat = { x = 0, y = 0 }\nfastener = "tight"\n'
    text = text.replace(
        "[fastener]",
        '[fastener]\ntight = { kind = "solid rivet", size = "1/8", head = "universal", hole = "#40" }',
    )
    found = faults(text)
    assert len(found) == 2
    assert all(each.startswith("test.toml:") for each in found)
    assert any("no flat flange" in each for each in found)
    assert any("does not go into" in each for each in found)


def test_what_needs_a_refused_thing_makes_no_second_fault() -> None:
    # The rib is refused, so the mast that is placed from it can not be placed; one fault says so.
    text = head() + rib().replace("flange_width = 20", "flange_width = 2") + mast()
    text += '\n[[trim]]\nparts = ["paper", "base plate"]\nlines = [{ structure = "rib", set_back = 1 }]\n'
    assert len(faults(text)) == 1


def test_the_same_job_gives_the_same_assembly() -> None:
    job = read(head() + rib() + mast(17))
    assert lay_out(job, ShapeLibrary.standard()) == lay_out(job, ShapeLibrary.standard())


def test_a_job_error_is_never_a_bare_one() -> None:
    with pytest.raises(JobFaults):
        laid(head() + rib().replace("web_height = 80", "web_height = 2") + mast())
