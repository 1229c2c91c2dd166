"""The whole set seen from outside: every part of a stack, every hole, every nutplate, in one view at 1:1.

Where the set takes more than a few sheets of paper there is an orientation view, which is not to scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import CircleMark, Item, Meaning, PathMark
from templgen.geometry import Arc, Bounds, Contour, Line, Vec
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly, Cutout, Face, Fastener, Plane
from templgen.layout.prefixes import FASTENER
from templgen.sheets.extent import structure_runs
from templgen.sheets.facts import listed, numbers, one
from templgen.sheets.groups import Group
from templgen.sheets.lettering import NOTE, TITLE, pitch_of, words
from templgen.sheets.notes import Block, Paragraph
from templgen.sheets.packet.joints import Joint
from templgen.sheets.packet.section import NOT_TO_SCALE
from templgen.sheets.placement import Label, place
from templgen.sheets.scene import Run, Scene
from templgen.sheets.space import Space
from templgen.sheets.targets import rivet_targets

__all__ = ["OrientationFigure", "PlanSet", "plan_scene", "plan_set", "scaled"]

_Joined = tuple[Joint, Fastener]
_DEEPEST = 130.0
_BESIDE = 30.0


class PlanSet(Struct, frozen=True):
    """What belongs together in the skin plane: parts, cutouts, holes, and marks that are no metal."""

    name: str
    faces: tuple[Face, ...]
    cutouts: tuple[Cutout, ...]
    fasteners: tuple[Fastener, ...]
    plates: tuple[Contour, ...]
    boxes: tuple[tuple[str, Contour], ...]

    @property
    def extent(self) -> Bounds:
        """The box round all of it, mm in the skin plane."""
        boxes = [face.outline.bounds for face in self.faces if face.outline is not None]
        boxes += [cutout.contour.bounds for cutout in self.cutouts]
        boxes += [contour.bounds for contour in self.plates]
        for each in self.fasteners:
            boxes.append(Bounds(each.at.x, each.at.y, each.at.x, each.at.y).grown(each.spec.hole))
        box = boxes[0]
        for other in boxes[1:]:
            box = box.union(other)
        return box

    def outlines(self) -> Iterator[tuple[str, Contour, Meaning]]:
        """Yield every line with its name and what it means."""
        for face in self.faces:
            for contour in face.outline.contours if face.outline is not None else ():
                yield face.part, contour, Meaning.HIDDEN
        for name, contour in self.boxes:
            yield name, contour, Meaning.HIDDEN
        for contour in self.plates:
            yield "", contour, Meaning.HIDDEN
        for cutout in self.cutouts:
            yield cutout.name, cutout.contour, Meaning.CUT


def plan_set(assembly: Assembly, group: Group) -> PlanSet:
    """Return what belongs to the features of a template, also where it does not pass the skin."""
    named_first = [each.feature for each in group.cutouts] + [each.feature for each in group.fasteners]
    features = dict.fromkeys(named_first)
    fasteners = tuple(
        each
        for each in assembly.fasteners
        if not each.exists and each.feature in features and each.plane == SKIN_PLANE
    )
    cutouts = tuple(each for each in assembly.cutouts if each.feature in features)
    named = {name for each in fasteners for name in each.stack}
    named |= {name for each in cutouts for name in each.faces}
    faces = tuple(
        face
        for face in assembly.faces.values()
        if face.name in named and face.outline is not None and assembly.parts[face.part].made
    )
    openings = [each for each in assembly.openings if each.name in features]
    plates = tuple(
        plate.outline for each in openings for plate in each.nutplates if plate.outline is not None
    )
    boxes = tuple((each.hangs.name, each.hangs.footprint) for each in openings if each.hangs is not None)
    name = group.name if group.mast is not None else listed(list(features))
    return PlanSet(name, faces, cutouts, fasteners, plates, boxes)


def plan_scene(job: Job, assembly: Assembly, chosen: PlanSet, joints: Sequence[Joint]) -> Scene:
    """Return the set as a scene in the skin plane, as seen from outside."""
    items: list[Item] = [
        CircleMark(each.at, each.spec.hole / 2, _meaning(each), name=str(each.number))
        for each in chosen.fasteners
    ]
    items += [PathMark(contour, meaning, name=name) for name, contour, meaning in chosen.outlines()]
    labels = [*_part_labels(job, assembly, chosen), *_joint_labels(chosen, joints)]
    return Scene(
        tuple(items),
        chosen.extent,
        tuple(labels),
        tuple(_named_once(structure_runs(assembly), assembly)),
        rivet_targets(assembly),
        plane=assembly.planes[SKIN_PLANE],
        blocks=tuple(_key(chosen, joints)),
    )


def _meaning(fastener: Fastener) -> Meaning:
    return Meaning.REFERENCE_HOLE if fastener.is_from_nutplate else Meaning.HOLE


def _named_once(runs: Iterable[Run], assembly: Assembly) -> Iterator[Run]:
    """The lines of structure, each structure named at one line only."""
    named: set[str] = set()
    for run in runs:
        name = next((each for each in assembly.structures if run.words[0].startswith(f"{each}:")), "")
        yield replace(run, words=(name,) if name and name not in named else ())
        named.add(name)


def _key(chosen: PlanSet, joints: Sequence[Joint]) -> list[Block]:
    """Where it is said what the names of fasteners stand for; nothing where there is none."""
    names = {each.name for each in chosen.fasteners}
    lettered = any(each.name in names for joint in joints for each in joint.fasteners)
    return (
        [Paragraph(f'{FASTENER}1, {FASTENER}2 ...: the fasteners of "The stack in section".')]
        if lettered
        else []
    )


def _part_labels(job: Job, assembly: Assembly, chosen: PlanSet) -> list[Label]:
    labels = []
    for face in chosen.faces:
        side = assembly.parts[face.part].side
        where = f"{face.part}, {side} the skin" if side else face.part
        text = (where, f"{face.material}, {one(job, face.thickness)}")
        outer = face.outline.outer if face.outline is not None else None
        if outer is not None:
            labels.append(Label(_along(outer), (text, text[:1], (face.part,)), NOTE, near=False))
    for cutout in chosen.cutouts:
        what = cutout.name if cutout.name.endswith(("cutout", "hole", "bore")) else f"{cutout.name}: cutout"
        labels.append(Label(_along(cutout.contour), ((what,), (cutout.name,)), NOTE, near=False))
    for name, contour in chosen.boxes:
        labels.append(Label(_along(contour), ((f"{name}, on the cover",), (name,)), NOTE, near=False))
    return labels


def _along(contour: Contour) -> tuple[Vec, ...]:
    return tuple(contour.point_at(contour.length * step / 16)[0] for step in range(16))


def _joint_labels(chosen: PlanSet, joints: Sequence[Joint]) -> list[Label]:
    """The name of its joint beside every hole; a nutplate has one label, at its screw."""
    names = {each.name for each in chosen.fasteners}
    found: dict[str, list[_Joined]] = {}
    for joint in joints:
        for each in joint.fasteners:
            if each.name in names:
                found.setdefault(each.nutplate or each.name, []).append((joint, each))
    return [_joint_label(group) for group in found.values()]


def _joint_label(group: Sequence[_Joined]) -> Label:
    """On a leader where lugs are named too: between the holes of a nutplate nobody can tell whose it is."""
    joint, hole = min(group, key=lambda pair: pair[0].is_lug)
    lugs = [(each, lug) for each, lug in group if each.is_lug and lug is not hole]
    marks = listed(list(dict.fromkeys(each.mark for each, _ in lugs)))
    behind = f"lugs {marks}" if lugs else ""
    variants = ((f"{joint.mark}, {behind}",), (joint.mark, behind)) if lugs else ((joint.mark,),)
    lost = f"{joint.mark} at hole {hole.number}"
    if lugs:
        lost += f", {marks} at its lug holes {numbers([lug for _, lug in lugs])}"
    radius = joint.spec.hole / 2
    return Label((hole.at,), variants, NOTE, radius, 0.3, near=not lugs, reach=23.0, lost=lost)


class OrientationFigure(Struct, frozen=True):
    """The set at no scale, for a page that can not hold it at 1:1."""

    chosen: PlanSet
    plane: Plane
    keeps_with_next: bool = False

    def _axes(self) -> str:
        """How it is seen, and what lies where."""
        x, y = _way(self.plane.x_axis), _way(self.plane.y_axis)
        return (
            "Seen from outside; too large for this paper at 1:1. "
            f"{self.plane.x_words} is {x}, {self.plane.y_words} is {y}."
        )

    def _scale(self, width: float) -> float:
        box = self.chosen.extent
        return min((width - 2 * _BESIDE) / box.width, (_DEEPEST - 2 * _BESIDE) / box.height)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return 3.0 + 3 * pitch_of(TITLE) + self.chosen.extent.height * self._scale(width) + 2 * _BESIDE

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        foot = top - self.height(width)
        head = top - 3.0 - TITLE
        items: list[Item] = [
            words(f"Where the parts of {self.chosen.name} lie", x, head, TITLE, bold=True),
            words(NOT_TO_SCALE, x, head - pitch_of(TITLE), TITLE, bold=True),
            words(self._axes(), x, head - pitch_of(TITLE) - pitch_of(NOTE) - 1.0, NOTE),
        ]
        zone = Bounds(x, foot, x + width, head - pitch_of(TITLE) - pitch_of(NOTE) - 3.0)
        scale, middle = self._scale(width), self.chosen.extent.centre
        shown = [
            (name, scaled(contour, middle, scale, zone.centre), meaning)
            for name, contour, meaning in self.chosen.outlines()
        ]
        lines: list[Item] = [PathMark(contour, meaning, name=name) for name, contour, meaning in shown]
        space = Space(zone, [], [])
        space.take(lines)
        for name, contour, _ in shown:
            label = Label(_along(contour), ((name,),), NOTE, near=False)
            placed = place(space, label) if name else None
            items += placed.items if placed is not None else ()
        return [*items, *lines]


def _way(axis: Vec) -> str:
    """Where an axis points on a page that lies as the plane does."""
    if abs(axis.x) >= abs(axis.y):
        return "to the right" if axis.x > 0 else "to the left"
    return "up" if axis.y > 0 else "down"


def scaled(contour: Contour, middle: Vec, scale: float, to: Vec) -> Contour:
    """Return a contour drawn smaller or larger about a point of the plane that comes to lie on `to`."""

    def moved(point: Vec) -> Vec:
        return to + (point - middle) * scale

    return Contour(
        tuple(
            Arc(moved(part.start), moved(part.end), part.bulge)
            if isinstance(part, Arc)
            else Line(moved(part.start), moved(part.end))
            for part in contour.segments
        ),
        contour.closed,
    )
