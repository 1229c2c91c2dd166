"""A hole lies off a part that its stack names, or its circle cuts that part's edge.

Rule: Every hole lies wholly on the metal of every face in its stack: inside the outline, outside the
    cutouts, and at least its own radius from every free edge. A stack that names a flange names one on
    which the hole lies.
Why: There is nothing to drill there, or a notch where a hole should be.
Bad: A hole through skin, plate and rib, 3 mm beside the rib's flange.
Good: The same hole on the flange, or a stack without the rib.
Source: Derived from the outlines; nobody can accept it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, hole_name, multiple
from templgen.geometry import Segment, point_segment
from templgen.layout.assembly import Face, Fastener
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.trade.source import Source

DERIVED = Source("geometry of the outlines", derived=True)
EDGE, FLUSH_EDGE = limit("edge-least"), limit("edge-flush")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every face that has holes."""
    found = [finding for face in survey.faces for finding in _in_face(survey, face)]
    yield from found or [RULE.not_applicable("no hole lies in a face with an outline or a cutout")]


def _in_face(survey: Survey, face: Face) -> Iterator[Finding]:
    holes = survey.holes_in(face)
    reach, off = survey.reach_in(face), survey.off_the_metal(face)
    every = _borders(survey, face)
    if not len(holes) or not every:
        return
    value = reach.distance - holes.hole / 2
    doubt = np.where(np.isfinite(value), holes.doubt + reach.doubt, 0.0)
    for place in np.flatnonzero(off):
        point = holes.fastener(int(place)).at
        value[place] = (
            -min(point_segment(point, segment).distance for segment in every) - holes.hole[place] / 2
        )

    def say(index: int) -> Told:
        fastener = holes.fastener(index)
        return Told(
            survey.hole(fastener, face), *_words(survey, face, fastener, -float(value[index]), off[index])
        )

    yield from told(RULE, Measured(value, np.zeros(len(value)), doubt), say, survey.whole(face))


def _borders(survey: Survey, face: Face) -> list[Segment]:
    outline = list(face.outline.segments) if face.outline else []
    cut = [segment for cutout in survey.assembly.cutouts_of(face.name) for segment in cutout.contour.segments]
    return outline + cut


def _words(survey: Survey, face: Face, fastener: Fastener, over: float, off: bool) -> tuple[str, str]:
    name, part = hole_name(fastener), survey.part_of(face)
    if over <= 0:  # it is on the metal, and only doubt can take it over the edge
        return f"{name} in {face.name}: {both(-over)} of metal from its rim to the edge", ""
    where = "lies off the metal of" if off else "cuts the edge of"
    message = f"{name} {where} {face.name}: {both(over)} of the hole too far out"
    move = f"move it {_inwards(fastener, over)}"
    if part.kind == "structure" and off:
        return message, f"{move} onto {face.name}, or take {part.name} out of its stack"
    return message, f"{move} inwards"


def _inwards(fastener: Fastener, over: float) -> str:
    """How far a hole goes inwards to be good: a fastener's to its edge distance, not only on to the metal."""
    spec = fastener.spec
    if spec.kind == "hole":
        return at_least(over)
    edge = (FLUSH_EDGE if spec.is_flush else EDGE).mm(diameter=spec.diameter)
    by = f"{multiple(edge, spec.diameter)} from the edge"
    return f"{at_least(over + edge - spec.hole / 2)} (to {by})"


RULE = Rule(
    name="hole-off-the-part",
    title="A hole lies off a part that its stack names",
    formula="hole centre to every edge at least the hole's radius, on the metal",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="move the hole onto the part, or correct its stack",
    example=WorkedExample(
        "#30 hole (0.1285 in), centre 0.05 in from the edge: overlap 0.1285 / 2 - 0.05",
        lambda: 0.1285 / 2 - 0.05,
        0.0143,
        "in",
    ),
    func=check,
    acceptable=False,
)
