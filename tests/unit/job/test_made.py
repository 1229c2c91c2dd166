"""How well things are made: asked of the kinds of hole and edge that a job has, and of no other."""

from __future__ import annotations

import re

import pytest

from templgen.errors import JobFaults
from templgen.job import Job, read_job_text
from templgen.job.starters import starter
from templgen.layout import lay_out
from templgen.shapes import ShapeLibrary
from tests.unit.sheets.support import DEMO, built, texts

ALL = re.compile(r"drilled_to = \{.*\}")


def said(text: str, **given: float) -> str:
    """A job that says this of how well it is made, and no more; in mm."""
    pairs = ", ".join(f'{key} = "{value} mm"' for key, value in given.items())
    return ALL.sub(f"drilled_to = {{ {pairs} }}", text, count=1)


def faults(text: str) -> list[str]:
    with pytest.raises(JobFaults) as caught:
        read_job_text(text, "test.toml")
    return [str(fault) for fault in caught.value.faults]


def laid_out(text: str) -> Job:
    job = read_job_text(text, "test.toml")
    lay_out(job, ShapeLibrary.standard())
    return job


def test_a_mast_on_rivets_needs_no_word_about_screws() -> None:
    job = laid_out(said(DEMO, locating=0.2, rivet=0.2, hole=0.3, cut=0.3))
    assert job.drilled_to.screw is None
    assert job.drilled_to.given == {"locating": 0.2, "rivet": 0.2, "hole": 0.3, "cut": 0.3}


@pytest.mark.parametrize(
    ("left_out", "words"),
    [
        ("locating", "locating holes"),
        ("rivet", "rivet holes"),
        ("hole", "plain round holes"),
        ("cut", "edges that are cut"),
    ],
)
def test_what_the_job_has_must_be_said(left_out: str, words: str) -> None:
    given = {"locating": 0.2, "rivet": 0.2, "hole": 0.3, "cut": 0.3}
    del given[left_out]
    (fault,) = faults(said(DEMO, **given))
    assert re.match(
        rf"test\.toml:12:\d+: drilled_to says nothing of {left_out}, and the job has {words}", fault
    )
    assert f'{left_out} = "0.3 mm"' in fault
    line = int(re.findall(r"\(line (\d+)\)", fault)[0])
    assert {"locating": "locating", "rivet": "plate", "hole": "bore", "cut": "mast"}[left_out] in DEMO.split(
        "\n"
    )[line - 1]


def test_all_that_is_missing_is_said_at_once() -> None:
    found = faults(said(DEMO, locating=0.2))
    assert [re.findall(r"nothing of (\w+)", fault)[0] for fault in found] == ["cut", "hole", "rivet"]


def test_screws_and_openings_ask_for_screws() -> None:
    text = said(starter("opening"), locating=0.2, rivet=0.2, hole=0.3, cut=0.3)
    assert any("drilled_to says nothing of screw" in fault for fault in faults(text))
    laid_out(said(starter("opening"), locating=0.2, rivet=0.2, screw=0.2, hole=0.3, cut=0.3))


def test_loose_holes_have_no_edges() -> None:
    one = """title = "one hole"
unit = "mm"
hand = "left"
measured_on = "outside"
measured_to = 0.3
drilled_to = { hole = 0.3 }
axes = { origin = "a rivet", x = "aft", y = "outboard" }
skin = { material = "2024-T3 clad", thickness = 0.8 }
hole = [{ name = "drain", at = { x = 10, y = 10 }, diameter = 6 }]
"""
    assert laid_out(one).drilled_to.given == {"hole": 0.3}
    (fault,) = faults(one.replace("hole = 0.3 }", "cut = 0.3 }"))
    assert "nothing of hole, and the job has plain round holes (line 9)" in fault


def test_the_sheets_are_drawn_without_a_word_about_screws() -> None:
    drawn = built(said(DEMO, locating=0.2, rivet=0.2, hole=0.3, cut=0.3))
    assert any("LOCATING" in word for each in drawn for word in texts(each.drawing))
