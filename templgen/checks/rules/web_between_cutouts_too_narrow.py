"""Too little metal is left between two openings, or between an opening and a free edge.

Rule: Between cutouts, round holes without a fastener, and free edges at least 1.5 x the smaller round hole,
    and never more than 3/8 in is asked for. Openings that touch, cross or lie in each other are an error
    that nobody can accept.
Why: A narrow web buckles, tears while it is filed, and carries nothing.
Bad: Two access openings with 4 mm (0.157 in) of skin between them.
Good: 10 mm (3/8 in) between them, room for one row of 3/32 rivets; or one opening.
Source: No published value is known: 3/8 in and 1.5 diameters are our own defaults, so it warns. Overlap is
    derived.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np

from templgen.checks.edges import Edge, cutout_doubt, nearest_edges
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told, told_one
from templgen.checks.words import at_least, both, hole_name
from templgen.geometry import Contour, contour_contour, contour_inside
from templgen.layout.assembly import Cutout, Face
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import least_web, limit
from templgen.trade.source import Source
from templgen.units import inches_to_mm, mm_to_inches

ENOUGH = limit("web-enough")
PER_HOLE = limit("web-between-openings")
DERIVED = Source("geometry of the outlines", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every face with openings."""
    found = [finding for face in survey.faces for finding in _in_face(survey, face)]
    found += list(_between_holes(survey))
    yield from found or [RULE.not_applicable("no face has two openings, or an opening and a free edge")]


def _in_face(survey: Survey, face: Face) -> Iterator[Finding]:
    cutouts = survey.assembly.cutouts_of(face.name)
    edges = [edge for edge in survey.edges_of(face) if edge.kind != "cutout"]
    for one, other in combinations(cutouts, 2):
        yield _between_cutouts(survey, face, one, other)
    for cutout in cutouts:
        if edges:
            yield _to_edge(survey, face, cutout, edges)
    yield from _holes_to_edges(survey, face)


def _told(survey: Survey, face: Face, cutout: Cutout, what: str, web: float) -> Told:
    on = survey.cutout(cutout, face)
    if web <= ROUNDING_MM:
        return Told(on, f"{what} overlap in {face.name}", "move them apart", Severity.ERROR, False, DERIVED)
    message = f"{what} in {face.name}: {both(web)} of metal between them, needs {both(ENOUGH.mm())}"
    return _narrow(on, message, f"move them {at_least(ENOUGH.mm() - web)} apart")


def _narrow(on: Subject, message: str, cure: str) -> Told:
    return Told(on, message, cure, Severity(ENOUGH.severity), source=ENOUGH.source)


def _between_cutouts(survey: Survey, face: Face, one: Cutout, other: Cutout) -> Finding:
    nested = contour_inside(one.contour, other.contour) or contour_inside(other.contour, one.contour)
    web = 0.0 if nested else contour_contour(one.contour, other.contour).distance
    said = _told(survey, face, one, f"{one.name} and {other.name}", web)
    return told_one(RULE, web, ENOUGH.mm(), cutout_doubt(one) + cutout_doubt(other), said)


def _to_edge(survey: Survey, face: Face, cutout: Cutout, edges: list[Edge]) -> Finding:
    lines = [(Contour((edge.segment,), closed=False), edge) for edge in edges]
    webs = [(contour_contour(cutout.contour, line).distance, edge) for line, edge in lines]
    web, edge = min(webs, key=lambda pair: pair[0])
    if face.outline is not None and not contour_inside(cutout.contour, face.outline.outer):
        web = 0.0
    said = _told(survey, face, cutout, f"{cutout.name} and the {edge.words}", web)
    return told_one(RULE, web, ENOUGH.mm(), cutout_doubt(cutout) + edge.doubt, said)


def _holes_to_edges(survey: Survey, face: Face) -> Iterator[Finding]:
    holes = survey.holes_in(face)
    # a hole that cuts an edge is left to hole-off-the-part
    chosen = np.flatnonzero(holes.plain & ~holes.exists & ~survey.off_the_metal(face))
    edges = survey.edges_of(face)
    if not len(chosen) or not edges:
        return
    reach = nearest_edges(holes.xy[chosen], edges)
    web = reach.distance - holes.hole[chosen] / 2
    kept = np.flatnonzero(web > -ROUNDING_MM)
    least = np.array([least_web(float(size)) for size in holes.hole[chosen][kept]])
    doubt = (holes.doubt[chosen] + reach.distance - reach.sure)[kept]

    def say(index: int) -> Told:
        place = int(kept[index])
        fastener, edge = holes.fastener(int(chosen[place])), edges[int(reach.index[place])]
        message = (
            f"{hole_name(fastener)} in {face.name}: {both(web[place])} of metal to the {edge.words}, "
            f"needs {both(least[index])}"
        )
        return _narrow(
            survey.hole(fastener, face), message, f"move it {at_least(least[index] - web[place])} away"
        )

    yield from told(RULE, Measured(web[kept], least, doubt), say, survey.whole(face))


def _between_holes(survey: Survey) -> Iterator[Finding]:
    """Pairs of round holes without fastener; overlaps are left to holes-overlap."""
    holes, pairs = survey.holes, survey.sharing_pairs
    pairs = pairs.where(holes.plain[pairs.first] & holes.plain[pairs.second])
    web = pairs.distance - (holes.hole[pairs.first] + holes.hole[pairs.second]) / 2
    pairs, web = pairs.where(web >= -ROUNDING_MM), web[web >= -ROUNDING_MM]
    if not len(pairs):
        return
    smaller = np.minimum(holes.hole[pairs.first], holes.hole[pairs.second])
    least = np.minimum(ENOUGH.mm(), PER_HOLE.value * smaller)

    def say(index: int) -> Told:
        one, other = holes.fastener(int(pairs.first[index])), holes.fastener(int(pairs.second[index]))
        message = (
            f"{hole_name(one)} and {hole_name(other)}: {both(web[index])} of metal between them, "
            f"needs {both(least[index])}"
        )
        on = survey.hole(one, survey.shared_face(one, other))
        return _narrow(on, message, f"move them {at_least(least[index] - web[index])} apart")

    doubt = holes.doubt[pairs.first] + holes.doubt[pairs.second]
    measured = Measured(web, least, doubt)
    yield from told(RULE, measured, say, Subject(), "pair of plain holes", "pairs of plain holes")


RULE = Rule(
    name="web-between-cutouts-too-narrow",
    title="Too little metal is left between two openings, or to an edge",
    formula=f"{PER_HOLE.formula_text}; {ENOUGH.formula_text}",
    sources=(PER_HOLE.source, ENOUGH.source, DERIVED),
    severity=Severity.ERROR,
    cure="move the openings apart, or make one of them",
    example=WorkedExample(
        "two plain holes of 1/4 and 1/2 in: 1.5 x 0.25 in",
        lambda: mm_to_inches(least_web(inches_to_mm(0.25))),
        0.375,
        "in",
    ),
    func=check,
)
