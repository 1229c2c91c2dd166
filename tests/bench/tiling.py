"""How long a template on 20 tiles takes: tiling and writing, against bare writing of the same pages."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

from templgen.checks import run_checks
from templgen.drawing.font import font_path
from templgen.exporters.pdf import pdf_bytes
from templgen.exporters.svg import svg_bytes
from templgen.job import read_job_text
from templgen.layout import lay_out
from templgen.shapes import ShapeLibrary
from templgen.sheets import Sheet, build_sheets
from templgen.trade.paper import find_paper
from tests.bench.bare_build import paper as bare_paper
from tests.bench.build import plain

__all__ = ["fence_job", "run"]

MOST = 1.5
ROUNDS = 5
WIDE, HIGH = 560.0, 480.0  # mm
PITCH = 40.0


def fence_job() -> str:
    """Return the text of a job whose one template, a field of rivets, takes 20 pages of Letter."""
    columns, rows = int(WIDE / PITCH) + 1, int(HIGH / PITCH) + 1
    points = ", ".join(f"[{x * PITCH}, {y * PITCH}]" for x in range(columns) for y in range(rows))
    return f"""title = "Field of rivets"
unit = "mm"
hand = "left"
measured_on = "outside"
measured_to = 0.1
drilled_to = {{ locating = 0.1, rivet = 0.1, screw = 0.1, hole = 0.1, cut = 0.1 }}
axes = {{ origin = "corner", x = "aft", y = "outboard" }}
skin = {{ material = "2024-T3 clad", thickness = 0.8 }}
fastener = {{ r = {{ kind = "solid rivet", size = "1/8", head = "universal", hole = "#30" }} }}

[[pattern]]
name = "field"
at = {{ x = 0, y = 0 }}
holes = {{ fastener = "r", points = [{points}] }}
"""


def run() -> None:
    """Print the ratio of tiling and writing to bare writing of the same pages, in one process, in turns."""
    job = read_job_text(fence_job(), "fence.toml")
    assembly = lay_out(job, ShapeLibrary.standard())
    findings = run_checks(assembly)

    def sheets() -> tuple[Sheet, ...]:
        return build_sheets(job, assembly, findings, find_paper("letter"))

    def ours() -> None:
        drawings = [sheet.drawing for sheet in sheets()]
        for drawing in drawings:
            svg_bytes(drawing)
        pdf_bytes(drawings)

    made = sheets()
    pages = [plain(sheet.drawing) for sheet in made]
    fonts = {bold: str(font_path(bold)) for bold in (False, True)}
    tiling, bare = _medians(ours, lambda: bare_paper(pages, fonts))
    tiles = sum("-tile-" in sheet.name for sheet in made)
    print(
        f"tiling and writing {tiles} tiles, {len(made)} pages: {tiling / bare:.2f} x bare writing of "
        f"the same pages as SVG and PDF (at most {MOST})"
    )


def _medians(*works: Callable[[], None]) -> list[float]:
    """Median processor times in s, taken in turns; one unmeasured round warms everything."""
    times: list[list[float]] = [[] for _ in works]
    for turn in range(ROUNDS + 1):
        for work, found in zip(works, times, strict=True):
            start = time.process_time()
            work()
            if turn:
                found.append(time.process_time() - start)
    return [statistics.median(each) for each in times]
