"""Steps of whole jobs: their order, their access, what is drilled in them, closings."""

from __future__ import annotations

from templgen.job.model import Job
from templgen.layout import lay_out
from templgen.layout.work.model import Stage, Step
from templgen.layout.work.steps import work_steps
from templgen.layout.work.works import closing_order
from templgen.shapes import ShapeLibrary
from templgen.trade.drills import LARGE_DRILL_MM
from tests.unit.layout.jobs import demo, head, laid, mast, read, rib
from tests.unit.layout.opening_jobs import flush_job, opening_job

FAR_SKIN = """
[[closing]]
name = "far skin on"
closes = "the bay"
{more}
"""
PATTERN = """
[[pattern]]
name = "clip nuts"
at = {{ x = 300, y = 200 }}
holes = {{ fastener = "flush", points = [[0, 0], [30, 0]]{more} }}
"""
FLUSH = 'flush = { kind = "solid rivet", size = "3/32", head = "flush", seat = "dimpled", hole = "#40" }\n'


def job_steps(text: str) -> tuple[Step, ...]:
    job = read(text)
    return work_steps(job, lay_out(job, ShapeLibrary.standard()))


def of(steps: tuple[Step, ...], *stages: Stage) -> list[Step]:
    return [step for step in steps if step.stage in stages]


def stages(steps: tuple[Step, ...]) -> list[Stage]:
    return [step.stage for step in steps]


def mast_steps(more: str = "") -> tuple[Step, ...]:
    return job_steps(head() + rib() + mast() + more)


def test_a_mast_job_in_the_order_of_the_trade() -> None:
    order = stages(mast_steps())
    wanted = [
        *(Stage.PROVE, Stage.TRIAL, Stage.LOOK, Stage.MAKE, Stage.SUPPORT, Stage.TAPE),
        *(Stage.LOCATE, Stage.PILOT, Stage.CUT, Stage.TRY, Stage.MATCH, Stage.FINAL, Stage.CLEAN),
        *(Stage.CLEAR_TABLE, Stage.FASTEN, Stage.SLEEVE, Stage.FLARE, Stage.THREAD),
        *(Stage.LEAK, Stage.LEAK_AGAIN, Stage.RECORD),
    ]
    assert order == wanted


def test_steps_are_numbered_and_have_something_to_tick() -> None:
    steps = mast_steps()
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    assert all(step.title and step.detail and step.ticks for step in steps)


def test_the_skin_is_supported_so_that_the_mast_clears_the_table_before_it_is_riveted() -> None:
    steps = mast_steps()
    (clear,), rivets = of(steps, Stage.CLEAR_TABLE), of(steps, Stage.FASTEN)
    assert "mast clears the table" in clear.title
    assert "measure: ______" in clear.detail
    assert all(clear.number < rivet.number for rivet in rivets)
    measured = job_steps(head() + rib() + mast().replace("fillet = 0", "fillet = 0\nstands_out = 160"))
    assert "higher than 160.00 mm" in of(measured, Stage.CLEAR_TABLE)[0].detail


def test_nut_and_sleeve_go_on_before_the_tube_is_flared() -> None:
    steps = mast_steps()
    (sleeve,), (flare,), (bore,) = (of(steps, stage) for stage in (Stage.SLEEVE, Stage.FLARE, Stage.THREAD))
    assert sleeve.number < flare.number < bore.number
    assert "Nut and sleeve" in sleeve.title
    # SEEN in a handbook copy: "flare of 35 to 37 degrees"; 45 degrees is the automotive tool
    assert "37 degrees" in flare.detail


def test_access_of_fasteners() -> None:
    by_title = {step.title: step.access for step in work_steps(demo_job(), demo())}
    assert by_title["Set 1 to 11 of mast: 11 solid rivets 1/8"] == "both sides"
    assert by_title["Set 14, 15 of rib clip: 2 blind rivets 1/8"] == "inside"
    assert by_title["Make the parts on the bench"] == "bench"


def demo_job() -> Job:
    from pathlib import Path

    from templgen.job import read_job

    return read_job(Path(__file__).parents[3] / "templgen" / "build" / "jobs" / "mast.toml")


def test_every_hole_is_brought_to_its_size_in_every_sheet_that_it_passes() -> None:
    for text in (head() + rib() + mast(), opening_job(), head() + FLUSH + PATTERN.format(more="")):
        job = read(text)
        assembly = lay_out(job, ShapeLibrary.standard())
        drilled: dict[tuple[str, str], float] = {}
        for step in work_steps(job, assembly):
            for drill in step.drills:
                for hole in drill.holes:
                    for part in drill.parts:
                        before = drilled.get((hole, part), 0.0)
                        assert drill.diameter >= before - 1e-6, "never back to a smaller drill"
                        drilled[hole, part] = drill.diameter
        for fastener in assembly.fasteners:
            for face in () if fastener.exists else fastener.stack:
                found = drilled[fastener.name, assembly.faces[face].part]
                assert abs(found - fastener.hole_in(face)) < 1e-6, (fastener.name, face)
        for plan in assembly.cutting:
            for hole in plan.holes:
                assert drilled[hole.name, assembly.faces[plan.faces[0]].part] == hole.diameter


def test_pilot_clamp_match_part_final_deburr_dimple() -> None:
    steps = job_steps(head() + FLUSH + PATTERN.format(more=""))
    order = stages(steps)
    assert order.index(Stage.PILOT) < order.index(Stage.FINAL) < order.index(Stage.DIMPLE)
    (final,), (dimple,) = of(steps, Stage.FINAL), of(steps, Stage.DIMPLE)
    assert "deburr both faces" in final.detail
    assert "each sheet singly" in dimple.detail
    assert "Never drill through nested dimples" in dimple.detail
    assert "clear of bends and webs" in dimple.detail
    assert dimple.drills == ()


def test_undersize_dimple_ream_is_an_option() -> None:
    text = head() + FLUSH + "[dimpling]\nream = true\n" + PATTERN.format(more="")
    steps = job_steps(text)
    pilots, dimple = of(steps, Stage.PILOT)[0], of(steps, Stage.DIMPLE)[0]
    # the next drill down from #40 (0.0980 in) is #41 (0.0960 in)
    assert [(each.drill, each.diameter) for each in pilots.drills] == [("#41", 2.4384)]
    assert [(each.drill, each.remark) for each in dimple.drills] == [("#40", "ream after dimpling, singly")]
    assert "ream each sheet singly" in dimple.detail


def test_no_twist_drill_makes_a_hole_above_a_quarter_inch() -> None:
    # above 1/4 in in thin sheet: step drill or hole saw (common practice, no source)
    text = head() + '[[hole]]\nname = "drain"\nat = { x = 10, y = 10 }\ndiameter = "3/8 in"\n'
    steps = job_steps(text)
    (pilot,) = of(steps, Stage.PILOT)[0].drills
    (final,) = of(steps, Stage.FINAL)[0].drills
    assert (pilot.drill, final.drill) == ("1/8", "step drill 3/8")
    assert "step drill or a hole saw" in of(steps, Stage.FINAL)[0].detail


def test_a_saw_or_a_step_drill_in_the_waste_of_a_ring_has_its_pilot_too() -> None:
    # from a pilot hole, as in the skin (common practice, no source)
    (making,) = of(job_steps(flush_job()), Stage.MAKE)
    large = [each for each in making.drills if each.diameter > LARGE_DRILL_MM]
    pilots = {name for each in making.drills if each.remark.startswith("pilot, ") for name in each.holes}
    assert large
    assert pilots == {name for each in large for name in each.holes}


def test_a_ring_is_fed_in_through_its_hole_only_where_the_inside_is_closed() -> None:
    through = "Turn it through the opening"
    done = FAR_SKIN.format(more="done = true")
    assert through in of(job_steps(opening_job(more=done)), Stage.FEED)[0].detail
    for more in ("", FAR_SKIN.format(more='after = ["hatch"]')):
        told = of(job_steps(opening_job(more=more)), Stage.FEED)[0].detail
        assert through not in told
        assert "from behind" in told


def test_no_step_names_a_drawing_of_the_way_in_that_is_on_no_sheet() -> None:
    for job in (opening_job(), opening_job(more=FAR_SKIN.format(more="done = true"))):
        (fed,) = of(job_steps(job), Stage.FEED)
        assert "sheet shows" not in fed.detail
        assert "checks.txt" in fed.detail


def test_a_bond_is_made_only_where_the_drawings_ask_for_one_bare_and_then_sealed() -> None:
    for text in (opening_job(), head() + rib() + mast()):
        (clean,) = of(job_steps(text), Stage.CLEAN)
        assert "Where the drawings ask for a bond between the parts, and only there" in clean.detail
        assert clean.detail.index("bright metal") < clean.detail.index("seal round it")
        assert all("where the drawings ask" in tick for tick in clean.ticks if "bond" in tick)


def test_nutplates_are_riveted_on_the_bench_before_the_ring_goes_in() -> None:
    steps = job_steps(opening_job())
    order = stages(steps)
    wanted = [
        *(Stage.MATCH, Stage.MATCH, Stage.FINAL, Stage.LUGS, Stage.DIMPLE, Stage.NUTPLATES),
        *(Stage.CLEAN, Stage.FEED, Stage.FASTEN, Stage.COVER),
    ]
    assert [stage for stage in order if stage in wanted] == wanted
    assert not of(steps, Stage.LUGS_CLAMPED)
    assert of(steps, Stage.NUTPLATES)[0].access == "bench"
    assert of(steps, Stage.COVER)[0].access == "outside only"
    placed = job_steps(opening_job(more='nutplates = { riveted = "in place" }\n'))
    assert of(placed, Stage.NUTPLATES_IN_PLACE)[0].access == "both sides"
    assert not of(placed, Stage.NUTPLATES)
    after = [Stage.CLEAN, Stage.FEED, Stage.NUTPLATES_IN_PLACE, Stage.FASTEN]
    assert [stage for stage in stages(placed) if stage in after] == after


def test_panels_opened_at_every_flight_get_no_self_locking_nuts() -> None:
    # AC 43.13-1B, para 7-64d
    steps = job_steps(opening_job(more='opened = "every flight"\n'))
    assert "no self-locking nuts" in of(steps, Stage.NUTPLATES)[0].detail


def lost(text: str) -> list[str]:
    return [each.work.words for each in closing_order(laid(text)).lost]


def test_a_solid_rivet_is_lost_once_the_far_skin_is_on() -> None:
    assert lost(opening_job() + FAR_SKIN.format(more="")) == []
    done = lost(opening_job() + FAR_SKIN.format(more="done = true"))
    assert len(done) == 1
    assert "solid rivets" in done[0]
    assert "hatch" in done[0]
    before = lost(head() + rib() + mast() + FAR_SKIN.format(more='before = ["mast"]'))
    assert any("solid rivets" in words for words in before)


def test_a_blind_rivet_or_a_hand_through_the_opening_cures_it() -> None:
    closed = FAR_SKIN.format(more="done = true")
    assert lost(opening_job(more='rivets = { fastener = "pull" }\n') + closed) == []
    assert lost(opening_job(more='rivets = { access = "hand through hatch" }\n') + closed) == []


DONE = FAR_SKIN.format(more="done = true")
PULLED = """
[fastener.pull]
kind = "blind rivet"
size = "1/8"
head = "protruding"
hole = "#30"
pilot = "#40"
head_diameter = 6.4
grip_min = 0.5
grip_max = 3.2
unset_length = 8
"""


def blind_mast(side: str) -> str:
    """A mast on blind rivets, set from outside whatever side its plate lies on."""
    plate = mast(side=side).replace('fastener = "plate"', 'fastener = "pull"')
    return head() + PULLED + rib() + plate


def test_a_plate_inside_can_not_get_there_once_the_inside_is_closed_blind_rivets_or_not() -> None:
    # common practice, no source: a plate is held, clamped and deburred by a hand behind the skin
    words = " ".join(lost(blind_mast("inside") + DONE))
    for each in ("matched holes", "final size", "faying surfaces", "blind rivets"):
        assert each in words
    assert lost(blind_mast("inside") + FAR_SKIN.format(more="")) == []
    by_stage = {step.stage: step.access for step in job_steps(blind_mast("inside"))}
    for stage in (Stage.MATCH, Stage.FINAL, Stage.FASTEN, Stage.SUPPORT, Stage.TAPE, Stage.CUT):
        assert by_stage[stage] == "both sides", stage


def test_a_plate_outside_on_blind_rivets_stays_possible_and_nothing_asks_for_the_inside() -> None:
    assert lost(blind_mast("outside") + DONE) == []
    steps = job_steps(blind_mast("outside") + DONE)
    assert {step.access for step in steps} <= {"", "bench", "outside only"}
    words = " ".join(f"{step.detail} {' '.join(step.ticks)}" for step in steps)
    for asked in ("clamp wood", "wood behind the cut", "both faces round", "both faces of every sheet"):
        assert asked not in words
    for said in ("no wood goes behind", "Tape the outer face", "hooked tool through the cut", "borescope"):
        assert said in words
    drills = " ".join(drill.remark for step in steps for drill in step.drills)
    assert "wood behind" not in drills


def test_a_plate_goes_in_by_hand_through_an_opening_that_every_hole_names() -> None:
    by_hand = mast().replace('fastener = "plate"', 'fastener = "pull", access = "hand through hatch"')
    hatch = opening_job(more='rivets = { fastener = "pull" }\n') + rib() + by_hand
    assert lost(hatch + DONE) == []
    (match,) = [step for step in of(job_steps(hatch + DONE), Stage.MATCH) if step.feature == "mast"]
    assert match.access == "outside, hand through hatch"


def test_no_step_speaks_of_locating_holes_that_the_skin_does_not_have() -> None:
    # under a flush cover the screws pass no skin: its template is laid, and pinned on pilots
    flush = flush_job()
    steps = job_steps(flush)
    assert Stage.LOCATE not in stages(steps)
    (pilot,), (cut,), (match, cover) = (of(steps, stage) for stage in (Stage.PILOT, Stage.CUT, Stage.MATCH))
    assert pilot.detail.startswith("Lay the template on the outside of the skin as its sheet says")
    assert pilot.ticks[0] == "template laid as its sheet says, hand and face read"
    assert "Lay the rough template by the holes or marks that its sheet names" in cut.detail
    shows = f"{laid(flush).openings[0].ledge:.2f} mm"
    assert f"so that {shows}" in match.detail
    assert "of it shows on all sides, the line of its sheet at the edge of the hole" in match.detail
    assert match.ticks[0].startswith(f"ring shows {shows}")
    assert (
        "in the hole, its gap even all round: strips 0.40 mm (0.016 in) thick in it, two on each"
        in cover.detail
    )
    assert cover.ticks[0] == "gap of the cover 0.40 mm (0.016 in) all round, strips in it, clamped"
    for step in (pilot, cut, match, cover):
        assert "locating" not in f"{step.title} {step.detail} {step.ticks}"
        assert "pinned" not in f"{step.title} {step.detail} {step.ticks}"
    assert "locating" in of(job_steps(opening_job()), Stage.CUT)[0].detail


def test_a_wire_after_the_closing_is_lost_unless_a_hand_reaches_it_through_the_opening() -> None:
    task = '[[task]]\nname = "connect the wire"\naccess = "{access}"\nafter = ["far skin on"]\n'
    closed = opening_job(more='rivets = { fastener = "pull" }\n') + FAR_SKIN.format(more="")
    assert lost(closed + task.format(access="both sides")) == ['"connect the wire"']
    assert lost(closed + task.format(access="hand through hatch")) == []


def test_a_task_through_the_opening_stands_between_cut_and_cover() -> None:
    task = '[[task]]\nname = "plug"\naccess = "hand through hatch"\n'
    steps = job_steps(opening_job() + task)
    order = stages(steps)
    assert order.index(Stage.CUT) < order.index(Stage.TASK) < order.index(Stage.COVER)


def test_the_closing_stands_behind_all_that_needs_the_inside_and_the_leak_check_before_it() -> None:
    steps = mast_steps(FAR_SKIN.format(more=""))
    (close,) = of(steps, Stage.CLOSE)
    assert all(step.number < close.number for step in steps if step.access in ("both sides", "inside"))
    assert of(steps, Stage.LEAK)[0].number < close.number < of(steps, Stage.LEAK_AGAIN)[0].number


def test_tasks_that_wait_for_each_other_are_told() -> None:
    tasks = '[[task]]\nname = "a"\naccess = "outside only"\nafter = ["b"]\n'
    tasks += '[[task]]\nname = "b"\naccess = "outside only"\nafter = ["a"]\n'
    rings = closing_order(laid(head() + rib() + mast() + tasks)).rings
    assert [[work.words for work in ring.works] for ring in rings] == [['"b"', '"a"', '"b"']]


def test_marks_from_the_inside_need_the_inside() -> None:
    steps = job_steps(head(laid_on="inside") + rib() + mast())
    assert {step.access for step in of(steps, Stage.LOCATE, Stage.PILOT, Stage.CUT)} == {"inside"}


def test_plain_patterns_have_their_steps_too() -> None:
    steps = job_steps(head() + FLUSH + PATTERN.format(more=", locating = [1, 2]"))
    assert Stage.LOCATE in stages(steps)
    assert Stage.FASTEN in stages(steps)
    assert Stage.CUT not in stages(steps)
