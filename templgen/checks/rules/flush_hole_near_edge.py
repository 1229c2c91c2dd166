"""A flush fastener stands between 2 D and 2.5 D from a free edge.

Rule: From the centre of a flush fastener's hole, countersunk or dimpled, to every free edge at least 2.5 D.
    Below 2 D it is an error of hole-too-near-edge; in between it is a warning here.
Why: Countersinking takes metal from the sheet and dimpling stretches it, just where the edge is thinnest.
Bad: A flush 3/32 rivet 5 mm (0.197 in) from the edge of a cover.
Good: The same rivet 6 mm (0.234 in) from it.
Source: FAA-H-8083-31 ch. 4 (from memory, confidence high; nothing else confirms it, so it warns).
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.rule import ROUNDING_MM, Rule, WorkedExample
from templgen.checks.setback import set_back_words
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, hole_name, multiple
from templgen.layout.assembly import Face
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.units import inches_to_mm, mm_to_inches

LIMIT = limit("edge-flush")
FLOOR = limit("edge-least")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every face that has flush fasteners and free edges."""
    found = [finding for face in survey.faces for finding in _in_face(survey, face)]
    yield from found or [RULE.not_applicable("no flush fastener lies in a face with a free edge")]


def _in_face(survey: Survey, face: Face) -> Iterator[Finding]:
    edges, reach = survey.edges_of(face), survey.reach_in(face)
    holes = survey.holes_in(face)
    above_floor = reach.distance >= FLOOR.value * holes.diameter - ROUNDING_MM
    counts = holes.flush & ~survey.off_the_metal(face) & np.isfinite(reach.distance) & above_floor
    chosen = np.flatnonzero(counts)
    if not edges or not len(chosen):
        return
    value = reach.distance[chosen]
    least = LIMIT.value * holes.diameter[chosen]

    def say(index: int) -> Told:
        place = int(chosen[index])
        fastener, edge = holes.fastener(place), edges[int(reach.index[place])]
        short = float(least[index] - value[index])
        return Told(
            survey.hole(fastener, face),
            f"{hole_name(fastener)} in {face.name}, flush: {both(value[index])} from the {edge.words}, "
            f"needs {both(least[index])} = {multiple(least[index], fastener.spec.diameter)}",
            f"move it {at_least(short)} away from the edge{set_back_words(edge.trim, short)}, "
            "or use a protruding head",
        )

    doubt = holes.doubt[chosen] + value - reach.sure[chosen]
    yield from told(RULE, Measured(value, least, doubt), say, survey.whole(face), "flush hole")


RULE = Rule(
    name="flush-hole-near-edge",
    title="A flush fastener stands between 2 D and 2.5 D from a free edge",
    formula=LIMIT.formula_text,
    sources=(LIMIT.source,),
    severity=Severity(LIMIT.severity),
    cure="move the hole away from the edge, or use a protruding head",
    example=WorkedExample(
        "flush 1/8 in rivet: 2.5 x 0.125 in",
        lambda: mm_to_inches(LIMIT.mm(diameter=inches_to_mm(0.125))),
        0.3125,
        "in",
    ),
    func=check,
)
