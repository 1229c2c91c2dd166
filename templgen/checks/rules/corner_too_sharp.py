"""An opening has a corner that is too sharp.

Rule: Inside corners of an access or lightening opening have a radius of at least 1/2 in; below 1/4 in is an
    error. A fit cutout (mast, lamp) follows its part and may be sharper, but not sharper than the builder's
    smallest file or bit: such a corner is opened to a drilled relief hole. A radius of zero is an error in
    both. A round end that is as wide as its slot, and a round hole, are no corners of an access opening.
Why: Stress gathers in a sharp corner; a cusp filed into a stressed skin starts a crack.
Bad: An access opening cut square, or a mast cutout whose tail runs into a point.
Good: Corners drilled with a 1 in bit before the sides are cut; a tail that ends in a #40 hole.
Source: NAVEDTRA 14018 ch. 13 (1/4 in); AC 43.13-1B patch figures (1/2 in, from memory); zero radius
    derived; the smallest file is the builder's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from templgen.checks.corners import Corner, corners_below, least_radius
from templgen.checks.rule import NOTHING, ROUNDING_MM, Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, points_words
from templgen.errors import UnitError
from templgen.geometry import Vec, point_contour, region_contains
from templgen.layout.assembly import SKIN_PLANE, Cutout, CutPurpose, Face
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.drills import drill_at_least, drill_label
from templgen.trade.limits import Limit, limit
from templgen.units import mm_to_inches

ACCESS = limit("corner-access")
FLOOR = limit("corner-access-least")
FIT = limit("corner-fit")
ZERO = limit("corner-zero")
EDGE = limit("edge-least")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every cutout, and for the clear hole of a ring that is in pieces."""
    cutouts = (*survey.assembly.cutouts, *_holes_of_cut_rings(survey))
    if not cutouts:
        yield RULE.not_applicable("no cutout")
    for cutout in cutouts:
        yield from _of_cutout(survey, cutout)


def _holes_of_cut_rings(survey: Survey) -> Iterator[Cutout]:
    """Under a flush cover the ring has a hole of its own; where it is cut no face has it as a cutout."""
    for opening in survey.assembly.openings:
        if opening.ring_made != "whole" and opening.cover_kind == "flush":
            yield Cutout(
                f"{opening.name} clear hole",
                opening.name,
                SKIN_PLANE,
                opening.clear_hole.as_ccw(),
                opening.ring_faces,
                CutPurpose.ACCESS,
                survey.assembly.drilled_to.get("cut", 0.0),
                opening.deviation,
                where=opening.where,
            )


def _of_cutout(survey: Survey, cutout: Cutout) -> Iterator[Finding]:
    fits = cutout.purpose is CutPurpose.FIT
    least = (survey.assembly.smallest_file or FIT.mm()) if fits else ACCESS.mm()
    corners = [c for c in corners_below(cutout.contour, least - ROUNDING_MM) if fits or not c.is_round_end]
    for alike in _alike(survey, cutout, corners):
        said = _fit(survey, cutout, alike, least) if fits else _access(survey, cutout, alike)
        yield told_one(RULE, min(corner.radius for corner in alike), least, 0.0, said)
    if not corners:
        tightest = least_radius(cutout.contour)
        yield RULE.found(
            Verdict.PASS,
            f"{cutout.name}: no inside corner sharper than {both(least)}",
            survey.cutout(cutout, _face(survey, cutout)),
            severity=Severity.INFORMATION,
            measured=tightest if tightest is not None and tightest >= least - ROUNDING_MM else None,
            limit=least,
            doubt=0.0,
        )


def _alike(survey: Survey, cutout: Cutout, corners: Sequence[Corner]) -> Iterator[list[Corner]]:
    """Corners of which the same is to be said: of one radius, round which the same part lies."""
    found: dict[tuple[float, str], list[Corner]] = {}
    for corner in corners:
        around = _surrounded_by(survey, cutout, corner) if cutout.purpose is CutPurpose.FIT else ""
        found.setdefault((round(corner.radius, 3), around), []).append(corner)
    yield from found.values()


def _access(survey: Survey, cutout: Cutout, corners: Sequence[Corner]) -> Told:
    radius = corners[0].radius
    broken: Limit = FLOOR if radius < FLOOR.mm() - ROUNDING_MM else ACCESS
    message = (
        f"{_which(survey, cutout, corners)}; {cutout.purpose.value} openings need {both(ACCESS.mm())} "
        f"and never less than {both(FLOOR.mm())}"
    )
    one, it = ("the corner", "it") if len(corners) == 1 else ("each", "them")
    cure = f"give {one} a radius {at_least(ACCESS.mm() - radius)} larger: drill {it}, then cut the sides"
    said = Told(NOTHING, message, cure, Severity(broken.severity), source=broken.source)
    return _told(survey, cutout, corners[0], said)


def _fit(survey: Survey, cutout: Cutout, corners: Sequence[Corner], least: float) -> Told:
    around = _surrounded_by(survey, cutout, corners[0])
    message = f"{_which(survey, cutout, corners)}; the smallest file or bit makes {both(least)}"
    if around:
        message += f"; {around} surrounds {'it' if len(corners) == 1 else 'them'} with full edge distance"
    severity = Severity.INFORMATION if around else Severity(FIT.severity)
    cure = _relief(survey, cutout, corners, least)
    return _told(survey, cutout, corners[0], Told(NOTHING, message, cure, severity, source=FIT.source))


def _which(survey: Survey, cutout: Cutout, corners: Sequence[Corner]) -> str:
    """Which corners of a cutout, where they are, and their radius."""
    what = "corner" if len(corners) == 1 else f"{len(corners)} corners"
    where = _places(survey, cutout, [corner.tip for corner in corners])
    return f"{cutout.name}: {what} of radius {both(corners[0].radius)}, at {where}"


def _places(survey: Survey, cutout: Cutout, points: Sequence[Vec]) -> str:
    """Places as the builder counts x and y: in the skin by the frame in which it was measured."""
    own = survey.assembly.view.inverse() if cutout.plane == SKIN_PLANE else None
    return points_words([own.apply(point) for point in points] if own is not None else points)


def _told(survey: Survey, cutout: Cutout, corner: Corner, said: Told) -> Told:
    """Say where the corner is; a radius of zero is another matter than one that is too small."""
    said = replace(said, on=survey.cutout(cutout, _face(survey, cutout), corner.tip))
    if corner.radius > ZERO.mm() + ROUNDING_MM:
        return said
    message = f"{said.message}; a radius of zero starts a crack"
    return Told(said.on, message, said.cure, Severity(ZERO.severity), False, ZERO.source)


def _relief(survey: Survey, cutout: Cutout, corners: Sequence[Corner], least: float) -> str:
    """Size and place of the relief holes: each ends at the tip, and no file is needed in it."""
    it = "it" if len(corners) == 1 else "each"
    try:
        drill = drill_at_least(2 * least)
    except UnitError:
        return f"open {it} to a hole of {both(2 * least)} whose edge touches the tip"
    centres = [corner.tip + corner.inwards * (drill.diameter_mm / 2) for corner in corners]
    where = _places(survey, cutout, centres)
    return f"open {it} to a relief hole {drill_label(drill)} with its centre at {where}"


def _surrounded_by(survey: Survey, cutout: Cutout, corner: Corner) -> str:
    """The flange or doubler that lies round a corner with full edge distance, "" if none does."""
    for face in survey.faces:
        part = survey.part_of(face)
        if part.kind not in ("base plate", "flat part") or face.plane != cutout.plane or face.outline is None:
            continue
        holes = survey.holes_in(face)
        largest = float(holes.diameter[~holes.plain].max(initial=0.0))
        inside = region_contains(face.outline, corner.tip)
        enough = EDGE.mm(diameter=largest)
        if (
            largest
            and inside
            and point_contour(corner.tip, face.outline.outer).distance >= enough - ROUNDING_MM
        ):
            return face.name
    return ""


def _face(survey: Survey, cutout: Cutout) -> Face | None:
    return survey.assembly.faces[cutout.faces[0]] if cutout.faces else None


RULE = Rule(
    name="corner-too-sharp",
    title="An opening has a corner that is too sharp",
    formula=f"{ACCESS.formula_text}; below 1/4 in an error; {FIT.formula_text}",
    sources=(FLOOR.source, ACCESS.source, FIT.source, ZERO.source),
    severity=Severity(FLOOR.severity),
    cure="round the corner, or open it to a drilled relief hole",
    example=WorkedExample(
        "least corner radius of an access opening", lambda: mm_to_inches(FLOOR.mm()), 0.25, "in"
    ),
    func=check,
)
