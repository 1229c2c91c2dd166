"""Where the sources disagree or are misprinted, and which value this program uses."""

from __future__ import annotations

from functools import cache

from msgspec import Struct

from templgen.trade.tables import load_table, unknown_name

__all__ = ["Contradiction", "contradictions", "find_contradiction"]


class Contradiction(Struct, frozen=True):
    """Two documents that do not agree, what is used, and what a job may choose instead (often nothing)."""

    name: str
    subject: str
    first: str
    second: str
    use: str
    choices: tuple[str, ...] = ()


@cache
def contradictions() -> tuple[Contradiction, ...]:
    """All of them, in the order of the data file."""
    return tuple(
        Contradiction(**{**row, "choices": tuple(row.get("choices", ()))})
        for row in load_table("contradictions")["contradiction"]
    )


def find_contradiction(name: str) -> Contradiction:
    """The contradiction of a name.

    Raises:
        UnitError: there is none; the nearest are named.
    """
    for found in contradictions():
        if found.name == name:
            return found
    raise unknown_name("contradiction", name, [found.name for found in contradictions()])
