"""A build writes packet and hardware list, the same bytes each time; a packet that comes back is known."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import templgen.build
from templgen.build.readback import read_returned
from templgen.build.write import build_job

JOB = Path(templgen.build.__file__).parent / "jobs" / "mast.toml"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("packet") / "once"
    build_job(JOB, out, previews=False)
    return out


def test_both_files_are_there_and_equal_from_run_to_run(folder: Path, tmp_path: Path) -> None:
    again = tmp_path / "again"
    built = build_job(JOB, again, previews=False)
    for name in ("bench-packet.pdf", "hardware-list.csv"):
        assert name in built.files
        assert (folder / name).read_bytes() == (again / name).read_bytes()


def test_the_hardware_list_is_a_table_with_its_rules_above(folder: Path) -> None:
    with (folder / "hardware-list.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert len({len(row) for row in rows}) == 1
    head = next(number for number, row in enumerate(rows) if row[0] == "item")
    assert [row[0] for row in rows[head + 1 :]] == [str(number) for number in range(1, len(rows) - head)]
    assert any("grip + 1.5 D" in row[0] for row in rows[:head])


def test_a_packet_that_came_back_is_compared_with_the_packet(folder: Path) -> None:
    returned = read_returned(folder / "bench-packet.pdf", JOB)
    assert returned.same, returned.differences
    assert "of mast.toml" in returned.against
