"""What the job says of the box on the cover, its plugs and leads, the room behind, the hand that goes in."""

from __future__ import annotations

from templgen.geometry import Bounds, Contour, Motion, Vec
from templgen.job.behind import OpeningBox, OpeningLead, OpeningObstacle, OpeningPlug, Point3
from templgen.job.openings import Opening
from templgen.layout.draft import Draft
from templgen.layout.frames import vec
from templgen.layout.openings.model import Hand, HangingBox, Lead, Obstacle, Place3, Plug, Room

__all__ = ["box_frame", "hand_of", "hanging_box", "room_of"]

_DIRECTIONS = {"+x": Vec(1.0, 0.0), "-x": Vec(-1.0, 0.0), "+y": Vec(0.0, 1.0), "-y": Vec(0.0, -1.0)}


def box_frame(box: OpeningBox, frame: Motion) -> Motion:
    """Return the motion from the box's own frame to the skin plane."""
    return Motion.rotation(box.angle).then(Motion.translation(vec(box.at))).then(frame)


def hanging_box(
    draft: Draft, box: OpeningBox, frame: Motion, cover_z: float, mounts: tuple[str, ...]
) -> HangingBox:
    """Return the box on the cover.

    Args:
        draft: for the motion of places that were measured on the airframe.
        box: what the job says.
        frame: from the opening's frame to the skin plane.
        cover_z: depth of the cover's inner face behind the skin's, mm.
        mounts: names of its fasteners.
    """
    own = box_frame(box, frame)
    return HangingBox(
        box.name,
        Contour.rectangle(box.length, box.width).moved(own).as_ccw(),
        own,
        box.length,
        box.width,
        box.height,
        mounts,
        tuple(_plug(box, plug, own) for plug in box.plugs),
        tuple(_lead(draft, lead) for lead in box.leads),
        box.hand_distance,
        cover_z,
        box.mass_g,
        box.flange,
        where=box.where(),
    )


def _plug(box: OpeningBox, plug: OpeningPlug, own: Motion) -> Plug:
    """Place a plug on its side of the box; z counts from the cover's inner face."""
    out = _DIRECTIONS.get(plug.side, Vec(0.0, 0.0))
    if plug.side == "top":
        at, z = (Vec(0.0, 0.0) if plug.at is None else vec(plug.at)), box.height
    else:
        along, z = (0.0, box.height / 2) if plug.at is None else plug.at
        half = Vec(abs(out.x) * box.length / 2, abs(out.y) * box.width / 2)
        side = Vec(abs(out.y), abs(out.x))
        at = Vec(out.x * half.x, out.y * half.y) + side * along
    return Plug(
        plug.name,
        plug.side,
        own.apply(at),
        z,
        own.apply_direction(out),
        plug.width,
        plug.width if plug.height is None else plug.height,
        plug.stands_out,
        plug.undone,
    )


def _place3(draft: Draft, point: Point3) -> Place3:
    return Place3(draft.to_skin(Vec(point[0], point[1])), point[2])


def _lead(draft: Draft, lead: OpeningLead) -> Lead:
    side = lead.slack_side
    if side is not None and draft.view.is_mirrored:
        side = "right" if side == "left" else "left"
    return Lead(
        lead.name,
        lead.plug,
        lead.free_length,
        _place3(draft, lead.support),
        lead.rib or "",
        side or "",
        lead.stowed or "",
        None if lead.stowed_at is None else _place3(draft, lead.stowed_at),
        lead.stowed_radius,
        where=lead.where(),
    )


def room_of(draft: Draft, opening: Opening) -> Room | None:
    """Return the room behind an opening, None where the job does not say."""
    room = opening.room
    if room is None:
        return None
    corners = [draft.to_skin(vec(point)) for point in room.area or []]
    obstacles = tuple(_obstacle(draft, each) for each in room.obstacles)
    return Room(room.depth, Bounds.of(corners), obstacles)


def _obstacle(draft: Draft, given: OpeningObstacle) -> Obstacle:
    start, end = _place3(draft, given.start), _place3(draft, given.end)
    if given.kind == "line":
        return Obstacle(
            given.name,
            given.moving,
            start=start,
            end=end,
            radius=given.diameter / 2,
            swing=given.swing,
        )
    return Obstacle(
        given.name,
        given.moving,
        box=Bounds.of([start.at, end.at]),
        z_from=min(start.z, end.z),
        z_to=max(start.z, end.z),
        swing=given.swing,
    )


def hand_of(opening: Opening) -> Hand:
    """Return what the job says of the hand that goes in."""
    hand = opening.hand
    return Hand(
        tuple(hand.needs),
        hand.width,
        hand.thickness,
        hand.tool_width,
        hand.tool_thickness,
        hand.two_hands_width,
    )
