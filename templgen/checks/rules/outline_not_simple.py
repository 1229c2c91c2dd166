"""An outline crosses or touches itself, or an opening crosses the outline it lies in.

Rule: Every outline and every cutout is one closed line that neither crosses nor touches itself; the
    openings of a part lie inside its outline, apart from each other.
Why: Inside and outside change places at a crossing, and the shop's machine cuts the part to pieces.
Bad: An outline through measured points, two of them in the wrong order.
Good: The same points in their order.
Source: Derived; nobody can accept it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import counted
from templgen.errors import GeometryError
from templgen.geometry import Contour, Vec, require_valid
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

DERIVED = Source("geometry of the outlines", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one finding for every faulty outline, and one for all sound ones."""
    sound = 0
    for face in survey.assembly.faces.values():
        if face.outline is None:
            continue
        fault = _fault(partial(require_valid, face.outline))
        sound += not fault
        if fault:
            yield _found(f"the outline of {face.name}: {fault}", survey.whole(face))
    for cutout in survey.assembly.cutouts:
        fault = _fault(cutout.contour.require_simple)
        sound += not fault
        if fault:
            first = survey.assembly.faces[cutout.faces[0]] if cutout.faces else None
            yield _found(f"{cutout.name}: {fault}", survey.cutout(cutout, first))
    if sound:
        message = f"{counted(sound, 'outline')} closed and without a crossing"
        yield RULE.found(Verdict.PASS, message, severity=Severity.INFORMATION, count=sound)
    elif not survey.assembly.cutouts and not any(face.outline for face in survey.assembly.faces.values()):
        yield RULE.not_applicable("no outline and no cutout")


def _fault(look: Callable[[], object]) -> str:
    """Return what geometry says against an outline, "" if nothing."""
    try:
        look()
    except GeometryError as error:
        return str(error)
    return ""


def _found(message: str, on: Subject) -> Finding:
    return RULE.found(Verdict.FAIL, message, on, cure="put its points in order, or split it")


def _crossings() -> float:
    bow = Contour.polygon([Vec(0, 0), Vec(10, 10), Vec(10, 0), Vec(0, 11)])
    return 0.0 if bow.is_simple else 1.0


RULE = Rule(
    name="outline-not-simple",
    title="An outline crosses or touches itself",
    formula="closed, no crossing, openings apart and inside",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="put the points of the outline in order",
    example=WorkedExample("four points in the order of a bow tie: crossings", _crossings, 1.0, ""),
    func=check,
    acceptable=False,
)
