"""How much metal the opening takes and the ring gives back, for information.

Rule: Across the middle of the opening, along each of its axes: width of the skin hole times the skin, against
    the width of the ring on both sides times the ring, holes not taken off; and the ring rivets on each side
    against the number that the splice table prints for that width of skin. Told only; nothing passes or
    fails.
Why: The load that the skin carried goes round the opening through ring and rivets.
Bad: 127 mm of 0.8 mm skin cut (102 mm2), a ring of 2 x 10 mm of 1 mm (20 mm2).
Good: The same hole with a ring of 2 x 55 mm of 1 mm (110 mm2).
Source: AC 43.13-1B Tables 4-10 and 4-11 count rivets of a splice, not of a doubler: a guide, no proof of
    strength.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from templgen.checks.openings import none_here, of_opening, skin_thickness
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.words import both, counted, twofold
from templgen.errors import UnitError
from templgen.geometry import Vec
from templgen.geometry.extent import extent_along
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import OpeningSet
from templgen.trade.source import Published, Source
from templgen.trade.splices import rivets_per_inch, splice_rivet_count, splice_tables
from templgen.units import format_number, mm_to_inches

AREAS = Source("areas of the cut through the middle", derived=True)
AXES = (("length", Vec(1.0, 0.0)), ("width", Vec(0.0, 1.0)))


def check(survey: Survey) -> Iterator[Finding]:
    """Yield two results for every opening: one for load along each of its axes."""
    if not survey.assembly.openings:
        yield RULE.not_applicable(none_here)
    for opening in survey.assembly.openings:
        for name, axis in AXES:
            yield _along(survey, opening, name, opening.frame.apply_direction(axis))


class Section(Struct, frozen=True):
    """Metal in the cut across an opening's middle: taken from the skin, given by the ring, mm2; width cut,
    mm."""

    removed: float
    added: float
    width: float


def section_of(survey: Survey, opening: OpeningSet, along: Vec) -> Section:
    """Return the metal in the cut square to a direction of load."""
    across = along.perp()
    sizes = []
    for contour in (opening.skin_hole, opening.clear_hole, opening.ring.outer):
        low, high = extent_along(contour, across)
        sizes.append(high - low)
    hole, clear, outer = sizes
    ring = survey.assembly.faces[opening.ring_face].thickness
    return Section(hole * skin_thickness(survey), (outer - clear) * ring, hole)


def _along(survey: Survey, opening: OpeningSet, name: str, along: Vec) -> Finding:
    section = section_of(survey, opening, along)
    share = section.added / section.removed
    rivets = _rivets(survey, opening, along, section.width)
    return RULE.found(
        Verdict.TOLD,
        f"{opening.name}, along its {name}: {_area(section.removed)} of skin cut, {_area(section.added)} "
        f"of ring ({format_number(100 * share, 0)} %, holes not taken off); {rivets}",
        of_opening(opening, opening.ring_face),
        measured=section.added,
        limit=section.removed,
        unit="mm2",
    )


def _area(area: float) -> str:
    return twofold(f"{format_number(area, 1)} mm2", f"{format_number(area / 25.4**2, 3)} in2")


def _rivets(survey: Survey, opening: OpeningSet, along: Vec, width: float) -> str:
    """Rivets on the side that has fewer, against the splice table; no table, no number."""
    by_name = {fastener.name: fastener for fastener in survey.assembly.fasteners}
    rivets = [by_name[name] for name in opening.ring_rivets]
    if not rivets:
        return "no ring rivets"
    ahead = sum((rivet.at - opening.centre).dot(along) > 0.0 for rivet in rivets)
    behind = sum((rivet.at - opening.centre).dot(along) < 0.0 for rivet in rivets)
    told = f"{counted(min(ahead, behind), 'rivet')} on each side"
    table = _table(survey, rivets[0].spec.kind, rivets[0].spec.size)
    if table is None:
        return f"{told}; no splice table for this skin and rivet, so no number"
    needed = splice_rivet_count(table.value, 1.0, mm_to_inches(width))
    return f"{told}, the splice table prints {needed} for {both(width)} of skin ({table.source.citation})"


def _table(survey: Survey, kind: str, size: str) -> Published | None:
    if kind != "solid rivet":
        return None
    skin = survey.assembly.faces["skin"]
    try:
        return rivets_per_inch(skin.material, mm_to_inches(skin.thickness), size)
    except UnitError:
        return None


RULE = Rule(
    name="ring-metal-against-cutout",
    title="Metal the opening takes against metal the ring gives",
    formula="hole width x skin against both ring widths x ring; rivets each side against the splice table",
    sources=(AREAS, *(table.source for table in splice_tables())),
    severity=Severity.INFORMATION,
    cure="a wider or thicker ring, or more rivets",
    example=WorkedExample(
        "5 in of 0.032 in 2024-T3 clad, 1/8 in rivets: 4.9 x 5",
        lambda: float(splice_rivet_count(rivets_per_inch("2024-T3 clad", 0.032, "1/8").value, 1.0, 5.0)),
        25.0,
        "rivets",
    ),
    func=check,
)
