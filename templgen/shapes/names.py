"""The nearest known name, for the end of a complaint."""

from __future__ import annotations

from collections.abc import Iterable

from templgen.errors import near_names

__all__ = ["nearest", "unknown"]


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known name most like a word, or None where nothing is like it.

    >>> nearest("lenght", ["length", "width"])
    'length'
    """
    spelled = {name.lower(): name for name in sorted(known)}
    found = near_names(word.lower(), spelled)
    return spelled[found[0]] if found else None


def unknown(word: str, known: Iterable[str]) -> str:
    """The tail of a complaint about an unknown name: the nearest one, or all that are allowed.

    >>> unknown("lenght", ["length", "width"]), unknown("q", ["length", "width"])
    ('nearest: length', 'allowed: length, width')
    """
    names = sorted(known)
    like = nearest(word, names)
    if like is not None:
        return f"nearest: {like}"
    return f"allowed: {', '.join(names)}" if names else "none is allowed here"
