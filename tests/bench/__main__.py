"""`python -m tests.bench [NAME...]` runs the benchmarks named, or all of them."""

from __future__ import annotations

import sys

from tests.bench import build, openings, panel, readback, scan, startup, tiling

BENCHMARKS = {
    "startup": startup.run,
    "build": build.run,
    "panel": panel.run,
    "openings": openings.run,
    "readback": readback.run,
    "scan": scan.run,
    "tiling": tiling.run,
}

for name in sys.argv[1:] or BENCHMARKS:
    print(f"== {name}", flush=True)
    BENCHMARKS[name]()
