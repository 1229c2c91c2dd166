"""What a table of the job is judged against, and the two complaints that every kind of table shares."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Protocol

from msgspec import Struct

from templgen.errors import JobError, Location
from templgen.job.fields import Node
from templgen.job.names import PAPER, THROUGH_NUTPLATE, Names
from templgen.job.wording import shown
from templgen.shapes import ShapeLibrary
from templgen.shapes.names import unknown
from templgen.units import Unit

__all__ = [
    "ANY_ACCESS",
    "THROUGH",
    "Around",
    "Faults",
    "access_faults",
    "made_from_faults",
    "mention",
    "needs",
]

Faults = Iterator[JobError]

ANY_ACCESS = ("both sides", "outside only")
THROUGH = "hand through "


class Around(Struct, frozen=True):
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


def access_faults(text: str, around: Around, at: Location, known: Iterable[str] = ANY_ACCESS) -> Faults:
    """The faults of an access: one of those known, or "hand through" an opening of the job."""
    if text in known:
        return
    if text.startswith(THROUGH):
        yield from mention("opening", text.removeprefix(THROUGH), around.names.opening, at)
    else:
        words = ", ".join(shown(each) for each in known)
        yield JobError(f'{shown(text)}: allowed: {words}, "{THROUGH}" and the name of an opening', at=at)


class _Marked(Protocol):
    """A set of holes that says how it is marked."""

    @property
    def made_from(self) -> str | None: ...

    def where(self, key: str | None = None) -> Location: ...


def made_from_faults(node: _Marked, around: Around) -> Faults:
    """The faults of a way to mark holes: from the paper, through a part, or through a nutplate."""
    text = node.made_from
    if text is None or text in (PAPER, THROUGH_NUTPLATE):
        return
    at = node.where("made_from")
    if not text.startswith("through "):
        allowed = f'"paper", "{THROUGH_NUTPLATE}", or "through " and the name of a part'
        yield JobError(f"made_from = {shown(text)}: allowed: {allowed}", at=at)
    else:
        yield from mention("part", text.removeprefix("through ").strip(), around.names.stackable, at)
