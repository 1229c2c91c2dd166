"""A nutplate lies over a rivet's head, over the next nutplate, or over an edge of the ring.

Rule: On the inside of the ring the outline of a nutplate keeps 1/32 in from every head or driven head but its
    own rivets', and does not lie over the next nutplate: metal would have to lie inside metal, and nobody can
    accept that. It does not reach over the ring's outer edge, into the clear hole, or over a cut of the ring.
Why: A lug that stands on a driven head cocks, and its own rivets pull it crooked. A lug over the edge has
    nothing to lie on; over a cut it keeps the other piece from its place.
Bad: A plate 24 mm long, and the driven head (4.8 mm) of a ring rivet 13 mm from its middle, in line with it.
Good: The same rivet 15.2 mm from it.
Source: Overlap is derived. 1/32 in to heads is a shop margin, common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import combinations

import numpy as np
from msgspec import Struct

from templgen.checks.openings import DERIVED, cut_doubt, none_here, of_opening
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Measured, Told, told
from templgen.checks.words import at_least, both, counted, hole_name
from templgen.geometry import Bounds, Contour, Side, Vec
from templgen.geometry.distance import contours_apart
from templgen.geometry.overlap import gap_between, gap_to_circle, reach_beyond
from templgen.layout.finding import Finding, Severity
from templgen.layout.openings.model import Nutplate, OpeningSet
from templgen.trade.limits import limit

MARGIN = limit("head-to-head")

OUTER_EDGE, HOLE_EDGE, CUT = "the ring's outer edge", "the edge of the clear hole", "the ring's cut"

_NEAR = 1.0
"""Gaps up to this are always measured to the end, mm."""


class _Gap(Struct, frozen=True):
    """How far a nutplate stands from something, how well that is known (mm), and what is said of it."""

    gap: float
    doubt: float
    say: Callable[[], Told]


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for the nutplates of every opening."""
    openings = [each for each in survey.assembly.openings if each.nutplates]
    if not openings:
        yield RULE.not_applicable(f"{none_here} with nutplates")
    for opening in openings:
        plates = [plate for plate in opening.nutplates if plate.outline is not None]
        if plates:
            yield from _unknown_heads(survey, opening)
            doubts = _doubts(survey, plates)
            heads = list(_heads(survey, opening, plates, doubts))
            each_other = list(_pairs(opening, plates, doubts))
            edges = list(_edges(survey, opening, plates, doubts))
            yield from _told(opening, heads, MARGIN.mm(), "head beside nutplates", "heads beside nutplates")
            yield from _told(opening, each_other, 0.0, "pair of nutplates", "pairs of nutplates")
            yield from _told(opening, edges, 0.0, "nutplate on the ring", "nutplates on the ring")
        if len(plates) < len(opening.nutplates):
            yield RULE.not_checked(
                f"nutplates of {opening.name} beside rivets, edges, each other: their outline is not known",
                of_opening(opening, opening.ring_face),
                cure="measure a nutplate and give length and width",
                count=len(opening.nutplates) - len(plates),
            )


def _told(
    opening: OpeningSet, gaps: Sequence[_Gap], least: float, what: str, places: str
) -> Iterator[Finding]:
    if not gaps:
        return
    values = np.array([each.gap for each in gaps])
    measured = Measured(values, np.full(len(gaps), least), np.array([each.doubt for each in gaps]))
    what, places = f"{what} of {opening.name}", f"{places} of {opening.name}"
    yield from told(RULE, measured, lambda index: gaps[index].say(), of_opening(opening), what, places)


def _outline(plate: Nutplate) -> Contour:
    assert plate.outline is not None  # noqa: S101 - only those whose outline is known are judged
    return plate.outline


def _doubts(survey: Survey, plates: Sequence[Nutplate]) -> dict[str, float]:
    """How well each nutplate stands, mm either way: as well as the hole of its screw."""
    of_screws: dict[str, float] = {}
    for each in survey.assembly.fasteners:
        of_screws[each.name] = max(each.doubt, of_screws.get(each.name, 0.0))
    return {plate.name: of_screws.get(plate.screw, 0.0) for plate in plates}


def _others(survey: Survey, opening: OpeningSet) -> np.ndarray:
    """What is fastened through the ring besides the nutplates."""
    holes = survey.holes
    through = np.logical_or.reduce([survey.passing(name) for name in opening.ring_faces])
    return np.flatnonzero(through & (holes.nutplate == 0) & ~holes.plain)


def _unknown_heads(survey: Survey, opening: OpeningSet) -> Iterator[Finding]:
    unknown = int(np.isnan(survey.holes.head_inside[_others(survey, opening)]).sum())
    if unknown:
        yield RULE.not_checked(
            f"nutplates of {opening.name}: heads of {counted(unknown, 'fastener')} on the ring are not known",
            of_opening(opening, opening.ring_face),
            cure="give behind_diameter of the fastener, from the part in hand",
            count=unknown,
        )


def _heads(
    survey: Survey, opening: OpeningSet, plates: Sequence[Nutplate], doubts: dict[str, float]
) -> Iterator[_Gap]:
    """Each head on the inside of the ring, against the nutplate that it comes nearest to."""
    holes, boxes = survey.holes, [_outline(plate).bounds for plate in plates]
    for index in map(int, _others(survey, opening)):
        head, radius = holes.fastener(index), float(holes.head_inside[index])
        if np.isnan(radius):
            continue
        gap, plate = _nearest(plates, boxes, head.at, radius)
        on = Subject(head.where, opening.name, opening.ring_face, head.plane, head.at)
        say = partial(_head_words, gap, plate, hole_name(head), on)
        yield _Gap(gap, head.doubt + doubts[plate.name], say)


def _nearest(
    plates: Sequence[Nutplate], boxes: Sequence[Bounds], at: Vec, radius: float
) -> tuple[float, Nutplate]:
    """The nutplate that a head comes nearest to; one whose box is farther away than that is not measured."""
    here = Bounds(at.x, at.y, at.x, at.y)
    to_boxes = [box.distance_to(here) for box in boxes]
    apart = [away - radius if away > 0.0 else -math.inf for away in to_boxes]
    best, found = math.inf, len(plates)
    for number in sorted(range(len(plates)), key=apart.__getitem__):
        if apart[number] > best:
            break
        gap = gap_to_circle(_outline(plates[number]), at, radius)
        best, found = min((best, found), (gap, number))
    return best, plates[found]


def _head_words(gap: float, plate: Nutplate, head: str, on: Subject) -> Told:
    overlap = gap < -ROUNDING_MM
    how = f"overlap by {both(-gap)}" if overlap else f"stand {both(gap)} apart"
    more = at_least(max(MARGIN.mm() - gap, 0.0))
    return Told(
        on,
        f"{plate.name} and the head of {head} on the inside {how}, need {both(MARGIN.mm())}",
        f"bring them {more} farther apart: move the rivet along its row, turn the nutplate, widen the ring",
        Severity.ERROR if overlap else Severity(MARGIN.severity),
        not overlap,
        DERIVED if overlap else MARGIN.source,
    )


def _pairs(opening: OpeningSet, plates: Sequence[Nutplate], doubts: dict[str, float]) -> Iterator[_Gap]:
    """Two nutplates each; the gap of their boxes stands for that of two that pass for certain and are not
    the nearest ones."""
    pairs = [(one, other, doubts[one.name] + doubts[other.name]) for one, other in combinations(plates, 2)]
    gaps = [_outline(one).bounds.distance_to(_outline(other).bounds) for one, other, _ in pairs]
    least = math.inf
    for number in sorted(range(len(pairs)), key=gaps.__getitem__):
        one, other, doubt = pairs[number]
        if gaps[number] <= max(least, doubt):
            gaps[number] = gap_between(_outline(one), _outline(other))
            least = min(least, gaps[number])
    for gap, (one, other, doubt) in zip(gaps, pairs, strict=True):
        yield _Gap(gap, doubt, partial(_pair_words, opening, gap, one, other))


def _pair_words(opening: OpeningSet, gap: float, one: Nutplate, other: Nutplate) -> Told:
    how = f"overlap by {both(-gap)}" if gap < 0.0 else f"stand {both(gap)} apart"
    return Told(
        of_opening(opening, opening.ring_face, one.at),
        f"{one.name} and {other.name} {how}",
        f"bring their screws {at_least(max(-gap, 0.0))} farther apart, take fewer, or turn the nutplates",
        acceptable=False,
        source=DERIVED,
    )


def _edges(
    survey: Survey, opening: OpeningSet, plates: Sequence[Nutplate], doubts: dict[str, float]
) -> Iterator[_Gap]:
    """Each nutplate against the edge of the ring that it comes nearest to, or reaches over."""
    cut = cut_doubt(survey, opening)
    pieces = [survey.assembly.faces[name].outline for name in opening.ring_faces]
    parts = [] if opening.ring_made == "whole" else [each.outer for each in pieces if each is not None]
    hole = opening.clear_hole.as_ccw()
    for plate in plates:
        clear, edge = _nearest_edge(_outline(plate), opening.ring.outer, hole, parts)
        yield _Gap(clear, cut + doubts[plate.name], partial(_edge_words, opening, plate, clear, edge))


def _edge_words(opening: OpeningSet, plate: Nutplate, clear: float, edge: str) -> Told:
    how = f"stays {both(clear)} off" if clear >= 0.0 else f"reaches {both(-clear)} over"
    return Told(
        of_opening(opening, opening.ring_face, plate.at),
        f"{plate.name} {how} {edge}",
        f"move its screw {at_least(max(-clear, 0.0))} away from there, turn it, or widen the ring",
        Severity.WARNING,
        source=DERIVED,
    )


def _nearest_edge(
    outline: Contour, edge: Contour, hole: Contour, parts: Sequence[Contour]
) -> tuple[float, str]:
    """How far a nutplate stays off the ring's nearest edge, mm, below 0 where it reaches over it; and which.

    What is no nearer than an edge that was measured is not measured to the end.
    """
    middle = outline.bounds.centre
    near = sorted(parts, key=lambda each: each.bounds.centre.distance_to(middle))
    on_one = _stays_in(outline, near[0]) if near else -math.inf
    if on_one > 0.0:
        return _edge_of_piece(outline, edge, hole, on_one)
    clear, nearest = _stays_in(outline, edge), OUTER_EDGE
    to_hole = gap_between(outline, hole, max(clear, _NEAR))
    if to_hole < clear:
        clear, nearest = to_hole, HOLE_EDGE
    for part in near[1:]:
        # what stays on one piece reaches out of every other
        if on_one < 0.0:
            on_one = max(on_one, _stays_in(outline, part, max(clear, _NEAR)))
    # a piece has the other two edges as well; where they are as near, it is they that are named
    if -math.inf < on_one < clear - ROUNDING_MM:
        clear, nearest = on_one + ROUNDING_MM, CUT
    return clear, nearest


def _edge_of_piece(outline: Contour, edge: Contour, hole: Contour, clear: float) -> tuple[float, str]:
    """Which edge it is from which a nutplate that stays on a piece of the ring stays `clear`, and how far.

    What stays on a piece reaches neither over the ring's edge nor into the clear hole.
    """
    clear, nearest = clear + ROUNDING_MM, CUT
    for other, name in ((edge, OUTER_EDGE), (hole, HOLE_EDGE)):
        apart = contours_apart(outline, other, clear)
        if apart < clear:
            clear, nearest = apart, name
    return clear, nearest


def _stays_in(inner: Contour, outer: Contour, within: float = math.inf) -> float:
    """How far an outline stays inside another one, mm, up to `within`; below 0 by how far it reaches out."""
    reach = reach_beyond(inner, outer, Side.OUTSIDE)
    return -reach if reach > 0.0 else contours_apart(inner, outer, within)


RULE = Rule(
    name="nutplate-fouls-neighbour",
    title="A nutplate lies over a head, the next nutplate or an edge of the ring",
    formula="nutplate to head at least 1/32 in; to the next nutplate and to the ring's edges at least 0",
    sources=(DERIVED, MARGIN.source),
    severity=Severity.ERROR,
    cure="turn the nutplate, move the rivet along its row, or widen the ring",
    example=WorkedExample(
        "a nutplate 24 mm long, a driven head of 4.8 mm in line with it 13 mm from its middle: overlap",
        lambda: gap_to_circle(Contour.rectangle(24, 9), Vec(13, 0), 2.4),
        -1.4,
        "mm",
    ),
    func=check,
)
