"""A head or a driven head fouls a web, a flange's edge or the edge of another part.

Rule: What stands on the inner (or outer) side of a fastener has room beside every web, flange edge and part
    edge on that side that is not in its stack: its radius and 1/32 in. Less than its radius is an error
    that nobody can accept: metal would have to lie inside metal.
Why: The rivet set does not reach the head, or the head stands half on an edge and cocks.
Bad: A plate's rivet row 2 mm from the web's face, driven inside.
Good: The same row 3.2 mm (0.126 in) from it for a 1/8 rivet, better further for the bucking bar.
Source: Derived: head radius. 1/32 in is a shop margin, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from templgen.checks.edges import outline_doubt
from templgen.checks.footprints import flange_face_of, signed_to_region, standing_lines, with_metal
from templgen.checks.holes import Flags, Floats
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, hole_name
from templgen.geometry import Region, points_to_segments
from templgen.layout.assembly import SKIN_PLANE, Face, Fastener, StructureLine
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.trade.source import Source

MARGIN = limit("head-to-head")
DERIVED = Source("geometry of the heads", derived=True)


class _Obstacle(Struct, frozen=True, eq=False):
    """Something beside which heads of one side need room: how far each chosen centre stands from it, mm."""

    name: str
    whole: Subject
    chosen: np.ndarray
    distance: Floats
    heads: Floats
    doubt: float


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every structure and every part edge beside new fasteners."""
    found = [finding for obstacle in _obstacles(survey) for finding in _beside(survey, obstacle)]
    yield from found or [RULE.not_applicable("no new fastener in the skin plane beside structure or a part")]


def _obstacles(survey: Survey) -> Iterator[_Obstacle]:
    new = survey.new_in(SKIN_PLANE) & ~survey.holes.plain
    for structure in with_metal(survey.assembly):
        yield from _structure(survey, structure, new & ~survey.passing(flange_face_of(structure)))
    for face in survey.faces:
        if face.plane == SKIN_PLANE and survey.part_of(face).made and face.outline is not None:
            yield from _part(survey, face, new & ~survey.passing(face.name))


def _structure(survey: Survey, structure: StructureLine, new: Flags) -> Iterator[_Obstacle]:
    """Structure stands inside: heads on the inner side need room. A centre on it is flange-not-in-stack's."""
    heads = survey.holes.head_inside
    chosen = np.flatnonzero(new & ~np.isnan(heads))
    points = survey.holes.xy[chosen]
    lines = standing_lines(structure)
    if structure.flange is not None:
        distance = signed_to_region(points, structure.flange)
        chosen, distance = chosen[distance > 0], distance[distance > 0]
    elif lines and len(chosen):
        distance = points_to_segments(points, lines)[0]
    else:
        return
    whole = Subject(structure.where, "", "", SKIN_PLANE)
    yield _Obstacle(structure.name, whole, chosen, distance, heads[chosen], structure.doubt)


def _part(survey: Survey, face: Face, new: Flags) -> Iterator[_Obstacle]:
    """A part beside which heads stand on its own side; a part between the sheets is stack-has-a-gap's.

    A flush head on that side is sunk: the part may lie on it.
    """
    side = survey.part_of(face).side
    heads = survey.holes.head_outside if side == "outside" else survey.holes.head_inside
    beyond = survey.ends_before(face)
    sunk = survey.holes.flush & (survey.holes.outward == (side == "outside"))
    chosen = np.flatnonzero(new & beyond & ~sunk & ~np.isnan(heads))
    if face.outline is None or not side or not len(chosen):
        return
    points = survey.holes.xy[chosen]
    distance = signed_to_region(points, face.outline)
    for cutout in survey.assembly.cutouts_of(face.name):
        distance = np.maximum(distance, -signed_to_region(points, Region(cutout.contour)))
    doubt = outline_doubt(survey.assembly, face)
    yield _Obstacle(face.name, survey.whole(face), chosen, distance, heads[chosen], doubt)


def _beside(survey: Survey, obstacle: _Obstacle) -> Iterator[Finding]:
    holes, chosen = survey.holes, obstacle.chosen
    value = obstacle.distance - obstacle.heads

    def say(index: int) -> Told:
        fastener, clear = holes.fastener(int(chosen[index])), float(value[index])
        fouls = clear < -ROUNDING_MM
        how = (
            f"fouls {obstacle.name} by {both(-clear)}"
            if fouls
            else f"stands {both(clear)} from {obstacle.name}"
        )
        return Told(
            survey.hole(fastener, survey.stack_faces(fastener)[-1]),
            f"the head of {hole_name(fastener)} {how}, needs {both(MARGIN.mm())} of room",
            _cure(survey, obstacle, fastener, MARGIN.mm() - clear),
            Severity.ERROR if fouls else Severity(MARGIN.severity),
            not fouls,
            DERIVED if fouls else MARGIN.source,
        )

    measured = Measured(value, np.full(len(value), MARGIN.mm()), holes.doubt[chosen] + obstacle.doubt)
    what = f"head beside {obstacle.name}"
    yield from told(RULE, measured, say, obstacle.whole, what, what.replace("head", "heads", 1))


def _cure(survey: Survey, obstacle: _Obstacle, fastener: Fastener, short: float) -> str:
    """What makes room; fasteners of an opening stand where its own keys put them, in stacks of its own."""
    opening = next((each for each in survey.assembly.openings if each.name == fastener.feature), None)
    if opening is None:
        return f"move it {at_least(short)} away, or name {obstacle.name} in its stack"
    if obstacle.name == opening.cover_face:
        doubt = obstacle.doubt + fastener.doubt
        return f"make the ring {at_least(short + doubt)} wider all round: width in [opening.ring]"
    return f"move {opening.name} {at_least(short)} away from {obstacle.name}"


RULE = Rule(
    name="head-on-structure",
    title="A head or driven head fouls a web or the edge of a part",
    formula="hole centre to web, flange edge or part at least the head's radius + 1/32 in",
    sources=(DERIVED, MARGIN.source),
    severity=Severity.ERROR,
    cure="move the fastener away, or put it through the part as well",
    example=WorkedExample(
        "1/8 rivet, driven head 0.1875 in, 2 mm from a web: 0.1875 x 25.4 / 2 - 2",
        lambda: 0.1875 * 25.4 / 2 - 2,
        0.38125,
        "mm",
    ),
    func=check,
)
