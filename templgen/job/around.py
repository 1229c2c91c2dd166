"""What a table of the job is judged against, and the two complaints that every kind of table shares."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from templgen.errors import JobError, Location
from templgen.job.fields import Node
from templgen.job.names import Names
from templgen.job.wording import shown
from templgen.shapes import ShapeLibrary
from templgen.shapes.names import unknown
from templgen.units import Unit

__all__ = ["Around", "Faults", "mention", "needs"]

Faults = Iterator[JobError]


@dataclass(frozen=True, slots=True)
class Around:
    """What a table is judged against: the names of the job, the shapes, the unit."""

    names: Names
    library: ShapeLibrary
    unit: Unit


def needs(table: Node, words: str, key: str, why: str) -> JobError:
    """The fault of a table that lacks a key: why it is needed, and an example."""
    field = type(table).model_fields[key]
    hint = f"for example {key} = {field.examples[0]}" if field.examples else None
    return JobError(f"{words} needs {key}: {why}", at=table.where(), hint=hint)


def mention(what: str, name: str, known: Iterable[str], at: Location) -> Faults:
    """A fault where a name is mentioned that nothing has."""
    if name not in known:
        yield JobError(f"no {what} is called {shown(name)}", at=at, hint=unknown(name, known))
