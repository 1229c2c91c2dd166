"""Small marks that belong to a line or a hole: centre crosses, ticks, hatching, targets."""

from __future__ import annotations

import math

from templgen.drawing import CircleMark, Item, Meaning, PathMark
from templgen.errors import GeometryError
from templgen.geometry import Contour, Line, Region, Segment, Vec, intersections

__all__ = [
    "CENTRE_ARM",
    "LOCATING_RING",
    "SAMPLE",
    "bend_ticks",
    "butt_ticks",
    "centre_mark",
    "hatch_lines",
    "hole_marks",
    "target_marks",
]

SAMPLE = "legend"
"""Name of the marks that are samples in a legend, so that nobody measures them."""
CENTRE_ARM = 2.0
"""A centre cross passes its hole by this much, in mm."""
LOCATING_RING = 1.2
"""The second ring of a locating hole stands this much outside the first, in mm."""

_OPEN = 0.35
_HATCH_PITCH = 2.0


def _stroke(a: Vec, b: Vec, meaning: Meaning, name: str) -> Item:
    return PathMark(Contour.polyline((a, b)), meaning, name=name)


def centre_mark(centre: Vec, radius: float, arm: float = CENTRE_ARM, name: str = "centre mark") -> list[Item]:
    """Return a cross that passes a hole by `arm` mm and is open at the centre point."""
    ways = (Vec(1.0, 0.0), Vec(0.0, 1.0), Vec(-1.0, 0.0), Vec(0.0, -1.0))
    return [
        _stroke(centre + way * _OPEN, centre + way * (radius + arm), Meaning.CENTRE, name) for way in ways
    ]


def hole_marks(centre: Vec, radius: float, meaning: Meaning, name: str = "") -> list[Item]:
    """Return circle and cross of a hole; a locating hole has a second ring, a reference hole no cross."""
    locating = meaning is Meaning.LOCATING_HOLE
    items: list[Item] = [CircleMark(centre, radius, meaning, name=name)]
    if locating:
        items.append(CircleMark(centre, radius + LOCATING_RING, meaning, name="locating ring"))
    if meaning is Meaning.REFERENCE_HOLE:
        return items  # nobody pricks a centre that the part in hand decides
    return [*items, *centre_mark(centre, radius + (LOCATING_RING if locating else 0.0))]


def target_marks(centre: Vec, radius: float) -> list[Item]:
    """Return an existing rivet as a target: its circle, and a cross to lay on it."""
    return [CircleMark(centre, radius, Meaning.EXISTING, name="target"), *centre_mark(centre, radius, 1.5)]


def butt_ticks(
    start: Vec, end: Vec, name: str = "tick", pitch: float = 8.0, length: float = 2.0, side: int = -1
) -> list[Item]:
    """Return ticks along an edge that butts, on its left (`side` 1) or right (-1): the side of the rib."""
    line = Line(start, end)
    count = max(2, int(line.length / pitch))
    out = line.direction.perp() * (side * length)
    lean = line.direction * (-length * 0.5)
    feet = [line.point_at((number + 0.5) / count) for number in range(count)]
    return [_stroke(foot, foot + out + lean, Meaning.BUTT, name) for foot in feet]


def bend_ticks(start: Vec, end: Vec, name: str = "tick") -> list[Item]:
    """Return the double tick at both ends of a bend line."""
    line = Line(start, end)
    across = line.direction.perp() * 1.3
    places = (0.8, 1.8, line.length - 1.8, line.length - 0.8)
    points = [start + line.direction * place for place in places if 0.0 < place < line.length]
    return [_stroke(point - across, point + across, Meaning.BEND, name) for point in points]


def hatch_lines(area: Contour | Region, name: str = "hatch") -> list[Item]:
    """Return light hatching at 45 degrees inside an area, lines 2 mm apart."""
    region = area if isinstance(area, Region) else Region(area)
    slant, across = Vec.polar(1.0, 45.0), Vec.polar(1.0, 135.0)
    box = region.bounds
    reaches = [corner.dot(across) for corner in box.corners]
    alongs = [corner.dot(slant) for corner in box.corners]
    items: list[Item] = []
    for number in range(math.ceil(min(reaches) / _HATCH_PITCH), math.floor(max(reaches) / _HATCH_PITCH) + 1):
        foot = across * (number * _HATCH_PITCH + 0.137)
        ray = Line(foot + slant * (min(alongs) - 1.0), foot + slant * (max(alongs) + 1.0))
        cuts = sorted(ray.parameter_of(point) for part in region.segments for point in _cuts(ray, part))
        for low, high in zip(cuts[::2], cuts[1::2], strict=False):
            if (high - low) * ray.length > 0.3:
                items.append(_stroke(ray.point_at(low), ray.point_at(high), Meaning.HATCH, name))
    return items


def _cuts(ray: Line, part: Segment) -> tuple[Vec, ...]:
    try:
        return intersections(ray, part)
    except GeometryError:
        return ()
