"""How long a builder waits for the verdict on a 300 dpi scan of a letter page, from the file to the words."""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from PIL import Image

from templgen.build.demo import demo_job
from templgen.build.scan import AskedScan, prove_scan
from templgen.proof.scan.scanner import ScannerRecord, write_scanner
from tests.bench.timing import cold_medians, python
from tests.unit.proof.pictures import Damage, Print, Scanner, raster, scanned

__all__ = ["run"]

MOST = 1.5  # s
DPI = 300


def run() -> None:
    """Print the time of a scan that is judged, in a running program and as a command."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        taken = scanned(raster(DPI), Print(1.0003, 0.9998), Scanner(DPI), Damage())
        file = folder / "scan.png"
        Image.fromarray(taken.picture.grey).save(file, dpi=(DPI, DPI))
        record = ScannerRecord("glass", (DPI, DPI), (DPI, DPI), (0.01, 0.01), "bench")
        write_scanner(folder, record)
        bare = AskedScan(scanner="glass", scanners=folder)
        job = AskedScan(job=demo_job(), scanner="glass", scanners=folder)
        height, width = taken.picture.grey.shape
        print(f"{width} x {height} pixels, {taken.picture.grey.size / 1e6:.1f} million")
        for words, asked in (("by its crosses", bare), ("by the job's features", job)):
            seconds = _median(lambda asked=asked: prove_scan([file], asked))
            print(f"judged {words}, in a running program: {seconds:.2f} s of processor time (at most {MOST})")
        command = ["-m", "templgen", "proof", "scan", str(file), "--scanner", "glass", "--scanners", name]
        times = cold_medians(
            {
                "imports": python("-c", "import cv2, click"),
                "crosses": python(*command),
                "job": python(*command, "--job", str(demo_job())),
            },
            rounds=3,
        )
        print(
            f"as a command: {times['crosses']:.2f} s, with the job read and its sheets made "
            f"{times['job']:.2f} s; the imports of OpenCV and click alone {times['imports']:.2f} s"
        )


def _median(judge: Callable[[], object], rounds: int = 5) -> float:
    """Seconds of processor time, which other programs on the machine do not lengthen."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        judge()
        times.append(time.process_time() - start)
    return statistics.median(times)
