"""A scene on a page: choose how it lies, set the furniture, then find places for all words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from templgen.drawing import Drawing, Item, LineMark, PageInfo
from templgen.errors import PaperTooSmallError
from templgen.geometry import Bounds, Motion
from templgen.sheets.crosses import CROSS_BAND, corner_crosses
from templgen.sheets.header import Head, header_marks
from templgen.sheets.legend import legend_blocks
from templgen.sheets.notes import Block, pour
from templgen.sheets.page import Areas, Page, caution_strip, drawing_areas, frame_marks
from templgen.sheets.placement import Label, Space, place
from templgen.sheets.rulers import ruler_pair
from templgen.sheets.scene import Scene, axes_of, seen_label
from templgen.sheets.title_block import Fields, title_block
from templgen.sheets.view import clipped, moved, view_of
from templgen.trade.paper import Paper, papers
from templgen.units import Unit

__all__ = ["Composed", "Kind", "Sheet", "compose", "finished"]

Kind = Literal["template", "rough", "part", "fit", "notes", "measuring"]

_TRIES = 6


@dataclass(frozen=True, slots=True)
class Sheet:
    """One finished page: file stem, title, drawing, and what it is for."""

    name: str
    title: str
    drawing: Drawing
    kind: Kind


@dataclass(frozen=True, slots=True)
class Composed:
    """A page without its sheet number: marks, fields, and the notes that found no room on it.

    `lost` are labels that found no place beside the drawing; their words go to the notes.
    """

    name: str
    title: str
    kind: Kind
    page: Page
    title_area: Bounds
    fields: Fields
    items: tuple[Item, ...]
    rest: tuple[Block, ...] = ()
    lost: tuple[Label, ...] = ()


def compose(
    name: str, title: str, kind: Kind, scene: Scene, head: Head, fields: Fields, paper: Paper, unit: Unit
) -> Composed:
    """Return a scene on the paper, at 1:1, in the way that leaves the fewest words over.

    Raises:
        PaperTooSmallError: the scene does not fit; the text names the smallest paper that holds it.
    """
    best: Composed | None = None
    for count, areas in enumerate(_areas(scene, paper, fields)):
        if count >= _TRIES:
            break
        tried = _on_page(name, title, kind, scene, head, replace(fields, paper=areas.page.words), areas, unit)
        if best is None or _loss(tried) < _loss(best):
            best = tried
        if _loss(best) == (0, 0):
            break
    if best is None:
        raise _too_small(title, scene, paper, fields)
    return best


def _areas(scene: Scene, paper: Paper, fields: Fields) -> list[Areas]:
    # Rounded up, so that a rounding error of a motion never decides about a page.
    width, height = scene.extent.width + 1e-6, scene.extent.height + 1e-6
    return list(drawing_areas(paper, width, height, fields))


def _loss(composed: Composed) -> tuple[int, int]:
    return len(composed.lost), len(composed.rest)


def _too_small(title: str, scene: Scene, paper: Paper, fields: Fields) -> PaperTooSmallError:
    size = f"{scene.extent.width:.0f} x {scene.extent.height:.0f} mm"
    start = f'"{title}" ({size}) does not fit {paper.title} at 1:1 with rulers, crosses and title block'
    for other in papers().values():
        if other.area_mm2 > paper.area_mm2 and _areas(scene, other, fields):
            return PaperTooSmallError(f"{start}; the smallest paper that holds it is {other.title}")
    return PaperTooSmallError(f"{start}; no paper of the table holds it")


def _on_page(
    name: str, title: str, kind: Kind, scene: Scene, head: Head, fields: Fields, areas: Areas, unit: Unit
) -> Composed:
    crosses = corner_crosses(areas.drawing, unit)
    zone = crosses.centres.grown(-CROSS_BAND + 0.5)
    motion = view_of(scene.mirrored, areas.turn, scene.extent.centre, zone.centre)
    seen = _seen(scene, motion, zone)
    axes = axes_of(scene.plane, motion) if scene.plane else ()
    furniture = [
        *frame_marks(areas.page),
        *caution_strip(areas.page),
        *ruler_pair(areas.zero, *areas.rulers),
        *crosses.items,
        *header_marks(head, axes, areas.header),
    ]
    words, lost = _labels(scene, motion, zone, [*seen, *crosses.items])
    poured = pour([*legend_blocks(seen), *scene.blocks], areas.notes)
    items = (*furniture, *seen, *words, *poured.items)
    return Composed(name, title, kind, areas.page, areas.title, fields, items, poured.rest, lost)


def _seen(scene: Scene, motion: Motion, zone: Bounds) -> list[Item]:
    """The marks of a scene on the page: what goes on is cut off at the zone, targets outside it are dropped."""
    items: list[Item] = []
    for run in scene.runs:
        line = clipped(run.line.moved(motion), zone)
        if line is not None:
            items.append(LineMark(line, run.meaning))
    inner = zone.grown(-4.0)
    for centre, marks in scene.targets:
        if inner.contains(motion.apply(centre)):
            items += [moved(mark, motion) for mark in marks]
    return [*items, *(moved(item, motion) for item in scene.items)]


def _labels(
    scene: Scene, motion: Motion, zone: Bounds, taken: Sequence[Item]
) -> tuple[list[Item], tuple[Label, ...]]:
    space = Space(zone)
    space.take(taken)
    space.waste += [contour.moved(motion) for contour in scene.waste]
    space.keep += [contour.moved(motion) for contour in scene.keep]
    words: list[Item] = []
    lost: list[Label] = []
    own = [seen_label(label, motion) for label in scene.labels]
    for label in [*own, *_run_labels(scene, motion, zone)]:
        placed = place(space, label)
        if placed is None:
            lost.append(label)
        else:
            words += placed.items
    return words, tuple(lost)


def _run_labels(scene: Scene, motion: Motion, zone: Bounds) -> list[Label]:
    """One label for each line that goes on, at any of several places along what the page shows of it."""
    labels = []
    for run in scene.runs:
        line = clipped(run.line.moved(motion), zone)
        if line is None or not run.words:
            continue
        steps = [0.02, 0.98, 0.1, 0.9, 0.2, 0.8, 0.35, 0.65, 0.5]
        targets = tuple(line.point_at(step) for step in steps)
        labels.append(Label(targets, (run.words,), keep=0.0, outwards=None, reach=35.0))
    return labels


def finished(composed: Composed, number: int, count: int, info: PageInfo) -> Sheet:
    """Return a page with its sheet number."""
    fields = replace(composed.fields, sheet=f"{number} of {count}")
    items = (*composed.items, *title_block(fields, composed.title_area))
    drawing = Drawing(items, info, composed.page.width, composed.page.height)
    return Sheet(composed.name, composed.title, drawing, composed.kind)
