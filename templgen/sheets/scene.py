"""What a drawing sheet shows, before it is put on a page: marks in a plane, lines that go on, labels."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from templgen.drawing import Item, Meaning
from templgen.geometry import Bounds, Contour, Line, Motion, Vec
from templgen.layout.assembly import Plane
from templgen.sheets.facts import ranges
from templgen.sheets.header import Axis
from templgen.sheets.notes import Block
from templgen.sheets.placement import Label
from templgen.sheets.view import moved

__all__ = ["Run", "Scene", "Section", "Target", "axes_of", "seen_label"]


class Run(Struct, frozen=True):
    """A line that goes on past the sheet: it is drawn as far as the page shows it, with its words."""

    line: Line
    meaning: Meaning
    words: tuple[str, ...]

    def moved(self, motion: Motion) -> Run:
        """Return the line after a motion."""
        return replace(self, line=self.line.moved(motion))


class Target(Struct, frozen=True):
    """A rivet or hole that exists, on which a sheet can be laid: drawn and named wherever a page shows it."""

    at: Vec
    items: tuple[Item, ...]
    label: Label

    def moved(self, motion: Motion) -> Target:
        """Return the target after a motion; its words stay as they are."""
        items = tuple(moved(item, motion) for item in self.items)
        return Target(motion.apply(self.at), items, seen_label(self.label, motion))


class Section(Struct, frozen=True):
    """Notes that may be left out where there is no room: they stand on the notes sheets.

    They stand there anyway, or (`carried`) only when they are left out. `name` is what a pointer to those
    sheets calls them. With `numbers` the blocks are a heading and one block per number, and the first of them
    may stand without the rest.
    """

    name: str
    blocks: tuple[Block, ...]
    numbers: tuple[int, ...] = ()
    carried: bool = False

    @property
    def whole_name(self) -> str:
        """The name with all numbers."""
        return self._named(self.numbers)

    def _named(self, numbers: tuple[int, ...]) -> str:
        name = self.name.removesuffix("s") if len(numbers) == 1 else self.name
        return f"{name} {ranges(numbers)}".strip()

    def options(self) -> Iterator[tuple[tuple[Block, ...], str]]:
        """Yield what may be shown, the most first, with the name of what is then left out."""
        yield self.blocks, ""
        for shown in range(len(self.numbers) - 1, 0, -1):
            yield self.blocks[: shown + 1], self._named(self.numbers[shown:])
        yield (), self.whole_name


class Scene(Struct, frozen=True):
    """Marks and labels in millimetres of a plane.

    `extent` must come onto the page whole. `targets` are shown, with their names, only where they fall on the
    page. `waste` are outlines inside which no label may stand: the paper there is cut away; `keep` are
    outlines inside which labels of the part's own holes stand, and `face`, if it is named, with an axis.
    `mirrored` says that the plane is seen from its other side, `upright` that it is never turned on the page.
    `blocks` are the notes; the legend is added by the page, and of `accepted` (on every page of it, each tile
    too) and `more` what there is room for.
    """

    items: tuple[Item, ...]
    extent: Bounds
    labels: tuple[Label, ...] = ()
    runs: tuple[Run, ...] = ()
    targets: tuple[Target, ...] = ()
    waste: tuple[Contour, ...] = ()
    keep: tuple[Contour, ...] = ()
    face: str = ""
    mirrored: bool = False
    upright: bool = False
    plane: Plane | None = None
    blocks: tuple[Block, ...] = ()
    accepted: tuple[Section, ...] = ()
    more: tuple[Section, ...] = ()


def seen_label(label: Label, motion: Motion) -> Label:
    """Return a label whose places have gone through a view; its words stay as they are."""
    out = None if label.outwards is None else motion.apply_direction(label.outwards)
    return replace(label, targets=tuple(motion.apply(target) for target in label.targets), outwards=out)


def axes_of(plane: Plane, motion: Motion) -> tuple[Axis, ...]:
    """Return both axis arrows of a plane as the page shows them."""
    return (
        Axis(motion.apply_direction(plane.x_axis), plane.x_words),
        Axis(motion.apply_direction(plane.y_axis), plane.y_words),
    )
