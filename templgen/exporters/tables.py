"""Tables as CSV: UTF-8, as RFC 4180 says (CRLF, quotes doubled, as many fields in every line)."""

from __future__ import annotations

import csv
from io import StringIO

from templgen.drawing import Table
from templgen.errors import ExportError
from templgen.exporters.base import Exporter

__all__ = ["EXPORTER", "csv_bytes"]


def csv_bytes(table: Table) -> bytes:
    """Return a table as a CSV file.

    Title and notes come first, each in the first field of a line of its own: RFC 4180 knows no comments.
    Then follow the names of the columns and the rows. Raises ExportError for a row of another length.
    """
    width = len(table.columns)
    for index, row in enumerate(table.rows, 1):
        if len(row) != width:
            raise ExportError(f"row {index} of {table.title!r} has {len(row)} fields, the table has {width}")
    text = StringIO(newline="")
    writer = csv.writer(text)
    for line in (table.title, *table.notes):
        writer.writerow([line, *[""] * (width - 1)])
    writer.writerow(table.columns)
    writer.writerows(table.rows)
    return text.getvalue().encode("utf-8")


EXPORTER = Exporter(name="csv", suffix=".csv", reads="table", paper=False, write=csv_bytes)
