"""Starter jobs: commented job files to put one's own numbers into. One file here is one kind."""

from __future__ import annotations

from importlib.resources import files

from templgen.errors import TemplgenError
from templgen.shapes.names import unknown

__all__ = ["starter", "starter_kinds"]

_SUFFIX = ".toml"


def starter_kinds() -> tuple[str, ...]:
    """The kinds of starter job there are, sorted.

    >>> "mast" in starter_kinds()
    True
    """
    names = (entry.name for entry in files(__name__).iterdir())
    return tuple(sorted(name.removesuffix(_SUFFIX) for name in names if name.endswith(_SUFFIX)))


def starter(kind: str = "mast") -> str:
    """The text of a starter job.

    Raises:
        TemplgenError: no such kind, with the nearest one.

    >>> starter("mast").startswith("# A mast through the skin")
    True
    """
    if kind not in starter_kinds():
        raise TemplgenError(f"no starter job is called {kind!r}; {unknown(kind, starter_kinds())}")
    return files(__name__).joinpath(f"{kind}{_SUFFIX}").read_text(encoding="utf-8")
