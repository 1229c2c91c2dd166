"""A countersink is as deep as its sheet, or a sheet is countersunk that ought to be dimpled.

Rule: The sheet under a countersunk head is thicker than the countersink is deep. For a screw the depth
    follows from the theoretical sharp diameter and the major diameter, (sharp - major) / 2 / tan 50; the
    largest head diameter of the table is for seating only. For a rivet it is the height of its head. A
    depth above the sheet's thickness is an error that nobody can accept; a depth equal to it leaves a knife
    edge. Sheet under 0.040 in is better dimpled.
Why: A countersink through the sheet opens the hole, leaves a knife edge and lets the head pull through.
Bad: A #8 flush screw in 0.064 in sheet (depth 0.0705 in).
Good: The same screw in 0.080 in sheet, or a dimple.
Source: Derived from the cone; sharp diameters MS24693, heads MS20426 (from memory, confidence high). Dimple
    below 0.040 in: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import Kind, kinds_in
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.limits import limit
from templgen.trade.screws import countersink_depth
from templgen.units import inches_to_mm, mm_to_inches

KNIFE_EDGE = limit("countersink-depth")
DIMPLE_BELOW = limit("dimple-below")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every kind of countersunk fastener and the sheet under its head."""
    kinds = [kind for kind in kinds_in(survey) if kind.spec.is_flush and kind.spec.seat != "dimpled"]
    if not kinds:
        yield RULE.not_applicable("no countersunk fastener")
    for kind in kinds:
        yield from _judge(survey, kind)


def _judge(survey: Survey, kind: Kind) -> Iterator[Finding]:
    on, depth, count = survey.hole(kind.first, kind.head_face), kind.cone_depth, len(kind.indices)
    what = f"{counted(count, 'hole')} of {kind.spec.name} in {kind.head_face.name}"
    if kind.spec.seat == "":
        reason = f"{what}: the job does not say whether the flush head is countersunk or dimpled"
        yield RULE.not_checked(reason, on, cure='give seat = "countersunk" or "dimpled"', count=count)
    elif depth is None:
        yield RULE.not_checked(f"{what}: the sharp diameter or head height is not known", on, count=count)
    else:
        yield _deep(kind, on, what, depth)
        if not _breaks(kind.head_face.thickness, depth):
            yield from _thin(kind, on, what)


def _breaks(sheet: float, depth: float) -> bool:
    """Whether a countersink goes through its sheet, or leaves nothing but an edge."""
    return sheet <= KNIFE_EDGE.mm(head_height=depth) + ROUNDING_MM


def _deep(kind: Kind, on: Subject, what: str, depth: float) -> Finding:
    sheet, least = kind.head_face.thickness, KNIFE_EDGE.mm(head_height=depth)
    broken = _breaks(sheet, depth)
    return RULE.found(
        Verdict.FAIL if broken else Verdict.PASS,
        f"{what}: the countersink is {both(depth)} deep, the sheet {both(sheet)} thick",
        on,
        severity=Severity(KNIFE_EDGE.severity) if broken else Severity.INFORMATION,
        measured=sheet,
        limit=least,
        cure=f"dimple it, or use a sheet thicker than {at_least(least)}" if broken else "",
        source=str(KNIFE_EDGE.source),
        count=len(kind.indices),
        acceptable=sheet >= least - ROUNDING_MM,
    )


def _thin(kind: Kind, on: Subject, what: str) -> Iterator[Finding]:
    """Sheet that is thin enough to be dimpled."""
    sheet = kind.head_face.thickness
    if sheet < DIMPLE_BELOW.mm() - ROUNDING_MM:
        message = f"{what}: countersunk in {both(sheet)} sheet; under {both(DIMPLE_BELOW.mm())} it is dimpled"
        cure = f"dimple it, or use sheet {at_least(DIMPLE_BELOW.mm() - sheet)} thicker"
        said = Told(on, message, cure, Severity(DIMPLE_BELOW.severity), source=DIMPLE_BELOW.source)
        yield told_one(RULE, sheet, DIMPLE_BELOW.mm(), 0.0, said)


RULE = Rule(
    name="countersink-too-deep",
    title="A countersink is as deep as its sheet, or the sheet is too thin to countersink",
    formula=f"{KNIFE_EDGE.formula_text}; depth = (sharp - major) / 2 / tan 50; {DIMPLE_BELOW.formula_text}",
    sources=(KNIFE_EDGE.source, DIMPLE_BELOW.source),
    severity=Severity(KNIFE_EDGE.severity),
    cure="dimple the sheet, or use a thicker one",
    example=WorkedExample(
        "#8 flush screw: (0.332 - 0.164) / 2 / tan 50",
        lambda: mm_to_inches(countersink_depth(inches_to_mm(0.332), inches_to_mm(0.164))),
        0.0705,
        "in",
    ),
    func=check,
)
