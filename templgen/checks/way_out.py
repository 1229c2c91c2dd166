"""How a box comes out with its cover where it does not come straight out: lifted, leant, then drawn out.

The cover moves with the box. It is lifted straight until what does not pass would touch the ring, leant about
an axis of the box and shifted so that what is still inside has most room in the clear hole, and drawn
straight out. Only what is proven to stay clear all the way counts (see `geometry.leaning`); other ways are
not looked for. Places are (x, y, z) with z inwards from the inner face of the skin, mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct

from templgen.checks.openings import bay_of, clear_space, skin_thickness
from templgen.checks.survey import Survey
from templgen.geometry import Vec
from templgen.geometry.convex import convex_hull
from templgen.geometry.flatten import flatten
from templgen.geometry.holding import HoleSpace, clearance_in, hold
from templgen.geometry.leaning import Around, Hinge, Lean, Sheet, leaned, part_behind, stays_clear
from templgen.geometry.solids import Solid, Standing, prism
from templgen.layout.openings.model import HangingBox, OpeningSet, Plug

__all__ = ["LEANS", "LeaningOut", "leaning_out", "nutplate_solids", "plug_corners"]

LEANS = (0.0, 10.0, 20.0, 30.0, 45.0, 60.0)
"""Leans that are tried, degrees; 0 is merely lifted and moved aside."""

COVER_OFF = 3.0
"""The cover keeps this far off the skin while it leans, mm: more than the height of a rivet's head (own
default)."""

MARGINS = (1.0, 0.5)
"""What is tried to keep clear all the way, mm."""

_UNDER_RING = 1.5
_COVER_SAGITTA = 0.3


class LeaningOut(Struct, frozen=True):
    """A way out: how far the cover is lifted first, and how far above its place its middle is once it leans
    (mm), how far it leans (degrees) and which end of the box goes deeper, how far all is moved aside, what
    stays clear all the way (mm), the poses, and what moves, the cover first."""

    lift: float
    risen: float
    angle: float
    deeper: str
    aside: float
    clearance: float
    hinge: Hinge
    poses: tuple[Lean, ...]
    bodies: tuple[Solid, ...]


class _Set(Struct, frozen=True, eq=False):
    """What moves, and what stands still for what is inside (`room`) and for the cover (`sheets`)."""

    inner: tuple[Solid, ...]
    cover: Solid
    room: Around
    sheets: Around
    space: HoleSpace
    outer_face: float


def leaning_out(
    survey: Survey, opening: OpeningSet, box: HangingBox, plugs: Sequence[Plug]
) -> LeaningOut | None:
    """Return a way out for a box with some plugs; None where none is found, or the room is not known."""
    moving = _set_of(survey, opening, box, plugs)
    if moving is None:
        return None
    lift = _most_lift(survey, opening, box, plugs)
    if lift < COVER_OFF:
        return None
    for angle in LEANS:
        for hinge, deeper in _hinges(box):
            found = _way(moving, hinge, angle, deeper, lift)
            if found is not None:
                return found
    return None


def _set_of(survey: Survey, opening: OpeningSet, box: HangingBox, plugs: Sequence[Plug]) -> _Set | None:
    bay, skin = bay_of(survey, opening), skin_thickness(survey)
    if bay is None or any(p.outline is not None and p.spec.height is None for p in opening.nutplates):
        return None
    ring = survey.assembly.faces[opening.ring_face].thickness
    clear = HoleSpace.of(opening.clear_hole)
    sheets = (Sheet(clear, 0.0, ring), Sheet(HoleSpace.of(opening.skin_hole), -skin, 0.0))
    solids = (*bay.solids, *nutplate_solids(survey, opening))
    thick = survey.assembly.faces[opening.cover_face].thickness
    flat = np.array([(p.x, p.y) for p in flatten(opening.cover, _COVER_SAGITTA)])
    hull = [Vec(float(x), float(y)) for x, y in convex_hull(flat)]
    return _Set(
        tuple(solids_of(box, plugs)),
        prism("the cover", hull, box.cover_z - thick, box.cover_z),
        Around(sheets, Standing(solids), bay.area, bay.depth),
        Around(sheets, Standing(())),
        clear_space(opening),
        -skin,
    )


def solids_of(box: HangingBox, plugs: Sequence[Plug]) -> Iterator[Solid]:
    """Yield the box and some plugs as prisms."""
    yield prism(box.name, box.footprint.vertices, box.cover_z, box.cover_z + box.height)
    for plug in plugs:
        low, high = (0.0, plug.stands_out) if plug.side == "top" else (-plug.height / 2, plug.height / 2)
        middle = box.cover_z + plug.z
        yield prism(plug.name, plug_corners(box, plug), middle + low, middle + high)


def plug_corners(box: HangingBox, plug: Plug) -> tuple[Vec, ...]:
    """Return the corners of a plug's shadow in the skin plane, in order."""
    top = plug.side == "top"
    along = box.frame.apply_direction(Vec(1.0, 0.0)) if top else plug.direction
    back, out = (-plug.width / 2, plug.width / 2) if top else (0.0, plug.stands_out)
    aside = along.perp() * ((plug.height if top else plug.width) / 2)
    return (
        plug.at + along * back - aside,
        plug.at + along * out - aside,
        plug.at + along * out + aside,
        plug.at + along * back + aside,
    )


def nutplate_solids(survey: Survey, opening: OpeningSet) -> Iterator[Solid]:
    """Yield the nutplates whose outline and height are known, on the inside of the ring."""
    ring = survey.assembly.faces[opening.ring_face].thickness
    for plate in opening.nutplates:
        if plate.outline is not None and plate.spec.height is not None:
            yield prism(plate.name, plate.outline.vertices, ring, ring + plate.spec.height)


def _most_lift(survey: Survey, opening: OpeningSet, box: HangingBox, plugs: Sequence[Plug]) -> float:
    """How far all may be lifted straight until a plug that does not pass is under the ring, mm."""
    ring = survey.assembly.faces[opening.ring_face].thickness
    hole = opening.clear_hole.as_ccw()
    heights = [box.height]
    for plug in plugs:
        if clearance_in(hole, plug_corners(box, plug)) < 0.0:
            top = plug.z if plug.side == "top" else plug.z - plug.height / 2
            heights.append(box.cover_z + top - ring - _UNDER_RING)
    return min(heights)


def _hinges(box: HangingBox) -> Iterator[tuple[Hinge, str]]:
    """Lines through the middle of the box along its own axes, and the end that goes deeper."""
    middle = box.frame.apply(Vec(0.0, 0.0))
    for end, out in (("+x", Vec(1, 0)), ("-x", Vec(-1, 0)), ("+y", Vec(0, 1)), ("-y", Vec(0, -1))):
        along = -box.frame.apply_direction(out).perp()
        yield Hinge(middle, box.cover_z, along), end


def _way(moving: _Set, hinge: Hinge, angle: float, deeper: str, lift: float) -> LeaningOut | None:
    """Lift, lean and shift at once (or shift first), draw out; None where that is not proven clear."""
    angles = np.array([angle])
    low = leaned(moving.cover.points, hinge, angles, np.zeros((1, 3)))[0, :, 2].max()
    rise = moving.outer_face - COVER_OFF - float(low)
    behind = [
        part_behind(
            body, leaned(body.points, hinge, angles, np.array([[0.0, 0.0, rise]]))[0], moving.outer_face
        )
        for body in moving.inner
    ]
    shadow = np.concatenate(behind)[:, :2]
    if not len(shadow):
        return None
    held = hold(moving.space, convex_hull(shadow) if len(shadow) > 2 else shadow, 0.0)
    if held.clearance < MARGINS[-1]:
        return None
    aside = (held.at.x, held.at.y)
    up = min(lift, -rise)
    home, lifted = Lean(0.0, (0.0, 0.0, 0.0)), Lean(0.0, (0.0, 0.0, -up))
    shifted, last = Lean(0.0, (*aside, -up)), Lean(angle, (*aside, rise))
    out = Lean(angle, (*aside, rise - _to_outside(moving, hinge, angle, rise)))
    for margin in (each for each in MARGINS if each <= held.clearance):
        for poses in ((home, lifted, last, out), (home, lifted, shifted, last, out)):
            if _is_clear(moving, hinge, poses, margin):
                bodies = (moving.cover, *moving.inner)
                return LeaningOut(up, -rise, angle, deeper, held.at.length, margin, hinge, poses, bodies)
    return None


def _to_outside(moving: _Set, hinge: Hinge, angle: float, rise: float) -> float:
    """How far all must be drawn out until nothing is behind the skin's outer face, mm."""
    deepest = max(
        float(leaned(body.points, hinge, np.array([angle]), np.array([[0.0, 0.0, rise]]))[0, :, 2].max())
        for body in moving.inner
    )
    return max(deepest - moving.outer_face, 0.0) + COVER_OFF


def _is_clear(moving: _Set, hinge: Hinge, poses: Sequence[Lean], margin: float) -> bool:
    """The cover lies on the skin at first and is lifted straight: it counts from there."""
    return stays_clear(moving.inner, hinge, poses, moving.room, margin) and stays_clear(
        (moving.cover,), hinge, poses[1:], moving.sheets, margin + _COVER_SAGITTA
    )
