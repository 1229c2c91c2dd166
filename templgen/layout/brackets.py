"""Brackets: a formed angle with one leg on a structure's web and one on the skin side.

The mold lines meet `lift` above the skin on the side of the web on which the bracket stands. A leg's flat
begins at the bend tangent, one setback from the mold line, and its free edge lies at the leg's length. Web
holes are placed from the skin, skin leg holes from the web's face; both along the line from the bracket's
middle.
"""

from __future__ import annotations

from msgspec import Struct

from templgen.errors import JobError
from templgen.geometry import Contour, Line, Region, Vec
from templgen.job.model import Bracket
from templgen.job.names import SKIN
from templgen.layout.assembly import SKIN_PLANE, Bend, Face, Part, StructureLine
from templgen.layout.draft import Draft
from templgen.layout.holes import Maker, add_hole_set
from templgen.layout.structures import region_between, shifted
from templgen.trade.bending import setback

__all__ = ["BEND_ANGLE", "add_bracket", "add_bracket_holes"]

BEND_ANGLE = 90.0


class _Stand(Struct, frozen=True):
    """Where a bracket stands: the mold line on the web's face, and the way away from the web."""

    mold: Line
    away: Vec
    side: int


def add_bracket(draft: Draft, bracket: Bracket) -> None:
    """Add both faces and the bend, before anything is stacked.

    Raises:
        JobError: unknown structure, a structure without a web, a leg shorter than its bend.
    """
    back = setback(BEND_ANGLE, bracket.bend_radius, bracket.thickness)
    for key in ("web_leg", "skin_leg"):
        if getattr(bracket, key) <= back:
            raise JobError(
                f'{key} of "{bracket.name}" is {draft.show(getattr(bracket, key))}, '
                f"its bend alone takes {draft.show(back)}",
                at=bracket.where(key),
            )
    stand = _stand(draft, bracket)
    skin_face, skin_tangent = _skin_leg(bracket, stand, back)
    web_face, web_tangent = _web_leg(bracket, stand, back)
    part = Part(bracket.name, (skin_face.name, web_face.name), made=True, kind="bracket", side="inside")
    draft.add_part(part, [skin_face, web_face])
    draft.bends.append(
        Bend(
            bracket.name,
            skin_face.name,
            web_face.name,
            skin_tangent,
            web_tangent,
            bracket.bend_radius,
            BEND_ANGLE,
        )
    )


def add_bracket_holes(draft: Draft, bracket: Bracket) -> None:
    """Add the holes of both legs: web holes through leg and web, skin leg holes through skin and leg."""
    stand = _stand(draft, bracket)
    middle, along = stand.mold.midpoint, stand.mold.direction
    web = Maker(
        bracket.name,
        f"{bracket.structure} web",
        bracket.name,
        (bracket.name, bracket.structure),
        lambda point: Vec(bracket.along + point.x, point.y),
        f"through {bracket.name}",
    )
    skin = Maker(
        bracket.name,
        SKIN_PLANE,
        bracket.name,
        (SKIN, bracket.name),
        lambda point: middle + along * point.x + stand.away * point.y,
    )
    for maker, sets, leg in ((web, bracket.web_holes, "web leg"), (skin, bracket.skin_holes, "skin leg")):
        for number, holes in enumerate(sets, 1):
            with draft.faults.guard(holes.where(), bracket.name):
                add_hole_set(draft, holes, maker, f"{bracket.name} {leg}, hole set {number}")


def _stand(draft: Draft, bracket: Bracket) -> _Stand:
    structure = draft.structure(bracket.structure, bracket.where("structure"))
    side = 1 if bracket.side == "left" else -1
    side = -side if draft.view.is_mirrored else side
    base = _web_side_line(structure, side)
    if base is None or f"{structure.name} web" not in draft.planes:
        raise JobError(
            f'"{structure.name}" has no known web for a bracket on its {bracket.side}',
            at=bracket.where("structure"),
            hint="its line_is, thickness and flange_side must say where the web stands",
        )
    start = bracket.along - bracket.length / 2
    if start < -1e-9 or bracket.along + bracket.length / 2 > base.length + 1e-9:
        raise JobError(
            f'"{bracket.name}" reaches beyond the measured line of "{structure.name}" '
            f"({draft.show(base.length)} long)",
            at=bracket.where("along"),
        )
    first = base.start + base.direction * start
    return _Stand(Line(first, first + base.direction * bracket.length), base.direction.perp() * side, side)


def _web_side_line(structure: StructureLine, side: int) -> Line | None:
    """Return the web's face on which the bracket stands; the web's thickness lies towards the flange."""
    if not structure.flange_side:
        return None
    return structure.lines.get("web inner face" if side == structure.flange_side else "web face")


def _skin_leg(bracket: Bracket, stand: _Stand, back: float) -> tuple[Face, Line]:
    tangent = shifted(stand.mold, stand.away, back)
    free = shifted(stand.mold, stand.away, bracket.skin_leg)
    face = Face(
        f"{bracket.name} skin leg",
        bracket.name,
        SKIN_PLANE,
        bracket.thickness,
        bracket.material,
        region_between(tangent, free),
        order=0,
        formed=(tangent,),
        at=bracket.where(),
        lift=bracket.lift,
    )
    return face, tangent


def _web_leg(bracket: Bracket, stand: _Stand, back: float) -> tuple[Face, Line]:
    left, right = bracket.along - bracket.length / 2, bracket.along + bracket.length / 2
    low, high = bracket.lift + back, bracket.lift + bracket.web_leg
    tangent = Line(Vec(left, low), Vec(right, low))
    face = Face(
        f"{bracket.name} web leg",
        bracket.name,
        f"{bracket.structure} web",
        bracket.thickness,
        bracket.material,
        Region(Contour.polygon([Vec(left, low), Vec(right, low), Vec(right, high), Vec(left, high)])),
        order=-1 if stand.side > 0 else 1,
        formed=(tangent,),
        at=bracket.where(),
    )
    return face, tangent
