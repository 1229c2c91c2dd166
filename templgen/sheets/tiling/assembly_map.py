"""The assembly map: all tiles side by side, small, with the outlines that they show."""

from __future__ import annotations

from msgspec import Struct

from templgen.drawing import Anchor, CircleMark, Item, Meaning, PathMark
from templgen.geometry import Bounds, Contour, Vec, flatten
from templgen.sheets.lettering import LEAST, NOTE, pitch_of, words
from templgen.sheets.scene import Scene
from templgen.sheets.space import HOLES
from templgen.sheets.tiling.plan import Plan

__all__ = ["AssemblyMap"]

_HIGHEST = 26.0
_MARGIN = 6.5
_SAGITTA = 0.05
_DOT = 0.25
_TITLE = "Assembly map, NOT TO SCALE"
_SHOWN = (Meaning.CUT, Meaning.ROUGH, Meaning.HIDDEN)


class AssemblyMap(Struct, frozen=True):
    """A block of notes: tiles as boxes, numbers of rows and columns beside them, cut lines in them."""

    plan: Plan
    scene: Scene
    keeps_with_next: bool = False

    def _scale(self, width: float) -> float:
        box = self.plan.extent
        return min((width - _MARGIN) / box.width, _HIGHEST / box.height)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return 2.0 + 2 * pitch_of(NOTE) + 1.5 + self.plan.extent.height * self._scale(width) + 1.0

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        scale, box = self._scale(width), self.plan.extent
        origin = Vec(x + _MARGIN, top - self.height(width) + 1.0) - Vec(box.xmin, box.ymin) * scale
        items: list[Item] = [words(_TITLE, x, top - 2.0 - NOTE, NOTE, bold=True)]
        for tile in self.plan.tiles:
            core = _scaled(tile.core, scale, origin)
            items.append(
                PathMark(
                    Contour.rectangle(core.width, core.height, centre=core.centre), Meaning.NOTE, name="map"
                )
            )
        return [*items, *self._numbers(scale, origin), *self._outlines(scale, origin)]

    def _numbers(self, scale: float, origin: Vec) -> list[Item]:
        """Columns over the map, rows at its left; only some of them where they are narrow."""
        box = _scaled(self.plan.extent, scale, origin)
        items: list[Item] = []
        columns = {tile.column: _scaled(tile.core, scale, origin) for tile in self.plan.tiles}
        rows = {tile.row: _scaled(tile.core, scale, origin) for tile in self.plan.tiles}
        at = float("-inf")
        for number in sorted(columns):
            middle = columns[number].centre.x
            if middle - at >= 5.5:
                items.append(words(str(number), middle, box.ymax + 1.0, LEAST, Anchor.MIDDLE))
                at = middle
        at = float("inf")
        for number in sorted(rows):
            middle = rows[number].centre.y
            if at - middle >= pitch_of(LEAST):
                items.append(words(str(number), box.xmin - 1.2, middle - LEAST / 2, LEAST, Anchor.RIGHT))
                at = middle
        return items

    def _outlines(self, scale: float, origin: Vec) -> list[Item]:
        items: list[Item] = []
        for item in self.scene.items:
            if isinstance(item, CircleMark) and item.meaning in HOLES and item.name != "locating ring":
                items.append(CircleMark(item.centre * scale + origin, _DOT, Meaning.NOTE, name="map"))
            if isinstance(item, PathMark) and item.meaning in _SHOWN:
                points = _thinned([at * scale + origin for at in flatten(item.contour, _SAGITTA / scale)])
                if len(points) > 2:
                    shape = Contour.polygon(points) if item.contour.closed else Contour.polyline(points)
                    items.append(PathMark(shape, Meaning.NOTE, name="map"))
        return items


def _scaled(box: Bounds, scale: float, origin: Vec) -> Bounds:
    return Bounds(
        box.xmin * scale + origin.x,
        box.ymin * scale + origin.y,
        box.xmax * scale + origin.x,
        box.ymax * scale + origin.y,
    )


def _thinned(points: list[Vec]) -> list[Vec]:
    """Points that are farther apart than a hair of the map."""
    kept: list[Vec] = []
    for point in points:
        if not kept or kept[-1].distance_to(point) > _SAGITTA:
            kept.append(point)
    return kept[:-1] if len(kept) > 1 and kept[0].distance_to(kept[-1]) <= _SAGITTA else kept
