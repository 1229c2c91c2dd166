"""An opening becomes metal: faces of ring and cover, cutouts, fasteners with their stacks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from templgen.errors import JobError, Location
from templgen.geometry import Contour, Line, Region, Vec
from templgen.geometry.distance import contours_apart
from templgen.job.names import PAPER, SKIN, THROUGH_NUTPLATE, opening_parts
from templgen.job.openings import Opening
from templgen.layout.assembly import SKIN_PLANE, Cutout, CutPurpose, Face, Fastener, FastenerSpec, Part
from templgen.layout.draft import Draft
from templgen.layout.hardware import ring_thickness, where_of
from templgen.layout.holes import Maker, add_hole_set, drilled_to, next_number, way_of_marking
from templgen.layout.openings.hangs import box_frame, hand_of, hanging_box, room_of
from templgen.layout.openings.lip import lip_of, lipped
from templgen.layout.openings.model import HangingBox, Nutplate, OpeningSet
from templgen.layout.openings.notes import note_opening, to_check_in_hand
from templgen.layout.openings.plan import Plan, plan_opening
from templgen.layout.openings.turn_limits import Turned

__all__ = ["add_opening", "add_opening_cutouts", "add_opening_holes"]

RING = "<ring>"
"""Stands for the piece of the ring under a hole until that is known."""


def add_opening(draft: Draft, opening: Opening) -> None:
    """Plan an opening and add the faces of its ring and its cover, before anything is stacked.

    Raises:
        JobError: as `plan_opening`.
    """
    plan = plan_opening(draft, opening)
    draft.plans[opening.name] = plan
    draft.placements[opening.name] = plan.frame
    skin, cover = draft.job.skin, opening.cover
    cover_name, *ring_names = opening_parts(opening.name, opening.ring.made)
    for name, piece in zip(ring_names, _pieces(opening, plan), strict=True):
        ring = Face(
            name,
            name,
            SKIN_PLANE,
            ring_thickness(draft, opening),
            opening.ring.material or skin.material,
            piece.moved(plan.frame),
            order=0,
            at=where_of(opening, "ring"),
        )
        draft.add_part(Part(name, (name,), made=True, kind="flat part", side="inside"), [ring])
    outline, formed = _cover_outline(draft, opening, cover_name, plan)
    face = Face(
        cover_name,
        cover_name,
        SKIN_PLANE,
        cover.thickness or skin.thickness,
        cover.material or skin.material,
        outline,
        order=0,
        formed=formed,
        at=where_of(opening, "cover"),
    )
    side: Literal["outside", ""] = "outside" if cover.kind == "lying" else ""
    draft.add_part(Part(cover_name, (cover_name,), made=True, kind="flat part", side=side), [face])


def _cover_outline(draft: Draft, opening: Opening, name: str, plan: Plan) -> tuple[Region, tuple[Line, ...]]:
    """The cover's outline with the edges that are bent; a lip adds its bends to the draft."""
    outline, lip = Region(plan.rows.cover).moved(plan.frame), lip_of(draft, opening)
    if lip is None:
        return outline, ()
    with_lip = lipped(draft, opening, name, outline.outer.as_ccw(), lip)
    draft.bends.extend(with_lip.bends)
    if with_lip.plain:
        draft.note(
            f"{opening.name} cover: {with_lip.plain} of its straight edges are shorter than "
            f"{draft.show(lip.least_edge)} and get no lip"
        )
    return Region(with_lip.outline), with_lip.mold_lines


def _pieces(opening: Opening, plan: Plan) -> tuple[Region, ...]:
    """The ring's metal: a whole one keeps its clear hole as a cutout, a cut one has it in its outline."""
    return (Region(plan.rows.ring),) if opening.ring.made == "whole" else plan.ring.pieces


def add_opening_cutouts(draft: Draft, opening: Opening) -> None:
    """Add the skin hole and the clear hole: one cutout through both sheets where they are the same."""
    plan, name = draft.plans[opening.name], opening.name
    ring = (opening_parts(name, "whole")[1],) if opening.ring.made == "whole" else ()
    if opening.cover.kind == "lying":
        _add_cutout(draft, opening, name, plan.rows.clear_hole, (SKIN, *ring))
        return
    _add_cutout(draft, opening, f"{name} skin hole", plan.rows.skin_hole, (SKIN,))
    if ring:
        _add_cutout(draft, opening, f"{name} clear hole", plan.rows.clear_hole, ring)


def _add_cutout(draft: Draft, opening: Opening, name: str, contour: Contour, faces: tuple[str, ...]) -> None:
    plan = draft.plans[opening.name]
    draft.cutouts.append(
        Cutout(
            name,
            opening.name,
            SKIN_PLANE,
            contour.moved(plan.frame).as_ccw(),
            faces,
            CutPurpose.ACCESS,
            draft.job.drilled_to.of("cut"),
            plan.rows.deviation,
            where=opening.where("outline"),
        )
    )


def add_opening_holes(draft: Draft, opening: Opening) -> None:
    """Add screws, lug rivets, ring rivets and the holes of the box; then the set that names them all.

    Raises:
        JobError: a way of marking or a locating number that there is none; faults of the box's holes.
    """
    plan = draft.plans[opening.name]
    driller = _Driller(draft, opening, plan)
    screws = driller.screws()
    nutplates = tuple(
        driller.nutplate(number, plate, screw)
        for number, (plate, screw) in enumerate(zip(plan.nutplates, screws, strict=True), 1)
    )
    rivets = driller.ring_rivets()
    box = _box(draft, opening, plan)
    found = _set_of(draft, opening, plan, box)
    note_opening(draft, opening, plan.hardware, found.lip, found.ledge)
    draft.openings.append(replace(found, screws=screws, nutplates=nutplates, ring_rivets=rivets))


def _set_of(draft: Draft, opening: Opening, plan: Plan, box: HangingBox | None) -> OpeningSet:
    """The set in the skin plane, still without the names of its holes."""
    frame, rows = plan.frame, plan.rows
    flush = opening.cover.kind == "flush"
    cover, *rings = opening_parts(opening.name, opening.ring.made)
    return OpeningSet(
        opening.name,
        frame.apply(plan.ring.middle),
        frame,
        rows.skin_hole.moved(frame).as_ccw(),
        rows.clear_hole.moved(frame).as_ccw(),
        rows.cover.moved(frame).as_ccw(),
        plan.ring.whole.moved(frame),
        rows.screw_line.moved(frame),
        tuple(line.moved(frame) for line in rows.rivet_lines),
        tuple(rings),
        cover,
        opening.cover.kind,
        opening.cover.gap or 0.0,
        (),
        (),
        (),
        opening.ring.made,
        opening.nutplates.riveted,
        opening.opened,
        ring_cuts=tuple(cut.moved(frame) for cut in plan.ring.cuts),
        ledge=contours_apart(rows.clear_hole, rows.skin_hole, math.inf) if flush else 0.0,
        left_out=plan.left_out,
        lip=lip_of(draft, opening),
        room=room_of(draft, opening),
        hangs=box,
        hand=hand_of(opening),
        pressure_psi=opening.pressure_psi,
        low_point=None if opening.low_point is None else draft.to_skin(Vec(*opening.low_point)),
        drain_gap=opening.drain_gap,
        arm=opening.arm,
        deviation=rows.deviation,
        check_in_hand=to_check_in_hand(plan.hardware),
        where=opening.where(),
    )


def _box(draft: Draft, opening: Opening, plan: Plan) -> HangingBox | None:
    box = opening.hangs
    if box is None:
        return None
    cover = opening_parts(opening.name, opening.ring.made)[0]
    before = len(draft.fasteners)
    maker = Maker.in_skin(opening.name, cover, (cover,), box_frame(box, plan.frame))
    for number, holes in enumerate(box.holes, 1):
        with draft.faults.guard(holes.where(), opening.name):
            add_hole_set(draft, holes, maker, f"{opening.name}, {box.name} hole set {number}")
    mounts = tuple(fastener.name for fastener in draft.fasteners[before:])
    cover_z = -draft.job.skin.thickness if opening.cover.kind == "lying" else 0.0
    return hanging_box(draft, box, plan.frame, cover_z, mounts)


class _Rows(Struct, frozen=True):
    """What all holes of one kind share."""

    spec: FastenerSpec
    group: str
    made_from: str
    access: str
    where: Location


class _Driller:
    """Adds the fasteners of one opening to the draft."""

    def __init__(self, draft: Draft, opening: Opening, plan: Plan) -> None:
        self._draft, self._opening, self._plan = draft, opening, plan
        cover, *rings = opening_parts(opening.name, opening.ring.made)
        self._cover, self._rings = cover, rings
        self._lying = opening.cover.kind == "lying"

    def _rows(self, table: str, spec: FastenerSpec, words: str, made_from: str) -> _Rows:
        node = getattr(self._opening, table)
        given = way_of_marking(
            self._draft, node.made_from, made_from, where_of(self._opening, table, "made_from")
        )
        group = f"{self._opening.name} {words}"
        return _Rows(spec, group, given, node.access or "", where_of(self._opening, table))

    def _drill(
        self,
        rows: _Rows,
        at: Vec,
        under: Sequence[str],
        *,
        nutplate: str = "",
        locating: bool = False,
        wider: tuple[tuple[str, float], ...] = (),
    ) -> str:
        """Add one fastener through faces `under` and the piece of ring that lies there; return its mark."""
        draft, number = self._draft, next_number(self._draft)
        ring = self._rings[self._plan.ring.piece_at(at)]
        draft.fasteners.append(
            Fastener(
                str(number),
                number,
                SKIN_PLANE,
                self._plan.frame.apply(at),
                rows.spec,
                (*under, ring),
                "outside",
                self._opening.name,
                rows.group,
                rows.made_from,
                drilled_to(draft.job, rows.spec, locating),
                locating=locating,
                where=rows.where,
                nutplate=nutplate,
                access=rows.access,
                other_holes=tuple((ring if name == RING else name, hole) for name, hole in wider),
            )
        )
        return str(number)

    def screws(self) -> tuple[str, ...]:
        """Add the cover's screws; under a floating nut, ring and skin have the larger hole."""
        hardware, places = self._plan.hardware, self._plan.screws
        rows = self._rows("screws", hardware.screw, "screws", PAPER)
        locating = self._locating(len(places))
        under = (self._cover, SKIN) if self._lying else (self._cover,)
        wider = tuple((name, hardware.ring_hole) for name in (*under[1:], RING))
        return tuple(
            self._drill(
                rows,
                screw.at,
                under,
                nutplate=self._nutplate_name(number),
                locating=number in locating,
                wider=wider if hardware.ring_hole != hardware.screw.hole else (),
            )
            for number, screw in enumerate(places, 1)
        )

    def _nutplate_name(self, number: int) -> str:
        return f"{self._opening.name} nutplate {number}"

    def _locating(self, count: int) -> set[int]:
        """The numbers of the locating screws: as given, else the first and the one opposite."""
        given = self._opening.screws.locating
        for number in given or ():
            if not 1 <= number <= count:
                raise JobError(
                    f"{self._opening.name}: locating names screw {number}",
                    at=where_of(self._opening, "screws", "locating"),
                    hint=f"there are screws 1 to {count}",
                )
        return {1, 1 + count // 2} if given is None else set(given)

    def nutplate(self, number: int, plate: Turned, screw: str) -> Nutplate:
        """Add the rivets of one nutplate.

        On the bench they join it to the ring alone; in place under a lying cover they pass the skin as well.
        Their heads are flush, because the skin or the cover lies on them.
        """
        opening, spec = self._opening, self._plan.hardware.nutplate
        rows = self._rows("nutplates", self._plan.hardware.lug, "nutplate rivets", THROUGH_NUTPLATE)
        under = (SKIN,) if self._lying and opening.nutplates.riveted == "in place" else ()
        name, frame = self._nutplate_name(number), self._plan.frame
        rivets = tuple(self._drill(rows, at, under, nutplate=name) for at in plate.rivets)
        outline = None if plate.outline is None else plate.outline.moved(frame).as_ccw()
        at, angle = frame.apply(plate.at), frame.apply_angle(plate.angle)
        return Nutplate(name, spec, screw, rivets, at, angle, plate.turned, outline)

    def ring_rivets(self) -> tuple[str, ...]:
        """Add the rivets that join ring and skin, row by row."""
        rows = self._rows("rivets", self._plan.hardware.rivet, "ring rivets", PAPER)
        return tuple(self._drill(rows, at, (SKIN,)) for row in self._plan.rivets for at in row)
