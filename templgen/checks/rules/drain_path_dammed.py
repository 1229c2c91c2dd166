"""The ring, with what lies beside it, keeps water from the drain.

Rule: Where the job names the low point of the bay, that point does not lie under the ring, and no patch of
    skin that drained to it before is closed off by the ring together with flanges, angles and walls, unless a
    drain gap is left.
Why: Water that stands behind a ring corrodes skin, ring and rivets from the inside, and freezes there.
Bad: A ring that touches the rib's flange on both sides, with the low point behind it.
Good: The same ring with 6 mm (1/4 in) of skin left free on one side, or a gap in its sealant at the low
    point.
Source: Derived from the outlines; how the skin slopes is not known, so it warns.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from templgen.checks.openings import of_opening
from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import both, counted
from templgen.geometry import Contour, Region, Side, Vec, locate, point_contour, region_contains
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import OpeningSet
from templgen.trade.source import Source
from templgen.units import format_number

OUTLINES = Source("outlines on the skin", derived=True)
SAGITTA = 0.05
MARGIN = 50.0
"""Skin looked at round what lies on it where the walls of the bay are not given, mm."""

LEAST_PUDDLE = 1.0
"""Smaller patches between two outlines are cracks, mm2."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every opening with a low point."""
    openings, frame = survey.assembly.openings, survey.assembly.measured
    lower = frame is not None and frame.surface == "lower"
    low = [(each, each.low_point) for each in openings if each.low_point is not None]
    unsaid = [each for each in openings if each.low_point is None and lower]
    if not low and not unsaid:
        yield RULE.not_applicable("no opening with a low point of its bay")
    for opening in unsaid:
        yield RULE.not_checked(
            f"{opening.name}: where water in the bay runs to is not given",
            of_opening(opening, opening.ring_face),
            cure="give low_point of the opening, in the axes of the job",
        )
    for opening, point in low:
        yield from _of_opening(survey, opening, point)


def _of_opening(survey: Survey, opening: OpeningSet, low: Vec) -> Iterator[Finding]:
    on = of_opening(opening, opening.ring_face, low)
    if opening.drain_gap is not None:
        message = f"{opening.name}: a drain gap of {both(opening.drain_gap)} is left in the ring's sealant"
        yield RULE.found(Verdict.PASS, message, on, severity=Severity.INFORMATION, measured=opening.drain_gap)
        return
    yield _low_point(opening, low, on)
    yield from _puddles(survey, opening, low, on)


def _low_point(opening: OpeningSet, low: Vec, on: Subject) -> Finding:
    """How far the low point lies outside the ring's outer edge; inside the clear hole it drains by itself."""
    away = point_contour(low, opening.ring.outer).distance
    beside = away if locate(low, opening.ring.outer) is Side.OUTSIDE else -away
    in_hole = any(locate(low, hole) is Side.INSIDE for hole in opening.ring.inner)
    if in_hole:
        away = min(point_contour(low, hole).distance for hole in opening.ring.inner)
        message = f"{opening.name}: the low point lies in the opening, under the cover; water stands on it"
        beside = -away
    else:
        where = f"{both(beside)} outside" if beside >= 0.0 else f"{both(-beside)} under"
        message = f"{opening.name}: the low point lies {where} the ring"
    told = Told(on, message, "move the opening off the low point, or leave a drain gap there")
    return told_one(RULE, beside, 0.0, 0.0, told)


def _puddles(survey: Survey, opening: OpeningSet, low: Vec, on: Subject) -> Iterator[Finding]:
    from templgen.geometry.planar import subtract  # loads shapely

    dams = _dams(survey, opening)
    ring = Region(opening.ring.outer)
    bay = _bay(opening, [ring, *dams], low)
    before, after = subtract(bay, dams, SAGITTA), subtract(bay, [ring, *dams], SAGITTA)
    drained = next((patch for patch in before if region_contains(patch, low)), None)
    if drained is None:
        yield RULE.not_checked(
            f"{opening.name}: the low point lies under structure or an angle",
            on,
            cure="check the drain path by hand",
        )
        return
    still = next((patch for patch in after if region_contains(patch, low)), None)
    cut_off = [
        patch
        for patch in after
        if patch is not still and patch.area > LEAST_PUDDLE and region_contains(drained, _inside(patch))
    ]
    if still is None or not cut_off:
        message = f"{opening.name}: all skin round the ring is joined to the low point"
        if still is not None:
            yield RULE.found(
                Verdict.PASS, message, on, severity=Severity.INFORMATION, measured=0.0, limit=0.0, unit="mm2"
            )
        return
    area = sum(patch.area for patch in cut_off)
    yield RULE.found(
        Verdict.FAIL,
        f"{opening.name}: the ring closes off {counted(len(cut_off), 'patch', 'patches')} of skin, "
        f"{format_number(area / 100, 1)} cm2, from the low point",
        of_opening(opening, opening.ring_face, _inside(cut_off[0])),
        measured=area,
        limit=0.0,
        unit="mm2",
        cure="leave skin free beside the ring, or a drain gap under it",
    )


def _dams(survey: Survey, opening: OpeningSet) -> list[Region]:
    """What else lies on the inside of the skin: flanges, angles, other plates."""
    own = {*opening.ring_faces, opening.cover_face}
    flanges = [each.flange for each in survey.assembly.structures.values() if each.flange is not None]
    faces = [
        face.outline
        for face in survey.faces
        if face.plane == "skin" and face.order > 0 and face.name not in own and face.outline is not None
    ]
    return [*flanges, *(Region(outline.outer) for outline in faces)]


def _bay(opening: OpeningSet, lying: Sequence[Region], low: Vec) -> Region:
    if opening.room is not None and opening.room.area is not None:
        return Region(Contour.polygon(opening.room.area.corners))
    box = lying[0].bounds
    for region in lying[1:]:
        if region.bounds.distance_to(opening.ring.bounds) < 4 * MARGIN:
            box = box.union(region.bounds)
    box = box.union(type(box)(low.x, low.y, low.x, low.y)).grown(MARGIN)
    return Region(Contour.polygon(box.corners))


def _inside(patch: Region) -> Vec:
    """A point just inside a patch."""
    edge = max(patch.outer.segments, key=lambda segment: segment.length)
    return edge.midpoint + edge.tangent_at(0.5).perp() * 1e-3


RULE = Rule(
    name="drain-path-dammed",
    title="The ring keeps water from the drain",
    formula="low point clear of the ring; no skin closed off from it; or a drain gap",
    sources=(OUTLINES,),
    severity=Severity.WARNING,
    cure="leave skin free beside the ring, or a drain gap under it",
    example=WorkedExample(
        "a low point 70 mm from the middle of a ring 100 mm across: outside it by",
        lambda: point_contour(Vec(70.0, 0.0), Contour.circle(Vec(0.0, 0.0), 50.0)).distance,
        20.0,
        "mm",
    ),
    func=check,
)
