"""The doubler ring can not be brought in through the hole that it reinforces.

Rule: Once the skin is closed, a ring must pass its own skin hole, with its nutplates if they are riveted on
    the bench, and turn flat in the room behind. Looked for: one attitude, straight in, then turned inside. A
    way that is found is a proof; no way found is a warning; impossible is said only with a proof, and is an
    error where the job names a closing of the inside. A ring cut through once may also be wound in; two
    halves go in one by one, the second beside the first.
Why: The skin is cut, the ring is made, and it does not go in: then the ring is cut up, or the skin.
Bad: A ring 154 mm across for a hole that is 152.4 mm from corner to corner.
Good: The same ring 2 mm narrower all round, or made in two halves.
Source: Derived from the geometry of ring, hole and room; the skin is taken as flat.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from templgen.checks.half_ring import IN_PLACE, half_in_place
from templgen.checks.openings import (
    DERIVED,
    Piece,
    bay_of,
    cut_doubt,
    none_here,
    of_opening,
    pieces_of,
    size_words,
    skin_thickness,
    unknown_nutplates,
)
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.geometry import Contour, Vec
from templgen.geometry.holding import HoleSpace, hold
from templgen.geometry.passing import (
    OPENING,
    Bound,
    Feeding,
    feed,
    to_grow,
    to_slip_past,
    to_take_off,
    why_impossible,
)
from templgen.geometry.plate import Bay, Plate, slot_of
from templgen.geometry.winding import Band, Winding, band_of, ramp_length, wind
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import OpeningSet
from templgen.trade.elastic import yield_strain

SPRUNG_TO = 0.5
"""A ring that is wound in is sprung to this part of the strain at which it stays bent; our own default."""

UNKNOWN_STRAIN = 0.002
"""Taken where the sheet's yield strength is not known; our own default."""

ROOMY = 10_000.0
"""Depth of a room that hinders nothing, mm."""

FEW_WAYS = 12
"""So many ways are looked at for a cure."""

NO_WALLS = "; its way was looked for without walls: none are given (area of room)"

OTHER_WAYS = "make it in two halves, or put it in before the skin is closed"

OTHER_WAY_OF_HALVES = "cut it elsewhere (cut_at), or put it in before the skin is closed"


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every piece of every ring."""
    if not survey.assembly.openings:
        yield RULE.not_applicable(none_here)
    for opening in survey.assembly.openings:
        before = _goes_in_before(survey, opening)
        if before:
            reason = f"the ring of {opening.name} goes in from behind, before {before}"
            yield RULE.not_applicable(reason, of_opening(opening, opening.ring_face))
            continue
        yield from _of_ring(survey, opening, tuple(pieces_of(survey, opening)))


def _goes_in_before(survey: Survey, opening: OpeningSet) -> str:
    """The closing before which the ring can go in from behind; "" where there is none."""
    closings = survey.assembly.closings
    later = [each for each in closings if each.takes == "inside" and not each.done]
    return next((each.name for each in later if opening.name not in each.before), "")


class _Fed(Struct, frozen=True):
    """A piece, the room that was left to it, and how it was fed in."""

    piece: Piece
    bay: Bay
    fed: Feeding

    @classmethod
    def of(cls, survey: Survey, opening: OpeningSet, piece: Piece, *there: Piece) -> _Fed | None:
        """Feed a piece in beside those that are in place already; None where the room is not known."""
        bay = bay_of(survey, opening)
        if bay is None:
            return None
        solids = [solid for each in there for solid in half_in_place(each, opening.clear_hole)]
        bay = Bay(bay.depth, bay.area, (*bay.solids, *solids))
        hole, skin = HoleSpace.of(opening.skin_hole), skin_thickness(survey)
        return cls(piece, bay, feed(piece.with_nutplates, hole, bay, skin))


def _of_ring(survey: Survey, opening: OpeningSet, pieces: tuple[Piece, ...]) -> Iterator[Finding]:
    """Of two halves one goes in alone, the other beside it; where it does not, the other way round."""
    if len(pieces) == 1:
        yield from _of_piece(survey, opening, pieces[0])
        return
    one, other = pieces
    alone = _Fed.of(survey, opening, one)
    beside = _Fed.of(survey, opening, other, one) if _passes(alone) else None
    if not _passes(beside):
        # a way beside another half is a way alone, so only here is it asked whether the other goes in alone
        other_alone = _Fed.of(survey, opening, other)
        if not (_passes(alone) and _passes(other_alone)):
            beside = other_alone
        else:
            turned = _Fed.of(survey, opening, one, other)
            if _passes(turned):
                one, other, alone, beside = other, one, other_alone, turned
    yield from _of_piece(survey, opening, one, alone)
    yield from _of_piece(survey, opening, other, beside)


def _passes(tried: _Fed | None) -> bool:
    return tried is not None and tried.fed.passes


def _of_piece(
    survey: Survey, opening: OpeningSet, piece: Piece, known: _Fed | None = None
) -> Iterator[Finding]:
    on = of_opening(opening, opening.ring_face if piece.name == "the ring" else piece.name)
    if opening.ring_made == "whole":
        bay = bay_of(survey, opening)
        bound = why_impossible(piece.with_nutplates, opening.skin_hole, bay)
        if bound is not None:
            yield _impossible(survey, opening, piece, bay, bound)
            return
    one = known or _Fed.of(survey, opening, piece)
    if one is None:
        yield RULE.not_checked(
            f"{piece.name} of {opening.name}: the room behind is not given",
            on,
            cure="measure the room behind and give it as room",
        )
        return
    wound = not one.fed.passes and opening.ring_made == "split"
    found = (
        _wound(survey, opening, piece, one.bay) if wound else _told(survey, opening, piece, one.bay, one.fed)
    )
    yield found
    missing = unknown_nutplates(piece.nutplates)
    if missing and found.verdict is not Verdict.FAIL:
        yield RULE.not_checked(
            f"{piece.name} of {opening.name}: outline or height of {len(missing)} nutplates is not known; it "
            "was fed in without them",
            on,
            cure="measure a nutplate and give length, width and height, or rivet them in place",
            count=len(missing),
        )


def _told(survey: Survey, opening: OpeningSet, piece: Piece, bay: Bay, fed: Feeding) -> Finding:
    on = of_opening(opening, opening.ring_face if piece.name == "the ring" else piece.name)
    doubt = 2 * cut_doubt(survey, opening)
    if fed.passes:
        message = (
            f"{piece.name} of {opening.name} goes in, edge first{_leaning(fed)}; tightest at {fed.tightest}, "
            f"{both(fed.clearance)} clear{NO_WALLS if bay.area is None else ''}"
        )
        found = told_one(RULE, fed.clearance, 0.0, doubt, Told(on, message, source=DERIVED))
        return replace(found, way=fed.way)
    return RULE.found(
        Verdict.FAIL,
        f"no way in was found for {piece.name} of {opening.name}; in the way: {fed.tightest}, "
        f"by {both(-fed.clearance)}",
        on,
        severity=Severity.WARNING,
        measured=fed.clearance,
        limit=0.0,
        cure=_cure(survey, opening, piece.with_nutplates, bay, fed),
    )


def _leaning(fed: Feeding) -> str:
    return "" if fed.tilt >= 90.0 else f", leaning {90.0 - fed.tilt:.0f} degrees"


def _impossible(survey: Survey, opening: OpeningSet, piece: Piece, bay: Bay | None, bound: Bound) -> Finding:
    on = of_opening(opening, opening.ring_face)
    if bound.kind == "depth":
        message = f"needs {both(bound.needed)} of depth, the room behind has {both(bound.given)}"
        cure = "take a thinner ring or lower nutplates"
    else:
        message = (
            f"is {both(bound.needed)} across where it is narrowest, the skin hole is nowhere wider than "
            f"{both(bound.given)}"
        )
        roomy = bay or Bay(ROOMY)
        fed = feed(piece.with_nutplates, HoleSpace.of(opening.skin_hole), roomy, skin_thickness(survey))
        cure = _cure(survey, opening, piece.with_nutplates, roomy, fed)
    closed = bound.kind == "depth" or any(each.takes == "inside" for each in survey.assembly.closings)
    unless = "" if closed else "; the job names no closing of the inside, so it may go in from behind"
    return RULE.found(
        Verdict.FAIL,
        f"the ring of {opening.name} can not go in by any way: it {message}{unless}",
        on,
        severity=Severity.ERROR if closed else Severity.WARNING,
        measured=bound.given,
        limit=bound.needed,
        cure=cure,
        acceptable=not closed,
    )


def _cure(survey: Survey, opening: OpeningSet, plate: Plate, bay: Bay, fed: Feeding) -> str:
    """The largest ring that passes, the smallest hole that lets this one through, and what else there is."""
    if fed.tightest.endswith(IN_PLACE):
        return (
            "rivet the nutplates in place, cut the ring elsewhere (cut_at) or with a wider cut_gap, or put "
            "it in before the skin is closed"
        )
    skin, hole = skin_thickness(survey), opening.skin_hole.as_ccw()
    if fed.tightest == OPENING:
        most = (survey.assembly.faces[opening.ring_face].thickness + _band(opening)) * 0.9
        off = to_take_off(plate, HoleSpace.of(hole), bay, skin, fed, most)
        grow = to_grow(plate, hole, bay, skin, fed)
    else:
        off, grow = to_slip_past(plate, HoleSpace.of(hole), bay, skin, fed, _band(opening) / 3), None
    cures = []
    if off is not None:
        size = size_words(plate.outline, opening, off)
        spare = "if rivets and cover leave that much"
        cures.append(f"take {at_least(off)} off all round, {spare}: {size} passes")
    if grow is not None:
        size = size_words(hole, opening, -grow)
        cures.append(
            f"make the skin hole {size} and leave the outsides of ring and cover (width, overlap) as they are"
        )
    if plate.lumps and feed(replace(plate, lumps=()), HoleSpace.of(hole), bay, skin, FEW_WAYS).passes:
        cures.append("rivet the nutplates in place, the bare ring goes in")
    other_ways = OTHER_WAY_OF_HALVES if opening.ring_made == "halves" else OTHER_WAYS
    return ", or ".join([*cures, other_ways])


def _band(opening: OpeningSet) -> float:
    """How wide the ring is beside the skin hole, mm."""
    outer, hole = opening.ring.bounds, opening.skin_hole.bounds
    return min(outer.width - hole.width, outer.height - hole.height) / 2


def _wound(survey: Survey, opening: OpeningSet, piece: Piece, bay: Bay) -> Finding:
    """A ring that is cut once and does not go in edge first: can it be wound in?"""
    bend, band = _bend(survey, opening, piece.with_nutplates), band_of(opening.ring, _cut(opening))
    wound = _wind(opening, band, bend, bay)
    if wound.passes:
        return _winding(opening, wound, bend, 2 * cut_doubt(survey, opening))
    in_the_way = wound.tightest or f"the opening, by {both(max(-wound.clearance, 0.0))} on every side"
    cure = OTHER_WAYS
    if piece.with_nutplates.lumps and _wind(opening, band, _bend(survey, opening, piece.bare), bay).passes:
        cure = "rivet the nutplates in place, the bare ring can be wound in, or " + cure
    return RULE.found(
        Verdict.FAIL,
        f"no way in was found for the cut ring of {opening.name}, neither edge first nor wound in over "
        f"{both(bend.ramp)} of band, its ends {both(bend.lift)} apart; in the way: {in_the_way}",
        of_opening(opening, opening.ring_face),
        severity=Severity.WARNING,
        measured=min(wound.clearance, 0.0),
        limit=0.0,
        cure=cure,
    )


class _Bend(Struct, frozen=True):
    """How a cut ring is sprung: its depth, how far its ends go apart, over how much band, mm."""

    depth: float
    lift: float
    ramp: float


def _bend(survey: Survey, opening: OpeningSet, plate: Plate) -> _Bend:
    """The ends pass skin, ring and nutplates; sprung to part of the strain at which the sheet stays bent."""
    lift = skin_thickness(survey) + plate.depth
    strain = yield_strain(survey.assembly.faces[opening.ring_face].material)
    sprung = UNKNOWN_STRAIN if strain is None else strain * SPRUNG_TO
    return _Bend(plate.depth, lift, ramp_length(lift, plate.thickness, sprung))


def _wind(opening: OpeningSet, band: Band, bend: _Bend, bay: Bay) -> Winding:
    return wind(band, bend.depth, HoleSpace.of(opening.skin_hole), bay, bend.ramp, bend.lift)


def _cut(opening: OpeningSet) -> Vec:
    """A place at the ring's cut."""
    return opening.ring_cuts[0].midpoint if opening.ring_cuts else opening.ring.outer.vertices[0]


def _winding(opening: OpeningSet, wound: Winding, bend: _Bend, doubt: float) -> Finding:
    message = (
        f"the cut ring of {opening.name} can be wound in, its ends sprung {both(bend.lift)} apart over "
        f"{both(bend.ramp)} of band, {both(wound.clearance)} clear in the opening"
    )
    on = of_opening(opening, opening.ring_face)
    return replace(told_one(RULE, wound.clearance, 0.0, doubt, Told(on, message)), way=wound)


def _example() -> float:
    """Room that a ring 104 x 6 mm has in a racecourse 74 mm wide and 104.244 mm long, mm."""
    hole = HoleSpace.of(Contour.rectangle(104 + 74 - math.sqrt(74**2 - 6**2), 74, 37))
    return hold(hole, slot_of(Plate(Contour.rectangle(140, 104), 6.0), 0.0, 90.0, 1.0), 90.0).clearance


RULE = Rule(
    name="ring-can-not-be-fed-in",
    title="The ring can not be brought in through its own hole",
    formula="the ring's shadow along its way fits in the skin hole; the ring turns flat in the room",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure=OTHER_WAYS,
    example=WorkedExample(
        "a ring 104 mm wide and 6 mm thick in a hole of 74 x (104 + 74 - sqrt(74^2 - 6^2)) mm: room left",
        _example,
        0.0,
        "mm",
        0.001,
    ),
    func=check,
)
