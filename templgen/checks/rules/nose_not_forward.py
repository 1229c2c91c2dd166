"""A mast's nose points aft, inboard or outboard by the words for the axes.

Rule: The direction of a mast's nose is nearer to forward than to any other direction of the aircraft, where
    the words for the axes say forward or aft. It warns; a mast that is meant to point elsewhere is accepted.
Why: With the two points of a rib exchanged, or x and y mixed up, plate, trim and holes all keep their
    distances and every other rule passes, but the mast stands the wrong way round in the airflow.
Bad: x grows aft, forward = { line = "rib 5", angle = 180 }, and the rib goes from [14, 0] to [0, 0].
Good: The same rib from [0, 0] to [14, 0]: its line runs aft, and the nose is turned by 180 degrees from it.
Source: A mast stands with its nose forward: common practice, no source. At 45 degrees the next direction is
    as near (derived).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from templgen.checks.masts import on_mast
from templgen.checks.rule import Rule, WorkedExample, judge
from templgen.checks.survey import Survey
from templgen.geometry import Vec
from templgen.layout.assembly import SKIN_PLANE, MastFit, Plane
from templgen.layout.axes import nose_way
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.layout.frames import direction_words
from templgen.trade.source import COMMON_PRACTICE, Source
from templgen.units import format_number

HALFWAY = 45.0
"""Degrees from forward at which another direction of the aircraft becomes the nearer one."""


def check(survey: Survey) -> Iterator[Finding]:
    """Yield one result for every mast."""
    masts = survey.assembly.masts
    for mast in masts:
        yield _of_mast(survey.assembly.planes[SKIN_PLANE], mast)
    if not masts:
        yield RULE.not_applicable("no mast")


def _of_mast(plane: Plane, mast: MastFit) -> Finding:
    axes = f"x {plane.x_words}, y {plane.y_words}"
    forward = Vec(float(nose_way(plane.x_words)), float(nose_way(plane.y_words)))
    if (forward.x == 0.0) == (forward.y == 0.0):
        return RULE.not_checked(
            f"{mast.name}: where forward is can not be told from {axes}",
            on_mast(mast, mast.flange_face),
            cure="say forward or aft of one of the axes",
        )
    turn = turn_to(Vec(mast.forward.dot(plane.x_axis), mast.forward.dot(plane.y_axis)), forward)
    verdict = judge(HALFWAY, abs(turn))
    off = f"{format_number(abs(turn), 1, trim=True)} degrees from forward"
    points = f"points {direction_words(plane, mast.forward)}, " if verdict is Verdict.FAIL else "stands "
    return RULE.found(
        verdict,
        f"the nose of {mast.name} {points}{off}, by {axes}",
        on_mast(mast, mast.flange_face),
        measured=abs(turn),
        limit=HALFWAY,
        doubt=0.0,
        unit="deg",
        cure=_cure(turn) if verdict is Verdict.FAIL else "",
    )


def _cure(turn: float) -> str:
    return (
        "compare the two points of its line and the words for the axes with the aircraft; if both are right, "
        f"turn forward.angle by {format_number(turn, 1, trim=True)} degrees"
    )


def turn_to(nose: Vec, forward: Vec) -> float:
    """Return by how much a nose has to be turned to point forward, degrees, counter-clockwise as measured."""
    return math.degrees(math.atan2(nose.cross(forward), nose.dot(forward)))


RULE = Rule(
    name="nose-not-forward",
    title="A mast's nose does not point forward",
    formula="nose nearer to forward than to aft and the sides: at most 45 degrees from it",
    sources=(Source(COMMON_PRACTICE, note="a mast stands with its nose forward"),),
    severity=Severity.WARNING,
    cure="correct the points of its line, the words for the axes, or forward.angle",
    example=WorkedExample(
        "x aft, so that forward is -x; nose along +y: 90 degrees counter-clockwise",
        lambda: turn_to(Vec(0.0, 1.0), Vec(-1.0, 0.0)),
        90.0,
        "deg",
    ),
    func=check,
)
