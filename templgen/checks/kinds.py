"""The same fastener in the same stack needs judging once, however many there are."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from templgen.checks.holes import Ints
from templgen.checks.survey import Survey
from templgen.geometry.bulk import distinct
from templgen.layout.assembly import Face, Fastener, FastenerSpec
from templgen.layout.countersinks import DimpleSeat, cone_depth, dimple_seat

__all__ = ["Kind", "kinds_in"]


class Kind(Struct, frozen=True, eq=False):
    """New holes of one spec through one stack, with the head on one side.

    Attributes:
        spec: what they share.
        stack: faces of metal, outside first (in a web plane: from the head side).
        head_face: the face under the head.
        indices: the holes.
        first: the first of them, which stands for all in a finding.
    """

    spec: FastenerSpec
    stack: tuple[Face, ...]
    head_face: Face
    indices: Ints
    first: Fastener

    @property
    def grip(self) -> float:
        """Thickness of the stack, mm."""
        return sum(face.thickness for face in self.stack)

    @property
    def cone_depth(self) -> float | None:
        """How deep the cone of a flush head reaches, mm; None where the tables do not say."""
        return cone_depth(self.spec)

    @property
    def dimpled(self) -> tuple[Face, ...]:
        """The faces that are dimpled."""
        return tuple(face for face in self.stack if self.first.seat_in(face.name) == "dimpled")

    @property
    def dimple_seat(self) -> DimpleSeat | None:
        """The sheet that takes the dimples in a countersink; None without one, or where no cone is known."""
        return dimple_seat(self.first, self.stack)


def kinds_in(survey: Survey) -> Iterator[Kind]:
    """Yield every kind of new fastener with its stack; plain holes are none."""
    holes = survey.holes
    for stack, indices in survey.stacks():
        for spec in distinct(holes.spec[indices]):
            same = indices[holes.spec[indices] == spec]
            for outward in (True, False):
                chosen = same[holes.outward[same] == outward]
                first = holes.fastener(int(chosen[0])) if len(chosen) else None
                if first is not None and first.spec.kind != "hole":
                    yield Kind(first.spec, stack, stack[0 if outward else -1], chosen, first)
