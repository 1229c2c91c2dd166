"""The edge of the cutout rides on the mast's root fillet or weld bead.

Rule: The gap between mast and skin, all round, is at least the leg of the fillet or bead at the mast's
    root.
Why: The plate does not come up to the skin; the edge of the skin sits on the bead and is bent by the
    rivets.
Bad: A gap of 0.8 mm (1/32 in) round a welded mast whose bead has a leg of 2 mm.
Good: A gap of 2.5 mm, or the bead dressed down.
Source: Derived from gap and fillet.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.edges import cutout_doubt
from templgen.checks.masts import cut_face, cutout_of, on_mast
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.geometry import Contour, Vec, contour_contour
from templgen.layout.assembly import Cutout, MastFit
from templgen.layout.finding import Finding, Severity
from templgen.trade.source import Source

DERIVED = Source("geometry of the sections", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every mast that has a fillet."""
    if not survey.assembly.masts:
        yield RULE.not_applicable("no mast")
    for mast in survey.assembly.masts:
        cutout = cutout_of(survey.assembly, mast)
        if mast.fillet <= 0:
            yield RULE.not_applicable(f"{mast.name} has no root fillet", on_mast(mast, ""))
        elif cutout is None:
            yield RULE.not_checked(f"{mast.name}: its cutout is not laid out", on_mast(mast, ""))
        else:
            yield _judge(mast, cutout)


def _judge(mast: MastFit, cutout: Cutout) -> Finding:
    gap = contour_contour(mast.section, cutout.contour).distance
    said = Told(
        on_mast(mast, cut_face(cutout)),
        f"{mast.name}: the cutout leaves {both(gap)} round the section, its root fillet takes "
        f"{both(mast.fillet)}",
        f"widen the gap by {at_least(mast.fillet - gap)}, to {at_least(mast.gap + mast.fillet - gap)}, "
        "or dress the fillet",
    )
    return told_one(RULE, gap, mast.fillet, mast.doubt + cutout_doubt(cutout) + mast.deviation, said)


RULE = Rule(
    name="cutout-fouls-fillet",
    title="The cutout's edge rides on the mast's root fillet",
    formula="gap round the section at least the leg of the fillet",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="widen the gap, or dress the fillet",
    example=WorkedExample(
        "round mast of 20 mm, cutout of 24 mm, leg 2.5 mm: short",
        lambda: 2.5 - contour_contour(Contour.circle(Vec(0, 0), 10), Contour.circle(Vec(0, 0), 12)).distance,
        0.5,
        "mm",
    ),
    func=check,
)
