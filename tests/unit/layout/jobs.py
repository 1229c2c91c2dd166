"""Small jobs for the tests of this floor, in millimetres; all numbers are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from templgen.errors import JobFaults
from templgen.geometry import Vec
from templgen.job import read_job, read_job_text
from templgen.job.model import Job
from templgen.layout import lay_out
from templgen.layout.assembly import Assembly
from templgen.shapes import ShapeLibrary

HEAD = """
title = "test"
unit = "mm"
hand = "{hand}"
{measured_hand}
measured_on = "{measured_on}"
laid_on = "{laid_on}"
measured_to = 0.3
drilled_to = {{ locating = 0.1, rivet = 0.2, screw = 0.25, hole = 0.35, cut = 0.4 }}

[axes]
origin = "corner"
x = "aft"
y = "outboard"

[skin]
material = "2024-T3 clad"
thickness = 0.8

[fastener]
plate = {{ kind = "solid rivet", size = "1/8", head = "universal" }}
old = {{ kind = "solid rivet", size = "3/32", head = "universal", hole = "#40" }}
"""

RIB = """
[[structure]]
name = "rib"
kind = "rib"
line_is = "{line_is}"
from = [{x0}, {y0}]
to = [{x1}, {y1}]
thickness = 1.0
flange_width = 20
flange_side = "{flange_side}"
bend_radius = 3
web_height = 80
rivets = [{{ fastener = "old", first = 20, pitch = 25, count = 5 }}]
"""

MAST = """
[[mast]]
name = "mast"
at = {{ from = "rib", along = 100, off = 60 }}
forward = {{ line = "rib", angle = {angle} }}
section = {{ shape = "mast-rounded", length = 60, width = 20, nose_radius = 7, tail_radius = 2 }}
widest = "same"
gap = 0.8
fillet = 0
bore = {{ diameter = 10, passes = [{{ name = "tube", diameter = 8 }}] }}

[mast.flange]
outline = {{ shape = "rectangle", length = 120, width = 80, corner_radius = 0 }}
material = "2024-T3 clad"
thickness = 1.0
side = "{side}"
holes = [{{ fastener = "plate", points = [[50, 30], [-50, 20], [50, -30]], locating = [1, 3] }}]
"""


def head(
    hand: str = "left", measured_hand: str = "", measured_on: str = "outside", laid_on: str = "outside"
) -> str:
    """The top of a job; `measured_hand` is left out unless given."""
    other = f'measured_hand = "{measured_hand}"' if measured_hand else ""
    return HEAD.format(hand=hand, measured_hand=other, measured_on=measured_on, laid_on=laid_on)


def rib(
    line_is: str = "heel",
    start: tuple[float, float] = (0, 0),
    end: tuple[float, float] = (200, 0),
    flange_side: str = "right",
) -> str:
    """A rib: 1.0 thick, flange 20 wide, bend radius 3."""
    (x0, y0), (x1, y1) = start, end
    return RIB.format(line_is=line_is, x0=x0, y0=y0, x1=x1, y1=y1, flange_side=flange_side)


def mast(angle: float = 0, side: str = "inside") -> str:
    """A mast 100 along and 60 off the rib, on a plate of 120 x 80."""
    return MAST.format(angle=angle, side=side)


def read(text: str) -> Job:
    """The job of a text."""
    return read_job_text(text, "test.toml")


def laid(text: str) -> Assembly:
    """The assembly of a text."""
    return lay_out(read(text), ShapeLibrary.standard())


def demo() -> Assembly:
    """The assembly of the job that ships as the demo."""
    path = Path(__file__).parents[3] / "templgen" / "build" / "jobs" / "mast.toml"
    return lay_out(read_job(path), ShapeLibrary.standard())


def faults(text: str) -> list[str]:
    """The faults of layout, one line each; the job itself must read without a fault."""
    job = read(text)
    with pytest.raises(JobFaults) as caught:
        lay_out(job, ShapeLibrary.standard())
    return [str(fault) for fault in caught.value.faults]


def near(a: Vec, b: Vec, tolerance: float = 1e-9) -> bool:
    """Whether two points are the same but for rounding, mm."""
    return a.distance_to(b) <= tolerance
