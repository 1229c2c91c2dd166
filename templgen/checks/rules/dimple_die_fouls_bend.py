"""A dimple die meets a bend or a web before it lies flat.

Rule: From the centre of a dimpled hole to the bend tangent of every sheet that is dimpled at least the radius
    of the die's face. The builder's own die counts (`die_radius` in [dimpling]); without one 1/4 in.
Why: A die that stands on the bend makes a crooked dimple and marks the radius, where cracks begin.
Bad: A flush rivet 5 mm (0.197 in) from the bend tangent, and a die of 1/4 in radius.
Good: The same rivet 6.4 mm (0.250 in) from it, or a die with a smaller face.
Source: The builder's own die, else common practice, no source; the distance is derived.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.bends import FaceBend, bends_of
from templgen.checks.holes import Floats, Holes
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, hole_name
from templgen.layout.assembly import Face
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.trade.source import BUILDERS_TABLE, Source
from templgen.units import mm_to_inches

DIE = limit("dimple-die")
BUILDER = Source(BUILDERS_TABLE)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every face with a bend and dimpled holes."""
    found = [
        finding
        for face in survey.faces
        for bend in bends_of(survey.assembly, face)
        for finding in _at_bend(survey, face, bend)
    ]
    yield from found or [RULE.not_applicable("no dimpled hole lies in a face with a known bend")]


def _at_bend(survey: Survey, face: Face, bend: FaceBend) -> Iterator[Finding]:
    holes = _dimpled(survey.holes.where(survey.indices_in(face)), face.name)
    if not len(holes):
        return
    own = survey.assembly.dimple_die_radius
    radius = DIE.mm() if own is None else own
    value: Floats = bend.heights(holes.xy) - bend.set_back

    def say(index: int) -> Told:
        fastener = holes.fastener(index)
        message = (
            f"{hole_name(fastener)} in {face.name}: {both(value[index])} to the bend tangent, the face of "
            f"the dimple die has a radius of {both(radius)}"
        )
        cure = f"move it {at_least(radius - value[index])} away, or take a die with a smaller face"
        return Told(survey.hole(fastener, face), message, cure, source=DIE.source if own is None else BUILDER)

    limits = np.full(len(holes), radius)
    yield from told(RULE, Measured(value, limits, holes.doubt + bend.doubt), say, survey.whole(face))


def _dimpled(holes: Holes, face: str) -> Holes:
    """The holes that are to be dimpled in a face; every kind is looked at once."""
    kinds, firsts = np.unique(holes.spec, return_index=True)
    seats = [holes.fastener(int(first)).seat_in(face) for first in firsts]
    dimpled = kinds[np.array([seat == "dimpled" for seat in seats], dtype=bool)]
    return holes.where(np.isin(holes.spec, dimpled) & ~holes.exists)


RULE = Rule(
    name="dimple-die-fouls-bend",
    title="A dimple die meets a bend or a web before it lies flat",
    formula=DIE.formula_text,
    sources=(DIE.source, BUILDER),
    severity=Severity(DIE.severity),
    cure="move the hole away from the bend, or take a die with a smaller face",
    example=WorkedExample("usual die radius", lambda: mm_to_inches(DIE.mm()), 0.25, "in"),
    func=check,
)
