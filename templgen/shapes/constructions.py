"""Constructions: shapes that need a formula, under the name by which a shape file asks for them.

A construction is a function of the checked values of a shape (mm, degrees). It returns an `Outline`, or hole
centres for a pattern. The registry says which parameters, of which unit, a shape file has to declare for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from msgspec import Struct

from templgen.errors import ShapeError
from templgen.geometry import Vec
from templgen.shapes.names import unknown
from templgen.shapes.outline import Outline

__all__ = ["Construction", "construction", "construction_names", "get_construction"]

Draw = Callable[[Mapping[str, Any]], Outline | tuple[Vec, ...]]


class Construction(Struct, frozen=True):
    """A named construction: its kind, the parameters it needs (unit by name), the function."""

    name: str
    kind: str
    needs: Mapping[str, str]
    draw: Draw


_REGISTRY: dict[str, Construction] = {}


def construction(name: str, kind: str = "outline", **needs: str) -> Callable[[Draw], Draw]:
    """Register a function as the construction `name`.

    Args:
        name: what a shape file writes behind `construction =`.
        kind: "outline" or "pattern".
        needs: unit of every parameter the function reads, by name.

    Raises:
        ValueError: the name is taken (our own mistake, not the user's).
    """

    def register(draw: Draw) -> Draw:
        if name in _REGISTRY:
            raise ValueError(f"two constructions are called {name!r}")
        _REGISTRY[name] = Construction(name, kind, needs, draw)
        return draw

    return register


def construction_names() -> tuple[str, ...]:
    """The names of all constructions, sorted."""
    _load()
    return tuple(sorted(_REGISTRY))


def get_construction(name: str) -> Construction:
    """The construction of a name; ShapeError with the nearest name where there is none."""
    _load()
    if name not in _REGISTRY:
        raise ShapeError(f"no construction is called {name!r}; {unknown(name, _REGISTRY)}")
    return _REGISTRY[name]


def _load() -> None:
    """Import the modules that register constructions; late, because they import this one."""
    from templgen.shapes import airfoil, curves, perimeter, stations  # noqa: F401
