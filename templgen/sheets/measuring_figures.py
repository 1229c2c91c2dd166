"""The figures of the measuring sheet, in millimetres from their lower left corner; they are not to scale."""

from __future__ import annotations

from templgen.drawing import Anchor, CircleMark, Item, LineMark, Meaning, PathMark
from templgen.geometry import Contour, Line, Motion, Vec
from templgen.shapes import ShapeLibrary
from templgen.sheets.dimension import arrow, dimension
from templgen.sheets.lettering import CALLOUT, NOTE, pitch_of, words
from templgen.sheets.marks import centre_mark
from templgen.sheets.placement import leader_marks

__all__ = ["FIGURE_HEIGHT", "FIGURE_WIDTH", "STATIONS", "place_figure", "section_figure"]

FIGURE_WIDTH = 165.0
FIGURE_HEIGHT = 72.0
STATIONS = 7
"""How many stations the sheet has blanks for; a job may have any number."""

_LENGTH, _WIDTH = 100.0, 34.0
_SIDES = (
    "half-widths from the middle line; left and right as you look at the face you measure, nose away from",
    "you (the base plate's too): under a wing, seen from outside, that is not left in flight",
)


def section_figure() -> list[Item]:
    """A mast's section, nose to the left: length, width, radii, and stations from the nose."""
    shape = ShapeLibrary.standard().get("mast-rounded")
    outline = shape.outline(length=_LENGTH, width=_WIDTH, nose_radius=12.0, tail_radius=3.0).contour
    nose = Vec(36.0, 40.0)
    # The shape has its nose along +x.
    turned = outline.moved(Motion.rotation(180.0))
    contour = turned.moved(Motion.translation(nose - Vec(turned.bounds.xmin, 0.0)))
    box = contour.bounds
    items: list[Item] = [
        PathMark(contour, Meaning.FRAME, name="section"),
        LineMark(Line(nose - Vec(4.0, 0.0), nose + Vec(_LENGTH + 6.0, 0.0)), Meaning.CENTRE),
        *dimension(Vec(box.xmin, nose.y), Vec(box.xmax, nose.y), -24.5, "length"),
        *_width_dimension(contour),
        *_stations(contour, nose),
    ]
    items += _pointer(_at(contour, nose + Vec(3.4, -8.4)), Vec(-16.0, -9.0), "nose_radius")
    items += _pointer(_at(contour, Vec(box.xmax, nose.y - 2.0)), Vec(3.0, -11.5), "tail_radius")
    items.append(words("nose", nose.x - 6.0, nose.y - NOTE / 2, CALLOUT, Anchor.RIGHT))
    items.append(words("tail", box.xmax + 8.0, nose.y - NOTE / 2, CALLOUT))
    return items


def _at(contour: Contour, point: Vec) -> Vec:
    """The vertex or arc middle of a contour that is nearest to a point."""
    steps = [segment.point_at(t / 6) for segment in contour.segments for t in range(7)]
    return min(steps, key=point.distance_to)


def _pointer(tip: Vec, way: Vec, text: str) -> list[Item]:
    end = tip + way
    anchor = Anchor.RIGHT if way.x < 0 else Anchor.LEFT
    x = end.x - 0.9 if way.x < 0 else end.x + 0.9
    return [*leader_marks(Line(tip, end)), words(text, x, end.y - NOTE / 2, NOTE, anchor)]


def _width_dimension(contour: Contour) -> list[Item]:
    box = contour.bounds
    widest = max((s.point_at(t / 8) for s in contour.segments for t in range(9)), key=lambda p: p.y)
    top, low = Vec(widest.x, box.ymax), Vec(widest.x, box.ymin)
    return dimension(low, top, -(box.xmax - widest.x + 26.0), "width")


def _stations(contour: Contour, nose: Vec) -> list[Item]:
    """Upright lines at stations, with the half-width to the right of the nose's way."""
    items: list[Item] = []
    top = contour.bounds.ymax + 9.0
    for number, x in enumerate((10.0, 30.0, 52.0, 74.0), 2):
        at = nose + Vec(x, 0.0)
        half = _half_width(contour, at.x) - nose.y
        items.append(LineMark(Line(at, Vec(at.x, nose.y + half - 0.2)), Meaning.DIMENSION))
        items.append(arrow(Vec(at.x, nose.y + half), Vec(0.0, 1.0)))
        items.append(LineMark(Line(Vec(at.x, nose.y + half + 1.0), Vec(at.x, top)), Meaning.DIMENSION))
        items.append(words(f"station {number}", at.x, top + 1.2, NOTE, Anchor.MIDDLE))
    right = nose + Vec(52.0, 0.0)
    items.append(words("right", right.x + 1.5, nose.y + 6.0, NOTE))
    items.append(words("left", right.x + 1.5, nose.y - 8.5, NOTE))
    for count, line in enumerate(_SIDES):
        items.append(words(line, 0.0, 2.0 + pitch_of(NOTE) * (len(_SIDES) - 1 - count), NOTE))
    return items


def _half_width(contour: Contour, x: float) -> float:
    """Height of the upper side of a contour at x, by halving its sides."""
    points = [segment.point_at(t / 200) for segment in contour.segments for t in range(201)]
    upper = [point for point in points if point.y > contour.bounds.centre.y]
    return min(upper, key=lambda point: abs(point.x - x)).y


def place_figure() -> list[Item]:
    """A rib's line with its two points, rivets, flange and web, the origin, and the mast beside it."""
    row, start, end = 26.0, Vec(22.0, 26.0), Vec(130.0, 26.0)
    heel, edge = row + 6.0, row - 6.0
    mast = Vec(94.0, 58.0)
    items: list[Item] = [LineMark(Line(start - Vec(8.0, 0.0), end + Vec(8.0, 0.0)), Meaning.STRUCTURE)]
    items += [LineMark(Line(Vec(14.0, y), Vec(138.0, y)), Meaning.STRUCTURE) for y in (heel, edge)]
    for x in (22.0, 43.6, 65.2, 86.8, 108.4, 130.0):
        items += [
            CircleMark(Vec(x, row), 1.4, Meaning.EXISTING, name="rivet"),
            *centre_mark(Vec(x, row), 1.4, 1.2),
        ]
    items += [
        words("from", start.x + 1.0, edge - 4.8, CALLOUT, Anchor.MIDDLE),
        words("to", end.x, edge - 4.8, CALLOUT, Anchor.MIDDLE),
        words("rivet row", 32.8, row + 1.3, NOTE, Anchor.MIDDLE),
        words("heel", 54.0, heel + 1.3, NOTE, Anchor.MIDDLE),
        words("free flange edge", 76.0, edge - 3.9, NOTE, Anchor.MIDDLE),
        PathMark(Contour.rectangle(30.0, 9.0, 4.4, mast), Meaning.FRAME, name="mast"),
        *centre_mark(mast, 0.0, 3.0),
        *leader_marks(Line(mast + Vec(-15.0, 0.0), mast + Vec(-27.0, 7.0))),
        words("nose", mast.x - 28.0, mast.y + 7.0 - NOTE / 2, NOTE, Anchor.RIGHT),
    ]
    items += dimension(Vec(mast.x, row), mast, -24.0, "off")
    items += dimension(start, Vec(mast.x, row), 16.0, "along")
    items += dimension(Vec(138.0, edge), Vec(138.0, heel), -5.0, "")
    items.append(words("flange_width", 144.5, row - NOTE / 2, NOTE))
    return [*items, *_axes(Vec(8.0, 46.0))]


def _axes(origin: Vec) -> list[Item]:
    items: list[Item] = []
    for way, text in ((Vec(1.0, 0.0), "x"), (Vec(0.0, 1.0), "y")):
        tip = origin + way * 9.0
        items += [LineMark(Line(origin, tip - way * 1.0), Meaning.DIMENSION), arrow(tip, way)]
        spot = tip + way * 1.5 - (Vec(0.0, NOTE / 2) if way.x else Vec(NOTE / 3, 0.0))
        items.append(words(text, spot.x, spot.y, NOTE))
    return [*items, words("origin", origin.x, origin.y - 4.4, NOTE)]
