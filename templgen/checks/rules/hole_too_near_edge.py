"""A fastener hole stands too near a free edge of a part it passes.

Rule: From the centre of every fastener hole to every free edge of every face in its stack at least 2 D. An
    edge is free where metal ends: outline, trimmed edge, cutout, round hole without fastener. A bent edge
    is not free (see hole-too-near-bend), and metal that goes on beyond what was measured has no edge. Paper
    has no edge distance. For a rivet that exists only a new cutout is a new edge.
Why: The sheet between hole and edge tears out under load; below 2 D it is weaker than the rivet.
Bad: A 1/8 rivet 5.1 mm (0.201 in) from the trimmed edge of a base plate.
Good: The same rivet 6.4 mm (0.250 in) from it, better 2 D + 1/16 in so that the drill may wander.
Source: AC 43.13-1B para 4-57 and Fig. 4-5; TM 10-5410-229-13P p. 5-4.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.bends import head_radius_on, too_narrow_words
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.setback import set_back_words
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, hole_name, multiple
from templgen.layout.assembly import Face
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.units import inches_to_mm, mm_to_inches

LIMIT = limit("edge-least")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every face that has fasteners and free edges."""
    found = [finding for face in survey.faces for finding in _in_face(survey, face)]
    found += list(_beside_plain_holes(survey))
    yield from found or [RULE.not_applicable("no fastener hole lies in a face with a free edge")]


def _in_face(survey: Survey, face: Face) -> Iterator[Finding]:
    edges, reach = survey.edges_of(face), survey.reach_in(face)
    holes = survey.holes_in(face)
    # what lies off the part is left to hole-off-the-part
    counts = ~holes.plain & ~survey.off_the_metal(face) & (np.isfinite(reach.distance) | ~holes.exists)
    chosen = np.flatnonzero(counts)
    if not edges or not len(chosen):
        return
    value = reach.distance[chosen]
    least = LIMIT.value * holes.diameter[chosen]
    heads = head_radius_on(face, holes, *survey.ends_in(face))[chosen]

    def say(index: int) -> Told:
        place = int(chosen[index])
        fastener, edge = holes.fastener(place), edges[int(reach.index[place])]
        short = float(least[index] - value[index])
        message = (
            f"{hole_name(fastener)} in {face.name}: {both(value[index])} from the {edge.words}, "
            f"needs {both(least[index])} = {multiple(least[index], fastener.spec.diameter)}"
        )
        cure = f"move it {at_least(short)} away from the edge{set_back_words(edge.trim, short)}"
        narrow = too_narrow_words(survey.assembly, face, fastener, float(heads[index]))
        return Told(survey.hole(fastener, face), message, narrow or cure)

    doubt = holes.doubt[chosen] + value - reach.sure[chosen]
    yield from told(RULE, Measured(value, least, doubt), say, survey.whole(face))


def _beside_plain_holes(survey: Survey) -> Iterator[Finding]:
    """A round hole without fastener is an opening like any other: its edge is free."""
    holes, pairs = survey.holes, survey.sharing_pairs
    pairs = pairs.where(holes.plain[pairs.first] != holes.plain[pairs.second])
    opening = np.where(holes.plain[pairs.first], pairs.first, pairs.second)
    place = np.where(holes.plain[pairs.first], pairs.second, pairs.first)
    value = pairs.distance - holes.hole[opening] / 2
    # holes that meet are left to holes-overlap
    kept = value >= holes.hole[place] / 2 - ROUNDING_MM
    opening, place, value = opening[kept], place[kept], value[kept]
    least = LIMIT.value * holes.diameter[place]
    if not len(value):
        return

    def say(index: int) -> Told:
        fastener, other = holes.fastener(int(place[index])), holes.fastener(int(opening[index]))
        message = (
            f"{hole_name(fastener)}: {both(value[index])} from the edge of {hole_name(other)}, which "
            "has no fastener, "
            f"needs {both(least[index])} = {multiple(least[index], fastener.spec.diameter)}"
        )
        on = survey.hole(fastener, survey.shared_face(fastener, other))
        return Told(on, message, f"move them {at_least(least[index] - value[index])} apart")

    measured = Measured(value, least, holes.doubt[place] + holes.doubt[opening])
    yield from told(
        RULE, measured, say, Subject(), "fastener beside a plain hole", "fasteners beside plain holes"
    )


RULE = Rule(
    name="hole-too-near-edge",
    title="A fastener hole stands too near a free edge",
    formula=LIMIT.formula_text,
    sources=(LIMIT.source,),
    severity=Severity(LIMIT.severity),
    cure="move the hole away from the edge, or widen the part",
    example=WorkedExample(
        "1/8 in rivet, any head: 2 x 0.125 in",
        lambda: mm_to_inches(LIMIT.mm(diameter=inches_to_mm(0.125))),
        0.250,
        "in",
    ),
    func=check,
)
