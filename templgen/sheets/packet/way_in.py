"""How a ring goes through its opening: the way that the check found, seen from outside and from the side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from templgen.drawing import Anchor, Item, LineMark, Meaning, PathMark
from templgen.geometry import Bounds, Contour, Line, Vec, flatten
from templgen.geometry.passing import Way
from templgen.geometry.poses import Pose
from templgen.geometry.winding import Winding
from templgen.job.model import Job
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Finding
from templgen.sheets.facts import both
from templgen.sheets.lettering import CALLOUT, NOTE, pitch_of, words
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.packet.plan import scaled
from templgen.sheets.packet.section import NOT_TO_SCALE

__all__ = ["way_in_blocks"]

_HIGH = 44.0
_SAME_PLACE = 0.5  # mm
_BETWEEN = 14.0
_SAGITTA = 0.2
_BESIDE = 0.3
_EDGE_FIRST = 89.5


class WayInFigure(Struct, frozen=True):
    """The way of one piece: left the opening with the piece in place and where it passes, right the poses.

    `passing` is what the piece takes of the opening while it passes. Without `poses` only the left is drawn.
    """

    hole: Contour
    piece: Contour
    passing: Contour
    poses: tuple[Pose, ...]
    keeps_with_next: bool = False

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return 3.0 + 2 * pitch_of(NOTE) + pitch_of(CALLOUT) + _HIGH

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        foot = top - self.height(width)
        half = (width - _BETWEEN) / 2
        y = top - 3.0 - CALLOUT
        left = Bounds(x, foot, x + half, foot + _HIGH)
        right = Bounds(x + half + _BETWEEN, foot, x + width, foot + _HIGH)
        items: list[Item] = [
            words(NOT_TO_SCALE, x, y, CALLOUT, bold=True),
            words("From outside; dashed: where it lies, chain: where it passes", x, left.ymax + 2.0, NOTE),
            *self._plan(left),
        ]
        if self.poses:
            items.append(words("From the side, along the way it passes", right.xmin, right.ymax + 2.0, NOTE))
            items += self._side(right)
        return items

    def _plan(self, zone: Bounds) -> Iterator[Item]:
        shown = (
            (self.hole, Meaning.CUT),
            (self.piece, Meaning.HIDDEN),
            (self.passing, Meaning.CENTRE),
        )
        box = self.hole.bounds.union(self.piece.bounds).union(self.passing.bounds)
        scale = _fitting(box, zone)
        for contour, meaning in shown:
            yield PathMark(scaled(contour, box.centre, scale, zone.centre), meaning, name="way in")

    def _side(self, zone: Bounds) -> Iterator[Item]:
        along = Vec.polar(1.0, self.poses[0].heading)
        corners = flatten(self.piece, _SAGITTA)
        bars = [_profile(pose, corners, along) for pose in self.poses]
        gap = [along.dot(point) for point in flatten(self.hole, _SAGITTA)]
        ends = [point for bar in bars for point in (bar.start, bar.end)]
        box = Bounds.of([*ends, Vec(min(gap), 0.0), Vec(max(gap), 0.0)])
        assert box is not None  # noqa: S101  a way has poses
        wide = _BESIDE * (max(gap) - min(gap))
        box = box.union(Bounds(min(gap) - wide, 0.0, max(gap) + wide, 0.0))
        scale = _fitting(box, zone)

        def at(point: Vec) -> Vec:
            return zone.centre + (point - box.centre) * scale

        for start, end in ((box.xmin, min(gap)), (max(gap), box.xmax)):
            yield LineMark(Line(at(Vec(start, 0.0)), at(Vec(end, 0.0))), Meaning.CUT)
        yield words("skin", at(Vec(box.xmin, 0.0)).x - 1.0, at(Vec(0.0, 0.0)).y - 1.0, NOTE, Anchor.RIGHT)
        for bar in bars:
            yield LineMark(Line(at(bar.start), at(bar.end)), Meaning.HIDDEN)
        tips = [_tip(Line(at(bar.start), at(bar.end)), at(Vec(box.xmax, 0.0))) for bar in bars]
        for tip, numbers in _together(tips):
            yield words(", ".join(map(str, numbers)), tip.x + 1.2, tip.y - 1.0, NOTE, bold=True)


def _tip(bar: Line, skin_end: Vec) -> Vec:
    """Where the number of a pose stands: beyond all lines; of a steep one at its end away from the skin."""
    across, up = abs(bar.end.x - bar.start.x), abs(bar.end.y - bar.start.y)
    if across > up:
        return Vec(max(skin_end.x, bar.end.x), bar.end.y)
    return max(bar.start, bar.end, key=lambda point: abs(point.y - skin_end.y))


def _fitting(box: Bounds, zone: Bounds) -> float:
    return min(zone.width / max(box.width, 1e-6), (zone.height - 2 * NOTE) / max(box.height, 1e-6))


def _together(ends: Sequence[Vec]) -> Iterator[tuple[Vec, list[int]]]:
    """The numbers of poses whose ends would have their words over each other, at one place."""
    left = list(enumerate(ends, 1))
    while left:
        _, first = left[0]
        near = [(number, end) for number, end in left if end.distance_to(first) < pitch_of(NOTE)]
        left = [each for each in left if each not in near]
        yield first, [number for number, _ in near]


def _profile(pose: Pose, corners: Sequence[Vec], along: Vec) -> Line:
    """A flat piece seen from the side: one line, the inside of the skin downwards."""
    seen = []
    for corner in corners:
        place, depth = pose.place(corner, 0.0)
        seen.append(Vec(along.dot(place), -depth))
    return Line(
        min(seen, key=lambda point: (round(point.x, 6), point.y)),
        max(seen, key=lambda point: (round(point.x, 6), point.y)),
    )


def way_in_blocks(job: Job, assembly: Assembly, findings: Sequence[Finding]) -> list[Block]:
    """Return, for every ring or piece of one that goes in, the way that was found; nothing without any."""
    openings = {each.name: each for each in assembly.openings}
    blocks: list[Block] = []
    for finding in findings:
        opening, face = openings.get(finding.feature), assembly.faces.get(finding.face)
        way = finding.way
        if not isinstance(way, Way | Winding) or opening is None or face is None or face.outline is None:
            continue
        piece = face.outline.outer
        poses = way.poses if isinstance(way, Way) else ()
        passing = Contour.polygon(way.slot if isinstance(way, Way) else way.figure)
        blocks.append(Heading(f"{finding.message[:1].upper()}{finding.message[1:]}", CALLOUT, space=4.0))
        blocks += _steps(job, piece, poses)
        blocks.append(WayInFigure(opening.skin_hole, piece, passing, poses))
    return blocks


def _steps(job: Job, piece: Contour, poses: Sequence[Pose]) -> list[Block]:
    """Each pose in words: how the piece stands and how deep its middle is; then what leads there."""
    middle = piece.bounds.centre
    blocks: list[Block] = []
    depths = [pose.place(middle, 0.0)[1] for pose in poses]
    for number, (pose, depth) in enumerate(zip(poses, depths, strict=True), 1):
        stands = "edge first" if pose.tilt >= _EDGE_FIRST else f"leaning {pose.tilt:.0f} degrees from flat"
        if pose.tilt < 90.0 - _EDGE_FIRST:
            stands = "flat"
        side = "outside the skin" if depth < 0.0 else "behind the skin"
        over = pose.place(middle, 0.0)[0].distance_to(middle) < _SAME_PLACE
        where = f"{both(job, abs(depth))} {side}{', over its place' if over else ''}"
        where = where if number < len(poses) else "in its place"
        blocks.append(Paragraph(f"{stands}, its middle {where}.", lead=f"{number}."))
    for (one, other), number in zip(pairwise(poses), range(1, len(poses)), strict=True):
        if abs(one.turn - other.turn) > 0.5:
            blocks.append(
                Paragraph(f"Turn it by {other.turn - one.turn:.0f} degrees from {number} to {number + 1}.")
            )
    return blocks
