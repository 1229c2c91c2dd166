"""Names in a job: who has which, which are taken, and the names that the program gives to parts and faces.

They are gathered from the tables as written, so that a fault in one table does not make a second one of every
mention of its name.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import Struct

from templgen.errors import JobError, Location
from templgen.job.fields import AT_KEY, KEYS_KEY, NOWHERE
from templgen.job.wording import shown

__all__ = ["NAMED_TABLES", "THROUGH_NUTPLATE", "Names", "gather_names", "name_faults", "opening_parts"]

SKIN, PAPER, BASE_PLATE, ORIGIN = "skin", "paper", "base plate", "origin"
THROUGH_NUTPLATE = "through a nutplate"
"""How a hole is made that is drilled through the lug of a nutplate held by its screw."""
NAMED_TABLES = ("fastener", "nutplate")
"""Tables of tables, [fastener.NAME]: their keys are names."""
_KINDS = ("structure", "mast", "hole", "pattern", "cutout", "part", "bracket", "opening", "closing", "task")
_RESERVED = {
    SKIN: "the skin",
    PAPER: "the paper",
    BASE_PLATE: "a mast's base plate",
    ORIGIN: "x = 0, y = 0",
}


class Names(Struct, frozen=True):
    """All names of a job by kind, in the order of the file.

    `kinds` maps a structure to what it is, `opening_parts` are rings and covers, `steps` what has an order of
    work: closings, tasks, and features.
    """

    structure: tuple[str, ...]
    mast: tuple[str, ...]
    hole: tuple[str, ...]
    part: tuple[str, ...]
    bracket: tuple[str, ...]
    fastener: tuple[str, ...]
    masts: int
    kinds: Mapping[str, str]
    opening: tuple[str, ...] = ()
    opening_parts: tuple[str, ...] = ()
    nutplate: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()

    @property
    def plates(self) -> tuple[str, ...]:
        """The base plates: "base plate" of the only mast, else "base plate of NAME"."""
        if self.masts == 1:
            return (BASE_PLATE,)
        return tuple(f"{BASE_PLATE} of {name}" for name in self.mast)

    @property
    def stackable(self) -> tuple[str, ...]:
        """Parts that a hole or a cutout may pass."""
        return (SKIN, *self.plates, *self.part, *self.structure, *self.bracket, *self.opening_parts)

    @property
    def trimmable(self) -> tuple[str, ...]:
        """What may be trimmed: papers, base plates, flat parts, rings and covers."""
        papers = tuple(f"{PAPER} of {name}" for name in self.mast) if self.masts > 1 else ()
        return (PAPER, *papers, *self.plates, *self.part, *self.opening_parts)


def gather_names(tables: Mapping[str, Any]) -> Names:
    """The names in the tables of a job file, whatever else is wrong with them."""
    by_kind = {kind: tuple(name for name, _ in _named(tables, kind)) for kind in _KINDS}
    masts = tables.get("mast")
    return Names(
        structure=by_kind["structure"],
        mast=by_kind["mast"],
        hole=by_kind["hole"],
        part=by_kind["part"],
        bracket=by_kind["bracket"],
        fastener=_keys(tables, "fastener"),
        masts=len(masts) if isinstance(masts, list) else 0,
        kinds={table["name"]: str(table.get("kind")) for table in _tables(tables, "structure")},
        opening=by_kind["opening"],
        opening_parts=tuple(
            name
            for table in _tables(tables, "opening")
            for name in opening_parts(table["name"], _made(table))
        ),
        nutplate=_keys(tables, "nutplate"),
        steps=tuple(name for kind in _KINDS if kind != "structure" for name in by_kind[kind]),
    )


def opening_parts(name: str, made: str) -> tuple[str, ...]:
    """The parts of an opening's set: its cover, and its ring in one piece or two halves.

    >>> opening_parts("hatch", "halves")
    ('hatch cover', 'hatch ring 1', 'hatch ring 2')
    """
    rings = (f"{name} ring 1", f"{name} ring 2") if made == "halves" else (f"{name} ring",)
    return (f"{name} cover", *rings)


def _made(opening: Mapping[str, Any]) -> str:
    ring = opening.get("ring")
    return str(ring.get("made", "whole")) if isinstance(ring, dict) else "whole"


def _keys(tables: Mapping[str, Any], kind: str) -> tuple[str, ...]:
    table = tables.get(kind)
    return tuple(table) if isinstance(table, dict) else ()


def name_faults(tables: Mapping[str, Any]) -> list[JobError]:
    """Names that are given twice, or that the program needs for itself."""
    faults: list[JobError] = []
    taken: dict[str, tuple[str, str, Location]] = {}
    derived: dict[str, str] = {}
    for kind in _KINDS:
        for name, _ in _named(tables, kind):
            derived.update({each.casefold(): name for each in _derived(kind, name)})
    for kind in _KINDS:
        for name, at in _named(tables, kind):
            key = name.casefold()
            if reason := _not_free(key, derived):
                faults.append(JobError(f"the name {shown(name)} is not free: {reason}", at=at))
            elif key in taken:
                other, other_kind, there = taken[key]
                hint = None if other == name else "capitals do not tell names apart"
                message = f"the name {shown(name)} is taken by the {other_kind} in line {there.line}"
                faults.append(JobError(message, at=at, hint=hint))
            else:
                taken[key] = (name, kind, at)
    return faults


def _not_free(key: str, derived: Mapping[str, str]) -> str:
    if key in _RESERVED:
        return f"it means {_RESERVED[key]}"
    if key.startswith((f"{BASE_PLATE} of ", f"{PAPER} of ")):
        return "the program calls base plates and papers so"
    return f"the program calls a face of {shown(derived[key])} so" if key in derived else ""


def _derived(kind: str, name: str) -> tuple[str, ...]:
    """The faces that the program names after a thing."""
    if kind == "structure":
        return (f"{name} flange", f"{name} web")
    if kind == "opening":
        return (*opening_parts(name, "whole"), *opening_parts(name, "halves")[1:])
    return (f"{name} skin leg", f"{name} web leg") if kind == "bracket" else ()


def _tables(tables: Mapping[str, Any], kind: str) -> Iterator[Mapping[str, Any]]:
    listed = tables.get(kind)
    for table in listed if isinstance(listed, list) else []:
        if isinstance(table, dict) and isinstance(table.get("name"), str):
            yield table


def _named(tables: Mapping[str, Any], kind: str) -> Iterator[tuple[str, Location]]:
    for table in _tables(tables, kind):
        at = table.get(KEYS_KEY, {}).get("name") or table.get(AT_KEY, NOWHERE)
        yield table["name"], at
