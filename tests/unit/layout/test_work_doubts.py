"""What the checks leave open stops the work before metal is cut, and is named in the step that it touches."""

from __future__ import annotations

import pytest

from templgen.checks import run_checks
from templgen.layout import lay_out
from templgen.layout.work.model import Stage, Step
from templgen.layout.work.steps import work_steps
from templgen.shapes import ShapeLibrary
from templgen.sheets.notes import Paragraph
from templgen.sheets.packet.decisions import decision_blocks
from templgen.sheets.remarks import doubts_of, open_remarks, remarks_of
from tests.unit.layout.jobs import read
from tests.unit.layout.opening_jobs import opening_job

CLOSED = '\n[[closing]]\nname = "far skin on"\ncloses = "the bay"\ndone = true\n'
PULLED = 'rivets = { fastener = "pull" }\n'
BARE = (
    PULLED + 'nutplates = { riveted = "in place" }\nroom = { depth = 40, area = [[205, 120], [395, 280]] }\n'
)
NO_WAY_IN = opening_job(more=BARE + 'ring = { made = "split" }\n' + CLOSED)
NO_ROOM_TOLD = opening_job(more=PULLED + 'ring = { made = "halves" }\n' + CLOSED)
TWO_HANDS = opening_job(more='hand = { needs = ["two hands"] }\n')


def told(text: str) -> tuple[tuple[Step, ...], dict[str, int]]:
    """The steps of a job as the packet has them, and the numbers of its open findings by rule."""
    job = read(text)
    assembly = lay_out(job, ShapeLibrary.standard())
    remarks = remarks_of(run_checks(assembly, job.accept))
    numbers = {each.finding.rule: each.number for each in open_remarks(remarks)}
    return work_steps(job, assembly, doubts_of(remarks)), numbers


def of(steps: tuple[Step, ...], stage: Stage) -> list[Step]:
    return [step for step in steps if step.stage is stage]


@pytest.mark.parametrize("text", [NO_WAY_IN, NO_ROOM_TOLD])
def test_a_ring_without_a_known_way_in_stops_the_work_before_any_metal_is_cut(text: str) -> None:
    steps, numbers = told(text)
    number = numbers["ring-can-not-be-fed-in"]
    (stop,) = of(steps, Stage.STOP)
    assert any(f"finding {number} settled" in tick for tick in stop.ticks)
    metal = [step for step in steps if step.drills or step.stage in (Stage.MAKE, Stage.CUT)]
    assert metal
    assert all(stop.number < step.number for step in metal)
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))


def test_the_step_that_feeds_it_in_says_that_no_way_was_found_and_tells_none() -> None:
    steps, numbers = told(NO_WAY_IN)
    (feed,) = of(steps, Stage.FEED)
    assert f"Finding {numbers['ring-can-not-be-fed-in']} stands: no way in was found" in feed.detail
    assert "Wind it in" not in feed.detail
    job = read(NO_WAY_IN)
    blocks = decision_blocks(job, lay_out(job, ShapeLibrary.standard()))
    assert not any("wound in" in each.text for each in blocks if isinstance(each, Paragraph))


def test_a_hand_that_does_not_go_in_stops_the_work_too() -> None:
    steps, numbers = told(TWO_HANDS)
    (stop,) = of(steps, Stage.STOP)
    assert f"Finding {numbers['hand-does-not-go-in']}:" in stop.detail
    assert "your own hand" in stop.detail


def test_nothing_stops_a_job_without_such_findings() -> None:
    steps, numbers = told(opening_job())
    assert not {"hand-does-not-go-in", "lead-too-short", "box-can-not-come-out"} & numbers.keys()
    assert ("ring-can-not-be-fed-in" in numbers) == bool(of(steps, Stage.STOP))
