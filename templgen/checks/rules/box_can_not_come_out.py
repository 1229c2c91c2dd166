"""The box on the cover can not come out through the opening.

Rule: The box with its plugs goes straight out through the clear hole, past the nutplates; where it does not,
    it may be moved aside inside first, or plugs may be undone in reach, or the cover is lifted with it and
    tilted by 10, 20, 30, 45 or 60 degrees about an axis of the box before it is drawn out. Tilted it passes
    only if all of it is proven to stay clear all the way, cover and room behind too. Impossible is said only
    with a proof: a box that is thicker every way than the hole is wide.
Why: What went in while the skin was open has to come out when it fails.
Bad: A plug that stands 15 mm out of the box under the ring, with no room to move the box away from it.
Good: The same plug on the side where 20 mm are free, or on top.
Source: Derived from the geometry of box, plugs and hole.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from templgen.checks.openings import (
    DERIVED,
    bay_of,
    clear_space_of,
    cut_doubt,
    of_opening,
)
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.way_out import LEANS, LeaningOut, leaning_out, nutplate_solids, plug_corners
from templgen.checks.words import both
from templgen.geometry import Contour, Vec
from templgen.geometry.convex import convex_hull
from templgen.geometry.extent import extent_along
from templgen.geometry.holding import clearance_in, hold
from templgen.geometry.leaning import LeaningWay
from templgen.geometry.overlap import gap_between
from templgen.geometry.poses import Body, clearing_of, pose_round
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.openings.model import HangingBox, OpeningSet, Plug

DIRECTIONS = 36

ASIDE_TOLD = 0.5
"""A move aside of less is not worth a word, mm."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every box on a cover."""
    boxes = [(each, each.hangs) for each in survey.assembly.openings if each.hangs is not None]
    if not boxes:
        yield RULE.not_applicable("no box hangs on a cover")
    for opening, box in boxes:
        yield _of_box(survey, opening, box)
        unknown = [plate for plate in opening.nutplates if plate.outline is None]
        if unknown:
            yield RULE.not_checked(
                f"{box.name} past the nutplates of {opening.name}: their outline is not known",
                of_opening(opening, opening.cover_face),
                cure="measure a nutplate and give length and width",
                count=len(unknown),
            )


class _Try(Struct, frozen=True):
    """The box with the plugs that stay on, and those that are undone before it comes out."""

    box: HangingBox
    kept: tuple[Plug, ...]
    undone: tuple[Plug, ...]

    @property
    def words(self) -> str:
        """What is undone first."""
        names = ", ".join(plug.name for plug in self.undone)
        return f", with {names} undone in reach first" if self.undone else ""

    @property
    def corners(self) -> tuple[Vec, ...]:
        """The corners of its shadow in the skin plane: a hull."""
        plugs = [corner for plug in self.kept for corner in plug_corners(self.box, plug)]
        points = [*self.box.footprint.vertices, *plugs]
        hull = convex_hull(np.array([(point.x, point.y) for point in points]))
        return tuple(Vec(float(x), float(y)) for x, y in hull)


def _of_box(survey: Survey, opening: OpeningSet, box: HangingBox) -> Finding:
    on, doubt = of_opening(opening, opening.cover_face, box.footprint.centroid), cut_doubt(survey, opening)
    impossible = _impossible(opening, box)
    if impossible is not None:
        return impossible
    tries = _tries(box)
    straight = [(_straight(opening, each.corners), each) for each in tries]
    for clear, each in straight:
        if clear >= 0.0:
            message = f"{box.name} comes straight out of {opening.name}{each.words}, {both(clear)} clear"
            return told_one(RULE, clear, 0.0, doubt, Told(on, message))
    for each in tries:
        aside = _aside(survey, opening, each)
        if aside is not None:
            moved, clear = aside
            message = (
                f"{box.name} comes out of {opening.name} once it is moved {both(moved.length)} aside"
                f"{each.words}, {both(clear)} clear"
            )
            return told_one(RULE, clear, 0.0, doubt, Told(on, message))
    for each in tries:
        leaning = leaning_out(survey, opening, box, each.kept)
        if leaning is not None:
            said = Told(on, _leaning_words(opening, box, each, leaning))
            way = LeaningWay(leaning.bodies, leaning.hinge, leaning.poses)
            return replace(told_one(RULE, leaning.clearance, 0.0, doubt, said), way=way)
    return _not_found(opening, box, straight[0][0])


def _not_found(opening: OpeningSet, box: HangingBox, straight: float) -> Finding:
    return RULE.found(
        Verdict.FAIL,
        f"no way out of {opening.name} was found for {box.name} with its plugs: straight out it lacks "
        f"{both(-straight)}; {_tried_words(opening)}",
        of_opening(opening, opening.cover_face, box.footprint.centroid),
        severity=Severity.WARNING,
        measured=straight,
        limit=0.0,
        cure="move or turn the box, put plugs on top, or make the opening larger",
    )


def _tried_words(opening: OpeningSet) -> str:
    if opening.room is None:
        return "tilted it was not tried, because the room behind is not given"
    if any(plate.outline is not None and plate.spec.height is None for plate in opening.nutplates):
        return "tilted it was not tried, because the height of the nutplates is not known"
    tilts = ", ".join(f"{lean:g}" for lean in LEANS if lean)
    return f"nor does it pass tilted with its cover by {tilts} degrees about its x or y axis"


def _leaning_words(opening: OpeningSet, box: HangingBox, each: _Try, way: LeaningOut) -> str:
    axis = "y" if way.deeper.endswith("x") else "x"
    aside = f"move it {both(way.aside)} aside" if way.aside > ASIDE_TOLD else ""
    moves = [f"lift the cover {both(way.lift)}"]
    if way.angle:
        moves.append(
            f"tilt it {way.angle:g} degrees about the {axis} axis of {box.name} ({way.deeper} end inwards) "
            f"while its middle rises to {both(way.risen)}{' and you ' if aside else ''}{aside}"
        )
    elif aside:
        moves.append(aside)
    tilted = " tilted" if way.angle else ""
    return (
        f"{box.name} comes out of {opening.name}{tilted}, with its cover{each.words}: {', '.join(moves)}, "
        f"then draw it straight out; at least {both(way.clearance)} clear"
    )


def _tries(box: HangingBox) -> list[_Try]:
    """First with all plugs on, then without those that can be undone in reach."""
    undone = tuple(plug for plug in box.plugs if plug.undone == "in reach")
    kept = tuple(plug for plug in box.plugs if plug.undone == "on")
    every = _Try(box, box.plugs, ())
    return [every, _Try(box, kept, undone)] if undone else [every]


def _straight(opening: OpeningSet, corners: Sequence[Vec]) -> float:
    """How far a shadow stays off the clear hole and the nutplates, mm; below 0 where it does not pass."""
    least, outline = clearance_in(opening.clear_hole.as_ccw(), corners), Contour.polygon(corners)
    for plate in opening.nutplates:
        if plate.outline is not None:
            within = least if least > 0.0 else math.inf
            least = min(least, gap_between(outline, plate.outline, within))
    return least


def _aside(survey: Survey, opening: OpeningSet, each: _Try) -> tuple[Vec, float] | None:
    """A move within the hole, without turning, after which the shadow passes; None where none is found.

    A flush cover stands in the skin hole and can not be moved aside before it is lifted. Box and hole are
    convex, so a straight move between two places where the box stands in the hole keeps it there.
    """
    space, bay, box = clear_space_of(survey, opening), bay_of(survey, opening), each.box
    held = hold(space, np.array([(p.x, p.y) for p in each.corners]), 0.0)
    at_home = clearance_in(opening.clear_hole.as_ccw(), box.footprint.vertices)
    if held.clearance < 0.0 or at_home < 0.0 or not space.is_convex or bay is None:
        return None
    if opening.cover_kind == "flush":
        return None
    clear = _straight(opening, [corner + held.at for corner in each.corners])
    solids = (*bay.solids, *nutplate_solids(survey, opening))
    for body, depth in slabs_of(box, each.kept):
        home = pose_round(body, 0.0, 0.0, 0.0, body.centre, depth)
        moved = pose_round(body, 0.0, 0.0, 0.0, body.centre + held.at, depth)
        clear = min(clear, clearing_of(body, home, moved, solids, bay.area, 0.0).gap)
    return (held.at, clear) if clear > 0.0 else None


def slabs_of(box: HangingBox, plugs: Sequence[Plug]) -> Iterator[tuple[Body, float]]:
    """Yield the box and some plugs as slabs, each with the depth of its middle, mm."""
    yield _slab(box.footprint.vertices, box.height), box.cover_z + box.height / 2
    for plug in plugs:
        top = plug.side == "top"
        middle = box.cover_z + plug.z + (plug.stands_out / 2 if top else 0.0)
        yield _slab(plug_corners(box, plug), plug.stands_out if top else plug.height), middle


def _slab(corners: Sequence[Vec], thickness: float) -> Body:
    flat = np.array([(p.x, p.y) for p in corners])
    steps = np.roll(flat, -1, axis=0) - flat
    x, y = flat.mean(axis=0)
    return Body(flat, steps / np.hypot(steps[:, 0], steps[:, 1])[:, None], thickness, Vec(float(x), float(y)))


def _impossible(opening: OpeningSet, box: HangingBox) -> Finding | None:
    """A box holds a ball as wide as its shortest side, and a ball passes only a hole that is as wide every
    way."""
    widths = []
    for number in range(DIRECTIONS):
        low, high = extent_along(opening.clear_hole, Vec.polar(1.0, 180.0 * number / DIRECTIONS))
        widths.append(high - low)
    ball, across = min(box.length, box.width, box.height), min(widths)
    if ball <= across:
        return None
    return RULE.found(
        Verdict.FAIL,
        f"{box.name} can not come out of {opening.name} by any way: it is at least {both(ball)} thick "
        f"every way, the clear hole is only {both(across)} across",
        of_opening(opening, opening.cover_face, box.footprint.centroid),
        measured=across,
        limit=ball,
        cure=f"make the opening {both(ball - across)} wider, or take the box apart inside",
        acceptable=False,
    )


RULE = Rule(
    name="box-can-not-come-out",
    title="The box on the cover can not come out through the opening",
    formula="the shadow of box and plugs lies in the clear hole, off the nutplates",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="move or turn the box, put plugs on top, or make the opening larger",
    example=WorkedExample(
        "a box 60 mm wide in the middle of a hole 100 mm wide: clear on each side",
        lambda: (100.0 - 60.0) / 2,
        20.0,
        "mm",
    ),
    func=check,
)
