"""Something that must pass the mast's bore afterwards does not pass it.

Rule: Everything listed passes by its largest section: a tube with nut and sleeve on, a plug. One by one:
    each is at most as wide as the bore. Together: two need the sum of their diameters, three to seven equal
    ones a known multiple; other bundles are bounded, and what lies between the bounds could not be checked.
Why: The nut and the sleeve are on the tube before it is flared; a mast that is riveted in can not be
    threaded later.
Bad: A 1/4 tube with a nut of 0.52 in over its corners through a bore of 0.50 in.
Good: A bore of 0.56 in, or the tube flared after threading.
Source: Derived. Closed forms for equal circles: Graham 1968 (from memory). Nut and sleeve before the flare:
    common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.masts import on_mast
from templgen.checks.packing import holding_circle
from templgen.checks.rule import ROUNDING_MM, Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, counted
from templgen.layout.assembly import MastFit
from templgen.layout.finding import Finding, Severity
from templgen.trade.source import Source

DERIVED = Source("geometry of circles", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every mast with something to pass its bore."""
    if not survey.assembly.masts:
        yield RULE.not_applicable("no mast")
    for mast in survey.assembly.masts:
        if mast.bore_diameter is None or not mast.bore_passes:
            yield RULE.not_applicable(f"nothing is listed that must pass {mast.name}", on_mast(mast, ""))
        elif mast.bore_together:
            yield _together(mast, mast.bore_diameter)
        else:
            yield from _one_by_one(mast, mast.bore_diameter)


def _one_by_one(mast: MastFit, bore: float) -> Iterator[Finding]:
    for name, diameter, _ in mast.bore_passes:
        message = f"{name}, {both(diameter)}, through the bore of {mast.name}, {both(bore)}"
        said = Told(
            on_mast(mast, mast.flange_face), message, f"widen the bore by {at_least(diameter - bore)}"
        )
        yield told_one(RULE, bore, diameter, mast.doubt, said)


def _together(mast: MastFit, bore: float) -> Finding:
    things = [diameter for _, diameter, count in mast.bore_passes for _ in range(count)]
    low, enough = holding_circle(things)
    on = on_mast(mast, mast.flange_face)
    what = f"{counted(len(things), 'thing')} together through the bore of {mast.name}, {both(bore)}"
    if low - ROUNDING_MM <= bore < enough - ROUNDING_MM:
        return RULE.not_checked(
            f"{what}: at least {both(low)} is needed, and no closed formula says whether that is enough",
            on,
            cure="draw the bundle, or bind it and measure it",
        )
    need = enough if bore >= enough - ROUNDING_MM else low
    said = Told(on, f"{what}, need {both(need)}", f"widen the bore by {at_least(need - bore)}")
    return told_one(RULE, bore, need, mast.doubt, said)


RULE = Rule(
    name="bore-too-small",
    title="What must pass the mast's bore does not pass it",
    formula="bore at least each diameter; together: d1 + d2, or a multiple of d for equal ones",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="widen the bore",
    example=WorkedExample(
        "three tubes of 0.25 in together: 0.25 (1 + 2 / sqrt 3)",
        lambda: holding_circle([0.25] * 3)[1],
        0.5387,
        "in",
    ),
    func=check,
    acceptable=False,
)
