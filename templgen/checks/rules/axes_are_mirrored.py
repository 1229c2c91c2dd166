"""The words for the axes do not fit the face they were measured on: everything would come out mirrored.

Rule: Seen on the face that was measured, x turned counter-clockwise by 90 degrees is y. Words such as aft and
    outboard, the surface, the face and the hand say whether that is so.
Why: A frame read backwards mirrors every template and every part, and the mirrored part fits nowhere.
Bad: Lower skin of the right wing, seen from outside, x aft and y outboard.
Good: The same with y inboard; or x forward and y outboard.
Source: Derived: forward, left and up are a right-handed set.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.rule import Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.layout.axes import MeasuredFrame, handedness
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.trade.source import Source

DERIVED = Source("directions of the aircraft", derived=True)


def check(survey: Survey) -> Iterator[Finding]:
    """Yield whether the axes are right-handed on the face that was measured."""
    frame = survey.assembly.measured
    if frame is None:
        yield RULE.not_applicable("the job gives no axes")
        return
    on = Subject(at=frame.where)
    told = (
        f"x {frame.x_words}, y {frame.y_words}, seen on the {frame.face} of the {frame.hand} side, "
        f"{frame.surface or 'unknown'} surface"
    )
    turn = handedness(frame)
    if turn is None:
        yield RULE.not_checked(
            f"{told}: whether the axes are mirrored can not be told from these words",
            on,
            cure="say skin.surface, and axes by aft, forward, outboard, inboard, up, down",
        )
    elif turn > 0:
        yield RULE.found(Verdict.PASS, told, on)
    else:
        yield RULE.found(
            Verdict.FAIL,
            f"{told}: y is x turned clockwise, so every part would come out mirrored",
            on,
            cure="turn one axis round, words and numbers, or say the face you really looked at",
        )


RULE = Rule(
    name="axes-are-mirrored",
    title="The axes do not fit the face they were measured on",
    formula="x, y and the direction to the eye are a right-handed set",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="turn one axis round, or say the face that was looked at",
    example=WorkedExample(
        "left wing, lower skin from outside, x aft, y outboard: triple product",
        lambda: float(handedness(MeasuredFrame("aft", "outboard", "outside", "lower", "left")) or 0),
        1.0,
        "",
    ),
    func=check,
    acceptable=False,
)
