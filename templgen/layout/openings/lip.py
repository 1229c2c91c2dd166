"""The bent lip of a cover: along its straight edges, to the outside, with a relief at each end of each lip.

The cover's outline is where the mold lines of its bends run. Beside a lip the sheet stays flat, so a slot
parts the two: as wide as a relief hole, it ends round one whose centre stands on the bend tangent line. A
curved edge can not be bent over on a brake, and corners have none.
"""

from __future__ import annotations

from msgspec import Struct

from templgen.errors import GeometryError, JobError
from templgen.geometry import Arc, Contour, Line, Segment
from templgen.geometry.merge import merged
from templgen.job.openings import Opening
from templgen.layout.assembly import Bend
from templgen.layout.draft import Draft
from templgen.layout.hardware import where_of
from templgen.layout.openings.model import Lip
from templgen.trade.bending import bend_deduction, relief_hole_diameter, setback
from templgen.units import format_length

__all__ = ["Lipped", "lip_of", "lipped"]


class Lipped(Struct, frozen=True):
    """A cover with its lip, in the skin plane: the outline with the reliefs, the mold lines in it, the bends.

    `plain` counts the straight edges that are too short for a lip.
    """

    outline: Contour
    mold_lines: tuple[Line, ...]
    bends: tuple[Bend, ...]
    plain: int


def lip_of(draft: Draft, opening: Opening) -> Lip | None:
    """Return the lip of the cover, with what its blank grows by (mold line dimensions, bend deduction).

    Raises:
        JobError: a lip that is shorter than its bend, a sheet for which no relief hole is published.
    """
    lip = opening.cover.lip
    if lip is None:
        return None
    thickness, unit = opening.cover.thickness or draft.job.skin.thickness, draft.job.unit
    back = setback(lip.angle, lip.bend_radius, thickness)
    if lip.height <= back:
        raise JobError(
            f"{opening.name}: the lip is {format_length(lip.height, unit)} high, "
            f"its bend alone takes {format_length(back, unit)}",
            at=lip.where("height"),
        )
    relief = relief_hole_diameter(lip.bend_radius, thickness)
    if relief is None:
        raise JobError(
            f"{opening.name}: no relief hole is published for a sheet of {format_length(thickness, unit)}",
            at=lip.where(),
            hint="a thinner cover, or no lip",
        )
    growth = lip.height - bend_deduction(lip.angle, lip.bend_radius, thickness)
    return Lip(lip.height, lip.bend_radius, lip.angle, growth, back, relief[0])


def lipped(draft: Draft, opening: Opening, name: str, cover: Contour, lip: Lip) -> Lipped:
    """Return a cover with its lip.

    Args:
        draft: for the job's unit.
        opening: whose cover it is.
        name: of the cover.
        cover: its outline in the skin plane, counter-clockwise.
        lip: its numbers.

    Raises:
        JobError: no straight edge is long enough, or reliefs that meet.
    """
    straight = [each for each in merged(cover).segments if isinstance(each, Line)]
    bent = [each for each in straight if each.length >= lip.least_edge]
    unit = draft.job.unit
    if not bent:
        raise JobError(
            f"{opening.name}: its cover has no straight edge of {format_length(lip.least_edge, unit)} or "
            "more for a lip with its reliefs; a curved edge can not be bent over",
            at=where_of(opening, "cover", "lip"),
            hint="no lip, a lower lip, or a cover with straight edges",
        )
    outline, mold_lines = _with_reliefs(merged(cover), bent, lip)
    bends = tuple(_bend(name, line, lip) for line in mold_lines)
    try:
        outline.require_simple()
    except GeometryError:
        least = format_length(lip.relief_depth, unit)
        raise JobError(
            f"{opening.name}: the reliefs at the ends of two lips meet in a corner of its cover",
            at=where_of(opening, "cover", "lip"),
            hint=f"corners of the cover with a radius above {least}, or a smaller bend radius",
        ) from None
    return Lipped(outline, mold_lines, bends, len(straight) - len(bent))


def _with_reliefs(cover: Contour, bent: list[Line], lip: Lip) -> tuple[Contour, tuple[Line, ...]]:
    segments: list[Segment] = []
    mold_lines = []
    for each in cover.segments:
        if not isinstance(each, Line) or each not in bent:
            segments.append(each)
            continue
        along = each.direction
        inwards, wide = along.perp() * lip.set_back, along * lip.relief
        low, high = each.start + inwards, each.end + inwards
        mold = Line(each.start + wide, each.end - wide)
        mold_lines.append(mold)
        segments += [Line(each.start, low), Arc(low, low + wide, -1.0), Line(low + wide, mold.start), mold]
        segments += [Line(mold.end, high - wide), Arc(high - wide, high, -1.0), Line(high, each.end)]
    return Contour(tuple(segments), closed=True), tuple(mold_lines)


def _bend(name: str, mold: Line, lip: Lip) -> Bend:
    inwards = mold.direction.perp() * lip.set_back
    tangent = Line(mold.start + inwards, mold.end + inwards)
    return Bend(
        name, name, "", tangent, tangent, lip.bend_radius, lip.angle, lip=lip.blank_growth, relief=lip.relief
    )
