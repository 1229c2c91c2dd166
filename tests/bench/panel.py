"""A panel of many holes: layout and checks against one plain numpy pass, its cut file against a bare loop."""

from __future__ import annotations

import math
import resource
import time
from collections.abc import Callable
from dataclasses import dataclass
from io import StringIO

import ezdxf
import numpy as np
import shapely

from templgen.drawing import CircleMark, Drawing, Meaning, PageInfo
from templgen.exporters.dxf import dxf_bytes
from templgen.geometry import Vec
from templgen.job import read_job_text
from templgen.layout import lay_out
from templgen.layout.finding import Verdict
from templgen.shapes import ShapeLibrary

__all__ = ["panel_job", "run"]

SIZES = (1_000, 10_000, 100_000)
PITCH = 20.0
HOLE_RADIUS = 1.65  # mm
TOO_NEAR = 5.0  # mm between two 1/8 in rivets: under 3 D = 9.525 mm
SHARE_OF_FAULTS = 0.01

_HEAD = """
title = "panel"
unit = "mm"
hand = "left"
measured_on = "outside"
measured_to = 0.1
drilled_to = { locating = 0.1, rivet = 0.1, screw = 0.1, hole = 0.1, cut = 0.1 }
axes = { origin = "corner", x = "aft", y = "outboard" }
skin = { material = "2024-T3 clad", thickness = 0.8 }
fastener = { r = { kind = "solid rivet", size = "1/8", head = "universal", hole = "#30" } }
"""


def panel_job(holes: int) -> str:
    """Return the text of a job with about `holes` rivets on a grid, 1 % of them with a neighbour too near."""
    side = round(math.sqrt(holes * (1.0 - SHARE_OF_FAULTS)))
    extra = max(holes - side * side, math.ceil(holes * SHARE_OF_FAULTS))
    points = ", ".join(f"[{(i % side) * PITCH + TOO_NEAR}, {(i // side) * PITCH}]" for i in range(extra))
    middle = (side - 1) * PITCH / 2.0
    counts = f"count_x = {side}, count_y = {side}, pitch_x = {PITCH}, pitch_y = {PITCH}"
    grid = f'pattern = {{ shape = "grid", x = {middle}, y = {middle}, {counts} }}'
    return _HEAD + _pattern("grid", grid) + _pattern("extra", f"points = [{points}]")


def _pattern(name: str, places: str) -> str:
    return f'''
[[pattern]]
name = "{name}"
at = {{ x = 0, y = 0 }}
holes = {{ fastener = "r", {places} }}
'''


@dataclass(frozen=True, slots=True)
class Timed:
    """Seconds of processor time of one size, and what was found."""

    holes: int
    read: float
    ours: float
    plain: float
    found: int


def run() -> None:
    """Print, for each size, the time of layout and checks over that of one plain pass over the pairs."""
    rows = [_time(size) for size in SIZES]
    for row in rows:
        print(
            f"{row.holes:7d} holes: layout and checks {row.ours:.2f} s = {row.ours / row.plain:.1f} x a "
            f"numpy pass over the same pairs (at most 10, or 5 s); reading the file {row.read:.2f} s; "
            f"{row.found} findings located"
        )
    dxf = _dxf_ratio(SIZES[-1])
    print(f"growth from 10,000 to 100,000: {rows[2].ours / rows[1].ours:.1f} x (at most 12)")
    print(f"cut file of {SIZES[-1]} holes: {dxf:.2f} x a bare loop of the same library (at most 1.3)")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB (under 1000)")


def _time(size: int) -> Timed:
    from templgen.checks import run_checks

    start = time.process_time()
    job = read_job_text(panel_job(size), "panel.toml")
    read = time.process_time()
    assembly = lay_out(job, ShapeLibrary.standard())
    findings = run_checks(assembly)
    ours = time.process_time()
    points = np.array([(f.at.x, f.at.y) for f in assembly.fasteners])
    started = time.process_time()
    _plain_pass(points)
    plain = time.process_time() - started
    found = sum(f.verdict is Verdict.FAIL and f.place is not None for f in findings)
    return Timed(len(points), read - start, ours - read, plain, found)


def _plain_pass(points: np.ndarray) -> int:
    """Count the pairs nearer than 3 D by the usual library: a tree, one distance for each pair."""
    shapes = shapely.points(points)
    tree = shapely.STRtree(shapes)
    a, b = tree.query(shapes, predicate="dwithin", distance=3 * 3.175)
    apart = np.hypot(*(points[a] - points[b]).T)
    return int(((a < b) & (apart < 3 * 3.175)).sum())


def _dxf_ratio(holes: int) -> float:
    """Our time of writing a cut file over that of the bare library, the least of three turns each."""
    side = math.isqrt(holes)
    places = [Vec((i % side) * PITCH, (i // side) * PITCH) for i in range(holes)]
    marks = tuple(CircleMark(place, HOLE_RADIUS, Meaning.HOLE) for place in places)
    drawing = Drawing(marks, PageInfo("panel", ""))
    turns = [(_seconds(lambda: dxf_bytes(drawing)), _seconds(lambda: _bare_dxf(places))) for _ in range(3)]
    return min(ours for ours, _ in turns) / min(bare for _, bare in turns)


def _bare_dxf(places: list[Vec]) -> str:
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    for place in places:
        space.add_circle((place.x, place.y), HOLE_RADIUS)
    file = StringIO()
    document.write(file)
    return file.getvalue()


def _seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start
