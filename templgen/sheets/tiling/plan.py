"""Which tiles a template needs: the grid, the tiles that have content, and the edges where two meet."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from templgen.drawing import CircleMark, PathMark
from templgen.geometry import Bounds, Line, Segment, Vec
from templgen.layout.prefixes import JOIN
from templgen.sheets.marks import CENTRE_ARM
from templgen.sheets.scene import Scene
from templgen.sheets.space import HOLES
from templgen.sheets.tiling.clip import Boxed, clip
from templgen.sheets.tiling.grid import OVERLAP, joins
from templgen.sheets.view import clipped

__all__ = ["LABEL_ROOM", "Edge", "Plan", "Tile", "holes_of", "plan_of", "with_edges"]

LABEL_ROOM = 6.0
"""Room for words round the whole template, mm."""
_RIM = 1.0
_CLEAR = 9.0
_FROM_END = 14.0
_STEP = 1.5
_EVERY = 2.0

Cell = tuple[int, int]


class Tile(Struct, frozen=True):
    """One tile, row 1 at the top, column 1 at the left.

    `core` goes from join to join; `window` is what the tile shows, half the overlap more where it is joined.
    """

    row: int
    column: int
    core: Bounds
    window: Bounds

    @property
    def name(self) -> str:
        """Row and column: "1-2"."""
        return f"{self.row}-{self.column}"


class Edge(Struct, frozen=True):
    """Where two tiles meet: the line between them, the targets on it and their names.

    `second` is right of `first` or below it; it is cut along the line and laid on the first.
    """

    names: tuple[str, ...]
    line: Line
    first: Tile
    second: Tile
    targets: tuple[Vec, ...]


class Plan(Struct, frozen=True):
    """All tiles in the order of the work, and all edges (none before `with_edges`)."""

    tiles: tuple[Tile, ...]
    rows: int
    columns: int
    edges: tuple[Edge, ...]
    extent: Bounds


def plan_of(scene: Scene, marks: Sequence[Boxed], width: float, height: float) -> Plan:
    """Return the tiles of a scene that is drawn upright on windows of at most `width` by `height` mm."""
    box = scene.extent.grown(LABEL_ROOM)
    holes = holes_of(scene)
    xs = [box.xmin, *joins(box.xmin, box.xmax, width, [(at.x, half) for at, half in holes]), box.xmax]
    ys = [box.ymin, *joins(box.ymin, box.ymax, height, [(at.y, half) for at, half in holes]), box.ymax]
    columns, rows = len(xs) - 1, len(ys) - 1
    cores = {
        (row, column): Bounds(xs[column - 1], ys[rows - row], xs[column], ys[rows - row + 1])
        for row in range(1, rows + 1)
        for column in range(1, columns + 1)
    }
    kept = _joined({cell for cell, core in cores.items() if _has_content(scene, marks, core)}, cores)
    tiles = tuple(_tile(cell, cores[cell], rows, columns) for cell in sorted(kept))
    return Plan(tiles, rows, columns, (), box)


def with_edges(plan: Plan, scene: Scene) -> Plan:
    """Return a plan with the edges between its tiles, and the targets on them."""
    tiles = {(tile.row, tile.column): tile for tile in plan.tiles}
    return replace(plan, edges=tuple(_edges(tiles, scene)))


def holes_of(scene: Scene) -> list[tuple[Vec, float]]:
    """Return the centre of every hole and ring, and how far from it its marks reach, mm."""
    found = [
        (item.centre, item.radius + CENTRE_ARM + _RIM)
        for item in scene.items
        if isinstance(item, CircleMark) and item.meaning in HOLES
    ]
    return found + [(each.at, 0.0) for each in scene.targets if scene.extent.contains(each.at)]


def _has_content(scene: Scene, marks: Sequence[Boxed], core: Bounds) -> bool:
    """Whether a tile shows more than paper: lines that merely pass behind the skin do not count."""
    if any(core.contains(each.at) and scene.extent.contains(each.at) for each in scene.targets):
        return True
    return any(clip(mark, core) for mark in marks)


def _joined(kept: set[Cell], cores: Iterable[Cell]) -> set[Cell]:
    """Add the tiles without content over which the others hang together, as few as can be."""
    every = set(cores)
    found = set(kept)
    while True:
        first = _reached(found, min(found))
        if first == found:
            return found
        found |= _bridge(first, found - first, every)


def _reached(cells: set[Cell], start: Cell) -> set[Cell]:
    seen, queue = {start}, deque([start])
    while queue:
        for cell in _beside(queue.popleft()):
            if cell in cells and cell not in seen:
                seen.add(cell)
                queue.append(cell)
    return seen


def _bridge(first: set[Cell], others: set[Cell], every: set[Cell]) -> set[Cell]:
    """The shortest way from some tiles to any of some others."""
    came: dict[Cell, Cell | None] = dict.fromkeys(sorted(first))
    queue = deque(came)
    while queue:
        at = queue.popleft()
        if at in others:
            way = set()
            step: Cell | None = at
            while step is not None:
                way.add(step)
                step = came[step]
            return way
        for cell in _beside(at):
            if cell in every and cell not in came:
                came[cell] = at
                queue.append(cell)
    return others


def _beside(cell: Cell) -> tuple[Cell, ...]:
    row, column = cell
    return (row, column + 1), (row + 1, column), (row, column - 1), (row - 1, column)


def _tile(cell: Cell, core: Bounds, rows: int, columns: int) -> Tile:
    """The window goes on over every join of the grid, whether there is a tile beyond it or not."""
    row, column = cell
    half = OVERLAP / 2
    window = Bounds(
        core.xmin - (half if column > 1 else 0.0),
        core.ymin - (half if row < rows else 0.0),
        core.xmax + (half if column < columns else 0.0),
        core.ymax + (half if row > 1 else 0.0),
    )
    return Tile(row, column, core, window)


def _edges(tiles: dict[Cell, Tile], scene: Scene) -> list[Edge]:
    edges: list[Edge] = []
    obstacles = _obstacles(scene)
    for (row, column), tile in tiles.items():
        for way, cell in (("right", (row, column + 1)), ("down", (row + 1, column))):
            other = tiles.get(cell)
            if other is None:
                continue
            core = tile.core
            line = (
                Line(Vec(core.xmax, core.ymax), Vec(core.xmax, core.ymin))
                if way == "right"
                else Line(Vec(core.xmin, core.ymin), Vec(core.xmax, core.ymin))
            )
            count, targets = sum(len(edge.targets) for edge in edges), _targets(line, obstacles)
            names = tuple(f"{JOIN}{count + number}" for number in range(1, len(targets) + 1))
            edges.append(Edge(names, line, tile, other, targets))
    return edges


Floats = NDArray[np.float64]


def _obstacles(scene: Scene) -> Floats:
    """What a target had better leave alone: rows of x, y and half width, mm.

    Centres of holes with their marks, and points along all lines.
    """
    lines: list[Segment] = []
    for item in scene.items:
        if isinstance(item, PathMark) and item.name not in ("hatch", "centre mark"):
            lines += item.contour.segments
    box = scene.extent.grown(LABEL_ROOM)
    lines += [line for line in (clipped(run.line, box) for run in scene.runs) if line is not None]
    found = [(at.x, at.y, half) for at, half in holes_of(scene)]
    for line in lines:
        steps = max(1, int(line.length / _EVERY))
        points = (line.point_at(step / steps) for step in range(steps + 1))
        found += [(point.x, point.y, 0.0) for point in points]
    return np.array(found).reshape(-1, 3)


def _targets(line: Line, obstacles: Floats) -> tuple[Vec, ...]:
    """Two places far apart on an edge, one where it is short, as clear of everything as they can be."""
    length, way = line.length, line.direction
    from_start = obstacles[:, :2] - (line.start.x, line.start.y)
    along = from_start @ (way.x, way.y)
    off = np.abs(from_start @ (-way.y, way.x))
    near = off < _CLEAR + obstacles[:, 2]
    close = np.stack([along[near], off[near], obstacles[near, 2]], axis=1)
    if length < 2.5 * _FROM_END:
        return (line.point_at(_best(close, length * 0.3, length * 0.7, length * 0.5) / length),)
    ends = ((_FROM_END, length * 0.45, 0.0), (length * 0.55, length - _FROM_END, length))
    return tuple(line.point_at(_best(close, low, high, wanted) / length) for low, high, wanted in ends)


def _best(close: Floats, low: float, high: float, wanted: float) -> float:
    """The clearest place between `low` and `high`, of equals the nearest to the wanted one."""
    spots = np.linspace(low, high, max(1, int((high - low) / _STEP)) + 1)
    gaps = np.hypot(spots[:, None] - close[:, 0], close[:, 1]) - close[:, 2]
    crowded = np.maximum(0.0, _CLEAR - gaps.min(axis=1, initial=_CLEAR))
    return float(spots[np.lexsort((np.abs(spots - wanted), np.round(crowded, 6)))[0]])
