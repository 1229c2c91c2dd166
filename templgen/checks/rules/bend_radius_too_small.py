"""A part is bent tighter than its metal bears.

Rule: The inside radius of a bend is at least the largest published least radius for its alloy and
    thickness; a smaller one warns. Below the lowest published value it is an error where that value may
    fail a job. A larger radius is free.
Why: The outside of the bend cracks, at once or later in service.
Bad: 2024-T3 of 0.040 in bent round 1/16 in.
Good: The same sheet bent round 3/16 in, across its grain where that is possible.
Source: FAA-H-8083-31 Fig. 4-125; Aluminum Association Table 3-1; AC 43.13-1B Table 4-6.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.rule import ROUNDING_MM, Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.errors import UnitError
from templgen.layout.assembly import Bend
from templgen.layout.finding import Finding, Severity
from templgen.trade.bending import lowest_bend_radius, minimum_bend_radius
from templgen.trade.sheet import find_material
from templgen.trade.source import Source
from templgen.units import inches_to_mm, mm_to_inches


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every radius to which a made part is bent."""
    made = [bend for bend in survey.assembly.bends if survey.assembly.parts[bend.part].made]
    bends = {(bend.part, bend.inside_radius): bend for bend in reversed(made)}
    if not bends:
        yield RULE.not_applicable("no bent part to make")
    for bend in reversed(bends.values()):
        yield _judge(survey, bend)


def _judge(survey: Survey, bend: Bend) -> Finding:
    face = survey.assembly.faces[bend.face_a]
    on, sheet = survey.whole(face), both(face.thickness)
    try:
        alloy = find_material(face.material).alloy
    except UnitError:
        return RULE.not_checked(f"{bend.part}: no bend radius is known for {face.material}", on)
    least, lowest = minimum_bend_radius(alloy, face.thickness), lowest_bend_radius(alloy, face.thickness)
    if least is None or lowest is None:
        return RULE.not_checked(f"{bend.part}: no bend radius is published here for {alloy} of {sheet}", on)
    cracks = bend.inside_radius < lowest[0] - ROUNDING_MM
    source = lowest[1] if cracks else least[1]
    message = f"{bend.part}: bent round {both(bend.inside_radius)}, {alloy} of {sheet} wants {both(least[0])}"
    if cracks:
        message += f", and every source more than {both(lowest[0])}"
    severity = Severity.ERROR if cracks and source.may_fail else Severity.WARNING
    said = Told(on, message, f"bend it round {at_least(least[0])}", severity, source=source)
    return told_one(RULE, bend.inside_radius, least[0], 0.0, said)


def _published() -> tuple[float, Source]:
    found = minimum_bend_radius("2024-T3", inches_to_mm(0.040))
    assert found is not None  # noqa: S101 - a row of the table
    return found


RULE = Rule(
    name="bend-radius-too-small",
    title="A part is bent tighter than its metal bears",
    formula="inside radius at least the largest published for the alloy and thickness",
    sources=(_published()[1],),
    severity=Severity.ERROR,
    cure="use a larger radius",
    example=WorkedExample(
        "2024-T3, 0.040 in", lambda: mm_to_inches(_published()[0]), 0.16, "in", within=0.005
    ),
    func=check,
)
