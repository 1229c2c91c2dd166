"""The slack of a lead can lie against something that moves.

Rule: With the cover on, a slack lead reaches no moving part: no place that it can get to lies within the
    swing of one, or its slack is stowed clear of it.
Why: A loop of wire that catches a pushrod or a bellcrank jams the controls.
Bad: 120 mm (4.7 in) of slack loose in the bay beside an aileron pushrod.
Good: The same slack tied to the rib, 60 mm (2.4 in) from the pushrod at full travel.
Source: Derived: a lead of length l reaches no place whose ways to both its ends together are longer than l.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from templgen.checks.openings import DERIVED, of_opening
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.geometry import Bounds, Vec
from templgen.layout.finding import Finding, Severity
from templgen.layout.openings.model import HangingBox, Lead, Obstacle, OpeningSet, Place3

Point = tuple[float, float, float]

_GOLDEN = (math.sqrt(5) - 1) / 2


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every lead and everything that moves behind its opening."""
    found = False
    for opening in survey.assembly.openings:
        box = opening.hangs
        for lead in box.leads if box is not None else ():
            found = True
            assert box is not None  # noqa: S101 - it has leads
            yield from _of_lead(opening, box, lead)
    if not found:
        yield RULE.not_applicable("no lead to a box on a cover")


def _of_lead(opening: OpeningSet, box: HangingBox, lead: Lead) -> Iterator[Finding]:
    on = of_opening(opening, place=lead.support.at)
    if opening.room is None:
        yield RULE.not_checked(
            f"{lead.name}: what moves behind {opening.name} is not given", on, cure="give the room behind"
        )
        return
    moving = [each for each in opening.room.obstacles if each.moving]
    if not moving:
        yield RULE.not_applicable(f"{lead.name}: nothing that moves is given behind {opening.name}", on)
    for obstacle in moving:
        yield _beside(opening, box, lead, obstacle)


def _beside(opening: OpeningSet, box: HangingBox, lead: Lead, obstacle: Obstacle) -> Finding:
    plug = next(each for each in box.plugs if each.name == lead.plug)
    start, end = _point(lead.support), (plug.at.x, plug.at.y, box.cover_z + plug.z)
    # ways to the middle of a moving part are shorter by its radius and swing, on both sides of the place
    spared = least_detour(start, end, obstacle) - 2 * (obstacle.radius + obstacle.swing) - lead.free_length
    on = of_opening(opening, place=lead.support.at)
    if spared >= 0.0:
        message = f"{lead.name} can not reach {obstacle.name}: it is {both(spared)} too short for it"
        return told_one(RULE, spared, 0.0, 0.0, Told(on, message))
    if lead.stowed_at is None:
        return RULE.not_checked(
            f"{lead.name} is long enough to reach {obstacle.name}, and where its slack is stowed is not "
            "given",
            on,
            cure="tie the slack, and give stowed_at and stowed_radius",
        )
    stowed = _point(lead.stowed_at)
    away = least_detour(stowed, stowed, obstacle) / 2
    clear = away - obstacle.radius - obstacle.swing - lead.stowed_radius
    return told_one(
        RULE,
        clear,
        0.0,
        0.0,
        Told(
            of_opening(opening, place=lead.stowed_at.at),
            f"the stowed slack of {lead.name}: {both(clear)} from {obstacle.name} at the end of its swing",
            f"stow it {at_least(max(-clear, 0.0))} farther away, and more",
        ),
    )


def _point(place: Place3) -> Point:
    return place.at.x, place.at.y, place.z


def least_detour(start: Point, end: Point, obstacle: Obstacle) -> float:
    """Return the shortest way from start to end that touches an obstacle (a line: its middle line), mm."""
    if obstacle.box is not None:
        return _by_box(start, end, obstacle, obstacle.box)
    a, b = obstacle.start, obstacle.end
    assert a is not None  # noqa: S101 - an obstacle is a box or a line
    assert b is not None  # noqa: S101
    return _by_line(start, end, _point(a), _point(b))


def _by_line(start: Point, end: Point, a: Point, b: Point) -> float:
    """Golden sections: the sum of two distances has one least value along a line."""

    def both_ways(t: float) -> float:
        place = [p + (q - p) * t for p, q in zip(a, b, strict=True)]
        return math.dist(start, place) + math.dist(place, end)

    low, high = 0.0, 1.0
    while (high - low) * math.dist(a, b) > 1e-6:
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        low, high = (low, right) if both_ways(left) < both_ways(right) else (left, high)
    return both_ways((low + high) / 2)


def _by_box(start: Point, end: Point, obstacle: Obstacle, box: Bounds) -> float:
    """Never more than the way by a box: distances to it from each end, each taken alone."""

    def to_box(place: Point) -> float:
        gaps = (
            max(box.xmin - place[0], place[0] - box.xmax, 0.0),
            max(box.ymin - place[1], place[1] - box.ymax, 0.0),
            max(obstacle.z_from - place[2], place[2] - obstacle.z_to, 0.0),
        )
        return math.hypot(*gaps)

    return to_box(start) + to_box(end)


RULE = Rule(
    name="lead-reaches-moving-part",
    title="The slack of a lead can lie against a moving part",
    formula="way to the plug by the moving part, less its radius and swing, at least the free length",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="stow the slack away from what moves, or shorten the lead",
    example=WorkedExample(
        "ends 60 mm apart, a rod 40 mm beside their middle: 2 x sqrt(30^2 + 40^2)",
        lambda: 2 * Vec(30.0, 40.0).length,
        100.0,
        "mm",
    ),
    func=check,
)
