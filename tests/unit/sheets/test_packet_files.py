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


def test_the_order_of_the_work_is_a_table_with_access_and_closings(folder: Path, tmp_path: Path) -> None:
    build_job(JOB.with_name("opening.toml"), tmp_path / "hatch", previews=False)
    steps, _ = _table(tmp_path / "hatch" / "order-of-work.csv")
    assert [row["step"] for row in steps] == [str(number) for number in range(1, len(steps) + 1)]
    taken = {row["what"]: row["no access afterwards"] for row in steps if row["no access afterwards"]}
    assert taken == {"Upper skin (done already)": "inside", "Paint": "outside"}
    last = max(int(row["step"]) for row in steps if row["access"] in ("outside only", "hand through hatch"))
    assert last < next(int(row["step"]) for row in steps if row["what"] == "Paint")
    assert any("#40" in row["drill"] for row in steps)


def test_a_plan_of_cutting_is_written_where_something_is_cut(folder: Path) -> None:
    rows, notes = _table(folder / "cutting-plan.csv")
    assert {row["cutout"] for row in rows} >= {"mast cutout"}
    assert any("digest" in note for note in notes)


def test_lists_of_a_job_that_must_not_be_cut_say_so(tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text(
        JOB.with_name("opening.toml")
        .read_text("utf-8")
        .replace("corner_radius = 0.75", "corner_radius = 0.2")
    )
    built = build_job(bad, tmp_path / "bad", previews=False)
    assert not built.judged.may_cut
    for name in ("cutting-plan.csv", "order-of-work.csv", "drill-schedule.csv"):
        _, notes = _table(tmp_path / "bad" / name)
        assert notes[1].startswith("DO NOT CUT: Finding")


def _table(path: Path) -> tuple[list[dict[str, str]], list[str]]:
    """The rows of a list by their columns, and the lines above them."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    head = next(number for number, row in enumerate(rows) if all(row))
    return [dict(zip(rows[head], row, strict=True)) for row in rows[head + 1 :]], [r[0] for r in rows[:head]]
