"""What reading every file back adds to a build, and how its time grows with the number of marks."""

from __future__ import annotations

import time

from templgen.drawing import CircleMark, Drawing, Meaning, PageInfo, PathMark
from templgen.exporters.dxf import dxf_bytes
from templgen.exporters.pdf import pdf_bytes
from templgen.exporters.svg import svg_bytes
from templgen.geometry import Contour, Vec
from templgen.proof.readback import read_back
from tests.bench.timing import cold_medians, python

__all__ = ["run"]

_BUILD = """
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from templgen.build import write
from templgen.build.demo import demo_job
from templgen.build.readback import Proven
if sys.argv[1] == "bare":
    write.prove = lambda written: Proven(0, 0, 0, 0.0)
with TemporaryDirectory() as folder:
    write.build_job(demo_job(), Path(folder) / "out", previews=False)
"""
SIZES = (1_000, 10_000)


def run() -> None:
    """Print the share that read-back adds to a build without previews, and times by format and size."""
    times = cold_medians({how: python("-c", _BUILD, how) for how in ("bare", "read back")}, rounds=5)
    share = times["read back"] / times["bare"] - 1.0
    print(f"build of the demo, without previews: {times['bare']:.2f} s; read-back adds {share:.0%}")
    for size in SIZES:
        drawing = _panel(size)
        for kind, write in (("svg", svg_bytes), ("pdf", lambda d: pdf_bytes([d])), ("dxf", dxf_bytes)):
            write(drawing)
            start = time.process_time()
            data = write(drawing)
            written = time.process_time()
            result = read_back(kind, data, drawing)
            read = time.process_time()
            assert result.same
            ratio = (read - written) / (written - start)
            print(f"{kind} of {size:,} marks: read back in {ratio:.2f} times the time of writing")


def _panel(size: int) -> Drawing:
    """Return a plate with a grid of holes, every fifth a rounded slot."""
    side = round(size**0.5)
    items: list[CircleMark | PathMark] = []
    for i in range(size):
        at = Vec(10.0 + 8.0 * (i % side), 10.0 + 8.0 * (i // side))
        slot = Contour.rectangle(5.0, 3.0, 1.0, at)
        mark = CircleMark(at, 1.6, Meaning.HOLE, str(i)) if i % 5 else PathMark(slot, Meaning.CUT)
        items.append(mark)
    edge = 8.0 * side + 20.0
    return Drawing(tuple(items), PageInfo("panel", "0"), edge, edge)
