"""The readers themselves: on files written by hand, with values known from elsewhere."""

from __future__ import annotations

import ast
import math
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pikepdf
import pytest

from tests.readers.dxf_reader import read_dxf
from tests.readers.model import Bow, ReadError
from tests.readers.pdf_reader import read_pdf
from tests.readers.raster import pdf_picture
from tests.readers.svg_reader import read_svg

HERE = Path(__file__).parent


@pytest.mark.parametrize("path", sorted(HERE.glob("*.py")), ids=lambda path: path.name)
def test_a_reader_imports_nothing_of_the_product(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom):
            names.append(node.module or "")
        assert not [name for name in names if name.split(".")[0] == "templgen"]


def svg(body: str, head: str = 'width="100mm" height="50mm" viewBox="0 0 100 50"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'.encode()


def test_svg_counts_y_upwards() -> None:
    (outline,) = read_svg(svg('<line x1="1" y1="2" x2="3" y2="4" stroke="#000"/>')).outlines
    assert outline.points(1) == [(1.0, 48.0), (3.0, 46.0)]


def test_svg_without_a_unit_is_css_pixels() -> None:
    """CSS: an inch is 96 px, so 96 px are 25.4 mm."""
    page = read_svg(svg("", 'width="96" height="192" viewBox="0 0 96 192"'))
    assert (page.width, page.height) == pytest.approx((25.4, 50.8))


def test_svg_of_another_aspect_is_scaled_by_the_smaller_factor() -> None:
    body = '<line x1="0" y1="0" x2="100" y2="50" stroke="#000"/>'
    (outline,) = read_svg(svg(body, 'width="100mm" height="100mm" viewBox="0 0 200 100"')).outlines
    assert outline.points(1) == [(0.0, 75.0), (50.0, 50.0)]


def test_svg_transforms_are_done_from_the_inside() -> None:
    body = '<g transform="translate(10,0) rotate(90)"><line x1="0" y1="0" x2="5" y2="0" stroke="#000"/></g>'
    (outline,) = read_svg(svg(body)).outlines
    assert [x for point in outline.points(1) for x in point] == pytest.approx([10.0, 50.0, 10.0, 45.0])


@pytest.mark.parametrize(
    ("flags", "middle"),
    [
        ("0 0", (5.0, 50 - 15.0)),
        ("0 1", (5.0, 50 - 5.0)),
        ("1 0", (5.0, 50 - 15.0)),
        ("1 1", (5.0, 50 - 5.0)),
    ],
)
def test_svg_half_circles_turn_as_their_flag_says(flags: str, middle: tuple[float, float]) -> None:
    """SVG 1.1, 8.3.8: sweep-flag 1 draws in the direction of increasing angle, y down."""
    (outline,) = read_svg(svg(f'<path d="M0 10A5 5 0 {flags} 10 10" stroke="#000"/>')).outlines
    assert outline.pieces[0].at(0.5) == pytest.approx(middle)


@pytest.mark.parametrize(("flags", "sweep"), [("0 0", -90), ("0 1", 90), ("1 0", -270), ("1 1", 270)])
def test_svg_arc_flags(flags: str, sweep: float) -> None:
    (outline,) = read_svg(svg(f'<path d="M10 0A10 10 0 {flags} 0 10" stroke="#000"/>')).outlines
    (piece,) = outline.pieces
    assert isinstance(piece, Bow)
    assert piece.sweep == pytest.approx(sweep)


def test_svg_relative_steps_and_curves() -> None:
    path = "m10 10 10 0v10h-10zm1 1q1 2 2 0c0 1 1 1 1 0"
    square, wave = read_svg(svg(f'<path d="{path}" stroke="#000"/>')).outlines
    assert square.closed
    assert abs(square.area()) == pytest.approx(100.0)
    assert wave.pieces[0].start == (11.0, 39.0)
    assert wave.pieces[0].at(0.5) == pytest.approx((12.0, 38.0))
    assert wave.pieces[1].end == (14.0, 39.0)


def test_svg_lines_fill_unless_told_otherwise() -> None:
    (outline,) = read_svg(svg('<path d="M0 0L1 0L1 1Z"/>')).outlines
    assert outline.filled
    assert outline.width is None


@pytest.mark.parametrize(
    "body", ['<rect width="1" height="1"/>', '<path d="M0 0S1 1 2 2"/>', "<text>words</text>"]
)
def test_svg_that_is_not_known_raises(body: str) -> None:
    with pytest.raises(ReadError):
        read_svg(svg(body))


def dxf(entities: str) -> bytes:
    head = "0 SECTION 2 HEADER 9 $ACADVER 1 AC1015 9 $INSUNITS 70 4 9 $MEASUREMENT 70 1 0 ENDSEC"
    tables = "0 SECTION 2 TABLES 0 TABLE 2 LAYER 0 LAYER 2 cut 0 ENDTAB 0 ENDSEC"
    words = f"{head} {tables} 0 SECTION 2 ENTITIES {entities} 0 ENDSEC 0 EOF".split()
    return "\n".join(words).encode()


# Bulges of 30, 90 and 120 degrees as ezdxf prints them; tan(angle / 4) by the DXF reference, group code 42.
@pytest.mark.parametrize(
    ("bulge", "angle"), [(0.131652, 30.0), (0.414214, 90.0), (0.577350, 120.0), (-1.0, -180.0)]
)
def test_dxf_bulges(bulge: float, angle: float) -> None:
    line = f"0 LWPOLYLINE 8 cut 90 2 70 0 10 0 20 0 42 {bulge} 10 10 20 0"
    (outline,) = read_dxf(dxf(line)).outlines
    (piece,) = outline.pieces
    assert isinstance(piece, Bow)
    assert piece.sweep == pytest.approx(angle, abs=1e-3)
    assert piece.start == pytest.approx((0.0, 0.0), abs=1e-9)
    assert piece.end == pytest.approx((10.0, 0.0), abs=1e-9)
    # Sagitta = bulge times half the chord; a positive bulge lies to the right of the way from start to end.
    assert piece.at(0.5) == pytest.approx((5.0, -bulge * 5.0), abs=1e-9)


def test_dxf_arcs_run_counter_clockwise_through_zero() -> None:
    (outline,) = read_dxf(dxf("0 ARC 8 cut 10 0 20 0 40 2 50 350 51 10")).outlines
    assert outline.pieces[0].at(0.5) == pytest.approx((2.0, 0.0), abs=1e-9)


def test_dxf_that_is_not_known_raises() -> None:
    with pytest.raises(ReadError, match="SPLINE"):
        read_dxf(dxf("0 SPLINE 8 cut"))


def pdf(content: str) -> bytes:
    document = pikepdf.new()
    page = document.add_blank_page(page_size=(720, 360))
    for box in ("/CropBox", "/TrimBox"):
        page[box] = pikepdf.Array([0, 0, 720, 360])
    page.Contents = document.make_stream(content.encode())
    buffer = BytesIO()
    document.save(buffer)
    return buffer.getvalue()


def test_pdf_matrices_multiply_and_are_restored() -> None:
    content = "q 2 0 0 2 72 0 cm 1 0 0 1 36 0 cm 0 0 m 36 0 l S Q 0 72 m 72 72 l S"
    page = read_pdf(pdf(content)).pages[0]
    assert (page.width, page.height) == pytest.approx((254.0, 127.0))
    first, second = ([x for point in outline.points(1) for x in point] for outline in page.outlines)
    assert first == pytest.approx([2 * 25.4, 0.0, 3 * 25.4, 0.0])
    assert second == pytest.approx([0.0, 25.4, 25.4, 25.4])


def test_pdf_width_and_dash_are_scaled_with_the_matrix() -> None:
    (outline,) = read_pdf(pdf("2 0 0 2 0 0 cm 1 w [3 1] 0 d 0 0 m 9 9 l S")).pages[0].outlines
    assert outline.width == pytest.approx(2 * 25.4 / 72)
    assert outline.dash == pytest.approx((6 * 25.4 / 72, 2 * 25.4 / 72))


def test_pdf_that_is_not_known_raises() -> None:
    with pytest.raises(ReadError, match="'re'"):
        read_pdf(pdf("0 0 9 9 re S"))


def test_pdf_pictures_have_the_page_upright() -> None:
    picture = pdf_picture(pdf("36 w 0 18 m 72 18 l S"), 72)
    assert picture.shape == (360, 720)
    assert picture[359, 0] == 0.0
    assert picture[0, 0] == 1.0


def test_a_circle_is_told_from_what_is_nearly_one() -> None:
    def circle(ry: float) -> bytes:
        k = 4 / 3 * math.tan(math.pi / 8)
        steps = [f"100 {100} m"]
        ends = [(50, 0), (0, ry), (-50, 0), (0, -ry), (50, 0)]
        for (x0, y0), (x1, y1) in pairwise(ends):
            c0, c1 = (x0 + k * x1, y0 + k * y1), (x1 + k * x0, y1 + k * y0)
            steps += [f"{50 + a} {100 + b}" for a, b in (c0, c1, (x1, y1))] + ["c"]
        return pdf(" ".join([*steps, "h S"]))

    # Four curves leave the circle by 0.027 % of the radius, 5 micrometres here.
    assert read_pdf(circle(50.0)).pages[0].outlines[0].round(within=0.006) is not None
    assert read_pdf(circle(50.0)).pages[0].outlines[0].round(within=0.001) is None
    assert read_pdf(circle(50.1)).pages[0].outlines[0].round(within=0.006) is None
