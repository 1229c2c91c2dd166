"""Properties of the order of work: where each hole is drilled, when, through what, and who reaches it.

What they ask is common practice, no source, but where a test names one.
"""

from __future__ import annotations

from itertools import product

import pytest

from templgen.layout import lay_out
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.work.model import Stage, Step
from templgen.layout.work.sources import Sources, part_of_source
from templgen.layout.work.steps import work_steps
from templgen.shapes import ShapeLibrary
from tests.unit.layout.jobs import head, mast, read, rib
from tests.unit.layout.opening_jobs import opening_job

LYING, FLUSH = '{ kind = "lying" }', '{ kind = "flush", gap = 0.4 }'
CLOSED = '\n[[closing]]\nname = "far skin"\ncloses = "the bay"\ntakes = "inside"\n{more}\n'
LUGS = """
[fastener.sunk]
kind = "screw"
size = "#8"
head = "flush"
seat = "{seat}"

[fastener.lug]
kind = "blind rivet"
size = "3/32"
head = "{head}"
{lug_seat}
hole = "#40"
head_diameter = 4.8
head_height = 0.8
grip_min = 0.5
grip_max = 4.0
unset_length = 7

[nutplate.float]
standard = "MS21059"
screw = "#8"
rivet_spacing = 25.4
free_play = 0.8
"""

PLATE = """
[[part]]
name = "plate"
at = { x = 100, y = 100 }
outline = { shape = "rectangle", length = 100, width = 60, corner_radius = 4 }
material = "2024-T3 clad"
thickness = 1.6
side = "outside"
holes = [{ fastener = "plate", points = [[40, 20], [-40, 20], [0, 20]] }]
"""
"""A plate on the outside without locating holes: two of its holes pin the template on the skin."""


FLAT = """[fastener.flat]
kind = "solid rivet"
size = "3/32"
head = "flush"
seat = "countersunk"
hole = "#40"

[fastener.lug]"""


def variant(
    riveted: str,
    made: str,
    cover: str,
    seat: str,
    *,
    screw: str = "screw",
    nut: str = "",
    end: str = "",
    top: str = "",
) -> str:
    """A job with one opening; `seat` is that of the lug rivets, "plain" for protruding ones."""
    plain = seat == "plain"
    before = LUGS.format(
        seat="dimpled" if seat == "dimpled" else "countersunk",
        head="protruding" if plain else "flush",
        lug_seat="" if plain else f'seat = "{seat}"',
    )
    kind = f', kind = "{nut}"' if nut else ""
    keys = f'nutplates = {{ riveted = "{riveted}", rivet = "lug"{kind} }}\n'
    keys += f'ring = {{ made = "{made}" }}\nrivets = {{ fastener = "pull" }}\n'
    keys += 'outline_is = "clear hole"\n' if cover == FLUSH else ""
    screws = f'{{ fastener = "{screw}", count = 8 }}'
    return opening_job(cover=cover, screws=screws, before=before, more=keys, top=top) + end


WAYS = list(
    product(
        ("bench", "in place"),
        ("whole", "split", "halves"),
        (LYING, FLUSH),
        ("dimpled", "countersunk", "plain"),
    )
)


def told(text: str) -> tuple[Assembly, tuple[Step, ...]]:
    job = read(text)
    assembly = lay_out(job, ShapeLibrary.standard())
    return assembly, work_steps(job, assembly)


def number_of(steps: tuple[Step, ...], *stages: Stage) -> list[int]:
    return [step.number for step in steps if step.stage in stages]


def drilled(assembly: Assembly) -> list[Fastener]:
    return [each for each in assembly.fasteners if not each.exists]


def texts() -> list[str]:
    ways = [variant(*way) for way in WAYS]
    ways += [
        variant("in place", "halves", LYING, "dimpled", end=CLOSED.format(more="done = true")),
        variant("in place", "whole", LYING, "countersunk", screw="sunk"),
        variant("bench", "whole", FLUSH, "dimpled", screw="sunk"),
        variant("in place", "whole", LYING, "plain", nut="float"),
        variant("bench", "halves", LYING, "plain", nut="float"),
        variant("bench", "whole", LYING, "plain").replace("screws = {", 'screws = { made_from = "paper",'),
        head() + rib() + mast(side="inside"),
        head() + rib() + mast(side="outside"),
        head() + PLATE,
        head(laid_on="inside") + rib() + mast(side="inside"),
    ]
    return ways


@pytest.fixture(scope="module")
def jobs() -> list[tuple[Assembly, tuple[Step, ...]]]:
    return [told(text) for text in texts()]


Jobs = list[tuple[Assembly, tuple[Step, ...]]]


def test_every_hole_is_first_drilled_where_the_schedule_says_it_is_made_from(jobs: Jobs) -> None:
    for assembly, steps in jobs:
        sources, first = Sources(assembly), {}
        for step in steps:
            for each in step.drills:
                for hole, part in product(each.holes, each.parts):
                    first.setdefault((hole, part), each.remark)
        for fastener in drilled(assembly):
            for face in fastener.stack:
                source, remark = sources.of(fastener, face), first[fastener.name, assembly.faces[face].part]
                if source == "paper":
                    assert remark.startswith("centre from the "), (fastener.name, face)
                elif fastener.is_from_nutplate:
                    assert remark == "through the nutplate"
                else:
                    assert remark == f"clamped, {source}"


def test_what_guides_the_drill_has_the_hole_before_and_can_be_seen_from_where_the_drill_comes(
    jobs: Jobs,
) -> None:
    for assembly, steps in jobs:
        have: set[tuple[str, str]] = set()
        named = {each.name: each for each in drilled(assembly)}
        for step in steps:
            for each in step.drills:
                guide = part_of_source(each.remark.removeprefix("clamped, "))
                for hole in each.holes if step.stage is Stage.MATCH else ():
                    assert (hole, guide) in have, "the guide is drilled first"
                    stack = [assembly.faces[face].part for face in named[hole].stack]
                    seen = [part for part in stack if part in (guide, *each.parts)]
                    assert seen[0] == guide, "nothing lies on the guide where the drill comes from"
                    assert "outside" in step.access or step.access == "both sides"
                have.update(product(each.holes, each.parts))


def test_a_cover_lies_on_the_skin_only_where_no_hand_goes_in(jobs: Jobs) -> None:
    for assembly, steps in jobs:
        covers = {assembly.faces[each.cover_face].part for each in assembly.openings}
        for step in steps:
            if step.stage is Stage.MATCH and covers & set(step.parts):
                assert step.access == "outside only"


def test_every_lug_hole_is_drilled_with_its_stack_together_before_its_nutplate_is_riveted(jobs: Jobs) -> None:
    for assembly, steps in jobs:
        for opening in assembly.openings:
            lugs = {name for plate in opening.nutplates for name in plate.rivets}
            lying = "skin" in next(each for each in drilled(assembly) if each.name in lugs).stack
            (final,), (feed,) = number_of(steps, Stage.FINAL), number_of(steps, Stage.FEED)
            (own,) = number_of(steps, Stage.LUGS_CLAMPED if lying else Stage.LUGS)
            rivets = number_of(steps, Stage.NUTPLATES, Stage.NUTPLATES_IN_PLACE)
            made = {h for s in steps if s.number == own for d in s.drills for h in d.holes}
            assert lugs <= made
            assert own < min(rivets)
            if lying:
                assert max(number_of(steps, Stage.MATCH)) < own < final < feed < min(rivets)
            else:
                assert final < own < feed, "on the bench, the ring alone"
            assert (min(rivets) > feed) == (opening.nutplates_riveted == "in place")


def test_a_screw_passes_ring_and_skin_before_it_holds_its_nutplate(jobs: Jobs) -> None:
    reamed = head().replace("[fastener]\n", "[dimpling]\nream = true\n\n[fastener]\n")
    sunk = variant("in place", "whole", LYING, "dimpled", screw="sunk", top=reamed)
    for assembly, steps in [*jobs, told(sunk)]:
        named = {each.name: each for each in drilled(assembly)}
        size: dict[tuple[str, str], float] = {}
        for step in steps:
            for each in step.drills:
                if each.remark == "through the nutplate":
                    for hole in each.holes:
                        lug = named[hole]
                        screw = next(
                            f for f in named.values() if f.nutplate == lug.nutplate and f.spec.kind == "screw"
                        )
                        for face in lug.stack:
                            assert size[screw.name, assembly.faces[face].part] >= screw.spec.diameter
                size.update(dict.fromkeys(product(each.holes, each.parts), each.diameter))


@pytest.mark.parametrize(("hole", "is_reamed"), [("#15", True), ("#19", False)])
def test_only_holes_that_were_drilled_undersize_are_said_to_be(hole: str, is_reamed: bool) -> None:
    """#8 is 0.164 in: below #15 (0.180 in) a drill lets it through, below #19 (0.166 in) none does."""
    top = head().replace("[fastener]\n", "[dimpling]\nream = true\n\n[fastener]\n")
    text = variant("bench", "whole", LYING, "dimpled", screw="sunk", top=top)
    _, steps = told(
        text.replace('size = "#8"\nhead = "flush"', f'size = "#8"\nhole = "{hole}"\nhead = "flush"')
    )
    (dimpling,) = (step for step in steps if step.stage is Stage.DIMPLE and "1" in step.holes)
    reamed = {mark for each in dimpling.drills for mark in each.holes}
    assert ("1" in reamed) == is_reamed
    assert ("1 to 8 have their final size already" in dimpling.detail) != is_reamed
    assert ("drilled undersize: ream" in dimpling.detail) == bool(reamed)


def test_sheets_are_dimpled_apart_with_their_holes_at_size_and_nothing_is_drilled_through_a_dimple(
    jobs: Jobs,
) -> None:
    for assembly, steps in jobs:
        seats = {each.name for each in drilled(assembly) if each.spec.seat}
        done: set[str] = set()
        for step in steps:
            if step.stage is Stage.DIMPLE:
                done |= set(step.holes)
                assert number_of(steps, Stage.FINAL)[0] < step.number
            for each in step.drills:
                assert not (done & set(each.holes)), "a hole is at its size before it is dimpled"
        assert done == seats
        parted = number_of(steps, Stage.FINAL)[0]
        together = number_of(steps, Stage.MATCH, Stage.LUGS_CLAMPED)
        assert all(number < parted for number in together), "taken apart after all that is clamped"


def test_a_countersink_is_told_for_the_sheet_under_the_head_alone_and_made_where_that_lies() -> None:
    _, steps = told(variant("bench", "whole", FLUSH, "countersunk", screw="sunk"))
    (seats,) = [step for step in steps if step.stage is Stage.DIMPLE]
    assert (
        "1 to 8 in hatch cover (outer face), 9 to 24 in hatch ring (outer face, towards the skin)."
        in seats.detail
    )
    assert (seats.parts, seats.access) == (("hatch cover", "hatch ring"), "bench")
    _, steps = told(variant("in place", "whole", LYING, "countersunk"))
    (seats,) = [step for step in steps if step.stage is Stage.DIMPLE]
    assert "9 to 24 in skin (outer face)." in seats.detail
    assert (seats.parts, seats.access) == (("skin",), "both sides")


def test_dimples_and_countersinks_of_one_step_are_told_by_their_holes() -> None:
    text = variant("bench", "whole", LYING, "dimpled", screw="sunk")
    text = text.replace('rivet = "lug"', 'rivet = "flat"').replace("[fastener.lug]", FLAT)
    _, steps = told(text)
    (seats,) = [step for step in steps if step.stage is Stage.DIMPLE]
    assert seats.title.startswith("Dimple and countersink 1 to 24 ")
    assert "Dimple 1 to 8: each sheet singly" in seats.detail
    assert "9 to 24 in hatch ring (outer face, towards the skin)." in seats.detail


def test_a_ring_goes_in_for_good_after_all_that_needs_it_apart(jobs: Jobs) -> None:
    apart = (Stage.FINAL, Stage.LUGS, Stage.LUGS_CLAMPED, Stage.DIMPLE, Stage.NUTPLATES, Stage.CLEAN)
    for assembly, steps in jobs:
        if assembly.openings:
            (feed,) = number_of(steps, Stage.FEED)
            assert max(number_of(steps, *apart)) < feed
            assert feed < min(number_of(steps, Stage.FASTEN))


def test_a_ring_is_reached_from_behind_while_the_inside_is_open_and_by_hand_afterwards() -> None:
    stages = (Stage.MATCH, Stage.LUGS_CLAMPED, Stage.FINAL, Stage.CLEAN, Stage.FEED, Stage.NUTPLATES_IN_PLACE)
    for more, access in (
        ("", "both sides"),
        (CLOSED.format(more=""), "both sides"),
        (CLOSED.format(more="done = true"), "outside, hand through hatch"),
        (CLOSED.format(more='before = ["hatch"]'), "outside, hand through hatch"),
    ):
        _, steps = told(variant("in place", "halves", LYING, "plain", end=more))
        found = {step.stage: step.access for step in reversed(steps) if step.stage in stages}
        assert found == dict.fromkeys(stages, access)
        closing = number_of(steps, Stage.CLOSE)
        assert not closing or (max(number_of(steps, *stages)) < closing[0]) == (access == "both sides")


def test_an_access_that_the_job_names_is_told_as_it_says() -> None:
    keys = 'rivets = { fastener = "pull", access = "hand through hatch" }\n'
    _, steps = told(opening_job(more=keys))
    (first,) = [step for step in steps if step.stage is Stage.FASTEN]
    assert first.access == "outside, hand through hatch"


def test_skin_ring_and_cover_are_cleaned() -> None:
    for made, rings in (("whole", ["hatch ring"]), ("halves", ["hatch ring 1", "hatch ring 2"])):
        for cover in (LYING, FLUSH):
            _, steps = told(variant("bench", made, cover, "plain"))
            (clean,) = [step for step in steps if step.stage is Stage.CLEAN]
            assert clean.parts == ("skin", *rings, "hatch cover")


def test_nutplates_of_a_flush_cover_that_are_riveted_in_place_are_told_so() -> None:
    _, steps = told(variant("in place", "whole", FLUSH, "countersunk"))
    (rivet,) = [step for step in steps if step.stage is Stage.NUTPLATES_IN_PLACE]
    assert "to the ring, not to the skin" in rivet.detail
    assert not number_of(steps, Stage.NUTPLATES)


def test_a_task_after_an_opening_comes_before_its_plugs_are_connected() -> None:
    from pathlib import Path

    from templgen.job import read_job

    job = read_job(Path(__file__).parents[3] / "templgen" / "build" / "jobs" / "opening.toml")
    steps = work_steps(job, lay_out(job, ShapeLibrary.standard()))
    (connect,) = number_of(steps, Stage.CONNECT)
    assert max(number_of(steps, Stage.TASK)) < connect < number_of(steps, Stage.COVER)[0]


@pytest.mark.parametrize("riveted", ["bench", "in place"])
@pytest.mark.parametrize(("nut", "is_told"), [("float", True), ("", False)])
def test_a_floating_nut_is_centred_before_its_lug_holes(riveted: str, nut: str, is_told: bool) -> None:
    _, steps = told(variant(riveted, "whole", LYING, "plain", nut=nut))
    (lugs,) = (step for step in steps if step.stage in (Stage.LUGS, Stage.LUGS_CLAMPED))
    assert ("in the middle of its play" in lugs.detail) == is_told
