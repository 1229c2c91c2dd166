"""Read the data files of this package, each once and only when it is asked for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import tomli

from templgen.errors import UnitError, near_names
from templgen.trade.source import Source
from templgen.units import inches_to_mm

_DATA = Path(__file__).parent / "data"

__all__ = ["load_table", "mm_or_none", "source_of", "sources_of", "unknown_name"]


@cache
def load_table(name: str) -> Mapping[str, Any]:
    """The content of data/<name>.toml."""
    return tomli.loads((_DATA / f"{name}.toml").read_text(encoding="utf-8"))


def source_of(table: Mapping[str, Any]) -> Source:
    """A `Source` from a table with its fields as keys; an unknown key raises TypeError (our own mistake)."""
    return Source(**table)


def sources_of(name: str) -> dict[str, Source]:
    """All sources of a data file by their key under [sources]."""
    return {key: source_of(table) for key, table in load_table(name)["sources"].items()}


def mm_or_none(row: Mapping[str, Any], key: str) -> float | None:
    """A length of a row in millimetres (its key ends in _in), None where the row does not know it."""
    return inches_to_mm(row[key]) if key in row else None


def unknown_name(kind: str, given: object, names: Iterable[str]) -> UnitError:
    """The complaint about a name that a table does not hold: what is allowed, the nearest first.

    >>> str(unknown_name("paper", "a44", ["a4", "a3", "letter"]))
    '"a44" is no paper; nearest: a4, a3; allowed: a4, a3, letter'
    """
    known = list(names)
    near = near_names(given, known, most=3, likeness=0.4)
    hint = f"nearest: {', '.join(near)}; " if near else ""
    return UnitError(f'"{given}" is no {kind}; {hint}allowed: {", ".join(known)}')
