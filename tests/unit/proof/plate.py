"""A small plate and its sheet, with every kind of mark; what the damage tests break."""

from __future__ import annotations

from collections.abc import Sequence

from templgen.drawing import Anchor, CircleMark, Drawing, Item, LineMark, Meaning, PageInfo, PathMark, Text
from templgen.geometry import Arc, Contour, Line, Vec

INFO = PageInfo("Plate", "0123456789ab", "sheets to cut by", (("hand", "left"), ("unit", "mm")))
HOLES = ((60.0, 70.0), (75.0, 70.0), (90.0, 70.0), (105.0, 70.0), (60.0, 120.0), (105.0, 121.5))


def outline() -> Contour:
    """Return a plate with a round corner and a bite, which no mirror and no turn maps to itself."""
    corners = [(42, 60), (122, 60), (122, 115), (107, 130), (92, 130), (72, 130), (42, 130)]
    points = [Vec(float(x), float(y)) for x, y in corners]
    bulges = (0.0, 0.0, 0.41421356237, 0.0, -1.0, 0.0, 0.0)
    return Contour.from_bulges(points, bulges, closed=True)


def cut_marks() -> list[Item]:
    """Return what is cut and drilled, and a bend."""
    holes = [CircleMark(Vec(x, y), 1.64, Meaning.HOLE, str(i)) for i, (x, y) in enumerate(HOLES, 1)]
    window = Contour.rectangle(20.0, 12.0, 3.0, Vec(82.0, 96.0))
    return [
        PathMark(outline(), Meaning.CUT, name="plate"),
        PathMark(window, Meaning.CUT, name="plate"),
        *holes,
        CircleMark(Vec(52.0, 95.0), 2.4, Meaning.LOCATING_HOLE, "7"),
        LineMark(Line(Vec(42.0, 110.0), Vec(122.0, 110.0)), Meaning.BEND),
        LineMark(Line(Vec(42.0, 112.0), Vec(122.0, 112.0)), Meaning.BEND),
        Text("plate: 2024-T3, Ø3.28 × 6", Vec(42.0, 48.0), 3.5),
        Text("as seen from outside, left hand", Vec(122.0, 42.0), 3.5, Anchor.RIGHT),
    ]


def part() -> Drawing:
    """Return the plate as a cut file has it."""
    return Drawing(tuple(cut_marks()), INFO)


def sheet(title: str = "Plate", extra: Sequence[Item] = ()) -> Drawing:
    """Return the plate on a letter page, with a ruler, a frame, dashes, an arrow, and words of all kinds."""
    ruler = [
        LineMark(Line(Vec(20.0 + i, 20.0), Vec(20.0 + i, 24.0 + 2.0 * (i % 10 == 0))), Meaning.RULER)
        for i in range(101)
    ]
    across = [
        LineMark(Line(Vec(10.0, 30.0 + i), Vec(14.0 + 2.0 * (i % 10 == 0), 30.0 + i)), Meaning.RULER)
        for i in range(101)
    ]
    arrow = Contour.polygon([Vec(150.0, 100.0), Vec(153.0, 99.0), Vec(153.0, 101.0)])
    bow = Contour(
        (Line(Vec(140.0, 40.0), Vec(160.0, 40.0)), Arc(Vec(160.0, 40.0), Vec(160.0, 60.0), 1.0)), False
    )
    return Drawing(
        (
            *cut_marks(),
            *ruler,
            *across,
            PathMark(Contour.rectangle(203.2, 266.7, centre=Vec(107.95, 139.7)), Meaning.FRAME),
            LineMark(Line(Vec(20.0, 150.0), Vec(190.0, 155.0)), Meaning.STRUCTURE),
            LineMark(Line(Vec(82.0, 50.0), Vec(82.0, 140.0)), Meaning.CENTRE),
            PathMark(bow, Meaning.ROUGH),
            PathMark(arrow, Meaning.DIMENSION, filled=True),
            Text("OUTSIDE FACE", Vec(30.0, 240.0), 7.0, bold=True),
            Text("rib 7", Vec(195.0, 156.0), 2.5, Anchor.RIGHT, 1.7),
            *extra,
        ),
        PageInfo(title, INFO.digest, INFO.subject, INFO.facts),
        215.9,
        279.4,
    )
