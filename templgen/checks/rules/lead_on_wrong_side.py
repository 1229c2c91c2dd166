"""A lead runs on the other side of the rib than the job says.

Rule: Where the job says on which side of a structure a lead stays, its support, its place in the opening, its
    plug and its stowed slack all lie on that side of the structure's line.
Why: On the other side it has to go through the web, where there is no grommet, or it chafes on a flange.
Bad: A lead that stays left of the rib, with its last support 20 mm to the right of the web.
Good: The support moved to the left of the web.
Source: Derived from the places in the job.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.openings import DERIVED, of_opening
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.geometry import Line, Vec
from templgen.layout.assembly import StructureLine
from templgen.layout.finding import Finding, Severity
from templgen.layout.openings.model import HangingBox, Lead, OpeningSet

LINES = ("web face", "heel", "web inner face", "bend tangent", "rivet row")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every lead that is to stay on one side of a structure."""
    found = False
    for opening in survey.assembly.openings:
        box = opening.hangs
        for lead in box.leads if box is not None else ():
            structure = survey.assembly.structures.get(lead.structure)
            if lead.slack_side and structure is not None and box is not None:
                found = True
                yield _of_lead(opening, box, lead, structure)
    if not found:
        yield RULE.not_applicable("no lead is said to stay on one side of a structure")


def _of_lead(opening: OpeningSet, box: HangingBox, lead: Lead, structure: StructureLine) -> Finding:
    line = next(structure.lines[name] for name in (*LINES, *structure.lines) if name in structure.lines)
    plug = next(each for each in box.plugs if each.name == lead.plug)
    places = {"its last support": lead.support.at, f"the plug {plug.name}": plug.at}
    if lead.stowed_at is not None:
        places["its stowed slack"] = lead.stowed_at.at
    sign = 1.0 if lead.slack_side == "left" else -1.0
    what = min(places, key=lambda name: sign * height_over(line, places[name]))
    beyond = sign * height_over(line, places[what])
    message = (
        f"{lead.name} stays {lead.slack_side} of {structure.name}: {what} is {both(abs(beyond))} on "
        f"{'that' if beyond >= 0.0 else 'the other'} side"
    )
    told = Told(
        of_opening(opening, place=places[what]),
        message,
        f"move it by {at_least(max(-beyond, 0.0))} and more, or lead it through a grommet",
    )
    return told_one(RULE, beyond, 0.0, structure.doubt, told)


def height_over(line: Line, place: Vec) -> float:
    """Return how far a place lies to the left of a line's direction, mm."""
    return line.direction.cross(place - line.start)


RULE = Rule(
    name="lead-on-wrong-side",
    title="A lead runs on the other side of a structure than the job says",
    formula="support, plug and stowed slack on the named side of the structure's line",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="move the support or the slack to the other side, or lead it through a grommet",
    example=WorkedExample(
        "a place 20 mm left of a line along +x",
        lambda: height_over(Line(Vec(0.0, 0.0), Vec(100.0, 0.0)), Vec(50.0, 20.0)),
        20.0,
        "mm",
    ),
    func=check,
)
