"""How a box comes out that does not come straight out: the poses that the check found, from the side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import Struct

from templgen.drawing import Anchor, Item, Meaning, PathMark
from templgen.geometry import Bounds, Contour, Line, Vec, intersections
from templgen.geometry.convex import convex_hull
from templgen.geometry.leaning import LeaningWay, leaned
from templgen.job.model import Job
from templgen.layout.assembly import SKIN_PLANE, Assembly
from templgen.layout.finding import Finding
from templgen.layout.frames import direction_words
from templgen.layout.openings.model import OpeningSet
from templgen.sheets.facts import both, listed
from templgen.sheets.lettering import CALLOUT, NOTE, pitch_of, words
from templgen.sheets.notes import Block, Heading, Paragraph
from templgen.sheets.packet.section import NOT_TO_SCALE

__all__ = ["way_out_blocks"]

_HIGH = 48.0
_BETWEEN = 8.0
_BESIDE = 0.25
_MOVED = 0.5  # mm
_LEAST_DRAWN = 0.6


class WayOutFigure(Struct, frozen=True):
    """The set seen along its hinge, once for each pose, with the skin and the ring cut through the hinge.

    `sheets` are skin and ring: hole, and depth from and to, mm below the skin's inner face.
    """

    way: LeaningWay
    sheets: tuple[tuple[Contour, float, float], ...]
    keeps_with_next: bool = False

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        return 3.0 + pitch_of(CALLOUT) + 2 * pitch_of(NOTE) + _HIGH

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        foot, y = top - self.height(width), top - 3.0 - CALLOUT
        seen = [self._seen(number) for number in range(len(self.way.poses) - 1)]
        box = self._extent(seen)
        wide = (width - _BETWEEN * (len(seen) - 1)) / len(seen)
        scale = min((wide - 2.0) / box.width, _HIGH / box.height)
        items: list[Item] = [words(NOT_TO_SCALE, x, y, CALLOUT, bold=True)]
        for number, outlines in enumerate(seen):
            left = x + number * (wide + _BETWEEN)
            zone = Bounds(left, foot, left + wide, foot + _HIGH)
            head = Vec(zone.centre.x, zone.ymax + 2.0)
            items.append(words(str(number + 1), head.x, head.y, NOTE, Anchor.MIDDLE, bold=True))
            items += self._panel(outlines, box, scale, zone.centre)
        return items

    def _panel(self, outlines: Sequence[Contour], box: Bounds, scale: float, to: Vec) -> Iterator[Item]:
        def at(point: Vec) -> Vec:
            return to + (point - box.centre) * scale

        for bar in self._bars(box, _LEAST_DRAWN / scale):
            corners = tuple(at(corner) for corner in bar.corners)
            yield PathMark(Contour.polygon(corners), Meaning.DIMENSION, name="sheet", filled=True)
        for number, outline in enumerate(outlines):
            name = "way out" if number else "way out: cover"
            yield PathMark(
                Contour.polygon(tuple(at(each) for each in outline.vertices)), Meaning.CUT, name=name
            )

    def _seen(self, number: int) -> list[Contour]:
        """The outlines of the bodies in a pose, seen along the hinge; the inside of the skin downwards."""
        pose, aside = self.way.poses[number], self._aside
        found = []
        for body in self.way.bodies:
            shift = np.array([pose.shift])
            points = leaned(body.points, self.way.hinge, np.array([pose.angle]), shift)[0]
            flat = np.column_stack([points[:, :2] @ np.array([aside.x, aside.y]), -points[:, 2]])
            found.append(Contour.polygon(tuple(Vec(float(x), float(y)) for x, y in convex_hull(flat))))
        return found

    @property
    def _aside(self) -> Vec:
        return self.way.hinge.along.perp()

    def _extent(self, seen: Sequence[Sequence[Contour]]) -> Bounds:
        boxes = [outline.bounds for outlines in seen for outline in outlines]
        gaps = [gap for hole, _, _ in self.sheets for gap in self._gap(hole)]
        wide = _BESIDE * (max(gaps) - min(gaps))
        box = Bounds(min(gaps) - wide, -max(z for _, _, z in self.sheets), max(gaps) + wide, 0.0)
        for other in boxes:
            box = box.union(other)
        return box

    def _gap(self, hole: Contour) -> tuple[float, float]:
        """Where a hole begins and ends on the way across the middle of the box."""
        aside, middle = self._aside, self.way.hinge.at
        far = hole.bounds.width + hole.bounds.height + middle.distance_to(hole.bounds.centre)
        ray = Line(middle - aside * far, middle + aside * far)
        across = [aside.dot(point) for edge in hole.segments for point in intersections(ray, edge)]
        return min(across), max(across)

    def _bars(self, box: Bounds, least: float) -> Iterator[Bounds]:
        """Skin and ring on both sides of their holes, thin ones thicker, away from each other."""
        for hole, z_from, z_to in self.sheets:
            start, end = self._gap(hole)
            high, low = (-z_from, -z_to) if z_to - z_from > least else _thicker(z_from, z_to, least)
            yield Bounds(box.xmin, low, start, high)
            yield Bounds(end, low, box.xmax, high)


def _thicker(z_from: float, z_to: float, least: float) -> tuple[float, float]:
    """Upper and lower edge of a sheet that would be too thin to be seen; they still meet at the depth 0."""
    return (least, 0.0) if z_to <= 0.0 else (-z_from, -z_from - least)


def way_out_blocks(job: Job, assembly: Assembly, findings: Sequence[Finding]) -> list[Block]:
    """Return, for every box that comes out leaning, the way that was found; nothing without any."""
    openings = {each.name: each for each in assembly.openings}
    blocks: list[Block] = []
    for finding in findings:
        opening, way = openings.get(finding.feature), finding.way
        if not isinstance(way, LeaningWay) or opening is None:
            continue
        blocks.append(Heading(f"{finding.message[:1].upper()}{finding.message[1:]}", CALLOUT, space=4.0))
        blocks += _steps(job, assembly, way)
        blocks.append(Paragraph(_seen_words(assembly, opening, way)))
        ring = assembly.faces[opening.ring_face].thickness
        sheets = ((opening.skin_hole, -job.skin.thickness, 0.0), (opening.clear_hole, 0.0, ring))
        blocks.append(WayOutFigure(way, sheets))
    return blocks


def _seen_words(assembly: Assembly, opening: OpeningSet, way: LeaningWay) -> str:
    """How the figure is looked at, and what is drawn."""
    right = direction_words(assembly.planes[SKIN_PLANE], way.hinge.along.perp())
    names = listed([body.name for body in way.bodies])
    return (
        f"From the side, cut through the middle: {right} is to the right, the outside is up. Black: the skin "
        f"and the ring of {opening.name}, thicker than they are. Lines: {names}."
    )


def _steps(job: Job, assembly: Assembly, way: LeaningWay) -> Iterator[Block]:
    """Each pose in words, as its panel shows it."""
    for number, pose in enumerate(way.poses[:-1], 1):
        aside = Vec(pose.shift[0], pose.shift[1])
        towards = direction_words(assembly.planes[SKIN_PLANE], aside)
        told = [
            f"its middle lifted {both(job, -pose.shift[2])}" if -pose.shift[2] > _MOVED else "",
            f"moved {both(job, aside.length)} {towards}" if aside.length > _MOVED else "",
            f"tilted {pose.angle:g} degrees" if pose.angle else "",
        ]
        text = ", ".join(filter(None, told)) or "in its place"
        last = "; from here straight out" if number == len(way.poses) - 1 else ""
        yield Paragraph(f"{text}{last}.", lead=f"{number}.")
