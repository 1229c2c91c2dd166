"""What is told, while something runs, of how far it is."""

from __future__ import annotations

from collections.abc import Callable

__all__ = ["Progress", "untold"]

Progress = Callable[[str, int, int], None]
"""Is told what is done next, how much is done and how much there is."""


def untold(label: str, done: int, total: int = 0) -> None:
    """Progress that nobody looks at."""
