"""Times of fresh interpreters, taken in turns so that a busy machine slows all alike."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence

__all__ = ["cold_medians", "python"]


def python(*arguments: str) -> list[str]:
    """Return the command of this interpreter with arguments."""
    return [sys.executable, *arguments]


def cold_medians(commands: Mapping[str, Sequence[str]], rounds: int = 7) -> dict[str, float]:
    """Return the median wall time in s of each command, run in turns; one unmeasured round warms the disk."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    times: dict[str, list[float]] = {name: [] for name in commands}
    for turn in range(rounds + 1):
        for name, command in commands.items():
            start = time.perf_counter()
            subprocess.run(command, check=True, env=environment, stdout=subprocess.DEVNULL)
            if turn:
                times[name].append(time.perf_counter() - start)
    return {name: statistics.median(values) for name, values in times.items()}
