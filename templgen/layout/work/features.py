"""The work of one feature: mast, opening, bracket, part, pattern, hole or cutout."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from typing import TypeVar

from msgspec.structs import replace

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
    need_of,
    need_to_place,
)
from templgen.layout.work.model import Stage, Work

__all__ = ["feature_works", "features_of", "own_parts"]

PAPER = "paper"
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


def feature_works(assembly: Assembly, feature: str) -> tuple[Work, ...]:
    """Return the work of a feature, in the order in which it is usually done."""
    return tuple(_Feature(assembly, feature).works())


class _Feature:
    """What belongs to one feature."""

    def __init__(self, assembly: Assembly, name: str) -> None:
        self.assembly = assembly
        self.name = name
        self.drilled = [f for f in assembly.fasteners if f.feature == name and not f.exists]
        self.mast: MastFit | None = next((mast for mast in assembly.masts if mast.name == name), None)
        self.opening: OpeningSet | None = next((o for o in assembly.openings if o.name == name), None)
        self.paper_side = OUTSIDE if assembly.laid_on == "outside" else INSIDE
        lugs = () if self.opening is None else self.opening.nutplates
        self.lugs = {name for plate in lugs for name in plate.rivets}

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
        papered = [f for f in self.drilled if f.made_from in ("", PAPER) and self._is_in_skin(f)]
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
        """Yield the holes that several sheets get together."""
        stacked = [f for f in self.drilled if len(f.stack) > 1 and f.name not in self.lugs]
        for source, group in _grouped(stacked, lambda f: f.made_from):
            need = self._guide_need(source, group) | need_to_place(self.assembly, group)
            yield self._drilled(Stage.MATCH, need, "the matched holes", group, source)

    def _guide_need(self, source: str, group: Sequence[Fastener]) -> frozenset[str]:
        """Return the side from which the drill comes: that of the part that guides it."""
        part = self.assembly.parts.get(source.removeprefix("through "))
        if part is None or part.kind == "skin":
            return self.paper_side if any(self._is_in_skin(f) for f in group) else self._behind(group)
        inside = lies_inside(part) or part.kind == "structure"
        return self._behind(group) if inside else OUTSIDE

    def _behind(self, group: Sequence[Fastener]) -> frozenset[str]:
        """Return the access to the back of the skin: as the parts there come in, else the inside."""
        hands = frozenset(f.access for f in group if f.access.startswith(HAND))
        return hands or need_to_place(self.assembly, group) or INSIDE

    def _to_size(self) -> Iterator[Work]:
        """Yield final size for every hole, the holes that a nutplate gives its ring, and the flush seats."""
        lugs = [f for f in self.drilled if f.name in self.lugs]
        rest = [f for f in self.drilled if f.name not in self.lugs]
        if rest:
            yield self._singly(Stage.FINAL, "the final size of the holes", rest)
        if lugs:
            yield self._singly(Stage.LUGS, "the lug holes", lugs)
        dimpled = [f for f in self.drilled if f.spec.seat]
        if dimpled:
            yield self._singly(Stage.DIMPLE, "the seats of the flush heads", dimpled)

    def _singly(self, stage: Stage, words: str, group: Sequence[Fastener]) -> Work:
        """Return what is done sheet by sheet, the stack parted: on both faces of the skin where it can be."""
        need = self._side_of(group) | need_to_place(self.assembly, group)
        work = self._drilled(stage, need, words, group)
        in_skin = any(self._is_in_skin(f) for f in group)
        return replace(work, wish=INSIDE) if in_skin and self.opening is None else work

    def _side_of(self, fasteners: Sequence[Fastener]) -> frozenset[str]:
        """Return where single sheets are worked on: the skin from outside, webs inside."""
        if any(self._is_in_skin(f) for f in fasteners):
            return OUTSIDE
        parts = [self.assembly.parts[part] for part in self._parts(fasteners)]
        return INSIDE if any(part.kind == "structure" for part in parts) else BENCH

    def _fastened(self) -> Iterator[Work]:
        lugs = [f for f in self.drilled if f.name in self.lugs]
        for need, group in _grouped(lugs, lambda f: need_of(self.assembly, f)):
            yield self._set(Stage.NUTPLATES if need == BENCH else Stage.NUTPLATES_IN_PLACE, need, group)
        screws = {f.name for f in self.drilled if f.nutplate and f.name not in self.lugs}
        rest = [f for f in self.drilled if f.spec.kind != "hole" and f.name not in self.lugs | screws]
        if self.mast is not None or self.opening is not None:
            need = need_to_place(self.assembly, self.drilled)
            own = own_parts(self.assembly, self.name)
            yield self._work(Stage.CLEAN, need, "the faying surfaces", parts=own)
        if self.opening is not None:
            rings = tuple(
                self.assembly.faces[name].part
                for name in self.opening.ring_faces
                if name in self.assembly.faces
            )
            need = OUTSIDE | hand_through(self.name)
            yield self._work(Stage.FEED, need, "feeding in the ring", parts=rings, where=self.opening.where)
        if self.mast is not None and rest:
            yield self._work(Stage.CLEAR_TABLE, BENCH, "the support with the mast in place")
        for key, group in _grouped(rest, lambda f: (f.spec.name, f.stack, self._need_to_fasten(f))):
            yield self._set(Stage.BOX if key[2] == BENCH else Stage.FASTEN, key[2], group)

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
        """Yield the screws of a cover."""
        screws = [f for f in self.drilled if f.nutplate and f.name not in self.lugs]
        for need, group in _grouped(screws, lambda f: need_of(self.assembly, f)):
            yield self._set(Stage.COVER, need, group)


def _grouped(rows: Sequence[Fastener], key: Callable[[Fastener], Key]) -> list[tuple[Key, list[Fastener]]]:
    """Return rows with the same key together, in the order of their first."""
    found: dict[Key, list[Fastener]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return list(found.items())
