"""Lists of what there is: shapes and rules, as text for the terminal."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from templgen.drawing import Table
    from templgen.shapes import ShapeLibrary
    from templgen.units import Unit

__all__ = ["rule_text", "rules_text", "shape_text", "shapes_text"]


def shapes_text(unit: Unit = "mm", folder: Path | None = None) -> str:
    """Return every shape of the library with a small picture and its parameters."""
    from templgen.shapes.pictures import describe

    return "\n\n".join(describe(shape, unit) for shape in _library(folder))


def shape_text(name: str, unit: Unit = "mm", folder: Path | None = None) -> str:
    """Return one shape, described. Raises ShapeError naming the nearest shapes."""
    from templgen.shapes.pictures import describe

    return describe(_library(folder).get(name), unit)


def _library(folder: Path | None) -> ShapeLibrary:
    from templgen.shapes import ShapeLibrary

    return ShapeLibrary.standard() if folder is None else ShapeLibrary.with_folder(folder)


def rules_text() -> str:
    """Return the rule catalogue as a table for the terminal."""
    from templgen.checks import catalogue_table

    return _aligned(catalogue_table())


def _aligned(table: Table) -> str:
    rows = (table.columns, *table.rows)
    widths = [max(len(row[column]) for row in rows) for column in range(len(table.columns))]
    return "\n".join(
        "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in rows
    )


def rule_text(name: str) -> str:
    """Return one rule's manual page. Raises TemplgenError naming the nearest rules."""
    from templgen.checks import describe_rule, find_rule

    return describe_rule(find_rule(name))
