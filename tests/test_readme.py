"""The README says what the program does."""

from __future__ import annotations

import re

import pytest

from tests import readme


@pytest.mark.parametrize("name", sorted(readme.blocks()))
def test_generated_parts_are_up_to_date(name: str) -> None:
    written = readme.written(readme.README.read_text())
    assert written[name] == readme.blocks()[name], "run `python -m tests.readme`"


def test_every_picture_is_there() -> None:
    pictures = re.findall(r"!\[[^]]*\]\(([^)]+)\)", readme.README.read_text())
    assert pictures
    assert [p for p in pictures if not (readme.README.parent / p).is_file()] == []


def test_the_job_stands_in_the_first_paragraph_and_the_commands_are_one_line_each() -> None:
    text = readme.README.read_text()
    assert re.match(r"# templgen\n\n[^\n#]", text)
    for marker, last in (("main job", "templgen demo"), ("tests", "pytest")):
        command = text.split(f"<!-- {marker} -->\n", 1)[1].split("\n")[1]
        assert command.startswith("python3 -m venv .venv && ")
        assert command.rstrip().endswith(last)


def test_the_key_tables_say_what_a_key_is_when_it_is_left_out() -> None:
    keys = readme.blocks()["keys"]
    for row in (
        '| `paper` | `"letter"` |',
        '| `use` | `"trace"` |',
        '| `cut_gap` | `"0.8 mm"` |',
        "| `lift` | `0` |",
    ):
        assert row in keys, row
    assert "| `flange` | `true` |" in keys
