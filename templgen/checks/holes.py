"""All holes of an assembly as arrays, so that a panel of a hundred thousand is one pass and not a loop."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from operator import attrgetter
from typing import Any

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from templgen.layout.assembly import Fastener, FastenerSpec

__all__ = ["Flags", "Floats", "Holes", "Ints", "holes_of", "numbered"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]


class Holes(Struct, frozen=True, eq=False):
    """Holes as arrays of one length n; entry i of each speaks of the same fastener.

    Attributes:
        fasteners: (n,) the fasteners themselves, for the few that a finding names.
        xy: (n, 2) places in the plane, mm.
        diameter: (n,) nominal diameters, mm; of a plain hole its own.
        hole: (n,) final hole diameters, mm; of a hole that differs from face to face the largest.
        doubt: (n,) how well each place is known or made, mm either way.
        flush, plain, exists: (n,) flush head; round hole without fastener; there already.
        outward: (n,) whether the head stands on the side of the first face of the stack.
        head_outside, head_inside: (n,) radius of the head, or driven head, on the side of the first and of
            the last face of the stack, mm, NaN where unknown.
        spec, stack, group, plane: (n,) numbers of spec, stack, group and plane, as `holes_of` counted them.
        nutplate: (n,) number of the nutplate that a screw or a lug rivet belongs to, 0 for none.
        lug: (n,) whether it is the rivet of a nutplate's lug.
    """

    fasteners: NDArray[np.object_]
    xy: Floats
    diameter: Floats
    hole: Floats
    doubt: Floats
    flush: Flags
    plain: Flags
    exists: Flags
    outward: Flags
    head_outside: Floats
    head_inside: Floats
    spec: Ints
    stack: Ints
    group: Ints
    plane: Ints
    nutplate: Ints
    lug: Flags

    def __len__(self) -> int:
        return len(self.xy)

    def where(self, chosen: Flags | Ints) -> Holes:
        """Return the holes for which a mask is set (or those of the given indices)."""
        return replace(self, **{name: getattr(self, name)[chosen] for name in self.__struct_fields__})

    def fastener(self, index: int) -> Fastener:
        """Return the fastener of one hole."""
        fastener: Fastener = self.fasteners[index]
        return fastener


class NumberedHoles(Struct, frozen=True, eq=False):
    """Holes, and what their numbers mean: `specs[holes.spec[i]]` is the spec of hole i, and so on."""

    holes: Holes
    specs: tuple[FastenerSpec, ...]
    stacks: tuple[tuple[str, ...], ...]
    planes: tuple[str, ...]
    groups: tuple[tuple[str, str], ...]


def holes_of(fasteners: Sequence[Fastener]) -> NumberedHoles:
    """Return all holes of some fasteners as arrays, in their order."""
    spec, specs = _specs(fasteners)
    stack, stacks = numbered(fasteners, attrgetter("stack"))
    plane, planes = numbered(fasteners, attrgetter("plane"))
    group, groups = numbered(fasteners, attrgetter("feature", "group"))
    nutplate, nutplates = numbered(fasteners, attrgetter("nutplate"))
    on_nutplate = _flags(bool(name) for name in nutplates)[nutplate]
    side, sides = numbered(fasteners, attrgetter("head_side"))
    outward = _flags(name == "outside" for name in sides)[side]
    head, driven = _halves(specs, "head_diameter")[spec], _halves(specs, "driven_diameter")[spec]
    objects = np.empty(len(fasteners), dtype=object)
    objects[:] = fasteners
    holes = Holes(
        fasteners=objects,
        xy=np.array([(f.at.x, f.at.y) for f in fasteners], dtype=np.float64).reshape(-1, 2),
        diameter=_floats(item.diameter for item in specs)[spec],
        hole=_largest_holes(fasteners, _floats(item.hole for item in specs)[spec]),
        doubt=_floats(map(attrgetter("doubt"), fasteners)),
        flush=_flags(item.is_flush for item in specs)[spec],
        plain=_flags(item.kind == "hole" for item in specs)[spec],
        exists=_flags(map(attrgetter("exists"), fasteners)),
        outward=outward,
        head_outside=np.where(outward, head, driven),
        head_inside=np.where(outward, driven, head),
        spec=spec,
        stack=stack,
        group=group,
        plane=plane,
        nutplate=np.where(on_nutplate, nutplate + 1, 0),
        lug=on_nutplate & _flags(item.kind != "screw" for item in specs)[spec],
    )
    return NumberedHoles(holes, specs, stacks, planes, groups)


def numbered(items: Sequence[Any], key: Callable[[Any], Hashable]) -> tuple[Ints, tuple[Any, ...]]:
    """Number the keys of some items as they first come: (n,) numbers, and the keys by number."""
    keys = list(map(key, items))
    numbers = {each: number for number, each in enumerate(dict.fromkeys(keys))}
    return np.fromiter(map(numbers.__getitem__, keys), dtype=np.intp, count=len(keys)), tuple(numbers)


def _specs(fasteners: Sequence[Fastener]) -> tuple[Ints, tuple[FastenerSpec, ...]]:
    """Specs are shared objects; comparing them by value a hundred thousand times would cost a second."""
    specs = [fastener.spec for fastener in fasteners]
    numbers, keys = numbered(specs, id)
    by_identity = {id(spec): spec for spec in specs}
    return numbers, tuple(by_identity[key] for key in keys)


def _largest_holes(fasteners: Sequence[Fastener], holes: Floats) -> Floats:
    """The hole of each fastener; where it differs from face to face the largest of them."""
    for index, fastener in enumerate(fasteners):
        if fastener.other_holes:
            holes[index] = max(fastener.hole_in(face) for face in fastener.stack)
    return holes


def _halves(specs: Sequence[FastenerSpec], name: str) -> Floats:
    diameters = (getattr(spec, name) for spec in specs)
    return _floats(np.nan if diameter is None else diameter / 2 for diameter in diameters)


def _floats(values: Any) -> Floats:
    return np.array(list(values), dtype=np.float64)


def _flags(values: Any) -> Flags:
    return np.array(list(values), dtype=bool)
