"""Where each hole is made from in each part that it passes: one answer for steps, schedules and sheets."""

from __future__ import annotations

from msgspec.structs import replace

from templgen.job.names import PAPER, SKIN, THROUGH_NUTPLATE
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.work.marks import listed

__all__ = ["Sources", "part_of_source"]

_THROUGH = "through "
_PINS = 2


def part_of_source(source: str) -> str:
    """Return the part that guides the drill; "" where paper or a nutplate does.

    >>> part_of_source("through skin"), part_of_source("paper"), part_of_source("through a nutplate")
    ('skin', '', '')
    """
    return "" if source in (PAPER, THROUGH_NUTPLATE) else source.removeprefix(_THROUGH)


class Sources:
    """Says where holes are made from.

    In every stack one part guides the drill: the one that the job names, else the outermost one that is made,
    for from outside its holes can be seen, and those of a skin under a cover can not. The guide has its holes
    from its own paper; all others are drilled through it. A skin that is no guide has those holes from paper
    on which its template is pinned; what lies behind it gets them through the skin.
    """

    def __init__(self, assembly: Assembly) -> None:
        self._assembly = assembly
        self._guides: dict[tuple[tuple[str, ...], str], str] = {}
        self._pins = self._pins_under_parts()

    def guide(self, fastener: Fastener) -> str:
        """Return the part of the stack that has its hole from its own paper, and guides the drill."""
        key = (fastener.stack, fastener.made_from)
        if key not in self._guides:
            self._guides[key] = _guide(self._assembly, fastener)
        return self._guides[key]

    def of(self, fastener: Fastener, face: str) -> str:
        """Return where a hole is made from in a face: "paper", "through PART", "through a nutplate"."""
        if fastener.is_from_nutplate:
            return THROUGH_NUTPLATE
        part, guide = self._assembly.faces[face].part, self.guide(fastener)
        if part == guide:
            return PAPER
        if fastener.name in self._pins:
            if part == SKIN:
                return PAPER
            behind = [self._assembly.faces[name].part for name in fastener.stack]
            return f"{_THROUGH}{SKIN if behind.index(part) > behind.index(SKIN) else guide}"
        return f"{_THROUGH}{guide}"

    def words(self, fastener: Fastener) -> str:
        """Return where a hole is made from in few words; "paper, through skin": the skin has it from paper,
        and other parts get it through the skin."""
        sources = dict.fromkeys(self.of(fastener, face) for face in fastener.stack)
        guides = [part_of_source(source) for source in sources if part_of_source(source)]
        return f"{PAPER}, {_THROUGH}{listed(guides)}" if guides else next(iter(sources), "")

    def shown(self, fastener: Fastener, face: str) -> Fastener:
        """Return a fastener as one part has it: made from its source there; what is not on paper locates no
        paper."""
        source = self.of(fastener, face)
        if source == fastener.made_from:
            return fastener
        return replace(fastener, made_from=source, locating=fastener.locating and source == PAPER)

    def _pins_under_parts(self) -> frozenset[str]:
        """The holes that pin a template on a skin whose other holes are drilled through what lies on it.

        Those that locate; where none does, and no other hole of the feature is the skin's own, two far apart.
        """
        covered: dict[str, list[Fastener]] = {}
        own: dict[str, int] = {}
        for fastener in self._assembly.fasteners:
            if fastener.made_from != PAPER or SKIN not in fastener.stack:
                continue
            if fastener.stack[0] != SKIN and self.guide(fastener) != SKIN:
                covered.setdefault(fastener.feature, []).append(fastener)
            else:
                own[fastener.feature] = own.get(fastener.feature, 0) + 1
        found: set[str] = set()
        for feature, group in covered.items():
            located = [each for each in group if each.locating]
            if located or own.get(feature, 0) < _PINS:
                found.update(each.name for each in located or _far_apart(group))
        return frozenset(found)


def _far_apart(group: list[Fastener]) -> tuple[Fastener, Fastener]:
    """Two holes far apart: the one farthest from the first, and the one farthest from that. One pass each,
    for a panel has thousands of holes."""
    one = max(group, key=lambda each: each.at.distance_to(group[0].at))
    return one, max(group, key=lambda each: each.at.distance_to(one.at))


def _guide(assembly: Assembly, fastener: Fastener) -> str:
    parts = [assembly.faces[name].part for name in fastener.stack]
    named = part_of_source(fastener.made_from or PAPER)
    if named in parts:
        return named
    made = [part for part in parts if assembly.parts[part].made]
    if SKIN in parts:
        return parts[0] if parts[0] in made else SKIN
    return (made or parts)[0]
