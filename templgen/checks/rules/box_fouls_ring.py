"""The box on the cover stands on the ring, a nutplate or a screw, or is screwed down where it can not be.

Rule: With the cover on, the footprint of the box lies inside the clear hole and off the nutplates, and so do
    the heads or nuts of its mounting screws on the inside of the cover.
Why: A cover that does not go down because the box stands on the ring is found when everything is painted.
Bad: A box whose corner reaches 2 mm (0.08 in) over the ring.
Good: The same box moved 4 mm (0.16 in) inwards.
Source: Derived from the outlines.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from msgspec.structs import replace

from templgen.checks.holes import Floats
from templgen.checks.openings import DERIVED, clear_space_of, cut_doubt, of_opening
from templgen.checks.rule import ROUNDING_MM, Rule, Subject, WorkedExample
from templgen.checks.survey import Survey
from templgen.checks.tell import Told, told_one
from templgen.checks.words import at_least, both, hole_name
from templgen.geometry import Contour, Side, Vec, locate, point_contour
from templgen.geometry.extent import extent_along
from templgen.geometry.holding import clearance_in, hold
from templgen.geometry.overlap import gap_between
from templgen.layout.assembly import Fastener
from templgen.layout.finding import Finding, Severity
from templgen.layout.openings.model import HangingBox, OpeningSet

_LARGER = "take a smaller box, or make the opening larger"


def check(survey: Survey) -> Iterator[Finding]:
    """Yield the results for every box on a cover."""
    boxes = [(each, each.hangs) for each in survey.assembly.openings if each.hangs is not None]
    if not boxes:
        yield RULE.not_applicable("no box hangs on a cover")
    for opening, box in boxes:
        yield _in_hole(survey, opening, box)
        yield from _off_nutplates(opening, box)
        yield from _mounts(survey, opening, box)


def _in_hole(survey: Survey, opening: OpeningSet, box: HangingBox) -> Finding:
    room = clearance_in(opening.clear_hole.as_ccw(), box.footprint.vertices)
    what = f"{box.name} in the clear hole of {opening.name}"
    finding = _told(_on(opening, box), what, room, "the ring", cut_doubt(survey, opening))
    if room >= 0.0:
        return finding
    too_large = _too_large(opening, box)
    if not too_large and hold(clear_space_of(survey, opening), _corners(box), 0.0).clearance < 0.0:
        cure = "wherever it is moved it does not fit: turn it, take a smaller one, or make the opening larger"
        return replace(finding, cure=cure)
    return replace(finding, message=f"{finding.message}; {too_large}", cure=_LARGER) if too_large else finding


def _too_large(opening: OpeningSet, box: HangingBox) -> str:
    """By how much a box is longer or wider than the clear hole, in words; "" where it is not."""
    first, second, third, *_ = box.footprint.vertices
    words = []
    for word, side in (("long", second - first), ("wide", third - second)):
        low, high = extent_along(opening.clear_hole, side.unit())
        over = side.length - (high - low)
        if over > ROUNDING_MM:
            words.append(f"too {word} for the hole by {both(over)}: it has {both(side.length)}")
    return f"it is {' and '.join(words)}" if words else ""


def _corners(box: HangingBox) -> Floats:
    return np.array([(corner.x, corner.y) for corner in box.footprint.vertices])


def _off_nutplates(opening: OpeningSet, box: HangingBox) -> Iterator[Finding]:
    known = [(plate, plate.outline) for plate in opening.nutplates if plate.outline is not None]
    least, nearest = math.inf, None
    for plate, outline in known:
        gap = gap_between(box.footprint, outline, least if least > 0.0 else math.inf)
        if gap < least:
            least, nearest = gap, plate
    if nearest is not None:
        what = f"{box.name} beside {nearest.name}"
        finding = _told(_on(opening, box, nearest.at), what, least, "the nutplate")
        yield replace(finding, cure=_LARGER) if finding.cure and _too_large(opening, box) else finding
    unknown = len(opening.nutplates) - len(known)
    if unknown:
        yield RULE.not_checked(
            f"{box.name} beside the nutplates of {opening.name}: their outline is not known",
            _on(opening, box),
            cure="measure a nutplate and give length and width",
            count=unknown,
        )


def _mounts(survey: Survey, opening: OpeningSet, box: HangingBox) -> Iterator[Finding]:
    """The mounting screws of the box: what stands on the inside of the cover stays off the ring."""
    by_name = {fastener.name: fastener for fastener in survey.assembly.fasteners}
    mounts = [by_name[name] for name in box.mounts]
    if not mounts:
        return
    hole = opening.clear_hole.as_ccw()
    rooms = [(room_in(hole, mount), mount) for mount in mounts]
    room, mount = min(rooms, key=lambda each: each[0])
    on = Subject(mount.where, opening.name, opening.cover_face, mount.plane, mount.at)
    doubt = mount.doubt + cut_doubt(survey, opening)
    yield _told(on, f"{hole_name(mount)} of {box.name}", room, "the ring", doubt)


def room_in(hole: Contour, mount: Fastener) -> float:
    """Return how far a mounting screw's head or nut stays inside the clear hole, mm; below 0 over the
    ring."""
    spec = mount.spec
    inner = spec.driven_diameter if mount.head_side == "outside" else spec.head_diameter
    radius = max(inner or 0.0, spec.hole) / 2
    away = point_contour(mount.at, hole).distance
    return (away if locate(mount.at, hole) is Side.INSIDE else -away) - radius


def _on(opening: OpeningSet, box: HangingBox, place: Vec | None = None) -> Subject:
    return of_opening(opening, opening.cover_face, place or box.footprint.centroid)


def _told(on: Subject, what: str, room: float, of: str, doubt: float = 0.0) -> Finding:
    message = f"{what}: {both(room)} clear of {of}" if room >= 0.0 else f"{what}: fouls {of} by {both(-room)}"
    cure = f"move it {at_least(max(-room, 0.0))} inwards and more"
    return told_one(RULE, room, 0.0, doubt, Told(on, message, cure))


RULE = Rule(
    name="box-fouls-ring",
    title="The box on the cover, or its screws, stand on the ring or a nutplate",
    formula="footprint and mounting screws inside the clear hole and off the nutplates",
    sources=(DERIVED,),
    severity=Severity.ERROR,
    cure="move the box inwards, or take a smaller one",
    example=WorkedExample(
        "a box 60 x 40 mm in the middle of a hole 100 x 70 mm: clear of the ring",
        lambda: clearance_in(Contour.rectangle(100, 70, 10), Contour.rectangle(60, 40).vertices),
        15.0,
        "mm",
    ),
    func=check,
)
