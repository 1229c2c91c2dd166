"""The program as a process: what only shows outside this interpreter."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from templgen.build.check import check_job
from templgen.build.demo import demo_job
from templgen.build.report import check_lines

NOT_FOR_A_MAST = {
    "shapely",
    "ezdxf",
    "svgwrite",
    "reportlab",
    "cairosvg",
    "fontTools",
    "pikepdf",
    "difflib",
    "numpy.ma",
    "templgen.job.openings",
    "templgen.layout.openings.add",
}
"""What `templgen check` of a mast must not wait for."""


def _templgen(*arguments: str, flags: tuple[str, ...] = ()) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, *flags, "-m", "templgen", *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_a_process_says_all_and_leaves_with_the_code(tmp_path: Path) -> None:
    done = _templgen("check", str(demo_job()), "--all")
    assert done.returncode == 0
    assert done.stdout.splitlines() == check_lines(check_job(demo_job()))
    assert done.stderr == ""
    missing = _templgen("check", str(tmp_path / "none.toml"))
    assert missing.returncode == 2
    assert len(missing.stderr.splitlines()) == 1


def test_a_reader_that_goes_away_is_told_no_pass() -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "templgen", "rules"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    told = process.stderr.read()
    process.stderr.close()
    assert process.wait() == 2
    assert told == b""


def test_a_cold_check_of_a_mast_loads_nothing_that_it_does_not_need() -> None:
    done = _templgen("check", str(demo_job()), flags=("-X", "importtime"))
    loaded = {line.rsplit("|", 1)[1].strip() for line in done.stderr.splitlines() if line.count("|") == 2}
    assert {"templgen.checks", "numpy"} <= loaded
    assert not NOT_FOR_A_MAST & loaded
