"""Tile a scene: fewest pages, then one composed page for every tile."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import CircleMark, Item, Meaning, PathMark
from templgen.errors import PaperTooSmallError
from templgen.geometry import Bounds, Motion, Vec, flatten
from templgen.sheets.compose import (
    Composed,
    Kind,
    clipped_runs,
    notes_in,
    one_page_paper,
    run_labels,
    with_musts,
)
from templgen.sheets.crosses import Crosses, corner_crosses
from templgen.sheets.face_stamp import face_stamp
from templgen.sheets.header import Axis, Head, header_marks
from templgen.sheets.legend import LegendRow, legend_blocks, meanings_of
from templgen.sheets.lettering import NOTE
from templgen.sheets.marks import CENTRE_ARM
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.page import Areas, caution_strip, frame_marks
from templgen.sheets.placement import Label, place
from templgen.sheets.rulers import ruler_pair
from templgen.sheets.scene import Scene, Section, Target, axes_of, seen_label
from templgen.sheets.space import Space
from templgen.sheets.tiling.areas import tile_areas, zone_of
from templgen.sheets.tiling.assembly_map import AssemblyMap
from templgen.sheets.tiling.clip import Boxed, boxed, clip, holds
from templgen.sheets.tiling.join_marks import edge_labels, edge_marks, name_labels
from templgen.sheets.tiling.plan import LABEL_ROOM, Edge, Plan, Tile, holes_of, plan_of, with_edges
from templgen.sheets.title_block import Fields
from templgen.sheets.view import moved, view_of
from templgen.trade.paper import Paper, lengths_of
from templgen.units import Unit, format_length

__all__ = ["MOST_PAGES", "tiled"]

MOST_PAGES = 50
"""More tiles than this are drawn only when they are asked for."""
_SAGITTA = 0.05
_FAR = 60.0
"""Words that found no place near by may stand this far off, mm."""


def tiled(
    name: str,
    title: str,
    kind: Kind,
    scene: Scene,
    head: Head,
    fields: Fields,
    paper: Paper,
    unit: Unit,
    many_pages: bool = False,
) -> list[Composed]:
    """Return a scene at 1:1 on as few tiles as will do, the assembly map on the first of them.

    Raises:
        PaperTooSmallError: it takes more than 50 pages and `many_pages` is not asked for, or a tile would
            show next to nothing; the text names the smallest paper that holds it on one page.
    """
    scene = with_musts(scene, scene.labels)
    way = _fewest(title, scene, fields, paper, unit)
    size = f"{scene.extent.width:.0f} x {scene.extent.height:.0f} mm"
    if way is None:
        larger = one_page_paper(scene, paper, head, fields)
        raise PaperTooSmallError(f'"{title}" ({size}): {paper.title} is too small for tiles; {larger}')
    count = len(way.plan.tiles)
    if count > MOST_PAGES and not many_pages:
        larger = one_page_paper(scene, paper, head, fields)
        raise PaperTooSmallError(
            f'"{title}" ({size}) takes {count} pages of {paper.title}, more than {MOST_PAGES}, and every '
            f"join adds its error; {larger}; --many-pages draws them all"
        )
    pages = _Pages(name, title, kind, head, fields, unit, way)
    return pages.composed()


class _Way(Struct, frozen=True):
    """One way to tile a scene: the page, the scene as the page shows it, and the tiles."""

    areas: Areas
    zone: Bounds
    scene: Scene
    marks: Sequence[Boxed]
    axes: tuple[Axis, ...]
    plan: Plan


def _fewest(title: str, scene: Scene, fields: Fields, paper: Paper, unit: Unit) -> _Way | None:
    """The way with the fewest pages, of equals the first; of a roll the shortest length that does it."""
    best: _Way | None = None
    for piece in reversed(list(lengths_of(paper))):
        ways = list(_ways(title, scene, fields, piece, unit))
        found = min(ways, key=lambda way: len(way.plan.tiles), default=None)
        if found is None or (best is not None and len(found.plan.tiles) > len(best.plan.tiles)):
            break
        best = found
    return best and replace(best, plan=with_edges(best.plan, best.scene))


def _ways(title: str, scene: Scene, fields: Fields, paper: Paper, unit: Unit) -> list[_Way]:
    ways = []
    longest = replace(fields, part=_part(title, "10-10"))
    for turn in (0,) if scene.upright else (0, 90):
        seen, axes = _turned(scene, turn)
        marks = boxed(seen.items)
        for areas in tile_areas(paper, longest, _least_notes(seen), unit):
            zone = zone_of(areas, unit)
            plan = plan_of(seen, marks, zone.width, zone.height)
            ways.append(_Way(areas, zone, seen, marks, axes, plan))
    return ways


def _part(title: str, tile: str) -> str:
    return f"{title}, tile {tile}"


def _turned(scene: Scene, turn: int) -> tuple[Scene, tuple[Axis, ...]]:
    """A scene as it is looked at, upright on the page, and the arrows of its axes."""
    origin = Vec(0.0, 0.0)
    motion = view_of(scene.mirrored, turn, origin, origin)
    extent = Bounds.of([motion.apply(corner) for corner in scene.extent.corners])
    seen = replace(
        scene,
        items=tuple(moved(item, motion) for item in scene.items),
        extent=extent or scene.extent,
        labels=tuple(seen_label(label, motion) for label in scene.labels),
        runs=tuple(run.moved(motion) for run in scene.runs),
        targets=tuple(target.moved(motion) for target in scene.targets),
        waste=tuple(contour.moved(motion) for contour in scene.waste),
        keep=tuple(contour.moved(motion) for contour in scene.keep),
        mirrored=False,
    )
    return seen, axes_of(scene.plane, motion) if scene.plane else ()


def _least_notes(scene: Scene) -> list[Block]:
    """What must have room beside any tile: the legend of all kinds, what was accepted, the map."""
    targets = [mark for target in scene.targets for mark in target.items]
    kinds = {
        *meanings_of([*scene.items, *targets]),
        *(run.meaning for run in scene.runs),
        Meaning.JOIN,
    }
    rows = [LegendRow(kind) for kind in Meaning if kind in kinds]
    empty = Plan((), 0, 0, (), scene.extent.grown(LABEL_ROOM))
    accepted = [block for section in scene.accepted for block in section.blocks]
    return [Heading("Lines on this sheet"), *rows, *scene.blocks, *accepted, AssemblyMap(empty, scene)]


class _Pages:
    """All pages of one tiling."""

    def __init__(
        self, name: str, title: str, kind: Kind, head: Head, fields: Fields, unit: Unit, way: _Way
    ) -> None:
        self.name, self.title, self.kind = name, title, kind
        self.head, self.fields, self.unit, self.way = head, fields, unit, way
        self.crosses: Crosses = corner_crosses(way.areas.drawing, unit)
        self.furniture: list[Item] = [
            *frame_marks(way.areas.page),
            *caution_strip(way.areas.page),
            *ruler_pair(way.areas.zero, *way.areas.rulers),
            *self.crosses.items,
        ]
        reach: dict[Vec, float] = {}
        for centre, half in holes_of(way.scene):
            reach[centre] = max(half, reach.get(centre, 0.0))
        self.holes = tuple(reach.items())
        self.unplaced = dict(enumerate(way.scene.labels))

    def composed(self) -> list[Composed]:
        """Return one page for each tile; labels that found a place on none go with the first."""
        pages = [self._page(tile) for tile in self.way.plan.tiles]
        lost = (*pages[0].lost, *self.unplaced.values())
        return [replace(pages[0], lost=lost, whole=_proved(self.way.scene)), *pages[1:]]

    def _page(self, tile: Tile) -> Composed:
        way = self.way
        shift = Motion.translation(way.zone.centre - tile.window.centre)
        seen_zone = _shifted(way.zone, shift.inverse())
        window, core = (_opened(box, tile, way.plan, seen_zone) for box in (tile.window, tile.core))
        edges = [edge for edge in way.plan.edges if tile in (edge.first, edge.second)]
        seen = [
            *_shown(way, window, self._elsewhere(tile)),
            *(mark for edge in edges for mark in edge_marks(edge)),
        ]
        seen = [moved(item, shift) for item in seen]
        words, lost = self._labels(tile, (core, window), edges, shift, seen)
        header, notes, rest = self._words_beside(tile, seen)
        part = _part(self.title, tile.name)
        fields = replace(self.fields, part=part, paper=way.areas.page.words)
        items = (*self.furniture, *header, *seen, *words, *notes)
        stem = f"{self.name}-tile-{tile.name}"
        return Composed(
            stem, part, self.kind, way.areas.page, way.areas.title, fields, items, tuple(rest), tuple(lost)
        )

    def _elsewhere(self, tile: Tile) -> list[Vec]:
        """Centres of holes that this tile would split and another one shows whole: none of it is shown."""
        found = []
        for centre, half in self.holes:
            box = Bounds(centre.x, centre.y, centre.x, centre.y).grown(half)
            if box.overlaps(tile.window) and not holds(tile.window, box):
                others = (each.window for each in self.way.plan.tiles if each is not tile)
                found += [centre] if any(holds(window, box) for window in others) else []
        return found

    def _labels(
        self,
        tile: Tile,
        boxes: tuple[Bounds, Bounds],
        edges: Sequence[Edge],
        shift: Motion,
        seen: Sequence[Item],
    ) -> tuple[list[Item], list[Label]]:
        """Words for what is on this side of all joins, so that no word is cut or covered."""
        scene, (core, window) = self.way.scene, boxes
        area = _shifted(core, shift)
        waste, keep = (
            [contour.moved(shift) for contour in each if contour.bounds.overlaps(core)]
            for each in (scene.waste, scene.keep)
        )
        space = Space(area, waste, keep)
        space.take([*seen, *self.crosses.items])
        names = [label for edge in edges for label in name_labels(edge, tile)]
        own = [(number, _within(label, core)) for number, label in enumerate(scene.labels)]
        more = [each.label for each in _targets(scene, window) if core.contains(each.at)]
        more += [edge_labels(edge, tile) for edge in edges] + run_labels(scene.runs, core)
        words = face_stamp(space, self.way.axes, scene.face)
        lost: list[Label] = []
        for number, label in [(-1, each) for each in names] + own + [(-1, each) for each in more]:
            if not label.targets:
                continue
            tries = _tries(seen_label(label, shift), number < 0)
            placed = next((found for each in tries if (found := place(space, each))), None)
            if placed is not None:
                words += placed.items
                self.unplaced.pop(number, None)
            elif number < 0:
                lost.append(label)
        return words, lost

    def _words_beside(
        self, tile: Tile, seen: Sequence[Item]
    ) -> tuple[Sequence[Item], Sequence[Item], Sequence[Block]]:
        """The header, and the notes; those of the whole template stand on the first tile."""
        way, plan = self.way, self.way.plan
        where = f"Tile {tile.name}: row {tile.row} of {plan.rows}, column {tile.column} of {plan.columns}."
        head = replace(self.head, detail=f"{where} {self.head.detail}")
        header, unsaid = header_marks(head, way.axes, way.areas.header)
        blocks: list[Block] = [Paragraph(text) for text in unsaid]
        blocks += [*legend_blocks(seen), *way.scene.blocks]
        more: tuple[Section, ...] = ()
        if tile is plan.tiles[0]:
            blocks.append(AssemblyMap(plan, way.scene))
            more = (_joining(plan, self.unit), *way.scene.more)
        poured, _ = notes_in(way.scene.accepted, more, blocks, way.areas.notes)
        return header, poured.items, poured.rest


def _tries(label: Label, of_joins: bool) -> list[Label]:
    """A label, and how else it may stand: in letters of notes, farther off.

    Words about joins may stand on paper that is cut away too: tiles are joined before anything is cut out.
    """
    tries = [label]
    if of_joins:
        tries.append(replace(label, in_waste=True))
    return tries + [replace(each, height=NOTE, reach=_FAR) for each in tries if label.height > NOTE]


def _proved(scene: Scene) -> tuple[Vec, ...]:
    """Points along all that is cut, and the centres of all holes: what must come out right over all tiles."""
    points: list[Vec] = []
    for item in scene.items:
        if isinstance(item, PathMark) and item.meaning is Meaning.CUT:
            points += flatten(item.contour, _SAGITTA)
        if isinstance(item, CircleMark) and item.meaning in (Meaning.HOLE, Meaning.LOCATING_HOLE):
            points.append(item.centre)
    return tuple(points)


def _shifted(box: Bounds, shift: Motion) -> Bounds:
    by = shift.apply(Vec(0.0, 0.0))
    return Bounds(box.xmin + by.x, box.ymin + by.y, box.xmax + by.x, box.ymax + by.y)


def _opened(box: Bounds, tile: Tile, plan: Plan, zone: Bounds) -> Bounds:
    """A box that goes on to the end of the page where the template ends."""
    return Bounds(
        zone.xmin if tile.column == 1 else box.xmin,
        zone.ymin if tile.row == plan.rows else box.ymin,
        zone.xmax if tile.column == plan.columns else box.xmax,
        zone.ymax if tile.row == 1 else box.ymax,
    )


def _belongs_to(item: Item, centres: Sequence[Vec]) -> bool:
    """Whether a mark is the circle or the centre mark of one of some holes."""
    if isinstance(item, CircleMark):
        return item.centre in centres
    if not isinstance(item, PathMark) or item.meaning is not Meaning.CENTRE:
        return False
    start = item.contour.segments[0].start
    return any(start.distance_to(centre) < CENTRE_ARM / 2 for centre in centres)


def _shown(way: _Way, window: Bounds, elsewhere: Sequence[Vec]) -> list[Item]:
    """What a window shows: lines that go on, rivets that place the template, the marks of the template."""
    items = clipped_runs(way.scene.runs, window)
    for target in _targets(way.scene, window):
        items += target.items
    for mark in way.marks:
        pieces = clip(mark, window)
        if pieces and not (elsewhere and _belongs_to(mark[0], elsewhere)):
            items += pieces
    return items


def _targets(scene: Scene, window: Bounds) -> list[Target]:
    """The targets that a window shows."""
    inner = window.grown(-4.0)
    return [target for target in scene.targets if inner.contains(target.at)]


def _within(label: Label, core: Bounds) -> Label:
    """A label with those of its places that are on this side of all joins."""
    return replace(label, targets=tuple(target for target in label.targets if core.contains(target)))


def _joining(plan: Plan, unit: Unit) -> Section:
    """How the tiles are joined, and the one measure that proves the whole."""
    steps = [
        "Prove every tile by its rulers and crosses before it is cut.",
        "In the order of the map, row by row: cut a tile along the dashed line at its left and upper edge, "
        "where one is, through the middle of the targets.",
        "Lay it on the tile that the line names: same names meet, both halves of every target make one "
        "circle and one straight cross. Tape it flat, on a flat table.",
    ]
    places = [place for edge in plan.edges for place in zip(edge.names, edge.targets, strict=True)]
    if len(places) > 1:
        (a, one), (b, two) = max(combinations(places, 2), key=lambda pair: pair[0][1].distance_to(pair[1][1]))
        steps.append(
            f"Prove the whole: from target {a} to target {b} {format_length(one.distance_to(two), unit)}."
        )
    blocks: list[Block] = [Heading("Joining the tiles")]
    blocks += [Paragraph(text, lead=f"{number}.") for number, text in enumerate(steps, 1)]
    return Section("joining the tiles", tuple(blocks), carried=True)
