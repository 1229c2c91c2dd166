"""The sheets that a fastener joins do not touch, or one lies between them that it does not name.

Rule: The faces of a stack lie on each other: no other part lies between them at that place, and what a leg
    is lifted by is filled by the parts between the skin and the leg.
Why: A rivet driven over a gap swells between the sheets, and a part that is not reckoned is drilled all the
    same.
Bad: A rivet through skin and rib clip where the base plate lies between them.
Good: The same rivet with the plate in its stack.
Source: Derived from the stack; nobody can accept it.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.holes import Ints
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import both, counted, hole_name
from templgen.layout.assembly import Face
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

DERIVED = Source("geometry of the stack", derived=True)
FILLED_MM = 0.1
"""A lift and what fills it may differ by this much (about the tolerance of rolled sheet)."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every stack of two faces and more."""
    joined = [(stack, indices) for stack, indices in survey.stacks() if len(stack) > 1]
    if not joined:
        yield RULE.not_applicable("no new fastener joins two faces")
    count = 0
    for stack, indices in joined:
        lifted, between = list(_lifted(survey, stack, indices)), list(_between(survey, stack, indices))
        yield from (*lifted, *between)
        count += 0 if lifted else len(indices) - len({finding.place for finding in between})
    if count:
        yield RULE.found(
            Verdict.PASS,
            f"{counted(count, 'hole')}: the faces of the stack lie on each other",
            severity=Severity.INFORMATION,
            count=count,
        )


def _between(survey: Survey, stack: tuple[Face, ...], indices: Ints) -> Iterator[Finding]:
    """Parts that lie between two faces of the stack at the hole."""
    orders = [face.order for face in stack]
    for face in survey.faces:
        inside = face.plane == stack[0].plane and min(orders) < face.order < max(orders)
        if not inside or face in stack:
            continue
        there = indices[survey.on_the_metal(survey.holes.xy[indices], face)]
        for index in there:
            fastener = survey.holes.fastener(int(index))
            yield RULE.found(
                Verdict.FAIL,
                f"{hole_name(fastener)} joins {stack[0].name} and {stack[-1].name}; {face.name} lies "
                "between them "
                "and is not in its stack",
                survey.hole(fastener, face),
                measured=-face.thickness,
                limit=0.0,
                cure=f"name {face.part} in its stack, or move the hole off it",
            )


def _lifted(survey: Survey, stack: tuple[Face, ...], indices: Ints) -> Iterator[Finding]:
    """Legs that are lifted off the skin by more, or less, than the parts between them."""
    for face in stack:
        between = sum(other.thickness for other in stack if 0 < other.order < face.order)
        if face.lift is None or abs(face.lift - between) <= FILLED_MM:
            continue
        fastener = survey.holes.fastener(int(indices[0]))
        gap = face.lift - between
        word = "a gap of" if gap > 0 else "too little room by"
        yield RULE.found(
            Verdict.FAIL,
            f"{counted(len(indices), 'hole')}: {face.name} is lifted {both(face.lift)}, the parts "
            "under it are "
            f"{both(between)} thick: {word} {both(abs(gap))}",
            survey.hole(fastener, face),
            measured=-abs(gap),
            limit=0.0,
            cure=f"set its lift to {both(between)}, or fill the gap with a spacer of {both(abs(gap))}",
            count=len(indices),
        )


RULE = Rule(
    name="stack-has-a-gap",
    title="The sheets that a fastener joins do not touch",
    formula="faces of a stack follow each other; lift = thickness of what lies between",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="name every part in the stack, or fill the gap",
    example=WorkedExample("leg lifted 0.040 in over a plate of 0.032 in", lambda: 0.040 - 0.032, 0.008, "in"),
    func=check,
    acceptable=False,
)
