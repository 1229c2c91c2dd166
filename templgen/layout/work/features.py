"""The work of one feature: mast, opening, bracket, part, pattern, hole or cutout."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from typing import TypeVar

from msgspec.structs import replace

from templgen.job.names import PAPER, SKIN
from templgen.layout.assembly import SKIN_PLANE, Assembly, Fastener, MastFit
from templgen.layout.openings.model import OpeningSet
from templgen.layout.work.access import (
    BENCH,
    HAND,
    INSIDE,
    OUTSIDE,
    access_words,
    hand_through,
    lies_inside,
    need_in_place,
    need_of,
    need_to_place,
    seat_parts,
)
from templgen.layout.work.model import Stage, Work
from templgen.layout.work.sources import Sources, part_of_source

__all__ = ["feature_works", "features_of", "own_parts"]

Key = TypeVar("Key", bound=Hashable)


def features_of(assembly: Assembly) -> tuple[str, ...]:
    """Return the features that are worked on, in the order of the job's cutouts and holes."""
    drilled = [fastener.feature for fastener in assembly.fasteners if not fastener.exists]
    named = [cutout.feature for cutout in assembly.cutouts]
    return tuple(dict.fromkeys([*drilled, *named]))


def own_parts(assembly: Assembly, feature: str) -> tuple[str, ...]:
    """Return the parts whose work is the feature's: base plate of a mast, ring and cover of an opening."""
    plates = [assembly.faces[mast.flange_face].part for mast in assembly.masts if mast.name == feature]
    sets = [each for each in assembly.openings if each.name == feature]
    faces = [name for each in sets for name in (*each.ring_faces, each.cover_face)]
    return (*plates, *(assembly.faces[name].part for name in faces if name in assembly.faces))


def feature_works(assembly: Assembly, feature: str, sources: Sources) -> tuple[Work, ...]:
    """Return the work of a feature, in the order in which it is usually done."""
    return tuple(_Feature(assembly, feature, sources).works())


class _Feature:
    """What belongs to one feature."""

    def __init__(self, assembly: Assembly, name: str, sources: Sources) -> None:
        self.assembly, self.sources = assembly, sources
        self.name = name
        self.drilled = [f for f in assembly.fasteners if f.feature == name and not f.exists]
        self.mast: MastFit | None = next((mast for mast in assembly.masts if mast.name == name), None)
        self.opening: OpeningSet | None = next((o for o in assembly.openings if o.name == name), None)
        self.paper_side = OUTSIDE if assembly.laid_on == "outside" else INSIDE
        lugs = () if self.opening is None else self.opening.nutplates
        self.lugs = {name for plate in lugs for name in plate.rivets}
        self.drawn_lugs = [f for f in self.drilled if f.name in self.lugs and f.is_from_nutplate]

    def works(self) -> Iterator[Work]:
        """Yield drilling and cutting, then what is done to the holes, then what is fastened."""
        yield from self._on_the_skin()
        yield from self._matched()
        yield from self._to_size()
        yield from self._fastened()
        yield from self._lines()
        yield from self._closed()

    def _work(self, stage: Stage, need: frozenset[str], words: str, tail: str = "", **more: object) -> Work:
        key = f"{self.name}: {stage.name.lower()}{' ' + tail if tail else ''}"
        return Work(key, stage, self.name, need, words=f"{words} of {self.name}", **more)  # type: ignore[arg-type]

    def _on_the_skin(self) -> Iterator[Work]:
        """Yield what is marked from the template: locating holes, pilots, cutouts in the skin."""
        side = self.paper_side
        of = self.sources.of
        papered = [f for f in self.drilled if self._is_in_skin(f) and of(f, SKIN) == PAPER]
        locating = [f for f in papered if f.locating]
        pilots = [f for f in papered if not f.locating]
        if locating:
            yield replace(self._drilled(Stage.LOCATE, side, "the locating holes", locating), parts=("skin",))
        if pilots:
            yield replace(self._drilled(Stage.PILOT, side, "the pilot holes", pilots), parts=("skin",))
        cut = tuple(c.name for c in self.assembly.cutouts if c.feature == self.name and "skin" in c.faces)
        if cut:
            where = next(c.where for c in self.assembly.cutouts if c.name == cut[0])
            cutting = self._work(Stage.CUT, self.paper_side, "the cutout", cutouts=cut, parts=("skin",))
            yield replace(cutting, where=where, wish=INSIDE)  # its edge is deburred on both faces
        if cut and self.mast is not None:
            yield self._work(Stage.TRY, BENCH, "the fit", where=self.mast.where)

    def _is_in_skin(self, fastener: Fastener) -> bool:
        return fastener.plane == SKIN_PLANE and "skin" in fastener.stack

    def _drilled(
        self, stage: Stage, need: frozenset[str], words: str, fasteners: Sequence[Fastener], tail: str = ""
    ) -> Work:
        return self._work(
            stage,
            need,
            words,
            tail,
            fasteners=tuple(f.name for f in fasteners),
            parts=self._parts(fasteners),
            where=fasteners[0].where,
        )

    def _parts(self, fasteners: Sequence[Fastener]) -> tuple[str, ...]:
        faces = self.assembly.faces
        return tuple(dict.fromkeys(faces[name].part for f in fasteners for name in f.stack))

    def _matched(self) -> Iterator[Work]:
        """Yield the holes that sheets get through another one, clamped to it; through the skin first.

        What lies on the outside comes on after that, and hides the skin's holes. Parts behind the skin stay
        clamped, so they are put there once.
        """
        groups: dict[str, list[Fastener]] = {}
        for fastener in self.drilled:
            made = {self.sources.of(fastener, face) for face in fastener.stack}
            for guide in sorted(made - {PAPER}):
                if part_of_source(guide):
                    groups.setdefault(part_of_source(guide), []).append(fastener)
        placed: set[str] = set()
        for guide in sorted(groups, key=lambda each: each != SKIN):
            group = groups[guide]
            new = [f for f in group if self._parts_inside(f) - placed]
            placed |= {part for f in group for part in self._parts_inside(f)}
            need = self._guide_need(guide, group) | need_to_place(self.assembly, new)
            work = self._drilled(Stage.MATCH, need, "the matched holes", group, f"through {guide}")
            own = [guide, *self._drilled_through(guide, group)]
            parts = tuple(part for part in work.parts if part in own)
            yield self._open_too(replace(work, parts=parts), group)
        if any(self._is_in_skin(f) for f in self.drawn_lugs):
            yield self._lugs_clamped()

    def _parts_inside(self, fastener: Fastener) -> set[str]:
        parts = self.assembly.parts
        return {name for name in self._parts([fastener]) if lies_inside(parts[name])}

    def _drilled_through(self, guide: str, group: Sequence[Fastener]) -> set[str]:
        faces, of = self.assembly.faces, self.sources.of
        return {faces[face].part for f in group for face in f.stack if part_of_source(of(f, face)) == guide}

    def _lugs_clamped(self) -> Work:
        """Return the lug holes of ring and skin, while the ring is clamped: the drill comes through the lug.

        Its screw holds the nutplate, so the screw's hole comes to size in both sheets first.
        """
        lugs = [f for f in self.drawn_lugs if self._is_in_skin(f)]
        plates = {f.nutplate for f in lugs}
        screws = [f for f in self.drilled if f.nutplate in plates and f.name not in self.lugs]
        work = self._drilled(Stage.LUGS_CLAMPED, OUTSIDE | self._behind(lugs), "the lug holes", lugs)
        work = replace(work, fasteners=(*(f.name for f in screws), *work.fasteners))
        return self._open_too(work, [*screws, *lugs])

    def _open_too(self, work: Work, group: Sequence[Fastener]) -> Work:
        """Return a work on a ring that is had from behind as well, while that is open; unless the job says
        how."""
        if self.opening is None or any(f.access for f in group):
            return work
        return replace(work, wish=work.wish | INSIDE) if hand_through(self.name) <= work.need else work

    def _guide_need(self, guide: str, group: Sequence[Fastener]) -> frozenset[str]:
        """Return the side from which the drill comes: that on which the part that guides it can be seen."""
        part = self.assembly.parts[guide]
        own = {guide, *self._drilled_through(guide, group)}
        stacks = [[name for name in self._parts([f]) if name in own] for f in group if self._is_in_skin(f)]
        if stacks and all(stack[0] == guide for stack in stacks):
            return OUTSIDE
        inside = part.kind == "skin" or lies_inside(part) or part.kind == "structure"
        return self._behind(group) if inside else OUTSIDE

    def _behind(self, group: Sequence[Fastener]) -> frozenset[str]:
        """Return the access to the back of the skin: as the parts there come in, else the inside."""
        hands = frozenset(f.access for f in group if f.access.startswith(HAND))
        return hands or need_to_place(self.assembly, group) or INSIDE

    def _to_size(self) -> Iterator[Work]:
        """Yield final size for every hole, the holes that a nutplate gives its ring, and the flush seats."""
        drawn = {f.name for f in self.drawn_lugs}
        rest = [f for f in self.drilled if f.name not in drawn]
        lugs = [f for f in self.drawn_lugs if not self._is_in_skin(f)]
        if rest:
            yield self._singly(Stage.FINAL, "the final size of the holes", rest)
        if lugs:
            yield self._singly(Stage.LUGS, "the lug holes", lugs)
        seated = [f for f in self.drilled if f.spec.seat]
        if seated:
            yield self._seated(seated)

    def _seated(self, group: Sequence[Fastener]) -> Work:
        """Return the seats of the flush heads, on the bench where none is in what stays on the aircraft."""
        work = self._singly(Stage.DIMPLE, "the seats of the flush heads", group)
        parts = self.assembly.parts
        own = tuple(dict.fromkeys(name for f in group for name in seat_parts(self.assembly, f)))
        if all(parts[name].made and parts[name].kind not in ("skin", "structure") for name in own):
            return replace(work, parts=own, need=BENCH, wish=BENCH)
        return replace(work, parts=own)

    def _singly(self, stage: Stage, words: str, group: Sequence[Fastener]) -> Work:
        """Return what is done sheet by sheet, the stack parted: on both faces of the skin where it can be."""
        need = self._side_of(group) | need_to_place(self.assembly, group)
        work = self._drilled(stage, need, words, group)
        in_skin = any(self._is_in_skin(f) for f in group)
        if self.opening is not None:
            return self._open_too(work, group)
        return replace(work, wish=INSIDE) if in_skin else work

    def _side_of(self, fasteners: Sequence[Fastener]) -> frozenset[str]:
        """Return where single sheets are worked on: the skin from outside, webs inside."""
        if any(self._is_in_skin(f) for f in fasteners):
            return OUTSIDE
        parts = [self.assembly.parts[part] for part in self._parts(fasteners)]
        return INSIDE if any(part.kind == "structure" for part in parts) else BENCH

    def _fastened(self) -> Iterator[Work]:
        lugs = [f for f in self.drilled if f.name in self.lugs]
        for need, group in _grouped(lugs, self._need_to_rivet_lug):
            stage = Stage.NUTPLATES if need == BENCH else Stage.NUTPLATES_IN_PLACE
            yield self._open_too(self._set(stage, need, group), group)
        screws = {f.name for f in self.drilled if f.nutplate and f.name not in self.lugs}
        rest = [f for f in self.drilled if f.spec.kind != "hole" and f.name not in self.lugs | screws]
        if self.mast is not None or self.opening is not None:
            yield self._cleaned()
        if self.opening is not None:
            rings = tuple(
                self.assembly.faces[name].part
                for name in self.opening.ring_faces
                if name in self.assembly.faces
            )
            need = OUTSIDE | hand_through(self.name)
            where = self.opening.where
            feed = self._work(Stage.FEED, need, "feeding in the ring", parts=rings, where=where)
            yield self._open_too(feed, [])
        if self.mast is not None and rest:
            yield self._work(Stage.CLEAR_TABLE, BENCH, "the support with the mast in place")
        for key, group in _grouped(rest, lambda f: (f.spec.name, f.stack, self._need_to_fasten(f))):
            yield self._set(Stage.BOX if key[2] == BENCH else Stage.FASTEN, key[2], group)

    def _need_to_rivet_lug(self, lug: Fastener) -> frozenset[str]:
        """Return the access to a lug rivet: on the bench, or with the ring in place.

        There somebody puts the nutplate behind the ring, from whatever side its rivets are set.
        """
        if self.opening is None or self.opening.nutplates_riveted == "bench":
            return need_of(self.assembly, lug)
        need = need_in_place(lug)
        return need if lug.access or need >= INSIDE else need | hand_through(self.name)

    def _cleaned(self) -> Work:
        """Return the cleaning of all sheets that lie on each other, the skin among them."""
        skin = [f for f in self.drilled if self._is_in_skin(f)]
        need = need_to_place(self.assembly, self.drilled) | (OUTSIDE if skin else BENCH)
        own = ("skin",) * bool(skin) + own_parts(self.assembly, self.name)
        return self._open_too(self._work(Stage.CLEAN, need, "the faying surfaces", parts=own), self.drilled)

    def _need_to_fasten(self, fastener: Fastener) -> frozenset[str]:
        """Return what it takes to set a fastener in parts that go back in for it; a ring is fed in before."""
        need = need_of(self.assembly, fastener)
        return need if self.opening is not None else need | need_to_place(self.assembly, [fastener])

    def _set(self, stage: Stage, need: frozenset[str], group: Sequence[Fastener]) -> Work:
        spec, count = group[0].spec, len(group)
        words = f"{count} {spec.kind}{'s' if count > 1 else ''} {spec.size}"
        tail = f"{spec.name}, {' + '.join(group[0].stack)}, {access_words(need)}"
        return self._drilled(stage, need, words, group, tail)

    def _lines(self) -> Iterator[Work]:
        """Yield plugs of a box, and what passes a bore: nut and sleeve go on before a tube is flared."""
        if self.opening is not None and self.opening.hangs is not None and self.opening.hangs.plugs:
            yield self._work(Stage.CONNECT, OUTSIDE, "the plugs", where=self.opening.hangs.where)
        mast = self.mast
        if mast is None or not mast.bore_passes:
            return
        yield self._work(Stage.SLEEVE, BENCH, "nut and sleeve on the tube", where=mast.where)
        yield self._work(Stage.FLARE, BENCH, "the flare of the tube", where=mast.where)
        yield self._work(Stage.THREAD, OUTSIDE, "what passes the bore", where=mast.where)
        yield self._work(Stage.LEAK, BENCH, "the leak check", where=mast.where, wish=INSIDE)
        yield self._work(Stage.LEAK_AGAIN, BENCH, "the last leak check", where=mast.where)

    def _closed(self) -> Iterator[Work]:
        """Yield the screws of a cover: on the aircraft, also where they pass cover and ring alone."""
        screws = [f for f in self.drilled if f.nutplate and f.name not in self.lugs]
        for need, group in _grouped(screws, need_in_place):
            yield self._set(Stage.COVER, need, group)


def _grouped(rows: Sequence[Fastener], key: Callable[[Fastener], Key]) -> list[tuple[Key, list[Fastener]]]:
    """Return rows with the same key together, in the order of their first."""
    found: dict[Key, list[Fastener]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return list(found.items())
