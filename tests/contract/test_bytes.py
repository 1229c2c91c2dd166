"""The same drawing gives the same bytes: twice in one run, and in other runs with other hash seeds."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys

import pytest

from templgen.drawing import Table
from templgen.exporters.registry import EXPORTERS
from tests.contract.zoo import whole

TABLE = Table("Drill schedule", ("number", "place"), (("1", "10, 20"),), ("from the outside",))


def digests() -> dict[str, str]:
    """Return the SHA-256 of what each exporter writes."""
    drawing = whole()
    found = {}
    for name, exporter in EXPORTERS.items():
        data = exporter.write(TABLE if exporter.reads == "table" else drawing)  # type: ignore[arg-type]
        found[name] = hashlib.sha256(data).hexdigest()
    return found


def test_twice_in_one_run() -> None:
    assert digests() == digests()


@pytest.mark.parametrize("seed", ["1", "4711"])
def test_in_another_run_with_another_hash_seed(seed: str) -> None:
    code = "from tests.contract.test_bytes import digests\nfor name, d in digests().items(): print(name, d)"
    result = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONHASHSEED": seed},
        capture_output=True,
        text=True,
        check=True,
    )
    assert dict(line.split() for line in result.stdout.splitlines()) == digests()
