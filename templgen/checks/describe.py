"""The catalogue as a person reads it: one rule as a page, all rules as a table."""

from __future__ import annotations

import inspect
from typing import TYPE_CHECKING

from templgen.checks.registry import RULES, manual_of
from templgen.checks.rule import Rule
from templgen.units import format_number

if TYPE_CHECKING:
    from templgen.drawing.table import Table

__all__ = ["catalogue_table", "describe_rule"]


def describe_rule(rule: Rule) -> str:
    """Return the manual page of a rule: formula, severity, sources with their standing, example, text."""
    example = rule.example
    lines = [
        f"{rule.name}: {rule.title}",
        "",
        f"Formula:  {rule.formula}",
        f"Severity: {_severity(rule)}",
        *(f"Source:   {source}{_note(source.note)}" for source in dict.fromkeys(rule.sources)),
        f"Cure:     {rule.cure}",
        f"Example:  {example.words}: {format_number(example.result, 4, trim=True)} {example.unit}".rstrip(),
        "",
        inspect.cleandoc(manual_of(rule)),
    ]
    return "\n".join(lines)


def _severity(rule: Rule) -> str:
    return rule.severity.value if rule.acceptable else f"{rule.severity.value}; can not be accepted"


def _note(note: str) -> str:
    return f"; {note}" if note else ""


def catalogue_table() -> Table:
    """Return one row for every rule: name, what it says, formula, severity, source with its standing."""
    from templgen.drawing.table import Table  # only the list of rules needs it

    rows = tuple((rule.name, rule.title, rule.formula, _severity(rule), rule.citation) for rule in RULES)
    return Table("Checks", ("rule", "says", "formula", "severity", "source"), rows)
