"""The base plate of a mast overlaps the skin round the cutout by too little for a row of fasteners.

Rule: Between the cutout and the plate's outer edge at least 2 D to either side of a row: 4 D, for flush
    heads 5 D. Where the plate does not cover the cutout it is an error that nobody can accept; where it is
    narrower than a row needs, it warns, for a row need not run there. The plate's holes themselves are
    judged by hole-too-near-edge.
Why: A row that has its distance from the cutout loses it at the plate's edge.
Bad: A base plate that reaches 10 mm beyond the cutout, for 1/8 rivets (4 D = 12.7 mm).
Good: One that reaches 13 mm beyond it all round, except where it butts against the rib.
Source: Derived from the edge distance, AC 43.13-1B para 4-57; flush heads FAA-H-8083-31 ch. 4.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.edges import cutout_doubt, outline_doubt
from templgen.checks.masts import cutout_of, on_mast
from templgen.checks.rule import ROUNDING_MM, Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, multiple
from templgen.geometry import contour_contour, contour_inside
from templgen.layout.assembly import Cutout, Face, MastFit
from templgen.layout.finding import Finding, Severity
from templgen.trade.limits import limit
from templgen.trade.source import Source
from templgen.units import inches_to_mm, mm_to_inches

EDGE = limit("edge-least")
FLUSH = limit("edge-flush")
DERIVED = Source("geometry of the outlines", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every mast."""
    if not survey.assembly.masts:
        yield RULE.not_applicable("no mast")
    for mast in survey.assembly.masts:
        cutout, plate = cutout_of(survey.assembly, mast), survey.assembly.faces.get(mast.flange_face)
        if cutout is None or plate is None or plate.outline is None:
            yield RULE.not_checked(f"{mast.name}: cutout or base plate is not laid out", on_mast(mast, ""))
        else:
            yield _judge(survey, mast, cutout, plate)


def row_width(diameter: float, flush: bool) -> float:
    """Return the width of metal that one row of fasteners needs between two free edges, mm."""
    return 2 * (FLUSH if flush else EDGE).mm(diameter=diameter)


def _judge(survey: Survey, mast: MastFit, cutout: Cutout, plate: Face) -> Finding:
    assert plate.outline is not None  # noqa: S101 - chosen by check()
    holes = survey.holes_in(plate)
    fastened = ~holes.plain & ~holes.exists
    on, outer = on_mast(mast, plate.name), plate.outline.outer
    covers = contour_inside(cutout.contour, outer)
    overlap = contour_contour(cutout.contour, outer).distance if covers else 0.0
    if not fastened.any():
        return RULE.not_checked(f"{plate.name} has no fasteners: the row it needs is not known", on)
    largest = float(holes.diameter[fastened].max())
    least = row_width(largest, bool(holes.flush[fastened].any()))
    message = (
        f"{plate.name} overlaps the skin round {cutout.name} by {both(overlap)}, a row of its "
        "fasteners needs "
        f"{both(least)} = {multiple(least, largest)}"
    )
    gone = overlap <= ROUNDING_MM
    said = Told(
        on,
        message if not gone else f"{plate.name} does not cover {cutout.name}",
        f"widen it by {at_least(least - overlap)}, or set no fastener there",
        Severity.ERROR if gone else Severity.WARNING,
        not gone,
        DERIVED if gone else EDGE.source,
    )
    doubt = cutout_doubt(cutout) + outline_doubt(survey.assembly, plate)
    return told_one(RULE, overlap, least, doubt, said)


RULE = Rule(
    name="flange-overlap-too-small",
    title="The base plate overlaps the skin by too little for a row of fasteners",
    formula="cutout to the plate's edge at least 4 D (flush 5 D)",
    sources=(DERIVED, EDGE.source, FLUSH.source),
    severity=Severity.ERROR,
    cure="widen the plate",
    example=WorkedExample(
        "row of 1/8 rivets: 2 x 2 x 0.125 in",
        lambda: mm_to_inches(row_width(inches_to_mm(0.125), False)),
        0.5,
        "in",
    ),
    func=check,
)
