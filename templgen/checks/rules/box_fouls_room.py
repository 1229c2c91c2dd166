"""The box on the cover meets something in the room behind.

Rule: With the cover on, the box and its plugs end before the far skin, and stand clear of what is in the bay,
    moving parts at the end of their swing.
Why: The cover does not close, or worse, it closes and the pushrod rubs on the box.
Bad: A box 60 mm (2.4 in) high on a cover 55 mm (2.2 in) before a pushrod.
Good: The same box where 30 mm (1.2 in) are left to the pushrod at full travel.
Source: Derived from the sizes in the job.
"""

from __future__ import annotations

from collections.abc import Iterator

from templgen.checks.openings import DERIVED, bay_of, of_opening
from templgen.checks.rule import Rule, WorkedExample
from templgen.checks.rules.box_can_not_come_out import slabs_of
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both
from templgen.geometry.plate import Bay
from templgen.geometry.poses import clearing_of, pose_round
from templgen.layout.finding import Finding, Severity
from templgen.layout.openings.model import HangingBox, OpeningSet


def check(survey: Survey) -> Iterator[Finding]:
    """Yield two results for every box on a cover: its depth, and what stands beside it."""
    boxes = [(each, each.hangs) for each in survey.assembly.openings if each.hangs is not None]
    if not boxes:
        yield RULE.not_applicable("no box hangs on a cover")
    for opening, box in boxes:
        bay = bay_of(survey, opening)
        on = of_opening(opening, opening.cover_face, box.footprint.centroid)
        if bay is None:
            reason = f"{box.name}: the room behind {opening.name} is not given"
            yield RULE.not_checked(reason, on, cure="measure the room behind and give it as room")
            continue
        yield _depth(opening, box, bay)
        yield from _beside(opening, box, bay)


def deepest(box: HangingBox) -> float:
    """Return how deep box and plugs reach behind the inner face of the skin, mm."""
    top = max((plug.stands_out for plug in box.plugs if plug.side == "top"), default=0.0)
    sides = max((plug.z + plug.height / 2 for plug in box.plugs if plug.side != "top"), default=0.0)
    return box.cover_z + max(box.height + top, sides)


def _depth(opening: OpeningSet, box: HangingBox, bay: Bay) -> Finding:
    left = bay.depth - deepest(box)
    message = f"{box.name} reaches {both(deepest(box))} behind the skin, the room is {both(bay.depth)} deep"
    on = of_opening(opening, opening.cover_face, box.footprint.centroid)
    return told_one(RULE, left, 0.0, 0.0, Told(on, message, f"take a box {at_least(max(-left, 0.0))} lower"))


def _beside(opening: OpeningSet, box: HangingBox, bay: Bay) -> Iterator[Finding]:
    clearings = []
    for body, depth in slabs_of(box, box.plugs):
        pose = pose_round(body, 0.0, 0.0, 0.0, body.centre, depth)
        clearings.append(clearing_of(body, pose, pose, bay.standing, bay.area, 0.0))
    least = min(clearings, key=lambda each: each.gap)
    if not least.nearest:
        return
    how = f"{both(least.gap)} clear of" if least.gap >= 0.0 else f"fouls by {both(-least.gap)}"
    message = f"{box.name} behind {opening.name}: {how} {least.nearest}"
    on = of_opening(opening, opening.cover_face, box.footprint.centroid)
    cure = f"move it {at_least(max(-least.gap, 0.0))} and more"
    yield told_one(RULE, least.gap, 0.0, 0.0, Told(on, message, cure))


RULE = Rule(
    name="box-fouls-room",
    title="The box on the cover meets something in the room behind",
    formula="box and plugs end before the far skin and clear of what stands or moves in the bay",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="take a lower box, or move it",
    example=WorkedExample("a box 30 mm high in a room 120 mm deep: left", lambda: 120.0 - 30.0, 90.0, "mm"),
    func=check,
)
