"""Marks of holes in short, and names in a row."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from templgen.layout.words import ranges

__all__ = ["listed", "marks_in_short"]

_MARK = re.compile(r"(\D*)(\d+)")


def listed(names: Sequence[str]) -> str:
    """Return names as a list in words.

    >>> listed(["1", "2", "3"])
    '1, 2 and 3'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def marks_in_short(marks: Iterable[str]) -> str:
    """Return marks of holes in short: plain numbers, then those with a letter, such as holes in the waste.

    >>> marks_in_short(["3", "1", "2", "C1", "C2", "C3"])
    '1 to 3, C1 to C3'
    """
    kinds: dict[str, list[int]] = {}
    others = []
    for mark in dict.fromkeys(marks):
        found = _MARK.fullmatch(mark)
        if found is None:
            others.append(mark)
        else:
            kinds.setdefault(found[1], []).append(int(found[2]))
    shown = [re.sub(r"(\d+)", rf"{re.escape(kind)}\1", ranges(kinds[kind])) for kind in sorted(kinds)]
    return ", ".join([*shown, *others])
