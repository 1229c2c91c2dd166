"""A nutplate lies on dimpled sheet and takes no dimple.

Rule: Where the screws or the lug rivets of nutplates are dimpled, every sheet of their stack is dimpled, and
    the dimples stand out behind the last one by the depth of the head's cone less (1 - sin 50) of the sheets.
    The nutplates need countersunk lugs, made to take a dimple. Whether a floating one takes a screw's dimple
    in its basket and still floats is seen on the part in hand: that is not checked.
Why: A plain plate stands on the dimples instead of the sheet: it rocks, its rivets clamp nothing, and the
    dimple flattens when the screw is pulled up. A dimple in the basket of a floating nut holds the nut, and
    it floats no more.
Bad: A #8 screw dimpled in 0.032 in sheet over plain lugs: the dimple stands out by 0.063 in.
Good: The same screw over plates with countersunk lugs; or a countersunk strap of 0.064 in between.
Source: How far a dimple stands out is derived from the cone. Strap of 0.064 in: wartime structural repair
    manual p. 93, which agrees with it. Plates with countersunk lugs: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.kinds import Kind, kinds_in
from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import NutplateSpec
from templgen.trade.limits import limit
from templgen.trade.screws import countersink_depth, dimple_stands_out
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
    if plate.lug_seat == "plain":
        return _plain(kind, on, what, dimple_stands_out(depth, kind.grip), plate)
    if plate.floating and kind.spec.kind == "screw":
        reason = f"{what}: whether the basket takes the dimple and the nut still floats is seen in hand only"
        cure = "try one in dimpled scrap, or take fixed nutplates with countersunk lugs"
        return RULE.not_checked(reason, on, cure=cure, count=count)
    words = f"{what}: countersunk lugs take the dimples"
    return RULE.found(Verdict.PASS, words, on, severity=Severity.INFORMATION, count=count)


def _plain(kind: Kind, on: Subject, what: str, out: float, plate: NutplateSpec) -> Finding:
    strap = max(out, STRAP.mm())
    where = "plain lugs, and the basket of a floating nut," if plate.floating else "plain lugs"
    message = f"{what}: the dimples stand out {both(out)} behind {on.face}; {where} take none"
    cure = (
        'take fixed nutplates with countersunk lugs (lug_seat = "countersunk"), lay a countersunk strap '
        f"{at_least(strap)} thick under them, or use protruding heads"
        if kind.spec.kind == "screw"
        else 'take nutplates with countersunk lugs (lug_seat = "countersunk"), or countersink the rivets in '
        f"sheet thicker than {both(kind.cone_depth or 0.0)}"
    )
    return told_one(RULE, out, 0.0, 0.0, Told(on, message, cure), at_most=True)


RULE = Rule(
    name="nutplate-takes-no-dimple",
    title="A nutplate lies on dimpled sheet and takes no dimple",
    formula=f"dimples stand out by cone - (1 - sin 50) x sheets, plain lugs take 0; {STRAP.formula_text}",
    sources=(CONE, STRAP.source),
    severity=Severity.ERROR,
    cure="take nutplates with countersunk lugs, or a countersunk strap under them",
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
