"""What the rules look at: an assembly, with everything that several rules need worked out once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from msgspec.structs import replace

from templgen.checks.edges import Edge, Reach, free_edges, lies_on, nearest_edges
from templgen.checks.holes import Flags, Floats, Holes, Ints, NumberedHoles, holes_of
from templgen.checks.inside import points_in_contour, points_in_region
from templgen.checks.neighbours import Pairs, near_pairs_of
from templgen.checks.rule import Subject
from templgen.geometry import Vec, points_to_segments
from templgen.layout.assembly import Assembly, Cutout, Face, Fastener, Part
from templgen.layout.work.works import closing_order
from templgen.trade.limits import limit

if TYPE_CHECKING:
    from templgen.geometry.holding import HoleSpace
    from templgen.geometry.plate import Bay
    from templgen.job.model import Acceptance
    from templgen.layout.work.order import Ordered

__all__ = ["Survey"]


class Survey:
    """An assembly prepared for the rules. Arrays of holes are worked out once and shared.

    `acceptances` are the job's, `unmatched` those to which no finding answered; they and the names of the
    rules are there for the rules that run last. `bays` are the rooms behind openings, by name (see
    `openings.bay_of`), `clear_spaces` what their nutplates leave (see `openings.clear_space_of`).
    """

    def __init__(
        self,
        assembly: Assembly,
        acceptances: Sequence[Acceptance] = (),
        unmatched: Sequence[Acceptance] = (),
        rule_names: Sequence[str] = (),
    ) -> None:
        self.assembly = assembly
        self.acceptances = tuple(acceptances)
        self.unmatched = tuple(unmatched)
        self.rule_names = tuple(rule_names)
        self._indices: dict[str, Ints] = {}
        self._holes: dict[str, Holes] = {}
        self._edges: dict[str, tuple[Edge, ...]] = {}
        self._reaches: dict[str, Reach] = {}
        self._off: dict[str, Flags] = {}
        self.bays: dict[str, Bay | None] = {}
        self.clear_spaces: dict[str, HoleSpace] = {}

    @cached_property
    def _numbered(self) -> NumberedHoles:
        return holes_of(self.assembly.fasteners)

    @cached_property
    def work_order(self) -> Ordered:
        """All work in an order in which each has its access, and what has lost it."""
        return closing_order(self.assembly)

    @property
    def holes(self) -> Holes:
        """All holes of the assembly, in the order of its fasteners."""
        return self._numbered.holes

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """All faces of metal: paper is left out."""
        return tuple(face for face in self.assembly.faces.values() if self.part_of(face).kind != "paper")

    @cached_property
    def papers(self) -> tuple[Face, ...]:
        """All faces of paper."""
        return tuple(face for face in self.assembly.faces.values() if self.part_of(face).kind == "paper")

    def part_of(self, face: Face) -> Part:
        """Return the part to which a face belongs."""
        return self.assembly.parts[face.part]

    def indices_in(self, face: Face) -> Ints:
        """Return the indices of the holes whose stack passes a face."""
        if face.name not in self._indices:
            self._indices[face.name] = np.flatnonzero(self.passing(face.name))
        return self._indices[face.name]

    def holes_in(self, face: Face) -> Holes:
        """Return the holes of `indices_in(face)`, each with the diameter that it has in that face."""
        if face.name not in self._holes:
            holes = self.holes.where(self.indices_in(face))
            for index in np.flatnonzero(self._varied[self.indices_in(face)]):
                holes.hole[index] = holes.fastener(int(index)).hole_in(face.name)
            self._holes[face.name] = holes
        return self._holes[face.name]

    @cached_property
    def _varied(self) -> Flags:
        """The holes whose diameter differs from face to face."""
        return np.array([bool(fastener.other_holes) for fastener in self.assembly.fasteners], dtype=bool)

    def edges_of(self, face: Face) -> tuple[Edge, ...]:
        """Return the free edges of a face."""
        if face.name not in self._edges:
            self._edges[face.name] = free_edges(self.assembly, face)
        return self._edges[face.name]

    def reach_in(self, face: Face) -> Reach:
        """Return, for `indices_in(face)`, the distances to the nearest edge that counts for the hole."""
        if face.name not in self._reaches:
            self._reaches[face.name] = self._reach(face)
        return self._reaches[face.name]

    def _reach(self, face: Face) -> Reach:
        """An old rivet stands where its maker put it: only cutouts are new edges to it."""
        holes = self.holes_in(face)
        edges = self.edges_of(face)
        reach = nearest_edges(holes.xy, edges)
        if not holes.exists.any():
            return reach
        cut = np.array([number for number, edge in enumerate(edges) if edge.kind == "cutout"], dtype=np.intp)
        old = nearest_edges(holes.xy[holes.exists], [edges[number] for number in cut])
        if len(cut):
            old = replace(old, index=cut[old.index])
        for name in ("distance", "index", "doubt", "sure"):
            getattr(reach, name)[holes.exists] = getattr(old, name)
        return reach

    def off_the_metal(self, face: Face) -> Flags:
        """Return, for `indices_in(face)`, whether the centre lies off the face or in one of its cutouts."""
        if face.name not in self._off:
            points = self.holes.xy[self.indices_in(face)]
            self._off[face.name] = ~self.on_the_metal(points, face)
        return self._off[face.name]

    def on_the_metal(self, points: Floats, face: Face) -> Flags:
        """Return for points (n, 2) of its plane whether they lie on a face.

        A face without an outline goes on, and so does metal beyond the ends of what was measured.
        """
        inside: Flags = np.ones(len(points), dtype=bool)
        if face.outline is not None:
            inside = points_in_region(points, face.outline)
            outside = np.flatnonzero(~inside)
            if len(outside) and face.beyond:
                segments = face.outline.segments
                goes_on = np.array([lies_on(segment, face.beyond) for segment in segments], dtype=bool)
                inside[outside] = goes_on[points_to_segments(points[outside], segments)[1]]
        for cutout in self.assembly.cutouts_of(face.name):
            inside &= ~points_in_contour(points, cutout.contour)
        return inside

    @cached_property
    def pairs(self) -> Pairs:
        """Every pair of holes of one plane that any rule of pitch or overlap can ask for, and more."""
        found = [
            near_pairs_of(self.holes, np.flatnonzero(self.holes.plane == number), self._pair_reach)
            for number in range(len(self._numbered.planes))
        ]
        if not found:
            return Pairs(_none(), _none(), np.zeros(0))
        return Pairs(
            np.concatenate([pairs.first for pairs in found]),
            np.concatenate([pairs.second for pairs in found]),
            np.concatenate([pairs.distance for pairs in found]),
        )

    @cached_property
    def _pair_reach(self) -> Floats:
        """How far each hole must look for others no larger than itself, mm (n,)."""
        holes = self.holes
        heads = np.fmax(np.nan_to_num(holes.head_outside), np.nan_to_num(holes.head_inside))
        pitch = limit("pitch-flush").value * holes.diameter
        web = holes.hole + limit("web-enough").mm()
        clear = 2 * heads + limit("head-to-head").mm()
        reach: Floats = np.maximum(np.where(holes.plain, web, pitch), clear) + 2 * holes.doubt.max(
            initial=0.0
        )
        return reach

    @cached_property
    def sharing_pairs(self) -> Pairs:
        """The pairs of which one face at least has both holes, without pairs of two old rivets."""
        if not len(self.pairs):
            return self.pairs
        stacks = [set(stack) for stack in self._numbered.stacks]
        table = np.array([[bool(a & b) for b in stacks] for a in stacks], dtype=bool)
        first, second, stack = self.pairs.first, self.pairs.second, self.holes.stack
        old = self.holes.exists[first] & self.holes.exists[second]
        return self.pairs.where(table[stack[first], stack[second]] & ~old)

    @property
    def stacks_by_number(self) -> tuple[tuple[str, ...], ...]:
        """The stacks as names of faces, by their numbers in `holes`."""
        return self._numbered.stacks

    def in_plane(self, plane: str) -> Flags:
        """Return for all holes whether they lie in a plane."""
        if plane not in self._numbered.planes:
            return np.zeros(len(self.holes), dtype=bool)
        here: Flags = self.holes.plane == self._numbered.planes.index(plane)
        return here

    def new_in(self, plane: str) -> Flags:
        """Return for all holes whether they are to be drilled and lie in a plane."""
        return self.in_plane(plane) & ~self.holes.exists

    def ends_before(self, face: Face) -> Flags:
        """Return for all holes whether their stack ends on the skin's side of a face."""
        orders = [[self.assembly.faces[name].order for name in stack] for stack in self._numbered.stacks]
        inside = face.order > 0
        before = [max(each) < face.order if inside else min(each) > face.order for each in orders]
        flags: Flags = np.array(before, dtype=bool)[self.holes.stack]
        return flags

    def stacks(self) -> Iterator[tuple[tuple[Face, ...], Ints]]:
        """Yield each stack of new holes, as faces of metal, with the indices of its holes."""
        for number, names in enumerate(self._numbered.stacks):
            faces = tuple(self.assembly.faces[name] for name in names)
            metal = tuple(face for face in faces if self.part_of(face).kind != "paper")
            indices = np.flatnonzero((self.holes.stack == number) & ~self.holes.exists)
            if len(indices) and metal:
                yield metal, indices

    def passing(self, face_name: str) -> Flags:
        """Return for all holes whether their stack passes a face."""
        passes = np.array([face_name in stack for stack in self._numbered.stacks], dtype=bool)
        flags: Flags = passes[self.holes.stack] if len(passes) else np.zeros(len(self.holes), dtype=bool)
        return flags

    def ends_in(self, face: Face) -> tuple[Flags, Flags]:
        """Return, for `indices_in(face)`, whether the face is the first and the last of the hole's stack."""
        stacks = self._numbered.stacks
        first = np.array([stack[0] == face.name for stack in stacks], dtype=bool)
        last = np.array([stack[-1] == face.name for stack in stacks], dtype=bool)
        stack = self.holes.stack[self.indices_in(face)]
        return first[stack], last[stack]

    def shared_face(self, one: Fastener, other: Fastener) -> Face | None:
        """Return the outermost face that has the holes of both fasteners."""
        return next((self.assembly.faces[name] for name in one.stack if name in other.stack), None)

    def stack_faces(self, fastener: Fastener) -> tuple[Face, ...]:
        """Return the faces of metal that a fastener passes, outside first."""
        faces = (self.assembly.faces[name] for name in fastener.stack)
        return tuple(face for face in faces if self.part_of(face).kind != "paper")

    def hole(self, fastener: Fastener, face: Face | None) -> Subject:
        """Return a hole in a face as the subject of a finding."""
        name = face.name if face else ""
        return Subject(fastener.where, fastener.feature, name, fastener.plane, fastener.at, fastener.name)

    def cutout(self, cutout: Cutout, face: Face | None, place: Vec | None = None) -> Subject:
        """Return a cutout in a face as the subject of a finding."""
        at = place or cutout.contour.bounds.centre
        return Subject(cutout.where, cutout.feature, face.name if face else "", cutout.plane, at)

    def whole(self, face: Face) -> Subject:
        """Return a face as a whole as the subject of a finding."""
        return Subject(face.at, "", face.name, face.plane)


def _none() -> Ints:
    return np.zeros(0, dtype=np.intp)
