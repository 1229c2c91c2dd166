"""The libraries behind the formats are loaded when a file is written, not before."""

from __future__ import annotations

import subprocess
import sys

HEAVY = {"ezdxf", "svgwrite", "reportlab", "cairosvg", "fontTools", "pikepdf", "shapely"}


def test_finding_the_exporters_loads_no_library() -> None:
    code = "import sys, templgen.exporters.registry\nprint(*{name.split('.')[0] for name in sys.modules})"
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not HEAVY & set(result.stdout.split())
