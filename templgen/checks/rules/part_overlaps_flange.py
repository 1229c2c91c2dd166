"""A part between skin and rib lies partly under the rib's flange.

Rule: A flat part inside the skin lies clear of a flange, or the flange is shimmed over its whole length:
    another part of the same thickness lies wholly under it. A joggle is refused: no published rule for one
    is known here.
Why: The flange is lifted by the thickness of the part on one stretch and bent down beside it; its rivets
    pull it out of shape, and the skin shows it.
Bad: A base plate that reaches 10 mm under the flange of a rib.
Good: The plate trimmed to the rib's web or to the flange's free edge; or a shim of the plate's thickness.
Source: Derived from the outlines: two sheets can not lie in one place.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.edges import outline_doubt
from templgen.checks.footprints import (
    contour_to_region,
    flange_face_of,
    lies_within,
    overlap_of,
    with_metal,
)
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.geometry import Contour, Motion, Region, Vec
from templgen.layout.assembly import SKIN_PLANE, Face, StructureLine
from templgen.layout.finding import Finding, Severity
from templgen.trade.source import Source

DERIVED = Source("geometry of the stack", derived=True)
SAME_THICKNESS_MM = 0.1
"""A shim this near to the part's thickness fills the gap (about the tolerance of rolled sheet)."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every flat part inside the skin and every flange."""
    pairs = [
        (face, structure)
        for face in _plates(survey)
        for structure in with_metal(survey.assembly)
        if structure.flange is not None
    ]
    if not pairs:
        yield RULE.not_applicable("no flat part inside the skin beside a structure with a known flange")
    for face, structure in pairs:
        yield _judge(survey, face, structure)


def _plates(survey: Survey) -> list[Face]:
    return [
        face
        for face in survey.faces
        if face.plane == SKIN_PLANE
        and face.outline is not None
        and survey.part_of(face).kind in ("base plate", "flat part", "bracket")
        and survey.part_of(face).side == "inside"
    ]


def _judge(survey: Survey, face: Face, structure: StructureLine) -> Finding:
    assert face.outline is not None  # noqa: S101 - chosen by check()
    assert structure.flange is not None  # noqa: S101 - chosen by check()
    clear = contour_to_region(face.outline.outer, structure.flange)
    pieces = overlap_of(face.outline, structure.flange) if clear <= 0 else ()
    if clear <= 0 and not pieces:
        clear = 0.0
    on, name = survey.whole(face), f"{face.name} and the flange of {structure.name}"
    doubt = outline_doubt(survey.assembly, face) + structure.doubt
    fits = _fits_wholly(survey, face, structure)
    if pieces and fits:
        return told_one(RULE, 0.0, 0.0, 0.0, Told(on, f"{name}: {fits}"))
    message = (
        f"{name}: {both(clear)} clear"
        if not pieces
        else f"{face.name} lies {both(-clear)} under or over the flange of {structure.name}"
    )
    shim = f"shim the flange over its whole length with a part of {both(face.thickness)}"
    cure = f"trim it {at_least(-clear)} back, or {shim}"
    doubt = 0.0 if _butts(survey, face, structure) else doubt
    return told_one(RULE, clear, 0.0, doubt, Told(on, message, cure))


def _butts(survey: Survey, face: Face, structure: StructureLine) -> bool:
    """A part that is trimmed to this structure is fitted to it: how well it was measured does not matter."""
    return any(trim.face == face.name and trim.structure == structure.name for trim in survey.assembly.trims)


def _fits_wholly(survey: Survey, face: Face, structure: StructureLine) -> str:
    """Say why an overlap is sound, "" if it is not."""
    assert face.outline is not None  # noqa: S101 - chosen by check()
    assert structure.flange is not None  # noqa: S101 - chosen by check()
    flange = survey.assembly.faces.get(flange_face_of(structure))
    if survey.part_of(face).kind == "bracket" and flange is not None and face.order > flange.order:
        return "the leg lies on the flange"
    if lies_within(face.outline, structure.flange):
        return f"{face.name} lies wholly on the flange, as a shim"
    for shim in _plates(survey):
        same = abs(shim.thickness - face.thickness) <= SAME_THICKNESS_MM and shim.name != face.name
        if same and shim.outline is not None and lies_within(shim.outline, structure.flange):
            return f"{shim.name} shims the flange to the same thickness"
    return ""


def _example() -> float:
    plate, flange = Contour.rectangle(40, 40), Region(Contour.rectangle(100, 16))
    return contour_to_region(plate.moved(_up(18.0)), flange)


def _up(distance: float) -> Motion:
    return Motion.translation(Vec(0.0, distance))


RULE = Rule(
    name="part-overlaps-flange",
    title="A part lies partly under the flange of a rib or spar",
    formula="part's edge to flange at least 0, unless the flange is shimmed",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="trim the part to the rib, or shim the flange",
    example=WorkedExample(
        "plate edge at y -2 mm, flange from y -8 to 8 mm: 8 - (-2)", lambda: -_example(), 10.0, "mm"
    ),
    func=check,
)
