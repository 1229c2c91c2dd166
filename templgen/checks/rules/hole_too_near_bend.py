"""A head or a driven head stands on a bend, or too near to it.

Rule: From a hole's centre to the outer face of the web (or of the other leg) at least t + R + the radius of
    the head, or driven head, that bears on the face, and the shop's margin of 1/32 in. Where a head would
    stand on the bend it is an error that nobody can accept; within the margin it is a warning. Where a
    flange is too narrow to hold this and 2 D to its free edge, the narrowest that works is named.
Why: A head that stands on the radius does not seat, its rivet cocks, and the set marks the bend, where
    cracks begin.
Bad: A 1/8 rivet, driven inside, 6.4 mm (0.250 in) from the web's face of a 0.032 in rib with 1/8 in bend
    radius.
Good: The same rivet 7.2 mm (0.282 in) from it; the flange must then be 13.5 mm (0.532 in) wide.
Source: Derived: t + R + head radius. The margin is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.bends import FaceBend, bends_of, head_radius_on, too_narrow_words
from templgen.checks.rule import ROUNDING_MM, Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, counted, hole_name
from templgen.layout.assembly import Face
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit, narrowest_flange
from templgen.units import inches_to_mm, mm_to_inches

DERIVED = limit("head-on-bend")
MARGIN = limit("head-to-bend-margin")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every face that has fasteners and a bend at its border."""
    found = [finding for face in survey.faces for finding in _in_face(survey, face)]
    yield from found or [RULE.not_applicable("no fastener lies in a face with a known bend")]


def _in_face(survey: Survey, face: Face) -> Iterator[Finding]:
    bends = bends_of(survey.assembly, face)
    for bend in bends:
        yield from _at_bend(survey, face, bend)
    if face.formed and not bends:
        yield from _unknown_bend(survey, face)


def _unknown_bend(survey: Survey, face: Face) -> Iterator[Finding]:
    """A trim may call an edge formed and not say how it is bent; hole-too-near-edge asks the least of it."""
    holes = survey.holes_in(face)
    fastened = np.flatnonzero(~holes.plain & ~holes.exists)
    if len(fastened):
        yield RULE.not_checked(
            f"{counted(len(fastened), 'hole')} in {face.name}: it has a formed edge, and the radius "
            "of that bend is not known",
            survey.hole(holes.fastener(int(fastened[0])), face),
            cure='call the edge "free" if it is cut and not bent; else measure from every hole to the bend',
            count=len(fastened),
        )


def _at_bend(survey: Survey, face: Face, bend: FaceBend) -> Iterator[Finding]:
    holes = survey.holes_in(face)
    heads = head_radius_on(face, holes, *survey.ends_in(face))
    fastened = ~holes.plain & ~holes.exists
    unknown = fastened & np.isnan(heads)
    if unknown.any():
        fastener = holes.fastener(int(np.flatnonzero(unknown)[0]))
        yield RULE.not_checked(
            f"{counted(int(unknown.sum()), 'hole')} in {face.name}: the head of {fastener.spec.name} "
            "that bears "
            "on it is not known",
            survey.hole(fastener, face),
            cure="look its size up in the maker's table and measure the room",
            count=int(unknown.sum()),
        )
    chosen = np.flatnonzero(fastened & ~np.isnan(heads))
    if not len(chosen):
        return
    value = bend.heights(holes.xy[chosen])
    clear = bend.set_back + heads[chosen]
    least = clear + MARGIN.mm()

    def say(index: int) -> Told:
        fastener = holes.fastener(int(chosen[index]))
        on_bend = value[index] < clear[index] - ROUNDING_MM
        message = (
            f"{hole_name(fastener)} in {face.name}: {both(value[index])} from the web's outer face, needs "
            f"{both(least[index])} = t + R + head radius {both(heads[chosen][index])} + margin "
            f"{both(MARGIN.mm())}"
        )
        narrow = too_narrow_words(survey.assembly, face, fastener, float(heads[chosen][index]))
        cure = f"move it {at_least(least[index] - value[index])} away from the bend"
        broken = DERIVED if on_bend else MARGIN
        on = survey.hole(fastener, face)
        return Told(on, message, narrow or cure, Severity(broken.severity), not on_bend, broken.source)

    doubt = holes.doubt[chosen] + bend.doubt
    yield from told(RULE, Measured(value, least, doubt), say, survey.whole(face))


RULE = Rule(
    name="hole-too-near-bend",
    title="A head or driven head stands on a bend or too near to it",
    formula=MARGIN.formula_text,
    sources=(DERIVED.source, MARGIN.source),
    severity=Severity(DERIVED.severity),
    cure="move the hole away from the bend, or use a wider flange",
    example=WorkedExample(
        "narrowest flange, t 0.032, R 0.125, 1/8 rivet driven inside: 0.282 + 0.250 in",
        lambda: mm_to_inches(
            narrowest_flange(
                inches_to_mm(0.032), inches_to_mm(0.125), inches_to_mm(0.09375), inches_to_mm(0.125)
            )
        ),
        0.532,
        "in",
    ),
    func=check,
)
