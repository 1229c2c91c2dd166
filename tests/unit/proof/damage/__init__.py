"""Damage to written files, as data: a name, what it does to the bytes, and what must be told."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from templgen.proof.difference import Kind

Dice = random.Random


@dataclass(frozen=True, slots=True)
class Damage:
    """One sort of damage.

    `told` are kinds of difference of which one must be told; None when the file must be refused as
    unreadable. `words` must stand in one of the messages.
    """

    name: str
    do: Callable[[bytes, Dice], bytes]
    told: Kind | None
    words: str = ""

    def __str__(self) -> str:
        return self.name
