"""CSV as RFC 4180 says."""

from __future__ import annotations

import csv
from io import StringIO

import pytest

from templgen.drawing import Table
from templgen.errors import ExportError
from templgen.exporters.tables import csv_bytes

TABLE = Table(
    "Drill schedule",
    ("number", "place", "drill"),
    (("1", "10.0, 20.0", '3/16"'), ("2", "two\nlines", "Ø4.2")),
    ("digest: feedface", "from the outside"),
)


def test_it_reads_back_as_it_was() -> None:
    rows = list(csv.reader(StringIO(csv_bytes(TABLE).decode("utf-8"), newline="")))
    assert [row[0] for row in rows[:3]] == ["Drill schedule", "digest: feedface", "from the outside"]
    assert rows[3] == list(TABLE.columns)
    assert rows[4:] == [list(row) for row in TABLE.rows]


def test_it_is_written_by_the_rules() -> None:
    """RFC 4180, section 2: CRLF ends a line (1), as many fields in each (4), quotes are doubled (7)."""
    data = csv_bytes(TABLE)
    assert data.endswith(b"\r\n")
    assert b'"3/16"""' in data
    assert b'"10.0, 20.0"' in data
    assert {len(row) for row in csv.reader(StringIO(data.decode("utf-8"), newline=""))} == {3}


def test_a_row_of_another_length_is_refused() -> None:
    with pytest.raises(ExportError, match=r"row 2 of 'T' has 1 fields"):
        csv_bytes(Table("T", ("a", "b"), (("1", "2"), ("3",))))
