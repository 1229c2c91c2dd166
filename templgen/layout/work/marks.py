"""Marks of holes in short, and names in a row."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

__all__ = ["listed", "marks_in_short", "ranges"]


def listed(names: Sequence[str]) -> str:
    """Return names as a list in words.

    >>> listed(["1", "2", "3"])
    '1, 2 and 3'
    """
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def ranges(found: Iterable[int]) -> str:
    """Return numbers in short; three and more in a row become a range.

    >>> ranges([1, 2, 3, 7, 8])
    '1 to 3, 7, 8'
    """
    rows: list[list[int]] = []
    for number in sorted(set(found)):
        if rows and number == rows[-1][-1] + 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    shown = []
    for row in rows:
        shown += [f"{row[0]} to {row[-1]}"] if len(row) > 2 else [str(number) for number in row]
    return ", ".join(shown)


def marks_in_short(marks: Iterable[str]) -> str:
    """Return marks of holes in short: plain numbers, and those of the waste.

    >>> marks_in_short(["3", "1", "2", "C1", "C2", "C3"])
    '1 to 3, C1 to C3'
    """
    marks = list(marks)
    plain = ranges(int(mark) for mark in marks if mark.isdigit())
    waste = ranges(int(mark[1:]) for mark in marks if mark[:1] == "C" and mark[1:].isdigit())
    rest = [mark for mark in marks if not mark.isdigit() and not (mark[:1] == "C" and mark[1:].isdigit())]
    named = waste.replace(", ", ", C").replace(" to ", " to C")
    return ", ".join([*([plain] if plain else []), *([f"C{named}"] if waste else []), *rest])
