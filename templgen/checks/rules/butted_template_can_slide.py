"""A template butts against one straight edge, and nothing says where along it.

Rule: A paper that is laid inside and butts against a structure must also be fixed along it: by a known rivet
    of that structure, by a second edge that is not parallel, or by holes that exist and were measured.
Why: A straight edge stops the paper in one direction only. It slides along the rib until somebody measures,
    and a measure read wrongly moves every hole by as much.
Bad: Paper cut to a rib's web face, no rivet of the rib measured: the sheet gives one length along the rib,
    and nothing on the metal shows that it was read right.
Good: The same paper with a rivet of the rib's row known: a tick at the edge stands opposite it.
Source: Derived: a line against a line leaves one direction free.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import counted
from templgen.layout.alignment import LEAST_HOLES
from templgen.layout.assembly import SKIN_PLANE, TrimEdge
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

DERIVED = Source("geometry of a line against a line", derived=True)
LEAST = 1
_PARALLEL = 0.1
"""Sine of the least angle between two edges that stop each other's sliding, about 6 degrees: our own."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every edge with which a paper laid inside butts."""
    found = [_judge(survey, trim) for trim in _butting(survey)]
    yield from found or [RULE.not_applicable("no paper that is laid inside butts against structure")]


def _butting(survey: Survey) -> list[TrimEdge]:
    if survey.assembly.laid_on != "inside":
        return []
    papers = {face.name for face in survey.papers}
    return [trim for trim in survey.assembly.trims if trim.face in papers and trim.reaches]


def _judge(survey: Survey, trim: TrimEdge) -> Finding:
    rivets = [
        each.name
        for each in survey.assembly.fasteners
        if each.exists and each.plane == SKIN_PLANE and each.feature == trim.structure
    ]
    edges = [
        other.structure
        for other in _butting(survey)
        if other.face == trim.face
        and abs(other.half_plane.direction.cross(trim.half_plane.direction)) > _PARALLEL
    ]
    alignment = survey.assembly.alignment
    holes = () if alignment is None else alignment.targets
    stops = len(rivets) + len(edges) + (len(holes) if len(holes) >= LEAST_HOLES else 0)
    fixed = stops >= LEAST
    told = f"{trim.face} butts against {trim.structure} by a straight edge, which can slide along it; "
    told += (
        f"{counted(stops, 'rivet, edge or hole', 'rivets, edges or holes')} beside the measure show its place"
        if fixed
        else "nothing but one measure along it says where"
    )
    return RULE.found(
        Verdict.PASS if fixed else Verdict.FAIL,
        told,
        Subject(trim.where, "", trim.face, survey.assembly.faces[trim.face].plane),
        measured=float(stops),
        limit=float(LEAST),
        unit="stops",
        cure="" if fixed else f"measure a rivet of {trim.structure}, or trim along a second line across it",
    )


RULE = Rule(
    name="butted-template-can-slide",
    title="A template that butts against one straight edge can slide along it",
    formula="known rivets of the structure, edges across it and measured holes together at least 1",
    sources=(DERIVED,),
    severity=Severity.WARNING,
    cure="measure a rivet of the structure, or trim along a second line across it",
    example=WorkedExample(
        "places in the plane that need a stop (3) less those that a straight edge stops (2)",
        lambda: 3.0 - 2.0,
        float(LEAST),
        "stops",
    ),
    func=check,
)
