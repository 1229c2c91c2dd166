"""The marks that every exporter is asked to write, each with points of the truth worked by plain formulas."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from templgen.drawing import (
    Anchor,
    ArcMark,
    CircleMark,
    Drawing,
    Item,
    LineMark,
    Meaning,
    PageInfo,
    PathMark,
    Text,
)
from templgen.geometry import Arc, Contour, Line, Motion, Vec

Point = tuple[float, float]

INFO = PageInfo(
    "Contract sheet", "0123456789abcdef", "every kind of mark", (("face", "outside"), ("hand", "left"))
)
WIDTH, HEIGHT = 500.0, 400.0
_NEAREST_CHORD = 5e-5  # mm: the points of the truth are so close that chords stay this near to the arc


@dataclass(frozen=True, slots=True)
class Case:
    """One mark, and points on the line it draws, in order."""

    name: str
    mark: Item
    truth: tuple[Point, ...]

    def __str__(self) -> str:
        return self.name


def sheet(*items: Item, width: float = WIDTH, height: float = HEIGHT) -> Drawing:
    """Return a page with some marks."""
    return Drawing(items, INFO, width, height)


def round_points(x: float, y: float, radius: float, start: float, sweep: float) -> list[Point]:
    """Return points on a circle by cosine and sine; angles in degrees."""
    widest = math.degrees(2 * math.acos(max(0.0, 1 - _NEAREST_CHORD / radius)))
    steps = max(8, math.ceil(abs(sweep) / widest))
    angles = [math.radians(start + sweep * i / steps) for i in range(steps + 1)]
    return [(x + radius * math.cos(angle), y + radius * math.sin(angle)) for angle in angles]


def _line(name: str, x0: float, y0: float, x1: float, y1: float) -> Case:
    return Case(name, LineMark(Line(Vec(x0, y0), Vec(x1, y1)), Meaning.RULER), ((x0, y0), (x1, y1)))


def _arc(name: str, x: float, y: float, radius: float, start: float, sweep: float) -> Case:
    arc = Arc.from_centre(Vec(x, y), radius, start, sweep)
    return Case(name, ArcMark(arc, Meaning.BEND), tuple(round_points(x, y, radius, start, sweep)))


def _circle(name: str, x: float, y: float, radius: float) -> Case:
    return Case(
        name, CircleMark(Vec(x, y), radius, Meaning.HOLE, "7"), tuple(round_points(x, y, radius, 0.0, 360.0))
    )


def _notched(mirror: bool) -> Case:
    """A plate with one round corner outwards and one round bite inwards, as drawn or mirrored at x = 200."""
    corners = [
        (60.0, 60.0),
        (140.0, 60.0),
        (140.0, 90.0),
        (120.0, 110.0),
        (100.0, 110.0),
        (80.0, 110.0),
        (60.0, 110.0),
    ]
    quarter = math.tan(math.radians(90.0) / 4)
    bulges = [0.0, 0.0, quarter, 0.0, -1.0, 0.0, 0.0]
    points = [Vec(x, y) for x, y in corners]
    segments = tuple(
        Arc(start, end, bulge) if bulge else Line(start, end)
        for start, end, bulge in zip(points, [*points[1:], points[0]], bulges, strict=True)
    )
    contour = Contour(segments, True)
    truth: list[Point] = [*corners[:2], *round_points(120.0, 90.0, 20.0, 0.0, 90.0)]
    truth += [*round_points(90.0, 110.0, 10.0, 0.0, -180.0), (60.0, 110.0), (60.0, 60.0)]
    if mirror:
        contour = contour.moved(Motion.mirror(Vec(200.0, 0.0), Vec(0.0, 1.0)))
        truth = [(400.0 - x, y) for x, y in truth]
    name = "mirrored plate" if mirror else "plate with a bite"
    return Case(name, PathMark(contour, Meaning.CUT, name="plate"), tuple(truth))


def _open_path() -> Case:
    segments = (
        Line(Vec(20.0, 20.0), Vec(50.0, 20.0)),
        Arc(Vec(50.0, 20.0), Vec(50.0, 60.0), 1.0),
        Line(Vec(50.0, 60.0), Vec(30.0, 75.0)),
    )
    truth = [(20.0, 20.0), *round_points(50.0, 40.0, 20.0, -90.0, 180.0), (30.0, 75.0)]
    return Case("open path", PathMark(Contour(segments, False), Meaning.STRUCTURE), tuple(truth))


CASES: Sequence[Case] = (
    _line("level line", 10.0, 20.0, 110.0, 20.0),
    _line("upright line", 33.3333, 5.0, 33.3333, 390.0),
    _line("slanted line", 1.23456, 2.34567, 498.7654, 397.6543),
    _line("shortest line", 10.0, 10.0, 10.0, 10.01),
    _arc("quarter arc", 100.0, 100.0, 30.0, 0.0, 90.0),
    _arc("clockwise arc", 100.0, 100.0, 30.0, 200.0, -75.0),
    _arc("half circle", 120.0, 130.0, 12.3456, 17.0, 180.0),
    _arc("clockwise half circle", 120.0, 130.0, 12.3456, 17.0, -180.0),
    _arc("nearly a half circle", 120.0, 130.0, 33.3333, 17.0, 179.999),
    _arc("just over a half circle", 120.0, 130.0, 33.3333, 17.0, 180.001),
    _arc("three quarters", 120.0, 130.0, 40.0, -30.0, 270.0),
    _arc("nearly a whole circle", 120.0, 130.0, 40.0, -30.0, 359.0),
    _arc("tiny arc", 50.0, 60.0, 0.05, 10.0, 100.0),
    _arc("arc of 50 m radius", 100.0, 50_200.0, 50_000.0, -90.1, 0.2),
    _arc("arc of 250 mm radius", 250.0, 140.0, 250.0, 10.0, 60.0),
    _circle("rivet hole", 45.67891, 56.78912, 1.64),
    _circle("pin hole", 45.0, 56.0, 0.1),
    _circle("large circle", 250.0, 200.0, 190.0),
    Case(
        "rectangle with round corners",
        PathMark(Contour.rectangle(80.0, 40.0, 6.0, Vec(200.0, 100.0)), Meaning.CUT),
        (
            *round_points(234.0, 86.0, 6.0, -90.0, 90.0),
            *round_points(234.0, 114.0, 6.0, 0.0, 90.0),
            *round_points(166.0, 114.0, 6.0, 90.0, 90.0),
            *round_points(166.0, 86.0, 6.0, 180.0, 90.0),
            (234.0, 80.0),
        ),
    ),
    Case(
        "triangle",
        PathMark(Contour.polygon([Vec(10.0, 10.0), Vec(60.0, 20.0), Vec(30.0, 50.0)]), Meaning.CUT),
        ((10.0, 10.0), (60.0, 20.0), (30.0, 50.0), (10.0, 10.0)),
    ),
    _notched(mirror=False),
    _notched(mirror=True),
    _open_path(),
)

WORDS: Sequence[Text] = (
    Text("OUTSIDE FACE", Vec(100.0, 200.0), 7.0, bold=True),
    Text("hole 12: Ø4.2 mm × 3, ±0.1°", Vec(100.0, 150.0), 2.5, Anchor.MIDDLE),
    Text('0.166 in (4.22 mm), drill #30, 3/16"', Vec(200.0, 100.0), 3.5, Anchor.RIGHT, 90.0),
    Text("slanted & <quoted>", Vec(50.0, 60.0), 5.0, Anchor.LEFT, -33.5),
)


def whole() -> Drawing:
    """Return one page with everything at once."""
    return sheet(*(case.mark for case in CASES), *WORDS)
