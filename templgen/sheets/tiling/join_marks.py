"""What is drawn where two tiles meet: the line to cut along, targets that both tiles show, their names."""

from __future__ import annotations

from templgen.drawing import CircleMark, Item, LineMark, Meaning, PathMark
from templgen.geometry import Contour, Line, Vec
from templgen.sheets.lettering import CALLOUT, NOTE
from templgen.sheets.placement import Label
from templgen.sheets.tiling.plan import Edge, Tile

__all__ = ["TARGET", "TARGET_ARM", "TARGET_RADIUS", "edge_labels", "edge_marks", "name_labels"]

TARGET = "registration"
"""Targets are called by this and their name: "registration J1"."""
TARGET_RADIUS = 2.5
TARGET_ARM = 4.5

_GAP = 1.5
_KEEP = 0.6


def edge_marks(edge: Edge) -> list[Item]:
    """Return the join line, open at the targets, and the targets; the same on both tiles."""
    items: list[Item] = [LineMark(part, Meaning.JOIN) for part in _open(edge)]
    for called, at in zip(edge.names, edge.targets, strict=True):
        name = f"{TARGET} {called}"
        items.append(CircleMark(at, TARGET_RADIUS, Meaning.CROSS, name=name))
        for arm in (Vec(TARGET_ARM, 0.0), Vec(0.0, TARGET_ARM)):
            # A path, not a line: lines of this kind are the corner crosses.
            items.append(PathMark(Contour.polyline((at - arm, at + arm)), Meaning.CROSS, name=name))
    return items


def _open(edge: Edge) -> list[Line]:
    line, half = edge.line, (TARGET_ARM + _GAP) / edge.line.length
    parts, at = [], 0.0
    for place in sorted(line.parameter_of(target) for target in edge.targets):
        if place - half > at:
            parts.append(line.between(at, place - half))
        at = place + half
    return [*parts, line.between(at, 1.0)] if at < 1.0 else parts


def name_labels(edge: Edge, tile: Tile) -> list[Label]:
    """Return the names of the targets of an edge, one at each, on this tile's own side."""
    inwards = (tile.core.centre - edge.line.midpoint).unit()
    across = edge.line.direction.perp()
    out = across if across.dot(inwards) > 0 else -across
    keep = TARGET_RADIUS + 0.4
    return [
        Label(
            (at,),
            ((name,),),
            CALLOUT,
            keep,
            TARGET_ARM - keep,
            out,
            reach=12.0,
            bold=True,
        )
        for name, at in zip(edge.names, edge.targets, strict=True)
    ]


def edge_labels(edge: Edge, tile: Tile) -> Label:
    """Return what to do at an edge: cut it and lay it on a tile, or have a tile laid on it."""
    steps = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)
    places = tuple(edge.line.point_at(step) for step in steps)
    if tile is edge.second:
        what, where = "cut the paper here,", f"lay it on tile {edge.first.name}"
        short = f"cut, lay on {edge.first.name}"
    else:
        what, where = f"tile {edge.second.name}", "is laid to this line"
        short = f"{edge.second.name} comes here"
    variants = ((f"{what} {where}",), (what, where), (short,))
    return Label(places, variants, NOTE, _KEEP, reach=25.0)
