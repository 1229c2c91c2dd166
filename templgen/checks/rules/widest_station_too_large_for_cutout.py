"""The widest part of a mast does not pass the cutout that its section at the skin needs.

Rule: The section at the widest station that has to go through the skin lies inside the cutout all round.
    What lies outside is an error that nobody can accept: the mast does not go in. How well mast and cutout
    were measured counts. With the base plate inside, what stands out of the skin has to go through; with the
    plate outside, what stands behind it.
Why: A tapered or bulged mast is measured at the skin, cut for, and then hangs by its root.
Bad: A section 19.0 mm wide at the skin with a gap of 0.8 mm, and 21.0 mm wide at its root.
Good: The gap widened to 1.1 mm, or the cutout drawn for the widest station.
Source: Derived from the two sections.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.edges import cutout_doubt
from templgen.checks.masts import cut_face, cutout_of, on_mast
from templgen.checks.rule import ROUNDING_MM, Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.geometry import (
    Contour,
    Side,
    Vec,
    contour_contour,
    contour_inside,
    locate,
    point_contour,
)
from templgen.geometry.flatten import flatten
from templgen.layout.assembly import Cutout, MastFit
from templgen.layout.finding import Finding, Severity
from templgen.trade.source import Source

DERIVED = Source("geometry of the sections", derived=True)
SAGITTA_MM = 0.01
"""Sagitta to which a section is flattened to find the point that stands out most; the verdict is exact."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every mast."""
    if not survey.assembly.masts:
        yield RULE.not_applicable("no mast")
    for mast in survey.assembly.masts:
        cutout = cutout_of(survey.assembly, mast)
        if cutout is None:
            yield RULE.not_checked(f"{mast.name}: its cutout is not laid out", on_mast(mast, ""))
        else:
            yield _judge(mast, cutout)


def _judge(mast: MastFit, cutout: Cutout) -> Finding:
    clear = room_inside(mast.widest, cutout.contour)
    stands = f"{both(clear)} inside" if clear >= 0 else f"{both(-clear)} outside"
    short = max(0.0, -clear)
    said = Told(
        on_mast(mast, cut_face(cutout)),
        f"the widest station of {mast.name} lies {stands} the cutout",
        f"widen the gap of {both(mast.gap)} to {at_least(mast.gap + short)} and more, or draw the "
        "cutout for that station",
    )
    doubt = mast.doubt + cutout_doubt(cutout) + mast.deviation
    return told_one(RULE, clear, 0.0, doubt, said)


def room_inside(inner: Contour, outer: Contour) -> float:
    """Return the least gap of a contour inside another, mm; where it stands out, minus how far."""
    if contour_inside(inner, outer):
        return contour_contour(inner, outer).distance
    points = flatten(inner, SAGITTA_MM)
    out = [point_contour(p, outer).distance for p in points if locate(p, outer) is Side.OUTSIDE]
    return -max(out, default=ROUNDING_MM * 2)


RULE = Rule(
    name="widest-station-too-large-for-cutout",
    title="The widest part of a mast does not pass its cutout",
    formula="widest station to the cutout's edge, all round, at least 0",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="widen the gap, or draw the cutout for the widest station",
    example=WorkedExample(
        "round mast of 20 mm, cutout of 21.6 mm: gap all round",
        lambda: room_inside(Contour.circle(Vec(0, 0), 10), Contour.circle(Vec(0, 0), 10.8)),
        0.8,
        "mm",
    ),
    func=check,
    acceptable=False,
)
