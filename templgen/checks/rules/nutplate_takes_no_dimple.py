"""A nutplate lies on dimpled sheet and takes no dimple.

Rule: Where the screws or the lug rivets of nutplates are dimpled, every sheet of their stack is dimpled, and
    the dimples stand out behind the last one by the depth of the head's cone less (1 - sin 50) of the sheets.
    Where the last one, the ring, is countersunk to take them, nothing stands out behind it if it is as thick
    as that; otherwise the nutplates need countersunk lugs, made to take a dimple. Whether a floating one
    takes a screw's dimple in its basket and still floats is seen on the part in hand: that is not checked.
Why: A plain plate stands on the dimples instead of the sheet: it rocks, its rivets clamp nothing, and the
    dimple flattens when the screw is pulled up. A dimple in the basket of a floating nut holds the nut, and
    it floats no more.
Bad: A #8 screw dimpled in 0.032 in sheet over plain lugs: the dimple stands out by 0.063 in.
Good: The same screw over plates with countersunk lugs; or a ring of 0.064 in and more, countersunk.
Source: How far a dimple stands out is derived from the cone. Strap of 0.064 in: wartime structural repair
    manual p. 93, which agrees with it. Plates with countersunk lugs: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import Kind, kinds_in
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import NutplateSpec
from templgen.trade.limits import limit
from templgen.trade.screws import countersink_depth, countersink_under_dimples, dimple_stands_out
from templgen.trade.source import Source
from templgen.units import inches_to_mm, mm_to_inches

STRAP = limit("dimple-strap")
CONE = Source("geometry of the dimple", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every kind of dimpled fastener that belongs to nutplates."""
    plates = {plate.name: plate.spec for opening in survey.assembly.openings for plate in opening.nutplates}
    if not any(each.nutplate in plates and each.spec.seat == "dimpled" for each in survey.assembly.fasteners):
        yield RULE.not_applicable("no nutplate has dimpled screws or rivets")
        return
    for kind in kinds_in(survey):
        if kind.spec.seat == "dimpled" and kind.first.nutplate in plates:
            yield _judge(survey, kind, plates[kind.first.nutplate])


def _judge(survey: Survey, kind: Kind, plate: NutplateSpec) -> Finding:
    last, count, depth = kind.stack[-1], len(kind.indices), kind.cone_depth
    on = survey.hole(kind.first, last)
    what = f"{counted(count, 'hole')} of {kind.spec.name}, dimpled, under nutplates {plate.name}"
    if depth is None:
        reason = f"{what}: the sharp diameter or head height is not known"
        return RULE.not_checked(reason, on, cure="give head_height of the fastener", count=count)
    under = kind.dimple_seat
    out = dimple_stands_out(depth, kind.grip) if under is None else under.reach - last.thickness
    if under is not None and out <= ROUNDING_MM:
        words = f"{what}: they end in the countersinks of {last.name}"
        return RULE.found(Verdict.PASS, words, on, severity=Severity.INFORMATION, count=count)
    if plate.lug_seat == "plain":
        return _plain(kind, on, what, out, plate)
    if plate.floating and kind.spec.kind == "screw":
        reason = f"{what}: whether the basket takes the dimple and the nut still floats is seen in hand only"
        cure = "try one in dimpled scrap, or take fixed nutplates with countersunk lugs"
        return RULE.not_checked(reason, on, cure=cure, count=count)
    words = f"{what}: countersunk lugs take the dimples"
    return RULE.found(Verdict.PASS, words, on, severity=Severity.INFORMATION, count=count)


def _plain(kind: Kind, on: Subject, what: str, out: float, plate: NutplateSpec) -> Finding:
    where = "plain lugs, and the basket of a floating nut," if plate.floating else "plain lugs"
    message = f"{what}: the dimples stand out {both(out)} behind {on.face}; {where} take none"
    return told_one(RULE, out, 0.0, 0.0, Told(on, message, _cure(kind, out)), at_most=True)


def _cure(kind: Kind, out: float) -> str:
    """What can be done about dimples under plain lugs: in the ring, in the plates, in the heads."""
    depth, last = kind.cone_depth or 0.0, kind.stack[-1]
    deep = countersink_under_dimples(depth, kind.grip - last.thickness)
    lugs = 'nutplates with countersunk lugs (lug_seat = "countersunk")'
    ring = f"{at_least(deep)} thick for {last.name}"
    if kind.spec.into_countersink:
        return f"use sheet more than {ring}, or {lugs}"
    if kind.spec.kind != "screw":
        alone = f"countersink the rivets in sheet thicker than {both(depth)}"
        return f"take {lugs}, or {alone if len(kind.stack) == 1 else _countersunk(ring)}"
    strap = max(out, STRAP.mm())
    return (
        f"take fixed {lugs}, lay a countersunk strap {at_least(strap)} thick under them, "
        f"{_countersunk(ring)}, or use protruding heads"
    )


def _countersunk(ring: str) -> str:
    return f'countersink the ring to take the dimples (under_dimples = "countersunk", more than {ring})'


RULE = Rule(
    name="nutplate-takes-no-dimple",
    title="A nutplate lies on dimpled sheet and takes no dimple",
    formula=f"dimples stand out by cone - (1 - sin 50) x sheets, plain lugs take 0; {STRAP.formula_text}",
    sources=(CONE, STRAP.source),
    severity=Severity.ERROR,
    cure="take nutplates with countersunk lugs, or a ring that is countersunk to take the dimples",
    example=WorkedExample(
        "#8 screw dimpled in 0.032 in sheet: 0.0705 - 0.032 (1 - sin 50)",
        lambda: mm_to_inches(
            dimple_stands_out(
                countersink_depth(inches_to_mm(0.332), inches_to_mm(0.164)), inches_to_mm(0.032)
            )
        ),
        0.0630,
        "in",
    ),
    func=check,
)
