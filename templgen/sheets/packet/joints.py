"""Which fastener joins which sheets: the fasteners of a job in groups that look alike in section."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from templgen.drawing import Table
from templgen.geometry import Side, Vec, locate, region_contains
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly, Face, Fastener, FastenerSpec
from templgen.layout.fastener_lengths import grip_of, length_of, nutplate_of
from templgen.layout.openings.model import NutplateSpec
from templgen.layout.prefixes import FASTENER
from templgen.sheets.facts import drill_words, fastener_words, head_words, one, ranges

__all__ = ["Joint", "joint_table", "joints_of", "lies_at", "planes_of", "rows_of"]

_COLUMNS = ("mark", "fastener", "length", "holes", "joins, in order", "final drill", "head side")


class Joint(Struct, frozen=True):
    """Fasteners of one kind through one stack, with the name that marks them.

    `stack` is that of its first fastener: the pieces of one ring count as one. `below` is what stands behind
    the stack, by its words: the lug of a nutplate or the flange of a box. `nutplate` is that of a screw, or
    of a lug rivet if `is_lug`.
    """

    mark: str
    spec: FastenerSpec
    stack: tuple[str, ...]
    fasteners: tuple[Fastener, ...]
    below: str = ""
    nutplate: NutplateSpec | None = None
    is_lug: bool = False

    @property
    def plane(self) -> str:
        """The plane that they lie in."""
        return self.fasteners[0].plane

    @property
    def head_is_outside(self) -> bool:
        """Whether the head is on the first face of the stack."""
        return self.fasteners[0].head_side == "outside"

    @property
    def numbers(self) -> str:
        """The numbers of its holes in short."""
        return ranges([fastener.number for fastener in self.fasteners])


def _whole(assembly: Assembly, face: str) -> str:
    """What stands for a face: a piece of a ring is the ring."""
    return next((each.ring_face for each in assembly.openings if face in each.ring_faces), face)


def joints_of(assembly: Assembly) -> tuple[Joint, ...]:
    """Return all joints, named F1, F2 ... by their first hole; rivets that are there already have none."""
    groups: dict[tuple[object, ...], list[Fastener]] = {}
    for each in sorted(assembly.fasteners, key=lambda fastener: fastener.number):
        if not each.exists:
            plate = nutplate_of(assembly, each)
            stack = tuple(_whole(assembly, face) for face in each.stack)
            key = (each.spec.name, stack, each.head_side, each.plane, plate and plate.spec.name)
            groups.setdefault(key, []).append(each)
    return tuple(
        _joint(assembly, f"{FASTENER}{number}", tuple(group))
        for number, group in enumerate(groups.values(), 1)
    )


def _joint(assembly: Assembly, mark: str, group: tuple[Fastener, ...]) -> Joint:
    first = group[0]
    plate = nutplate_of(assembly, first)
    layers = grip_of(assembly, first).layers
    below = layers[-1][0] if len(layers) > len(first.stack) else ""
    is_lug = plate is not None and first.name in plate.rivets
    return Joint(mark, first.spec, first.stack, group, below, None if plate is None else plate.spec, is_lug)


def planes_of(joints: Iterable[Joint]) -> list[str]:
    """Return the planes in which something is joined, the skin first."""
    found = dict.fromkeys(joint.plane for joint in joints)
    return sorted(found, key=lambda plane: plane != SKIN_PLANE)


def rows_of(assembly: Assembly, joints: Sequence[Joint]) -> list[tuple[Face, ...]]:
    """Return the faces that the joints of one plane pass, in rows, outside first.

    Faces that lie over one another nowhere share a row, so that sheets that touch are drawn so.
    """
    names = {name for joint in joints for each in joint.fasteners for name in each.stack}
    faces = sorted((assembly.faces[name] for name in names), key=lambda face: face.order)
    places = {each.stack: each.at for joint in joints for each in joint.fasteners}
    levels: list[list[Face]] = []
    for face in faces:
        over = [
            level
            for level, others in enumerate(levels)
            if any(_meet(assembly, face, other, places) for other in others)
        ]
        level = max(over, default=-1) + 1
        if level == len(levels):
            levels.append([])
        levels[level].append(face)
    return [tuple(level) for level in levels]


def _meet(assembly: Assembly, face: Face, other: Face, places: dict[tuple[str, ...], Vec]) -> bool:
    """Whether two faces lie over one another at any of some places, each with the stack that passes there."""
    return any(
        all(each.name in stack or lies_at(assembly, each, at) for each in (face, other))
        for stack, at in places.items()
    )


def lies_at(assembly: Assembly, face: Face, at: Vec) -> bool:
    """Return whether a face has metal at a place of its plane; holes of fasteners do not count."""
    if face.outline is not None and not region_contains(face.outline, at):
        return False
    cutouts = assembly.cutouts_of(face.name)
    return all(locate(at, cutout.contour) is not Side.INSIDE for cutout in cutouts)


def _joins(joint: Joint) -> str:
    """The stack in order; where the fasteners pass different pieces, all of them."""
    stacks = dict.fromkeys(each.stack for each in joint.fasteners)
    names = [" or ".join(dict.fromkeys(each)) for each in zip(*stacks, strict=True)]
    return " + ".join([*names, *([joint.below] if joint.below else [])])


def joint_table(job: Job, assembly: Assembly, joints: Sequence[Joint]) -> Table:
    """Return what each mark of the section stands for."""
    rows = tuple(
        (
            joint.mark,
            fastener_words(joint.spec) or f"plain hole {one(job, joint.spec.hole)}",
            length_of(assembly, joint.fasteners[0], job.unit).words,
            joint.numbers,
            _joins(joint),
            drill_words(job, joint.spec),
            head_words(joint.fasteners[0]) if joint.spec.kind != "hole" else "",
        )
        for joint in joints
    )
    return Table("Which fastener joins which", _COLUMNS, rows)
