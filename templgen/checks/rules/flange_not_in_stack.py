"""A new hole lands on a flange that its stack does not name.

Rule: A hole through the skin that meets the flange of a rib, spar or stringer has that flange in its stack,
    or stands clear of it.
Why: The drill goes through the flange all the same, and neither its edge distance nor the grip was
    reckoned.
Bad: A plate's rivet through skin and plate, 6 mm from the heel of the rib behind it.
Good: The same rivet with the rib in its stack, or moved off the flange.
Source: Derived from the outlines; nobody can accept it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.footprints import flange_face_of, signed_to_region, with_metal
from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, hole_name
from templgen.layout.assembly import SKIN_PLANE, StructureLine
from templgen.layout.finding import Finding, Severity
from templgen.trade.source import Source

DERIVED = Source("geometry of the stack", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every flange over the skin."""
    found = [finding for each in with_metal(survey.assembly) for finding in _on_flange(survey, each)]
    yield from found or [RULE.not_applicable("no new hole in the skin plane beside a known flange")]


def _on_flange(survey: Survey, structure: StructureLine) -> Iterator[Finding]:
    holes = survey.holes
    chosen = np.flatnonzero(survey.new_in(SKIN_PLANE) & ~survey.passing(flange_face_of(structure)))
    if structure.flange is None or not len(chosen):
        return
    value = signed_to_region(holes.xy[chosen], structure.flange) - holes.hole[chosen] / 2

    def say(index: int) -> Told:
        fastener = holes.fastener(int(chosen[index]))
        return Told(
            survey.hole(fastener, survey.stack_faces(fastener)[0]),
            f"{hole_name(fastener)} meets the flange of {structure.name}, which its stack does not name: "
            f"{both(max(0.0, -value[index]))} over the flange's edge",
            f"name {structure.name} in its stack, or move it {at_least(max(0.0, -value[index]))} off "
            "the flange",
        )

    measured = Measured(value, np.zeros(len(value)), holes.doubt[chosen] + structure.doubt)
    whole = Subject(structure.where, "", flange_face_of(structure), SKIN_PLANE)
    yield from told(RULE, measured, say, whole, "hole beside the flange", "holes beside the flange")


RULE = Rule(
    name="flange-not-in-stack",
    title="A new hole lands on a flange that its stack does not name",
    formula="hole's edge to a flange that is not in its stack at least 0",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="name the structure in the stack, or move the hole off the flange",
    example=WorkedExample(
        "#30 hole (3.2639 mm) 1.2 mm beside a flange: 3.2639 / 2 - 1.2", lambda: 3.2639 / 2 - 1.2, 0.432, "mm"
    ),
    func=check,
    acceptable=False,
)
