"""How far the cover bends between its screws, for information.

Rule: The edge of the cover between two screws counts as a strip hinged at both, under the job's pressure: it
    bends by 5 p l^4 / (384 E I) with I = t^3 / 12 for each unit of width. The widest pitch is told; nothing
    passes or fails.
Why: A cover that gapes between its screws lets water and exhaust in; the number helps to choose pitch and
    gauge.
Bad: 0.032 in sheet, screws 4 in apart, 0.5 lbf per square inch: 0.06 in.
Good: The same with screws 2 in apart: 0.004 in.
Source: Beam theory. The modulus is from MIL-HDBK-5, from memory. A real cover is stiffer (it runs on past the
    screws).
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.openings import none_here, of_opening
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import both, twofold
from templgen.geometry import Vec
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import OpeningSet
from templgen.trade.elastic import strip_deflection_in, strip_source, youngs_modulus
from templgen.trade.tables import sources_of
from templgen.units import format_number, inches_to_mm, mm_to_inches

FORMULA = "5 p l^4 / (384 E I), I = t^3 / 12"


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every cover under a pressure that the job gives."""
    if not survey.assembly.openings:
        yield RULE.not_applicable(none_here)
    for opening in survey.assembly.openings:
        yield _of_cover(survey, opening)


def _of_cover(survey: Survey, opening: OpeningSet) -> Finding:
    face = survey.assembly.faces[opening.cover_face]
    on = of_opening(opening, face.name)
    if opening.pressure_psi is None or len(opening.screws) < 2:
        return RULE.not_applicable(f"{opening.name}: no pressure on the cover is given", on)
    modulus = youngs_modulus(face.material)
    if modulus is None:
        reason = f"{opening.name}: no modulus is known for {face.material}, so no number"
        return RULE.not_applicable(reason, on)
    span, middle = widest_span(survey, opening)
    bends = strip_deflection_in(
        opening.pressure_psi, mm_to_inches(span), mm_to_inches(face.thickness), modulus.value
    )
    pressure, sag = format_number(opening.pressure_psi, 3, trim=True), inches_to_mm(bends)
    told = twofold(f"{format_number(sag, 3)} mm", f"{format_number(bends, 5)} in")
    return RULE.found(
        Verdict.TOLD,
        f"{opening.name}: between screws {both(span)} apart the cover bends by {told} "
        f"under {pressure} psi: {FORMULA}, t {both(face.thickness)}, E "
        f"{format_number(modulus.value, 0)} ksi",
        of_opening(opening, face.name, middle),
        measured=sag,
    )


def widest_span(survey: Survey, opening: OpeningSet) -> tuple[float, Vec]:
    """Return the largest distance from one screw to the next, mm, and the middle between these two."""
    by_name = {fastener.name: fastener.at for fastener in survey.assembly.fasteners}
    places = [by_name[name] for name in opening.screws]
    pairs = list(zip(places, [*places[1:], places[0]], strict=True))
    one, other = max(pairs, key=lambda pair: pair[0].distance_to(pair[1]))
    return one.distance_to(other), one.towards(other, 0.5)


RULE = Rule(
    name="cover-bends-between-screws",
    title="How far the cover bends between its screws",
    formula=FORMULA,
    sources=(strip_source(), sources_of("elastic")["modulus"]),
    severity=Severity.INFORMATION,
    cure="screws nearer to each other, or a thicker cover",
    example=WorkedExample(
        "0.032 in 2024-T3, screws 2 in apart, 1 psi: 5 x 16 / (384 x 10500000 x 0.032^3 / 12)",
        lambda: strip_deflection_in(1.0, 2.0, 0.032, 10500),
        0.007266,
        "in",
        1e-6,
    ),
    func=check,
)
