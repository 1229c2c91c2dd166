"""A cutout, a plain hole or a part comes too near to a rib, a spar or a bend that it does not join.

Rule: Cutouts and round holes without fastener stand at least 1/16 in off the flange, web and bend of every
    structure; so do parts inside the skin that are not trimmed to it. A cutout that cuts into the flange is
    an error, unless its `through` names that structure; one that runs into a bend is an error that nobody
    can accept.
Why: What goes through the opening meets the structure, and the saw does too.
Bad: A mast cutout that reaches 3 mm under a rib's flange.
Good: The same cutout moved 5 mm off the flange.
Source: 1/16 in is our own default, so it warns. Overlap is derived.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from templgen.checks.edges import cutout_doubt, outline_doubt
from templgen.checks.footprints import (
    contour_to_region,
    flange_face_of,
    signed_to_region,
    standing_lines,
    with_metal,
)
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told, told_one
from templgen.checks.words import at_least, both, hole_name
from templgen.geometry import Contour, contour_contour
from templgen.layout.assembly import SKIN_PLANE, Cutout, Face, StructureLine
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.trade.source import Source
from templgen.units import mm_to_inches

LIMIT = limit("clearance-to-structure")
DERIVED = Source("geometry of the outlines", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every opening and part beside every structure."""
    found = [finding for each in with_metal(survey.assembly) for finding in _beside(survey, each)]
    found += [finding for face in survey.faces for finding in _to_bends(survey, face)]
    yield from found or [RULE.not_applicable("no structure, or nothing beside it")]


def _beside(survey: Survey, structure: StructureLine) -> Iterator[Finding]:
    for cutout in survey.assembly.cutouts:
        if cutout.plane == SKIN_PLANE and flange_face_of(structure) not in cutout.faces:
            yield from _cutout(survey, cutout, structure)
    yield from _holes(survey, structure)
    for face in survey.faces:
        if _stands_beside(survey, face, structure):
            yield from _part(survey, face, structure)


def _distance(contour: Contour, structure: StructureLine) -> float | None:
    """From a contour to all that is known of a structure on the skin; 0 or less where they overlap."""
    if structure.flange is not None:
        return contour_to_region(contour, structure.flange)
    lines = [Contour((line,), closed=False) for line in standing_lines(structure)]
    return min((contour_contour(contour, line).distance for line in lines), default=None)


def _cutout(survey: Survey, cutout: Cutout, structure: StructureLine) -> Iterator[Finding]:
    clear = _distance(cutout.contour, structure)
    on = survey.cutout(cutout, survey.assembly.faces[cutout.faces[0]] if cutout.faces else None)
    if clear is None:
        yield RULE.not_checked(f"{cutout.name} to {structure.name}: its lines are not known", on)
        return
    message, cure = _words(cutout.name, structure, clear)
    cuts = clear <= ROUNDING_MM
    said = Told(on, message, cure, *_grave(cuts))
    yield told_one(RULE, clear, LIMIT.mm(), cutout_doubt(cutout) + structure.doubt, said)


def _grave(overlaps: bool) -> tuple[Severity, bool, Source]:
    """Severity, acceptable and source: overlap is geometry, the clearance is our own default."""
    if overlaps:
        return Severity.ERROR, True, DERIVED
    return Severity(LIMIT.severity), True, LIMIT.source


def _words(name: str, structure: StructureLine, clear: float) -> tuple[str, str]:
    away = f"move it {at_least(LIMIT.mm() - clear)} away from {structure.name}"
    if clear <= ROUNDING_MM:
        return f"{name} cuts {both(-clear)} into what {structure.name} covers of the skin", away
    return f"{name} stands {both(clear)} from {structure.name}, needs {both(LIMIT.mm())}", away


def _holes(survey: Survey, structure: StructureLine) -> Iterator[Finding]:
    """Plain holes beside the structure; one that meets the flange is left to flange-not-in-stack."""
    holes, region = survey.holes, structure.flange
    beside = survey.new_in(SKIN_PLANE) & holes.plain & ~survey.passing(flange_face_of(structure))
    chosen = np.flatnonzero(beside)
    if region is None or not len(chosen):
        return
    value = signed_to_region(holes.xy[chosen], region) - holes.hole[chosen] / 2
    chosen, value = chosen[value >= -ROUNDING_MM], value[value >= -ROUNDING_MM]

    def say(index: int) -> Told:
        fastener = holes.fastener(int(chosen[index]))
        message, cure = _words(hole_name(fastener), structure, float(value[index]))
        return Told(survey.hole(fastener, survey.stack_faces(fastener)[0]), message, cure, *_grave(False))

    measured = Measured(value, np.full(len(value), LIMIT.mm()), holes.doubt[chosen] + structure.doubt)
    whole = Subject(structure.where, "", "", SKIN_PLANE)
    yield from told(
        RULE,
        measured,
        say,
        whole,
        f"plain hole beside {structure.name}",
        f"plain holes beside {structure.name}",
    )


def _stands_beside(survey: Survey, face: Face, structure: StructureLine) -> bool:
    """Whether a part inside the skin is neither trimmed to a structure nor fastened to it."""
    part = survey.part_of(face)
    if part.kind not in ("base plate", "flat part") or part.side != "inside" or face.plane != SKIN_PLANE:
        return False
    trimmed = any(t.face == face.name and t.structure == structure.name for t in survey.assembly.trims)
    flange = survey.assembly.faces.get(flange_face_of(structure))
    joined = flange is not None and np.isin(survey.indices_in(flange), survey.indices_in(face)).any()
    return not trimmed and not joined and face.outline is not None


def _part(survey: Survey, face: Face, structure: StructureLine) -> Iterator[Finding]:
    """A part that reaches under the flange is left to part-overlaps-flange."""
    clear = _distance(face.outline.outer, structure) if face.outline else None
    if clear is not None and clear > ROUNDING_MM:
        message, cure = _words(face.name, structure, clear)
        doubt = outline_doubt(survey.assembly, face) + structure.doubt
        said = Told(survey.whole(face), message, cure, *_grave(False))
        yield told_one(RULE, clear, LIMIT.mm(), doubt, said)


def _to_bends(survey: Survey, face: Face) -> Iterator[Finding]:
    """Cutouts in a flange, a web or a leg stay off its bends."""
    lips = [bend.tangent_a for bend in survey.assembly.bends if bend.lip and bend.face_a == face.name]
    for cutout in survey.assembly.cutouts_of(face.name):
        for tangent in lips or face.formed:
            clear = contour_contour(cutout.contour, Contour((tangent,), closed=False)).distance
            crosses = clear <= ROUNDING_MM
            message = f"{cutout.name} in {face.name}: {both(clear)} from the bend, needs {both(LIMIT.mm())}"
            grave, _, source = _grave(crosses)
            said = Told(
                survey.cutout(cutout, face),
                message,
                f"move it {at_least(LIMIT.mm() - clear)} away from the bend",
                grave,
                not crosses,
                source,
            )
            doubt = cutout_doubt(cutout) + outline_doubt(survey.assembly, face)
            yield told_one(RULE, clear, LIMIT.mm(), doubt, said)


RULE = Rule(
    name="too-near-structure",
    title="An opening or a part comes too near to a rib, a spar or a bend",
    formula=LIMIT.formula_text,
    sources=(LIMIT.source, DERIVED),
    severity=Severity.ERROR,
    cure="move the opening or the part away, or name the structure in its stack",
    example=WorkedExample("least clearance to structure", lambda: mm_to_inches(LIMIT.mm()), 0.0625, "in"),
    func=check,
)
