"""The lines of an opening: skin hole, clear hole, screw line, cover, rivet lines, ring, each from the next.

All lines are at a constant distance from each other, so every corner follows the opening's. From inside out:

    lying cover   clear hole = skin hole | screw line | cover's edge | rivet lines | ring's edge
    flush cover   clear hole | screw line | cover's edge | gap | skin hole | rivet lines | ring's edge

Everything is in the opening's own frame, mm.
"""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import Struct

from templgen.errors import GeometryError, JobError, Location
from templgen.geometry import Contour, Side, fillet, locate, offset_contour
from templgen.geometry.contains import contours_meet
from templgen.geometry.corner import turn_at
from templgen.geometry.distance import contours_apart
from templgen.geometry.overlap import reach_beyond
from templgen.job.airframe import MadeKind
from templgen.job.fields import ShapeUse
from templgen.job.model import Job
from templgen.job.openings import Opening
from templgen.layout.draft import Draft
from templgen.layout.hardware import Hardware, where_of
from templgen.layout.openings.edges import (
    default_pitch,
    head_radius,
    least_pitch,
    preferred_edge,
    usual_row_gap,
)
from templgen.layout.openings.lip import lip_of
from templgen.layout.openings.turning import PlanRefused, Reach
from templgen.trade.limits import limit
from templgen.units import format_length

__all__ = ["Rows", "rows_keep_off", "rows_of"]

ROUNDING_MM = 1e-6

SHARP_TURN = 5.0
"""A joint that turns more than this is a sharp corner, degrees."""


class Rows(Struct, frozen=True):
    """The lines of one opening, in its own frame; `rivet_lines` outermost first.

    `deviation` is what fitting curves of the outline cost, mm.
    """

    skin_hole: Contour
    clear_hole: Contour
    screw_line: Contour
    cover: Contour
    rivet_lines: tuple[Contour, ...]
    ring: Contour
    deviation: float


def rows_of(draft: Draft, opening: Opening, hardware: Hardware, reach: Reach) -> Rows:
    """Return the lines of an opening.

    Args:
        draft: for the job and its shapes.
        opening: what the job says; its numbers go before the defaults.
        hardware: sizes of screws, lugs and rivets.
        reach: how far the nutplates reach from the screw line.

    Raises:
        PlanRefused: numbers that leave no room for each other with nutplates that are turned so.
        JobError: a line that can not be drawn, an outline with openings.
    """
    return _Builder(draft, opening, hardware, reach).rows()


def rows_keep_off(draft: Draft, opening: Opening, hardware: Hardware, reach: Reach, rows: Rows) -> bool:
    """Return whether the rivets keep as far from cover, screws and nutplates as where the job gives the ring
    no width: so far that no rule has a doubt."""
    return _Builder(draft, opening, hardware, reach).keep_off(rows)


class _Builder:
    def __init__(self, draft: Draft, opening: Opening, hardware: Hardware, reach: Reach) -> None:
        self._draft, self._opening = draft, opening
        self._hardware, self._reach = hardware, reach
        outline = draft.shapes.outline(opening.outline)
        if outline.inner:
            raise JobError(
                f'"{opening.name}" has openings in its outline; what is cut out has none',
                at=opening.outline.where("shape"),
            )
        for text in outline.told(draft.job.unit):
            draft.note(f"{opening.name}: {text}")
        self._outline, self._deviation = outline.contour.as_ccw(), outline.deviation
        self._outgrown: list[tuple[Contour, Contour]] = []

    def rows(self) -> Rows:
        build = self._lying if self._opening.cover.kind == "lying" else self._flush
        skin_hole, clear, screws, cover, base, clearance = build()
        ring, lines = self._ring(clear, screws, base, clearance)
        self._require_order(clear, screws, cover, lines, ring)
        self._require_free_heads(cover, lines[-1])
        return Rows(skin_hole, clear, screws, cover, lines, ring, self._deviation)

    def keep_off(self, rows: Rows) -> bool:
        """Whether the innermost rivets keep off what lies inside them as they do by default."""
        lying, row = self._opening.cover.kind == "lying", rows.rivet_lines[-1]
        base = rows.cover if lying else rows.skin_hole
        clearance = self._head_clearance() if lying else preferred_edge(self._hardware.rivet)
        return all(
            self._lies_in(line, row) and contours_apart(line, row, math.inf) >= least - ROUNDING_MM
            for line, least in ((base, clearance), (rows.screw_line, self._nutplate_clearance()))
        )

    def _lying(self) -> tuple[Contour, Contour, Contour, Contour, Contour, float]:
        """Skin hole, clear hole, screw line, cover, the line that rivet rows keep clear of, and how far."""
        cover, screws, clear = self._opening.cover, self._opening.screws, self._outline
        at = where_of(self._opening, "cover")
        edge: Contour | None = None
        if cover.outline is not None:
            edge = self._own(cover.outline)
        elif cover.overlap is not None:
            edge = self._grown(clear, cover.overlap, "overlap", cover.where("overlap"))
        if screws.from_cover_edge is not None and edge is not None:
            line = self._grown(
                edge, -screws.from_cover_edge, "the screw line", screws.where("from_cover_edge")
            )
        elif screws.from_opening is not None:
            line = self._grown(clear, screws.from_opening, "the screw line", screws.where("from_opening"))
        elif cover.overlap is not None:
            line = self._grown(clear, cover.overlap / 2, "overlap", cover.where("overlap"))
        else:
            line = self._grown(clear, self._inner_edge(), "the screw line", at)
        if edge is None:
            edge = self._grown(line, screws.from_cover_edge or self._outer_edge(), "the cover", at)
        clearance = self._head_clearance()
        return clear, clear, line, edge, edge, clearance

    def _flush(self) -> tuple[Contour, Contour, Contour, Contour, Contour, float]:
        cover, screws, at = self._opening.cover, self._opening.screws, where_of(self._opening, "cover")
        gap = cover.gap or 0.0
        inner = screws.from_opening or self._inner_edge()
        outer = screws.from_cover_edge or self._outer_edge()
        ledge = cover.ledge or inner + outer + gap
        if cover.ledge is not None and screws.from_opening is None:
            inner = ledge - gap - outer if screws.from_cover_edge is not None else (ledge - gap) / 2
        if self._opening.outline_is == "skin hole":
            skin_hole = self._outline
            clear = self._rounded(self._grown(skin_hole, -ledge, "the clear hole", at), at)
        else:
            clear = self._outline
            skin_hole = self._grown(clear, ledge, "the skin hole", at)
        if inner <= 0:
            raise self._no_room(inner, "the ledge", where_of(self._opening, "cover", "ledge"))
        line = self._grown(clear, inner, "the screw line", at)
        edge = self._grown(skin_hole, -gap, "gap", cover.where("gap"))
        return skin_hole, clear, line, edge, skin_hole, preferred_edge(self._hardware.rivet)

    def _inner_edge(self) -> float:
        """From the clear hole to the screw line: the edge distances, and plates stay on the ring."""
        lug = self._reach.inwards + preferred_edge(self._hardware.lug)
        body = self._reach.body_inwards + self._made_to("screw") + self._made_to("cut")
        return max(preferred_edge(self._hardware.screw), lug, body)

    def _made_to(self, kind: MadeKind) -> float:
        return self._job.drilled_to.of(kind)

    def _outer_edge(self) -> float:
        """From the screw line to the cover's edge; at a lip heads stay off the bend, holes off reliefs."""
        screw, lip = self._hardware.screw, lip_of(self._draft, self._opening)
        if lip is None:
            return preferred_edge(screw)
        made_to = self._made_to("screw") + self._made_to("cut")
        off_bend = lip.set_back + head_radius(screw, "outside") + limit("head-to-bend-margin").mm() + made_to
        return max(off_bend, lip.relief_depth + preferred_edge(screw))

    def _head_clearance(self) -> float:
        """From a lying cover's edge to the next rivet: head, the shop's margin, how well both are made."""
        made_to = self._made_to("rivet") + self._made_to("cut")
        return head_radius(self._hardware.rivet, "outside") + limit("head-to-head").mm() + made_to

    def _nutplate_clearance(self) -> float:
        """From the screw line to the innermost rivet row: pitch to screws and lugs, room for the plates."""
        hardware, made_to = self._hardware, self._made_to("rivet")
        screw = least_pitch(hardware.screw, hardware.rivet) + made_to + self._made_to("screw")
        lug = self._reach.outwards + least_pitch(hardware.lug, hardware.rivet) + 2 * made_to
        body = 0.0
        if self._reach.body is not None:
            head = head_radius(hardware.rivet, "inside")
            body = self._reach.body + head + limit("head-to-head").mm() + made_to + self._made_to("screw")
        return max(screw, lug, body)

    def _ring(
        self, clear: Contour, screws: Contour, base: Contour, clearance: float
    ) -> tuple[Contour, tuple[Contour, ...]]:
        """The ring's outer edge and its rivet lines, outermost first."""
        opening, rivet = self._opening, self._hardware.rivet
        at = where_of(opening, "ring")
        from_edge = opening.rivets.from_edge or preferred_edge(rivet)
        gaps = [self._row_gap()] * (opening.rivets.rows - 1)
        if opening.ring.outline is not None:
            ring = self._own(opening.ring.outline)
        elif opening.ring.width is not None:
            ring = self._grown(clear, opening.ring.width, "width", where_of(opening, "ring", "width"))
        else:
            # so far apart the nutplates ask for no more than the heads do
            from_screws = self._nutplate_clearance()
            apart = contours_apart(screws, base, from_screws - clearance)
            inner = max(clearance, from_screws - apart)
            ring = self._grown(base, inner + sum(gaps) + from_edge, "the ring", at)
        lines = [self._grown(ring, -from_edge, "from_edge", where_of(opening, "rivets", "from_edge"))]
        for gap in gaps:
            lines.append(self._grown(lines[-1], -gap, "row_gap", where_of(opening, "rivets", "row_gap")))
        return ring, tuple(lines)

    def _row_gap(self) -> float:
        rivets, rivet = self._opening.rivets, self._hardware.rivet
        return rivets.row_gap or usual_row_gap(rivet, rivets.pitch or default_pitch(rivet))

    @property
    def _job(self) -> Job:
        return self._draft.job

    def _own(self, use: ShapeUse) -> Contour:
        outline = self._draft.shapes.outline(use)
        if outline.inner:
            raise JobError("an outer edge has no openings", at=use.where("shape"))
        return outline.contour.as_ccw()

    def _grown(self, contour: Contour, distance: float, what: str, at: Location) -> Contour:
        """Return a line at a distance from another one, outwards; it is one line, or a fault."""
        try:
            grown = [each for each in offset_contour(contour, distance) if each.is_ccw]
        except GeometryError as error:
            raise JobError(f"{self._opening.name}: {what} can not be drawn: {error}", at=at) from None
        if len(grown) != 1:
            words = format_length(abs(distance), self._job.unit)
            message = f"{self._opening.name}: {what} at {words} leaves {len(grown)} outlines, not one"
            raise JobError(message, at=at)
        if distance > 0.0:
            self._outgrown.append((contour, grown[0]))
        return grown[0]

    def _rounded(self, clear: Contour, at: Location) -> Contour:
        """A clear hole inside the skin hole may lose its corner radii; they get the least good one back."""
        joints = zip((clear.segments[-1], *clear.segments), clear.segments, strict=False)
        sharp = [turn_at(before, after) > SHARP_TURN for before, after in joints]
        if not any(sharp):
            return clear
        radius = limit("corner-access").mm()
        self._draft.note(
            f"{self._opening.name}: the corners of the clear hole are rounded to "
            f"{format_length(radius, self._job.unit)}, because the skin hole's radius is spent on the ledge"
        )
        try:
            return fillet(clear, [radius if each else 0.0 for each in sharp])
        except GeometryError as error:
            message = f"{self._opening.name}: the clear hole can not be rounded: {error}"
            raise JobError(message, at=at) from None

    def _require_order(
        self, clear: Contour, screws: Contour, cover: Contour, lines: tuple[Contour, ...], ring: Contour
    ) -> None:
        """Refuse lines that are not in each other; what is merely too near is left to the checks."""
        chain = [
            ("the clear hole", clear, where_of(self._opening, "screws")),
            ("the screw line", screws, where_of(self._opening, "screws")),
            ("the cover's edge", cover, where_of(self._opening, "cover")),
            ("the ring's edge", ring, where_of(self._opening, "ring")),
        ]
        for (name, inner, _), (other, outer, at) in pairwise(chain):
            if not self._lies_in(inner, outer):
                beyond = format_length(reach_beyond(inner, outer, Side.OUTSIDE), self._job.unit)
                words = f"{other} does not lie outside {name}, which reaches {beyond} beyond it"
                raise self._refused(words, at, self._wider_ring if outer is ring else None)
        if not self._lies_in(screws, lines[-1]):
            words = "the rivet row does not lie outside the screw line"
            raise self._refused(words, where_of(self._opening, "rivets"), self._wider_ring)

    def _require_free_heads(self, cover: Contour, row: Contour) -> None:
        """Refuse a ring so narrow that heads of its rivets would have to stand in a lying cover's metal."""
        rivet, ring = self._hardware.rivet, self._opening.ring
        given = "width" if ring.width is not None else "outline" if ring.outline is not None else None
        if given is None or self._opening.cover.kind != "lying" or rivet.is_flush or not rivet.head_diameter:
            return
        over = rivet.head_diameter / 2
        if self._lies_in(cover, row):
            over -= contours_apart(cover, row, over)
        else:
            over += reach_beyond(row, cover, Side.INSIDE)
        if over > ROUNDING_MM:
            words = f"the heads of the ring's rivets reach {format_length(over, self._job.unit)} over"
            at = where_of(self._opening, "ring", given)
            raise self._refused(f"{words} the cover's edge", at, self._wider_ring)

    @property
    def _wider_ring(self) -> str:
        return "a wider ring" if self._opening.ring.outline is None else "a larger outline of the ring"

    def _refused(self, words: str, at: Location, hint: str | None) -> PlanRefused:
        """The fault of lines that leave no room; with nutplates turned otherwise they may have it."""
        turned = self._reach.turned
        turns = {turned: f"{turned}, {words}"}
        return PlanRefused(f"{self._opening.name}: {words}", at=at, hint=hint, turns=turns)

    def _lies_in(self, inner: Contour, outer: Contour) -> bool:
        """Whether a line lies inside another one without touching it; one that was grown from it does not
        have to be asked."""
        if any(inner is one and outer is other for one, other in self._outgrown):
            return True
        if locate(inner.segments[0].start, outer) is not Side.INSIDE:
            return False
        return not contours_meet(inner, outer)

    def _no_room(self, inner: float, what: str, at: Location) -> JobError:
        short = format_length(-inner, self._job.unit)
        return JobError(f"{self._opening.name}: {what} is {short} too narrow for its screws", at=at)
