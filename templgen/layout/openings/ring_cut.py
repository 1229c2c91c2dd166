"""Where a ring is cut among its holes: its rows of rivets give way to the cut, screws and lugs do not."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from msgspec import Struct

from templgen.geometry import Vec
from templgen.job.openings import Opening
from templgen.layout.draft import Draft
from templgen.layout.hardware import Hardware, where_of
from templgen.layout.openings.edges import least_edge, least_pitch, preferred_edge
from templgen.layout.openings.ring import Ring, ring_of
from templgen.layout.openings.rivets import RowEnds
from templgen.layout.openings.rows import Rows
from templgen.layout.openings.turn_limits import Turned
from templgen.layout.openings.turning import PlanRefused

__all__ = ["Fitted", "cut_ring"]

Held = tuple[Vec, float]
"""A hole and how far it must stay from an edge, mm."""

ROUNDING_MM = 1e-6


class Fitted(Struct, frozen=True):
    """What the ring is drilled for: screws, nutplates and their lugs, rivets row by row."""

    screws: tuple[Vec, ...]
    nutplates: tuple[Turned, ...]
    rivets: tuple[tuple[Vec, ...], ...]


def cut_ring(
    draft: Draft,
    opening: Opening,
    hardware: Hardware,
    rows: Rows,
    fit: Callable[[RowEnds | None], Fitted],
    roomy: bool = False,
) -> tuple[Ring, Fitted]:
    """Return the ring, cut if it is to be, and what fits it.

    Where a cut would come too near to a rivet it is placed by screws and lugs alone, if the job does not
    place it, and the rows of rivets end on either side of it.

    Args:
        draft: for the job.
        opening: how its ring is made, and where it is cut.
        hardware: the fasteners.
        rows: the lines of the opening.
        fit: lays the holes, with rows that end at cuts or without.
        roomy: whether no hole may lack edge distance to a cut that the job places.

    Raises:
        PlanRefused: wherever the ring is cut, a screw or a lug lacks edge distance; where the job has it cut
            there is a screw or a lug.
    """
    fitted = fit(None)
    if opening.ring.made == "whole":
        return ring_of(opening, rows.clear_hole, rows.ring, ()), fitted
    cut = _Cut(draft, opening, hardware)
    ring = ring_of(opening, rows.clear_hole, rows.ring, cut.holes(fitted))
    if cut.lack(ring, cut.rivets(fitted)) > ROUNDING_MM:
        ring = ring_of(opening, rows.clear_hole, rows.ring, cut.screws_and_lugs(fitted))
        fitted = fit(cut.row_ends(ring))
    if opening.ring.cut_at is None:
        cut.require_room(ring, fitted)
    else:
        cut.require_whole_holes(ring, fitted, roomy)
    return ring, fitted


class _Cut:
    """What a cut asks of the holes beside it."""

    def __init__(self, draft: Draft, opening: Opening, hardware: Hardware) -> None:
        self._draft, self._opening, self._hardware = draft, opening, hardware
        made = draft.job.drilled_to
        self._made_rivet, self._made_screw, self._made_cut = (
            made.of("rivet"),
            made.of("screw"),
            made.of("cut"),
        )

    def holes(self, fitted: Fitted) -> list[Held]:
        """All holes, and the distances that they keep for certain."""
        return [*self.screws_and_lugs(fitted), *self.rivets(fitted)]

    def rivets(self, fitted: Fitted) -> list[Held]:
        """The ring's rivets."""
        least = least_edge(self._hardware.rivet) + self._made_rivet + self._made_cut
        return [(place, least) for row in fitted.rivets for place in row]

    def screws_and_lugs(self, fitted: Fitted, sure: bool = True) -> list[Held]:
        """The holes that can not give way; `sure` counts how well they are made."""
        screw, lug = least_edge(self._hardware.screw), least_edge(self._hardware.lug)
        if sure:
            screw, lug = screw + self._made_screw + self._made_cut, lug + self._made_rivet + self._made_cut
        lugs = [(place, lug) for plate in fitted.nutplates for place in plate.rivets]
        return [*((place, screw) for place in fitted.screws), *lugs]

    def lack(self, ring: Ring, holes: Sequence[Held]) -> float:
        """How much the hole that lacks most to a cut lacks, mm, less than 0 where all hold."""
        worst, half = -math.inf, self._opening.ring.cut_gap / 2
        for ray in _rays(ring):
            for place, least in holes:
                arm = place - ring.middle
                if arm.dot(ray) > 0.0:
                    worst = max(worst, least + half - abs(ray.cross(arm)))
        return worst

    def row_ends(self, ring: Ring) -> RowEnds:
        """How rows of rivets end at the cuts of a ring."""
        rivet, half = self._hardware.rivet, self._opening.ring.cut_gap / 2
        least = least_edge(rivet) + self._made_rivet + self._made_cut
        return RowEnds(
            ring.middle,
            _rays(ring),
            least + half - ROUNDING_MM,
            max(least, preferred_edge(rivet)) + half,
            least_pitch(rivet, rivet) + 2 * self._made_rivet,
        )

    def require_room(self, ring: Ring, fitted: Fitted) -> None:
        """Refuse a cut that has no room anywhere."""
        short = self.lack(ring, self.screws_and_lugs(fitted, sure=False))
        if short > ROUNDING_MM:
            raise PlanRefused(
                f"{self._opening.name}: wherever the ring is cut, a screw or a lug rivet lacks "
                f"{self._draft.show(short)} of edge distance",
                at=where_of(self._opening, "ring", "made"),
                hint="fewer screws, or nutplates with closer lugs",
            )

    def require_whole_holes(self, ring: Ring, fitted: Fitted, roomy: bool) -> None:
        """Refuse a cut that the job places where it runs through a hole, a `roomy` one where it comes too
        near; where it merely does, that is left to the rules."""
        if roomy and self.lack(ring, self.holes(fitted)) > ROUNDING_MM:
            raise self._misplaced("comes too near to a hole")
        screw, lug = self._hardware.ring_hole / 2, self._hardware.lug.hole / 2
        lugs = [place for plate in fitted.nutplates for place in plate.rivets]
        for name, places, radius in (("screw", fitted.screws, screw), ("lug rivet", lugs, lug)):
            cut = sum(self.lack(ring, [(place, radius)]) > ROUNDING_MM for place in places)
            if cut:
                raise self._misplaced(f"runs through {cut} {name} hole{'s' if cut > 1 else ''}")

    def _misplaced(self, what: str) -> PlanRefused:
        cut_at, both = self._opening.ring.cut_at, self._opening.ring.made == "halves"
        across = " and opposite" if both else ""
        return PlanRefused(
            f"{self._opening.name}: cut_at = {cut_at:g}: the ring's cut there{across} {what}",
            at=where_of(self._opening, "ring", "cut_at"),
            hint="another cut_at",
        )


def _rays(ring: Ring) -> tuple[Vec, ...]:
    return tuple((cut.end - ring.middle).unit() for cut in ring.cuts)
