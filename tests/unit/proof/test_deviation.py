"""Deviations with values worked by hand: lines, arcs, circles, and letters."""

from __future__ import annotations

import math

import pytest

from templgen.drawing import ArcMark, CircleMark, Drawing, Item, LineMark, Meaning, PageInfo, PathMark
from templgen.drawing.font import glyph_outlines
from templgen.geometry import Arc, Contour, Line, Vec
from templgen.proof.deviation import apart, deviation, deviation_of_any, outline_circle
from templgen.proof.letters import letters_deviation
from templgen.proof.readers.model import Bezier, Bow, Outline, Piece, Straight
from templgen.proof.wanted import Shape, wanted_of

QUARTER = math.tan(math.radians(90 / 4))


def shape(mark: Item) -> Shape:
    (found,) = wanted_of(Drawing((mark,), PageInfo("", "")), "dxf").shapes
    return found


def outline(*pieces: Piece, closed: bool = False) -> Outline:
    return Outline(pieces, closed)


LINE = shape(LineMark(Line(Vec(0, 0), Vec(10, 0)), Meaning.BEND))
ARC = shape(ArcMark(Arc.from_centre(Vec(0, 0), 10.0, 0.0, 90.0), Meaning.BEND))
CIRCLE = shape(CircleMark(Vec(5, 5), 2.0, Meaning.HOLE, "3"))
SQUARE = shape(PathMark(Contour.rectangle(10, 10, centre=Vec(5, 5)), Meaning.CUT))
CORNERS = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]


def square(*corners: tuple[float, float], closed: bool = True) -> Outline:
    pieces = [Straight(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    return outline(*pieces, closed=closed)


def test_a_line() -> None:
    assert deviation(LINE, outline(Straight((0.0, 0.0), (10.0, 0.0)))) == 0.0
    assert deviation(LINE, outline(Straight((0.0, 0.3), (10.4, 0.3)))) == pytest.approx(0.5)
    assert (
        deviation(LINE, outline(Straight((0.0, 0.0), (5.0, 0.0)), Straight((5.0, 0.0), (10.0, 0.0))))
        == math.inf
    )


def test_a_line_that_runs_the_other_way() -> None:
    back = outline(Straight((10.0, 0.0), (0.0, 0.1)))
    assert deviation(LINE, back) > 9.0
    assert deviation_of_any(LINE, back) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("bow", "off"),
    [
        (Bow((0.0, 0.0), 10.0, 0.0, 90.0), 0.0),
        (Bow((0.0, 0.0), 10.02, 0.0, 90.0), 0.02),
        (Bow((0.03, 0.0), 10.0, 0.0, 90.0), 0.03),
        (Bow((0.0, 0.0), 10.0, 0.0, 89.9), 10 * math.radians(0.1)),
        (Bow((0.0, 0.0), 10.0, 90.0, -90.0), 10 * math.sqrt(2)),
        (Bow((0.0, 0.0), 10.0, 0.0, -270.0), math.inf),
        (Bow((10.0, 10.0), 10.0, 270.0, -90.0), math.inf),
    ],
)
def test_an_arc(bow: Bow, off: float) -> None:
    found = deviation(ARC, outline(bow))
    assert found == pytest.approx(off, abs=1e-4) or (found > 1.0 and off > 1.0)


def test_an_arc_may_be_several_pieces() -> None:
    parts = [Bow((0.0, 0.0), 10.0, start, 30.0) for start in (0.0, 30.0, 60.0)]
    assert deviation(ARC, outline(*parts)) == pytest.approx(0.0, abs=1e-12)
    assert deviation(ARC, outline(*parts[:2])) == math.inf
    assert deviation(ARC, outline(*parts, Bow((0.0, 0.0), 10.0, 90.0, 5.0))) == math.inf


def test_a_bezier_curve_leaves_a_quarter_circle_by_27_hundred_thousandths() -> None:
    """With the handle 4/3 tan(90/4 degrees) its greatest error is 0.000273 of the radius (a known figure)."""
    k = 4 / 3 * QUARTER * 10
    curve = Bezier((10.0, 0.0), (10.0, k), (k, 10.0), (0.0, 10.0))
    assert apart(ARC, outline(curve)) == pytest.approx(0.00273, rel=0.01)
    # The three inner points that are looked at lie where the error is 0, small or near its greatest.
    assert 0.0005 < deviation(ARC, outline(curve)) < 0.00274


def test_a_circle() -> None:
    assert deviation(CIRCLE, outline(Bow((5.0, 5.0), 2.0, 0.0, 360.0), closed=True)) == pytest.approx(
        0.0, abs=1e-12
    )
    far = outline(Bow((5.3, 5.0), 2.1, 0.0, 360.0), closed=True)
    assert deviation(CIRCLE, far) == pytest.approx(0.4)
    assert deviation(CIRCLE, outline(Bow((5.0, 5.0), 2.0, 0.0, 300.0), closed=True)) == math.inf
    halves = [Bow((5.0, 5.0), 2.0, start, 180.0) for start in (20.0, 200.0)]
    assert deviation(CIRCLE, outline(*halves, closed=True)) == pytest.approx(0.0, abs=1e-12)


def test_an_outline() -> None:
    assert deviation(SQUARE, square(*CORNERS)) == 0.0
    assert deviation(SQUARE, square(*CORNERS, closed=False)) == math.inf
    assert deviation(SQUARE, square((0.0, 0.0), (10.0, 0.0), (10.0, 10.02), (0.0, 10.0))) == pytest.approx(
        0.02
    )


@pytest.mark.parametrize("first", range(4))
@pytest.mark.parametrize("way", [1, -1])
def test_an_outline_may_begin_anywhere_and_run_either_way(first: int, way: int) -> None:
    corners = [*CORNERS[first:], *CORNERS[:first]][::way]
    assert deviation_of_any(SQUARE, square(*corners)) == 0.0


def test_chords_are_known_for_the_circle_they_were() -> None:
    """64 chords of a circle of 2 mm leave it by 2 (1 - cos(180/64)) = 0.0024 mm (sagitta)."""
    points = [(5 + 2 * math.cos(math.tau * i / 64), 5 + 2 * math.sin(math.tau * i / 64)) for i in range(64)]
    faceted = square(*points)
    assert deviation(CIRCLE, faceted) == math.inf
    assert apart(CIRCLE, faceted) == pytest.approx(2 * (1 - math.cos(math.pi / 64)), rel=0.02)
    found = outline_circle(faceted)
    assert found is not None
    assert found[1] == pytest.approx(2.0)
    assert outline_circle(square(*CORNERS)) is None


def path(text: str, bold: bool = False) -> str:
    """Return the outlines of words as absolute steps, y downwards: not as the writer of SVG does."""
    steps = []
    for _, place, outline_ in glyph_outlines(text, bold):
        for letter, values in outline_:
            pairs = zip(values[0::2], values[1::2], strict=True)
            steps.append(letter + " ".join(f"{x + place:g} {-y:g}" for x, y in pairs))
    return "".join(steps)


def test_letters_written_in_another_way_are_the_same() -> None:
    assert letters_deviation(path("hole 7: Ø3.2"), "hole 7: Ø3.2", False) == 0.0


@pytest.mark.parametrize(
    ("other", "bold"), [("hole 8: Ø3.2", False), ("hole 7: Ø3.2", True), ("hole 7:  Ø3.2", False)]
)
def test_other_letters_differ(other: str, bold: bool) -> None:
    assert letters_deviation(path("hole 7: Ø3.2"), other, bold) > 1.0


@pytest.mark.parametrize("broken", ["", "M0 0", "no path", "M0 0L1 1Z"])
def test_no_letters_differ_altogether(broken: str) -> None:
    assert letters_deviation(broken, "A", False) == math.inf
