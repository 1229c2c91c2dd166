"""A scene on a page: choose how it lies, set the furniture, then find places for all words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Drawing, Item, LineMark, PageInfo
from templgen.errors import PaperTooSmallError
from templgen.geometry import Bounds, Motion, Vec
from templgen.sheets.crosses import CROSS_BAND, Crosses, corner_crosses
from templgen.sheets.face_stamp import face_stamp
from templgen.sheets.facts import listed
from templgen.sheets.header import Head, header_marks, header_width
from templgen.sheets.legend import legend_blocks
from templgen.sheets.notes import Block, Paragraph, Poured, pour
from templgen.sheets.page import Areas, Page, caution_strip, drawing_areas, frame_marks
from templgen.sheets.placement import Label, place
from templgen.sheets.rulers import ruler_pair
from templgen.sheets.scene import Run, Scene, Section, Target, axes_of, seen_label
from templgen.sheets.space import Space
from templgen.sheets.title_block import Fields, title_block
from templgen.sheets.view import clipped, moved, view_of
from templgen.trade.paper import Paper, lengths_of, papers
from templgen.units import Unit

__all__ = [
    "Composed",
    "Kind",
    "Sheet",
    "clipped_runs",
    "compose",
    "finished",
    "notes_in",
    "one_page_paper",
    "run_labels",
    "with_musts",
]

Kind = Literal["template", "rough", "part", "fit", "notes", "measuring"]

_TRIES = 3
_MORE = "More on the notes sheets."


class Sheet(Struct, frozen=True):
    """One finished page: file stem, title, drawing, and what it is for.

    The first of some tiles carries the outermost points (mm) of the `whole` that is joined from them.
    """

    name: str
    title: str
    drawing: Drawing
    kind: Kind
    whole: tuple[Vec, ...] = ()


class Composed(Struct, frozen=True):
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
    whole: tuple[Vec, ...] = ()


def compose(
    name: str, title: str, kind: Kind, scene: Scene, head: Head, fields: Fields, paper: Paper, unit: Unit
) -> Composed:
    """Return a scene on the paper, at 1:1, in the way that leaves the fewest words over.

    Raises:
        PaperTooSmallError: the scene does not fit; the text names the smallest paper that holds it.
    """
    ways = [_laid(scene, areas, head, fields, unit) for areas in _areas(scene, paper, head, fields)]
    if not ways:
        raise _too_small(title, scene, paper, head, fields)
    ways.sort(key=lambda laid: laid.excess)
    tried = []
    for laid in ways[:_TRIES]:
        words, lost = _labels(scene, laid)
        if any(label.must for label in lost):
            laid = _laid(with_musts(scene, lost), laid.areas, head, fields, unit)
        items = (*_furniture(laid), *laid.seen, *words, *laid.poured.items)
        area, fields = laid.areas, laid.fields
        tried.append(
            Composed(name, title, kind, area.page, area.title, fields, items, laid.poured.rest, lost)
        )
        if not lost:
            break
    return min(tried, key=lambda each: len(each.lost))


def with_musts(scene: Scene, labels: Sequence[Label]) -> Scene:
    """Return a scene that tells in its notes what some of its labels must tell on the sheet itself."""
    told = dict.fromkeys(label.must for label in labels if label.must)
    return replace(scene, blocks=(*(Paragraph(words, bold=True) for words in told), *scene.blocks))


class _Laid(Struct, frozen=True):
    """A scene laid on a page, without its labels; `excess` is the height in mm of notes without room."""

    areas: Areas
    fields: Fields
    motion: Motion
    zone: Bounds
    crosses: Crosses
    header: tuple[Item, ...]
    seen: tuple[Item, ...]
    poured: Poured
    excess: float


def _laid(scene: Scene, areas: Areas, head: Head, fields: Fields, unit: Unit) -> _Laid:
    crosses = corner_crosses(areas.drawing, unit)
    zone = crosses.centres.grown(-CROSS_BAND)
    motion = view_of(scene.mirrored, areas.turn, scene.extent.centre, zone.centre)
    seen = tuple(_seen(scene, motion, zone))
    axes = axes_of(scene.plane, motion) if scene.plane else ()
    header, unsaid = header_marks(head, axes, areas.header)
    first = [Paragraph(text) for text in unsaid]
    poured, excess = notes_in(
        scene.accepted, scene.more, [*first, *legend_blocks(seen), *scene.blocks], areas.notes
    )
    fields = replace(fields, paper=areas.page.words)
    return _Laid(areas, fields, motion, zone, crosses, tuple(header), seen, poured, excess)


def _furniture(laid: _Laid) -> list[Item]:
    areas = laid.areas
    rulers = ruler_pair(areas.zero, *areas.rulers)
    return [
        *frame_marks(areas.page),
        *caution_strip(areas.page),
        *rulers,
        *laid.crosses.items,
        *laid.header,
    ]


def notes_in(
    accepted: Sequence[Section], more: Sequence[Section], blocks: Sequence[Block], areas: Sequence[Bounds]
) -> tuple[Poured, float]:
    """Return the notes with as many of the sections as fit, and the height of all that does not.

    What was accepted goes before a pointer to what may be left out behind it; where it has no room itself the
    pointer names it.
    """
    width = areas[0].width if areas else 60.0
    chosen, missing, out, carried = list(blocks), list[str](), list[Block](), list[Block]()
    for number, section in enumerate([*accepted, *more], -len(accepted)):
        # Room is kept for a pointer that names all that may still be left out.
        later = [each.whole_name for each in more[number + 1 :]] if number >= 0 else []
        for shown, left in section.options():
            pointer = _pointer([*missing, *([left] if left else []), *later])
            if not shown or not pour([*chosen, *shown, *pointer], areas).rest:
                chosen += shown
                missing += [left] if left else []
                out += section.blocks[len(shown) :]
                carried += section.blocks[len(shown) :] if section.carried else ()
                break
    poured = pour([*chosen, *_pointer(missing)], areas)
    if poured.rest and missing:
        shorter = pour([*chosen, Paragraph(_MORE, bold=True)], areas)
        poured = shorter if len(shorter.rest) < len(poured.rest) else poured
    if any(block in chosen for block in poured.rest):
        poured = _pointed(chosen, areas) or poured
    excess = sum(block.height(width) for block in [*poured.rest, *out])
    rest = [block for block in poured.rest if block in chosen]
    return Poured(poured.items, (*rest, *carried), poured.foot), excess


def _pointed(blocks: Sequence[Block], areas: Sequence[Bounds]) -> Poured | None:
    """As many blocks as leave room for a pointer to all others; what finds no room keeps it off the sheet."""
    for count in range(len(blocks), -1, -1):
        poured = pour([*blocks[:count], Paragraph(_MORE, bold=True)], areas)
        if not poured.rest:
            return replace(poured, rest=tuple(blocks[count:]))
    return None


def _pointer(missing: Sequence[str]) -> list[Block]:
    return [Paragraph(f"On the notes sheets: {listed(list(missing))}.", bold=True)] if missing else []


def _areas(scene: Scene, paper: Paper, head: Head, fields: Fields) -> list[Areas]:
    # Rounded up, so that a rounding error of a motion never decides about a page.
    width, height = scene.extent.width + 1e-6, scene.extent.height + 1e-6

    def wanted(turn: int) -> float:
        origin = Vec(0.0, 0.0)
        motion = view_of(scene.mirrored, turn, origin, origin)
        return header_width(head, axes_of(scene.plane, motion) if scene.plane else ())

    for piece in lengths_of(paper):
        ways = drawing_areas(piece, width, height, fields, wanted)
        found = [areas for areas in ways if not (areas.turn and scene.upright)]
        if found:
            return found
    return []


def _too_small(title: str, scene: Scene, paper: Paper, head: Head, fields: Fields) -> PaperTooSmallError:
    size = f"{scene.extent.width:.0f} x {scene.extent.height:.0f} mm"
    start = f'"{title}" ({size}) does not fit {paper.title} at 1:1 with rulers, crosses and title block'
    return PaperTooSmallError(f"{start}; {one_page_paper(scene, paper, head, fields)}")


def one_page_paper(scene: Scene, paper: Paper, head: Head, fields: Fields) -> str:
    """Return in words which larger paper holds a scene on one page."""
    for other in papers().values():
        own = replace(other, margin_mm=paper.margin_mm)
        if other.area_mm2 > paper.area_mm2 and _areas(scene, own, head, fields):
            return f"the smallest paper that holds it is {other.title}"
    return "no paper of the table holds it"


def _seen(scene: Scene, motion: Motion, zone: Bounds) -> list[Item]:
    """The marks of a scene on the page: what goes on is cut off at the zone, targets outside are dropped."""
    items: list[Item] = clipped_runs([run.moved(motion) for run in scene.runs], zone)
    for target in _targets(scene, motion, zone):
        items += target.items
    return [*items, *(moved(item, motion) for item in scene.items)]


def _targets(scene: Scene, motion: Motion, zone: Bounds) -> list[Target]:
    """The targets that the page shows."""
    inner = zone.grown(-4.0)
    return [target.moved(motion) for target in scene.targets if inner.contains(motion.apply(target.at))]


def clipped_runs(runs: Sequence[Run], zone: Bounds) -> list[Item]:
    """Return the lines that go on, as far as a zone of the page shows them."""
    shown = ((clipped(run.line, zone), run.meaning) for run in runs)
    return [LineMark(line, meaning) for line, meaning in shown if line is not None]


def _labels(scene: Scene, laid: _Laid) -> tuple[list[Item], tuple[Label, ...]]:
    """Words beside the drawing, and the labels that found no place."""
    motion = laid.motion
    waste, keep = ([contour.moved(motion) for contour in each] for each in (scene.waste, scene.keep))
    space = Space(laid.zone, waste, keep)
    space.take([*laid.seen, *laid.crosses.items])
    own = [seen_label(label, motion) for label in scene.labels]
    own += [target.label for target in _targets(scene, motion, laid.zone)]
    # First: holes have a number and a table, the face and the axis stand nowhere else on the metal.
    words = face_stamp(space, axes_of(scene.plane, motion) if scene.plane else (), scene.face)
    lost: list[Label] = []
    for label in [*own, *run_labels([run.moved(motion) for run in scene.runs], laid.zone)]:
        placed = place(space, label)
        if placed is None:
            lost.append(label)
        else:
            words += placed.items
    return words, tuple(lost)


def run_labels(runs: Sequence[Run], zone: Bounds) -> list[Label]:
    """Return one label for each line that goes on, at any of several places along what a zone shows."""
    labels = []
    for run in runs:
        line = clipped(run.line, zone)
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
    return Sheet(composed.name, composed.title, drawing, composed.kind, composed.whole)
