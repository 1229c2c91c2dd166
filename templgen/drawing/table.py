"""A table of text, for schedules and lists."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Table"]


@dataclass(frozen=True, slots=True)
class Table:
    """Column names and rows of the same length; `notes` are lines that stand above the table."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()
