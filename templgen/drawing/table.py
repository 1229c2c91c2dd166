"""A table of text, for schedules and lists."""

from __future__ import annotations

from msgspec import Struct

__all__ = ["Table"]


class Table(Struct, frozen=True):
    """Column names and rows of the same length; `notes` are lines that stand above the table."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()
