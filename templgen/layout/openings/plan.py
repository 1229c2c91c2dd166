"""The plan of an opening, in its own frame: all lines and all places, before anything becomes metal.

The ring's width depends on how the nutplates are turned, and whether a turn holds depends on the ring: where
the job lets both free, the plan is made with the nutplates along the edge first, then with room for them
across.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct

from templgen.errors import JobError
from templgen.geometry import Contour, Motion, Vec, point_region_edge, point_segment, region_contains
from templgen.geometry.distance import contours_apart
from templgen.geometry.extent import extent_along
from templgen.job.openings import Opening
from templgen.layout.assembly import StructureLine
from templgen.layout.draft import Draft
from templgen.layout.hardware import Hardware, hardware_of, where_of
from templgen.layout.openings.model import LeftOut
from templgen.layout.openings.ring import Ring
from templgen.layout.openings.ring_cut import Fitted, cut_ring
from templgen.layout.openings.rivets import RowEnds, rivet_places
from templgen.layout.openings.rows import Rows, rows_keep_off, rows_of
from templgen.layout.openings.spacing import Place, screw_places
from templgen.layout.openings.turn_limits import Neighbours, Turn, Turned
from templgen.layout.openings.turning import PlanRefused, reach_of, turn_nutplates, turns_of, turns_refused
from templgen.layout.places import place, placement
from templgen.trade.limits import limit
from templgen.units import format_length

__all__ = ["Plan", "plan_opening"]


class Plan(Struct, frozen=True):
    """All of an opening in its own frame; `frame` leads from there to the skin plane.

    `nutplates` go with `screws` one by one, `rivets` with `rows.rivet_lines`.
    """

    frame: Motion
    hardware: Hardware
    rows: Rows
    ring: Ring
    screws: tuple[Place, ...]
    nutplates: tuple[Turned, ...]
    rivets: tuple[tuple[Vec, ...], ...]
    left_out: tuple[LeftOut, ...]


def plan_opening(draft: Draft, opening: Opening) -> Plan:
    """Plan an opening.

    Raises:
        JobError: sizes that leave no room, a screw under structure, nutplates that no turn makes hold, a cut
            of the ring that has no room between its screws.
    """
    frame = placement(draft, place(draft, opening.at), opening.angle)
    hardware = hardware_of(draft, opening)
    try:
        return _first_plan(draft, opening, frame, hardware)
    except PlanRefused as fault:
        hint = _cure(draft, opening, frame, hardware) or fault.hint
        raise JobError(fault.message, at=fault.at, hint=hint) from None


def _cure(draft: Draft, opening: Opening, frame: Motion, hardware: Hardware) -> str | None:
    from templgen.layout.openings.cures import cure_of  # only a fault asks for it

    def plan(changed: Opening, roomy: bool = False) -> Plan | None:
        try:
            return _first_plan(draft, changed, frame, hardware, roomy)
        except JobError:
            return None

    ring = opening.ring.model_copy(update={"width": None})
    usual = opening if opening.ring.width is None else opening.model_copy(update={"ring": ring})
    try:
        rows = rows_of(draft, usual, hardware, reach_of(hardware.nutplate, turns_of(opening)[0]))
    except PlanRefused:  # the ring's own outline; nothing but another one makes room
        return None
    width, inner = (contours_apart(rows.clear_hole, line, math.inf) for line in (rows.ring, rows.screw_line))
    return cure_of(opening, width, inner, plan, draft.job.unit)


def _first_plan(
    draft: Draft, opening: Opening, frame: Motion, hardware: Hardware, roomy: bool = False
) -> Plan:
    """The first plan that holds: with room for nutplates along the edge, then for nutplates across.

    A `roomy` one has its rivets as far from everything as where the job gives the ring no width.

    Raises:
        PlanRefused: no plan holds; of each turn that is told which stands in its way where it has room.
    """
    refused: dict[Turn, PlanRefused] = {}
    for turn in turns_of(opening):
        try:
            return _plan(draft, opening, frame, hardware, turn, roomy)
        except PlanRefused as fault:
            refused[turn] = fault
    first = next(iter(refused.values()))
    if not all(fault.turns for fault in refused.values()):
        raise first
    if len(refused) == 1:
        raise first
    words = (fault.turns[turn] for turn, fault in refused.items())
    said = turns_refused(opening, words, draft.job.unit)
    raise PlanRefused(said.message, at=said.at, hint=said.hint)


def _plan(draft: Draft, opening: Opening, frame: Motion, hardware: Hardware, turn: Turn, roomy: bool) -> Plan:
    reach = reach_of(hardware.nutplate, turn)
    rows = rows_of(draft, opening, hardware, reach)
    if roomy and not rows_keep_off(draft, opening, hardware, reach, rows):
        raise PlanRefused(f"{opening.name}: its ring is narrow", at=where_of(opening, "ring"))
    screws, left_out = _clear_of_structure(
        draft, opening, frame, hardware, rows, screw_places(opening, rows.screw_line)
    )
    places = tuple(screw.at for screw in screws)
    along = [(screw.at, screw.along) for screw in screws]

    def fit(ends: RowEnds | None) -> Fitted:
        rivets = rivet_places(opening, rows.rivet_lines, hardware.rivet, ends)
        around = _around(opening, rows, places, rivets)
        plates = turn_nutplates(opening, hardware, along, around, turn, draft.job.unit)
        return Fitted(places, plates, rivets)

    ring, fitted = cut_ring(draft, opening, hardware, rows, fit, roomy)
    return Plan(frame, hardware, rows, ring, screws, fitted.nutplates, fitted.rivets, left_out)


def _around(
    opening: Opening, rows: Rows, screws: tuple[Vec, ...], rivets: tuple[tuple[Vec, ...], ...]
) -> Neighbours:
    return Neighbours(
        rows.clear_hole,
        rows.ring,
        screws,
        tuple(place for row in rivets for place in row),
        rows.clear_hole.bounds.centre,
        _rays(opening),
        opening.ring.cut_gap,
    )


def _rays(opening: Opening) -> tuple[Vec, ...]:
    """Where the job says that the ring is cut: directions from its middle."""
    ring = opening.ring
    if ring.made == "whole" or ring.cut_at is None:
        return ()
    return tuple(
        Vec.polar(1.0, ring.cut_at + turn) for turn in ((0.0, 180.0) if ring.made == "halves" else (0.0,))
    )


def _clear_of_structure(
    draft: Draft,
    opening: Opening,
    frame: Motion,
    hardware: Hardware,
    rows: Rows,
    places: tuple[Place, ...],
) -> tuple[tuple[Place, ...], tuple[LeftOut, ...]]:
    """Part the screws into those that stand free and those whose nutplate would stand on structure.

    Raises:
        JobError: a screw under structure, unless the job leaves such screws out.
    """
    kept, left_out = [], []
    for number, screw in enumerate(places, 1):
        at = frame.apply(screw.at)
        structure, reason = next(_under(draft, at, _room_of(hardware)), (None, ""))
        if structure is None:
            kept.append(screw)
            continue
        if opening.screws.under_structure == "refuse":
            raise JobError(
                f"{opening.name}: screw {number} {reason}",
                at=where_of(opening, "screws"),
                hint=_move_off(draft, structure, rows.ring.moved(frame)),
            )
        left_out.append(LeftOut(at, reason))
        draft.note(f"{opening.name}: a screw was left out, because it {reason}")
    if not kept:
        raise JobError(f"{opening.name}: structure leaves no screw", at=where_of(opening, "screws"))
    return tuple(kept), tuple(left_out)


def _room_of(hardware: Hardware) -> float:
    """How far a nutplate reaches from its screw: its outline, or its farthest rivet with the driven head."""
    outline = hardware.nutplate.outline
    if outline is not None:
        return max(corner.length for corner in outline.bounds.corners)
    driven = hardware.lug.driven_diameter or 2 * hardware.lug.diameter
    return max(hole.length for hole in hardware.nutplate.rivet_holes) + driven / 2


def _move_off(draft: Draft, structure: StructureLine, ring: Contour) -> str:
    """How far an opening has to go for its whole ring, and with it every nutplate, to stand clear.

    Square to the structure, to the side on which its middle lies; in steps that a builder would write.
    """
    from templgen.layout.openings.cures import STEPS  # only a fault asks for it

    line = next(iter(structure.lines.values()))
    away = line.direction.perp()
    metal = [line.start, line.end] if structure.flange is None else list(structure.flange.outer.vertices)
    middle = sum(place.dot(away) for place in metal) / len(metal)
    if ring.bounds.centre.dot(away) < middle:
        away = -away
    unit, least = draft.job.unit, limit("clearance-to-structure").mm()
    short = max(place.dot(away) for place in metal) + least - extent_along(ring, away)[0]
    by = format_length(math.ceil(short / STEPS[unit] - 1e-6) * STEPS[unit], unit)
    clear = f"move the opening {by} away from {structure.name}, then its whole ring stands clear"
    return f'{clear}; or under_structure = "leave out"'


def _under(draft: Draft, at: Vec, room: float) -> Iterator[tuple[StructureLine, str]]:
    """Yield what stands where a nutplate can not, at a place of the skin plane, and why."""
    least = limit("clearance-to-structure").mm()
    for structure in draft.structures.values():
        if structure.kind in ("seam", "skin edge"):
            continue
        clear = _distance(structure, at) - room
        if clear < least:
            unit = draft.job.unit
            words = f"has its nutplate {format_length(max(clear, 0.0), unit)} from {structure.name}"
            yield structure, f"{words}, needs {format_length(least, unit)}"


def _distance(structure: StructureLine, at: Vec) -> float:
    """How far a place lies from what a structure covers of the skin, 0 on it."""
    if structure.flange is not None:
        return (
            0.0 if region_contains(structure.flange, at) else point_region_edge(at, structure.flange).distance
        )
    return min(point_segment(at, line).distance for line in structure.lines.values())
