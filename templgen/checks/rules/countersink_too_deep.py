"""A countersink is as deep as its sheet, or a sheet is countersunk that ought to be dimpled.

Rule: The sheet under a countersunk head is thicker than the countersink is deep. For a screw the depth
    follows from the theoretical sharp diameter and the major diameter, (sharp - major) / 2 / tan 50; the
    largest head diameter of the table is for seating only. For a rivet it is the height of its head. A
    depth above the sheet's thickness is an error that nobody can accept; a depth equal to it leaves a knife
    edge. Sheet under 0.040 in is better dimpled.
    A sheet that is countersunk to take the dimples of those on it is as thick as they stand out, else they
    bottom; its countersink is wider and deeper than one for the head. Where that goes through the sheet it
    leaves a knife edge: an error under rivets, which it leaves in an open hole, a warning under screws, whose
    strap is as thin. A hole that is wider than the dimples has no seat for them.
Why: A countersink through the sheet opens the hole, leaves a knife edge and lets the head pull through.
Bad: A #8 flush screw in 0.064 in sheet (depth 0.0705 in).
Good: The same screw in 0.080 in sheet, or a dimple; 0.032 in sheet dimpled over a ring of 0.090 in.
Source: Derived from the cone; sharp diameters MS24693, heads MS20426 (from memory, confidence high). How far
    dimples stand out is derived from it too: 0.063 in for a #8 screw in 0.032 in sheet, and the strap of a
    wartime structural repair manual, p. 93, is 0.064 in. Dimple below 0.040 in: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import Kind, kinds_in
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted
from templgen.layout.countersinks import DimpleSeat
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.limits import limit
from templgen.trade.screws import cone_diameter, countersink_depth
from templgen.units import inches_to_mm, mm_to_inches

KNIFE_EDGE = limit("countersink-depth")
DIMPLE_BELOW = limit("dimple-below")
REACH = limit("dimple-reach")


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every kind of countersunk fastener and the sheet that is countersunk for it."""
    flush = [kind for kind in kinds_in(survey) if kind.spec.is_flush]
    kinds = [kind for kind in flush if kind.spec.seat != "dimpled" or kind.spec.into_countersink]
    if not kinds:
        yield RULE.not_applicable("no countersunk fastener")
    for kind in kinds:
        yield from _under_dimples(survey, kind) if kind.spec.into_countersink else _judge(survey, kind)


def _under_dimples(survey: Survey, kind: Kind) -> Iterator[Finding]:
    """The sheet that takes the dimples of those on it."""
    under, count = kind.dimple_seat, len(kind.indices)
    what = f"{counted(count, 'hole')} of {kind.spec.name}"
    if under is None:
        on = survey.hole(kind.first, kind.head_face)
        yield RULE.not_checked(f"{what}: the sharp diameter or head height is not known", on, count=count)
        return
    sheet, cone = under.face.thickness, f"100° countersink {both(under.wide)} wide at the face"
    what = f"{what} in {under.face.name}, under dimples"
    on = survey.hole(kind.first, under.face)
    if under.wide <= under.hole + ROUNDING_MM:
        message = f"{what}: they are {both(under.wide)} wide, the hole {both(under.hole)}: they have no seat"
        cure = f"make the hole in {under.face.name} smaller"
        seat = str(REACH.source)
        yield RULE.found(Verdict.FAIL, message, on, cure=cure, source=seat, count=count, acceptable=False)
    elif sheet < REACH.mm(head_height=under.reach) - ROUNDING_MM:
        message = f"{what}: they stand {both(under.reach)} into it, it is {both(sheet)} thick: they bottom"
        yield _of_reach(Verdict.FAIL, message, on, kind, under)
    elif _breaks(sheet, under.deep):
        yield _opened(kind, on, what, under)
    else:
        message = f"{what}: {cone}, {both(under.deep)} deep, the sheet {both(sheet)} thick"
        yield _of_reach(Verdict.PASS, message, on, kind, under)


def _of_reach(verdict: Verdict, message: str, on: Subject, kind: Kind, under: DimpleSeat) -> Finding:
    fails = verdict is Verdict.FAIL
    return RULE.found(
        verdict,
        message,
        on,
        severity=Severity(REACH.severity) if fails else Severity.INFORMATION,
        measured=under.face.thickness,
        limit=REACH.mm(head_height=under.reach),
        cure=f"use sheet thicker than {at_least(under.deep)} for {under.face.name}" if fails else "",
        source=str(REACH.source),
        count=len(kind.indices),
        acceptable=False,
    )


def _opened(kind: Kind, on: Subject, what: str, under: DimpleSeat) -> Finding:
    """A countersink that goes through the sheet under the dimples."""
    sheet, least = under.face.thickness, KNIFE_EDGE.mm(head_height=under.deep)
    behind = cone_diameter(under.hole, under.deep - sheet)
    is_screw = kind.spec.kind == "screw"
    return RULE.found(
        Verdict.FAIL,
        f"{what}: the countersink is {both(under.deep)} deep, the sheet {both(sheet)} thick: a knife edge, "
        f"and the hole {both(behind)} wide behind",
        on,
        severity=Severity.WARNING if is_screw else Severity(KNIFE_EDGE.severity),
        measured=sheet,
        limit=least,
        cure=f"use sheet thicker than {at_least(least)} for {under.face.name}",
        source=str(KNIFE_EDGE.source),
        count=len(kind.indices),
    )


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
    formula=f"{KNIFE_EDGE.formula_text}; depth = (sharp - major) / 2 / tan 50; {DIMPLE_BELOW.formula_text}; "
    f"{REACH.formula_text}, its cone (1 / sin 50 - 1) x sheets deeper",
    sources=(KNIFE_EDGE.source, DIMPLE_BELOW.source, REACH.source),
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
