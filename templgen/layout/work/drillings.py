"""What is drilled in a piece of work: which holes, through which parts, with which drill."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from templgen.job.model import Job
from templgen.job.names import PAPER, SKIN
from templgen.layout.assembly import Assembly, Fastener, FastenerSpec
from templgen.layout.cutting.model import PlanHole
from templgen.layout.cutting.plans import cutters_of
from templgen.layout.work.model import Drilling, Stage, Work
from templgen.layout.work.sources import Sources, part_of_source
from templgen.trade.drills import INCH_SERIES, LARGE_DRILL_MM, all_drills, parse_hole_size
from templgen.units import format_length

__all__ = ["drillings"]

_SAME_MM = 1e-6
_REAM = "ream after dimpling, singly"
_NEXT_DOWN_MM = 0.01
Row = tuple[str, tuple[str, ...], str, float, str]
"""Mark of a hole, parts, drill, diameter in mm, remark."""


def drillings(job: Job, assembly: Assembly, work: Work) -> tuple[Drilling, ...]:
    """Return what is drilled in a piece of work, holes of one drill and the same parts together."""
    teller = _Teller(job, assembly)
    named = {fastener.name: fastener for fastener in assembly.fasteners if not fastener.exists}
    fasteners = [named[name] for name in work.fasteners]
    by_stage: dict[Stage, Callable[[], Iterator[Row]]] = {
        Stage.LOCATE: lambda: teller.first(fasteners),
        Stage.PILOT: lambda: teller.first(fasteners),
        Stage.CUT: lambda: teller.waste(work.cutouts),
        Stage.MAKE: lambda: teller.on_the_bench(work.parts),
        Stage.MATCH: lambda: teller.matched(fasteners, work.parts),
        Stage.LUGS_CLAMPED: lambda: teller.lugs_clamped(fasteners),
        Stage.LUGS: lambda: teller.lugs(fasteners),
        Stage.FINAL: lambda: teller.final(fasteners),
        Stage.DIMPLE: lambda: teller.reamed(fasteners),
    }
    return tuple(_together(by_stage[work.stage]())) if work.stage in by_stage else ()


def _together(rows: Iterable[Row]) -> Iterator[Drilling]:
    found: dict[tuple[tuple[str, ...], str, float, str], list[str]] = {}
    for mark, parts, drill, diameter, remark in rows:
        found.setdefault((parts, drill, round(diameter, 6), remark), []).append(mark)
    for (parts, drill, diameter, remark), marks in found.items():
        yield Drilling(tuple(dict.fromkeys(marks)), parts, drill, diameter, remark)


def _bit(hole: PlanHole) -> str:
    """A twist drill by its name alone, as everywhere in a schedule."""
    return hole.cutter.name if hole.cutter.tool == "drill" else hole.words


class _Teller:
    """Says which drill makes which hole of a job."""

    def __init__(self, job: Job, assembly: Assembly) -> None:
        self._job, self._assembly = job, assembly
        self._ream = job.dimpling is not None and job.dimpling.ream
        self._sources = Sources(assembly)
        self._covers = {each.cover_face for each in assembly.openings}
        self._clamped = {f.nutplate for f in assembly.fasteners if f.is_from_nutplate and SKIN in f.stack}
        self._cutters = {round(c.diameter_mm, 3): c for c in reversed(cutters_of(job))}

    def _part(self, face: str) -> str:
        return self._assembly.faces[face].part

    def _parts(self, fastener: Fastener) -> list[str]:
        return [self._part(face) for face in fastener.stack]

    def _pilot(self, spec: FastenerSpec) -> tuple[str, float]:
        """The first drill of a hole; where none goes before, the size it is drilled to."""
        if not spec.pilot:
            return self._size(spec, spec.hole)
        return spec.pilot, parse_hole_size(spec.pilot, self._job.unit).diameter_mm

    def _size(self, spec: FastenerSpec, diameter: float, *, dimpled: bool = True) -> tuple[str, float]:
        """The drill to which a hole is opened before it is dimpled, or for good where it is not."""
        if self._ream and spec.seat == "dimpled" and dimpled:
            under = [
                drill
                for drill in all_drills()
                if drill.series in INCH_SERIES and drill.diameter_mm < diameter - _NEXT_DOWN_MM
            ]
            if spec.kind != "screw" or under[-1].diameter_mm >= spec.diameter:  # it holds its nutplate
                return under[-1].name, under[-1].diameter_mm
        return self._drill(spec, diameter), diameter

    def _drill(self, spec: FastenerSpec, diameter: float) -> str:
        """The name of the tool that makes a final hole; above 1/4 in no twist drill."""
        cutter = self._cutters.get(round(diameter, 3))
        if diameter > LARGE_DRILL_MM + _SAME_MM:
            shown = format_length(diameter, self._job.unit)
            return cutter.words if cutter is not None else f"step drill, {shown}"
        if abs(diameter - spec.hole) <= _SAME_MM and spec.drill:
            return spec.drill
        return cutter.name if cutter is not None else format_length(diameter, self._job.unit)

    def first(self, fasteners: Sequence[Fastener]) -> Iterator[Row]:
        """Holes of the skin, from the template."""
        for fastener in fasteners:
            drill, diameter = self._pilot(fastener.spec)
            yield fastener.name, ("skin",), drill, diameter, "centre from the template"

    def waste(self, cutouts: Sequence[str]) -> Iterator[Row]:
        """Holes in the waste: all pilots, then every hole with its own bit."""
        plans = [plan for plan in self._assembly.cutting if plan.cutout in cutouts and "skin" in plan.faces]
        holes = [hole for plan in plans for hole in plan.holes]
        wooded = [h.name for plan in plans if plan.backed for h in plan.holes if h.cutter.is_backed_up]
        yield from self._pilots(holes, ("skin",), "in the waste")
        for hole in holes:
            backed = ", wood behind" if hole.name in wooded else ""
            yield hole.name, ("skin",), _bit(hole), hole.diameter, f"in the waste{backed}"

    def on_the_bench(self, parts: Sequence[str]) -> Iterator[Row]:
        """Holes that a made part gets from its own sheet: it guides the drill later, or the skin has none."""
        for fastener in self._assembly.fasteners:
            for face in () if fastener.exists else fastener.stack:
                part = self._part(face)
                if part in parts and self._sources.of(fastener, face) == PAPER:
                    drill, diameter = self._pilot(fastener.spec)
                    yield fastener.name, (part,), drill, diameter, "centre from the part's sheet"
        for plan in self._assembly.cutting:
            own = tuple(part for face in plan.faces if (part := self._part(face)) in parts)
            if own:
                where = f"in the waste of {plan.cutout}"
                yield from self._pilots(plan.holes, own, where)
                for hole in plan.holes:
                    yield hole.name, own, _bit(hole), hole.diameter, where

    def _pilots(self, holes: Sequence[PlanHole], parts: tuple[str, ...], where: str) -> Iterator[Row]:
        """The pilot holes of those that have one."""
        for hole in holes:
            if hole.pilot:
                diameter = parse_hole_size(hole.pilot, self._job.unit).diameter_mm
                yield hole.name, parts, hole.pilot, diameter, f"pilot, {where}"

    def matched(self, fasteners: Sequence[Fastener], parts: Sequence[str]) -> Iterator[Row]:
        """Holes of a clamped stack, pilot size, guided by the part that has them."""
        for fastener in fasteners:
            drill, diameter = self._pilot(fastener.spec)
            through: dict[str, list[str]] = {}
            for face in fastener.stack:
                source, part = self._sources.of(fastener, face), self._part(face)
                if part in parts and part_of_source(source) in parts:
                    through.setdefault(source, []).append(part)
            for source, others in through.items():
                yield fastener.name, tuple(others), drill, diameter, f"clamped, {source}"

    def _undersize(self, fastener: Fastener) -> tuple[str, ...]:
        """The parts in which a dimpled hole is undersize: all of them where one drill goes through."""
        faces = fastener.stack
        if not fastener.is_from_nutplate:
            faces = tuple(face for face in faces if fastener.seat_in(face) == "dimpled")
        return tuple(self._part(face) for face in faces)

    def lugs_clamped(self, fasteners: Sequence[Fastener]) -> Iterator[Row]:
        """The screws' holes in ring and skin, to size, and then the lug holes."""
        for fastener in fasteners:
            if fastener.spec.pilot and not fastener.is_from_nutplate:
                for drill, diameter, parts, _ in self._sizes(fastener, self._under_cover(fastener)):
                    yield fastener.name, parts, drill, diameter, "clamped, for the nutplate's screw"
        yield from self.lugs([fastener for fastener in fasteners if fastener.is_from_nutplate])

    def lugs(self, fasteners: Sequence[Fastener]) -> Iterator[Row]:
        """Lug holes, to size, through the nutplate."""
        for fastener in fasteners:
            drill, diameter = self._size(fastener.spec, fastener.spec.hole)
            yield fastener.name, tuple(self._parts(fastener)), drill, diameter, "through the nutplate"

    def final(self, fasteners: Sequence[Fastener]) -> Iterator[Row]:
        """Every hole that had a pilot, sheet by sheet, but those that came to size for a nutplate."""
        for fastener in fasteners:
            if not fastener.spec.pilot:
                continue
            done = self._under_cover(fastener) if fastener.nutplate in self._clamped else ()
            left = [face for face in fastener.stack if face not in done]
            for drill, diameter, parts, under in self._sizes(fastener, left):
                yield fastener.name, parts, drill, diameter, f"{under}each sheet by itself"

    def _under_cover(self, fastener: Fastener) -> tuple[str, ...]:
        """The faces of a cover's screw that lie under the cover: those its nutplate is screwed to."""
        return tuple(face for face in fastener.stack if face not in self._covers)

    def _sizes(
        self, fastener: Fastener, faces: Iterable[str]
    ) -> Iterator[tuple[str, float, tuple[str, ...], str]]:
        """The drill for each size that a hole has in some faces, its diameter, the parts; if undersize."""
        sizes: dict[tuple[float, bool], list[str]] = {}
        for face in faces:
            key = fastener.hole_in(face), self._ream and fastener.seat_in(face) == "dimpled"
            sizes.setdefault(key, []).append(self._part(face))
        for (hole, dimpled), parts in sizes.items():
            drill, diameter = self._size(fastener.spec, hole, dimpled=dimpled)
            yield drill, diameter, tuple(parts), "undersize, " if diameter < hole - _SAME_MM else ""

    def reamed(self, fasteners: Sequence[Fastener]) -> Iterator[Row]:
        """Dimpled holes that were drilled undersize."""
        for fastener in fasteners:
            if self._size(fastener.spec, fastener.spec.hole)[1] < fastener.spec.hole - _SAME_MM:
                drill = self._drill(fastener.spec, fastener.spec.hole)
                yield fastener.name, self._undersize(fastener), drill, fastener.spec.hole, _REAM
