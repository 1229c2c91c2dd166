"""A template that is laid outside is trimmed to butt against a rib that stands inside.

Rule: Paper on the outside of the skin can not touch a rib, spar or stringer behind it. It is placed by at
    least two rivets of that structure, which are there already and are shown as targets.
Why: The edge of the paper has nothing to butt against; it is laid by eye, and the cutout goes where the eye
    was.
Bad: Paper laid outside, trimmed to a rib's web face, on a skin that is not riveted to that rib yet.
Good: The same paper with two rivets of the rib's row on it, pinned or sighted through them.
Source: Derived: the skin lies between the two.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.footprints import flange_face_of, with_metal
from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import counted
from templgen.layout.assembly import StructureLine, TrimEdge
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

DERIVED = Source("geometry of the skin", derived=True)
LEAST_TARGETS = 2


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every trim of a paper that butts against structure."""
    found = list(_found(survey))
    yield from found or [RULE.not_applicable("no paper that is laid outside butts against structure")]


def _found(survey: Survey) -> Iterator[Finding]:
    standing = {structure.name: structure for structure in with_metal(survey.assembly)}
    for trim in survey.assembly.trims:
        paper = survey.part_of(survey.assembly.faces[trim.face]).kind == "paper"
        butts = trim.edge == "butting" and trim.structure in standing
        if paper and butts and survey.assembly.laid_on == "outside":
            yield _judge(survey, trim, standing[trim.structure])


def _judge(survey: Survey, trim: TrimEdge, structure: StructureLine) -> Finding:
    named = survey.assembly.targets.get(trim.face, ())
    flange = flange_face_of(structure)
    targets = [
        fastener.name
        for fastener in survey.assembly.fasteners
        if fastener.exists
        and fastener.name in named
        and (flange in fastener.stack or fastener.feature == structure.name)
    ]
    on = Subject(trim.where, "", trim.face, survey.assembly.faces[trim.face].plane)
    enough = len(targets) >= LEAST_TARGETS
    names = f" ({', '.join(targets)})" if targets else ""
    return RULE.found(
        Verdict.PASS if enough else Verdict.FAIL,
        f"{trim.face} is laid outside and can not butt against {structure.name}; it has "
        f"{counted(len(targets), 'target')}{names} on rivets of it, needs {LEAST_TARGETS}",
        on,
        severity=Severity.INFORMATION if enough else None,
        measured=float(len(targets)),
        limit=float(LEAST_TARGETS),
        unit="rivets",
        cure="" if enough else f"measure {LEAST_TARGETS} rivets of {structure.name}, or lay the paper inside",
    )


RULE = Rule(
    name="outside-template-can-not-butt",
    title="A template laid outside can not butt against a rib inside",
    formula="existing rivets of the structure as targets at least 2",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="place the template by two rivets that exist, or lay it inside",
    example=WorkedExample(
        "targets that fix a sheet in the plane (place and angle)", lambda: float(LEAST_TARGETS), 2.0, "rivets"
    ),
    func=check,
)
