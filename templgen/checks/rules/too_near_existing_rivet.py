"""A new part lies over a rivet that exists, or its edge fouls that rivet's head.

Rule: A part on the skin keeps clear of every rivet that is there already and is not in the part's own
    holes: its edge at least 1/32 in from the head on that side. A flush head on that side is no obstacle.
Why: The plate rides on the rivet's head and does not lie flat; or somebody files the head.
Bad: A base plate inside the skin over the driven heads of a spar's rivet row.
Good: The plate trimmed 1/32 in short of the heads, or riveted through the same holes.
Source: Overlap is derived and nobody can accept it. 1/32 in is a shop margin, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.edges import outline_doubt
from templgen.checks.footprints import signed_to_region
from templgen.checks.rule import ROUNDING_MM, Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, counted, hole_name
from templgen.layout.assembly import SKIN_PLANE, Face
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.trade.source import Source
from templgen.units import mm_to_inches

MARGIN = limit("head-to-head")
DERIVED = Source("geometry of the heads", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every made part that lies on the skin."""
    found = [finding for face in survey.faces for finding in _beside(survey, face)]
    yield from found or [RULE.not_applicable("no part on the skin beside a rivet that exists")]


def _beside(survey: Survey, face: Face) -> Iterator[Finding]:
    part, holes = survey.part_of(face), survey.holes
    if not part.made or face.plane != SKIN_PLANE or face.outline is None or not part.side:
        return
    old = holes.exists & survey.in_plane(SKIN_PLANE) & ~survey.passing(face.name)
    heads = holes.head_outside if part.side == "outside" else holes.head_inside
    # an outside head that is flush stands nowhere proud of the skin
    proud = old & ~(holes.flush & (part.side == "outside"))
    unknown = int((proud & np.isnan(heads)).sum())
    if unknown:
        yield RULE.not_checked(
            f"{face.name}: the heads of {counted(unknown, 'existing rivet')} on its side are not known",
            survey.whole(face),
            cure="give head_diameter of that fastener",
            count=unknown,
        )
    chosen = np.flatnonzero(proud & ~np.isnan(heads))
    if len(chosen):
        yield from _judge(survey, face, chosen, heads[chosen])


def _judge(survey: Survey, face: Face, chosen: np.ndarray, heads: np.ndarray) -> Iterator[Finding]:
    assert face.outline is not None  # noqa: S101 - chosen by _beside()
    holes = survey.holes
    value = signed_to_region(holes.xy[chosen], face.outline) - heads

    def say(index: int) -> Told:
        fastener, clear = holes.fastener(int(chosen[index])), float(value[index])
        covers = clear < -ROUNDING_MM
        how = f"covers {both(-clear)} of" if covers else f"stands {both(clear)} from"
        return Told(
            survey.hole(fastener, face),
            f"{face.name} {how} the head of {hole_name(fastener)}, needs {both(MARGIN.mm())} clear",
            f"move its edge {at_least(MARGIN.mm() - clear)} away, or put the rivet's hole into the part",
            Severity.ERROR if covers else Severity(MARGIN.severity),
            not covers,
            DERIVED if covers else MARGIN.source,
        )

    doubt = holes.doubt[chosen] + outline_doubt(survey.assembly, face)
    measured = Measured(value, np.full(len(value), MARGIN.mm()), doubt)
    yield from told(
        RULE, measured, say, survey.whole(face), "existing rivet beside it", "existing rivets beside it"
    )


RULE = Rule(
    name="too-near-existing-rivet",
    title="A new part lies over, or too near to, a rivet that exists",
    formula="part's edge to the rivet's head at least 1/32 in; overlap is an error",
    sources=(DERIVED, MARGIN.source),
    severity=Severity.ERROR,
    cure="trim the part short of the rivet, or put the rivet's hole into it",
    example=WorkedExample(
        "margin between a head and a part", lambda: mm_to_inches(MARGIN.mm()), 0.03125, "in"
    ),
    func=check,
)
