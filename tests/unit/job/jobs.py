"""A whole mast job in few lines, and a way to break it: what the tests of the reader start from."""

from __future__ import annotations

import pytest

from templgen.errors import JobFaults
from templgen.job import read_job_text

MAST = """\
title = "Mast beside rib 2"
unit = "in"
hand = "left"
measured_on = "outside"
measured_to = "0.3 mm"
drilled_to = { locating = 0.01, rivet = 0.01, screw = 0.01, hole = 0.01, cut = 0.015 }
axes = { origin = "first rivet", x = "aft", y = "outboard" }
skin = { material = "2024-T3 clad", thickness = 0.032 }
[fastener]
plate = { kind = "solid rivet", size = "1/8", head = "universal", hole = "#30", pilot = "#40" }
[[structure]]
name = "rib 2"
kind = "rib"
line_is = "heel"
from = [0, 0]
to = [12, 0]
thickness = 0.032
flange_width = "5/8 in"
flange_side = "right"
bend_radius = "1/8 in"
rivets = [{ fastener = "plate", first = 0.5, pitch = 1.0, count = 11 }]
[[mast]]
name = "mast"
at = { from = "rib 2", along = 6.0, off = 2.6 }
forward = { line = "rib 2", angle = 180 }
section = { shape = "racecourse", length = 2.2, width = 0.7 }
widest = "same"
gap = "1/32 in"
fillet = 0
[mast.flange]
outline = { shape = "rectangle", length = 5.0, width = 3.5, corner_radius = 0.5 }
material = "2024-T3 clad"
thickness = 0.040
side = "inside"
holes = [{ fastener = "plate", points = [[2.1, 0], [0, 1.3], [-2.1, 0], [0, -1.3]], locating = [1, 3] }]
"""


def edited(*changes: tuple[str, str], job: str = MAST) -> str:
    """The job with some text replaced; each must stand in it exactly once."""
    for old, new in changes:
        assert job.count(old) == 1, f"{old!r} stands {job.count(old)} times in the job"
        job = job.replace(old, new)
    return job


def faults_of(text: str, name: str = "job.toml") -> list[str]:
    """The lines of complaint about a job."""
    with pytest.raises(JobFaults) as caught:
        read_job_text(text, name)
    lines = str(caught.value).split("\n")
    assert len(lines) == len(caught.value.faults)
    return lines
