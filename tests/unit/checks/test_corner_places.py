"""Places of sharp corners are told as the builder counts x and y, whatever face was measured."""

from __future__ import annotations

from importlib.resources import files

import pytest

from templgen.checks import run_checks
from templgen.job import read_job_text
from templgen.layout import lay_out
from templgen.shapes import ShapeLibrary

STARTER = files("templgen.job.starters").joinpath("cutout.toml").read_text(encoding="utf-8")
SHARP = STARTER.replace('corner_radius = "1/2 in"', "corner_radius = 0.3")
INSIDE = SHARP.replace('measured_on = "outside"', 'measured_on = "inside"').replace(
    'y = "outboard"', 'y = "inboard"'
)


@pytest.mark.parametrize("text", [SHARP, INSIDE], ids=["outside", "inside"])
def test_four_like_corners_are_one_finding_that_says_where(text: str) -> None:
    assembly = lay_out(read_job_text(text, "job.toml"), ShapeLibrary.standard())
    (found,) = [each for each in run_checks(assembly, ()) if each.rule == "corner-too-sharp"]
    # Middle (8, 4.5), 4 by 3 in; a tip lies 0.3 (1 - cos 45) = 0.088 in inside the sharp corner, both ways.
    assert found.message.startswith("access opening: 4 corners of radius 0.300 in (7.62 mm), at (x, y) = "), (
        found.message
    )
    for x in ("9.912", "6.088"):
        for y in ("5.912", "3.088"):
            assert f"({x}, {y})" in found.message
