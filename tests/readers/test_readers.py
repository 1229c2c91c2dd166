"""The readers themselves: on files written by hand, with values known from elsewhere."""

from __future__ import annotations

import ast
import math
import subprocess
import sys
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pikepdf
import pytest

import templgen.proof.readers
from templgen.errors import ReadError
from templgen.proof.readers.dxf import read_dxf
from templgen.proof.readers.model import Bow
from templgen.proof.readers.pdf import read_pdf
from templgen.proof.readers.svg import read_svg
from tests.readers.raster import pdf_picture

READERS = Path(templgen.proof.readers.__file__).parent
OTHERS_ALLOWED = {"pikepdf"}
WRITERS = {"svgwrite", "reportlab", "ezdxf", "fontTools", "templgen.exporters", "templgen.drawing"}


def imported(path: Path) -> set[str]:
    """Return the names of all modules that a file imports, at its head or inside its functions."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, "a relative import hides where it goes"
            names.add(node.module or "")
    return names


@pytest.mark.parametrize("path", sorted(READERS.glob("*.py")), ids=lambda path: path.name)
def test_a_reader_shares_nothing_with_a_writer(path: Path) -> None:
    for name in imported(path):
        ours = name == "templgen.errors" or name.startswith("templgen.proof.readers.")
        assert ours or name in OTHERS_ALLOWED or name.partition(".")[0] in sys.stdlib_module_names, name


def test_reading_loads_no_module_of_a_writer() -> None:
    """What the imports above load in turn, seen in a fresh interpreter after all three readers worked."""
    code = (
        "import sys\n"
        "from tests.readers.test_readers import dxf, pdf, svg\n"
        "for name in [n for n in sys.modules if n.split('.')[0] == 'templgen']: del sys.modules[name]\n"
        "from templgen.proof.readers.svg import read_svg\n"
        "from templgen.proof.readers.pdf import read_pdf\n"
        "from templgen.proof.readers.dxf import read_dxf\n"
        "read_svg(svg('')), read_pdf(pdf('0 0 m 9 9 l S')), read_dxf(dxf('0 LINE 8 a 10 0 20 0 11 1 21 1'))\n"
        "print(*sys.modules)"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(result.stdout.split())
    assert "templgen.proof.readers.pdf" in loaded
    assert not WRITERS & loaded


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
    ("body", "words"),
    [
        ("<text>words</text>", "<text>"),
        ('<image width="9" height="9"/>', "<image>"),
        ('<rect width="9" height="9" rx="2"/>', "<rect>"),
        ('<g id="a" display="none"><line x2="9"/></g>', "hidden"),
        ('<g style="visibility:hidden"><line x2="9"/></g>', "hidden"),
        ('<g clip-path="url(#a)"><line x2="9"/></g>', "clipped"),
        ('<g opacity="0.5"><line x2="9"/></g>', "opacity"),
        ("<style>line {display: none}</style>", "<style>"),
    ],
)
def test_svg_that_is_not_known_is_named(body: str, words: str) -> None:
    (oddity,) = read_svg(svg(body)).oddities
    assert words in oddity


@pytest.mark.parametrize(
    "body",
    [
        '<path d="M0 0X1 1"/>',
        '<path d="L1 1"/>',
        '<path d="M0 0L1"/>',
        '<line x2="wide"/>',
        "<g transform='a(1)'/>",
    ],
)
def test_svg_that_is_broken_raises(body: str) -> None:
    with pytest.raises(ReadError):
        read_svg(svg(body))


@pytest.mark.parametrize(
    "data", [b"", b"no svg", b"<svg/>", svg("")[:-3], svg("", 'width="9mm" height="9mm"')]
)
def test_what_is_no_svg_raises(data: bytes) -> None:
    with pytest.raises(ReadError):
        read_svg(data)


def test_svg_entities_are_refused() -> None:
    with pytest.raises(ReadError, match="entities"):
        read_svg(b'<!DOCTYPE svg [<!ENTITY a "aaaa">]>' + svg(""))


def test_svg_smooth_curves_mirror_the_control_before() -> None:
    """SVG 1.1, 8.3.6: the first control of S is the second one of the curve before, mirrored."""
    (outline,) = read_svg(svg('<path d="M0 0C0 5 10 5 10 0S20 -5 20 0" stroke="#000"/>')).outlines
    assert outline.pieces[1].first == (10.0, 55.0)  # type: ignore[union-attr]  # it is a Bezier


def test_svg_arcs_of_an_ellipse_lie_on_it() -> None:
    """SVG 1.1, 8.3.8: half of the ellipse x²/20² + y²/10² = 1, turned by 30 degrees."""
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    ends = f"M{50 - 20 * c} {25 - 20 * s}A20 10 30 0 1 {50 + 20 * c} {25 + 20 * s}"
    (outline,) = read_svg(svg(f'<path d="{ends}" stroke="#000"/>')).outlines
    for x, y in outline.points(24):
        dx, dy = x - 50, 25 - y  # back to y down, about the middle
        assert ((dx * c + dy * s) / 20) ** 2 + ((dy * c - dx * s) / 10) ** 2 == pytest.approx(1.0)


def test_svg_styles_come_from_the_style_attribute_first() -> None:
    body = (
        '<g stroke="#000" fill="none" stroke-width="9" style="stroke-width:2;stroke:#fff"><line x2="9"/></g>'
    )
    (outline,) = read_svg(svg(body)).outlines
    assert (outline.width, outline.pen.ink, outline.filled) == (2.0, "#ffffff", False)


def test_svg_basic_shapes() -> None:
    body = '<rect x="1" y="2" width="3" height="4"/><polygon points="0,0 9,0 9,9"/>'
    body += '<ellipse rx="4" ry="2" cx="9"/>'
    rect, triangle, ellipse = read_svg(svg(body)).outlines
    assert (abs(rect.area()), abs(triangle.area())) == (12.0, 40.5)
    assert ellipse.bounds() == pytest.approx((5.0, 48.0, 13.0, 52.0))
    assert ellipse.round() is None


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


@pytest.mark.parametrize(
    ("entities", "words"),
    [
        ("0 SPLINE 8 cut", "SPLINE"),
        ("0 LINE 8 cut 60 1 10 0 20 0 11 9 21 0", "invisible"),
        ("0 LINE 8 cut 6 DASHED 10 0 20 0 11 9 21 0", "DASHED"),
        ("0 LINE 8 cut 10 0 20 0 30 5 11 9 21 0 31 5", "out of the plane by 5"),
        ("0 LWPOLYLINE 8 cut 43 0.5 90 2 10 0 20 0 10 9 20 0", "wide"),
    ],
)
def test_dxf_that_is_not_known_is_named(entities: str, words: str) -> None:
    (oddity,) = read_dxf(dxf(entities)).oddities
    assert words in oddity


@pytest.mark.parametrize("flag", ["70 1", "62 -7"])
def test_dxf_layers_that_do_not_show_are_named(flag: str) -> None:
    data = dxf("0 LINE 8 cut 10 0 20 0 11 9 21 0").replace(
        b"LAYER\n2\ncut", f"LAYER\n2\ncut\n{flag}".replace(" ", "\n").encode()
    )
    assert "the layer 'cut'" in read_dxf(data).oddities[0]


def test_dxf_planes_seen_from_below_are_mirrored() -> None:
    """DXF reference, object coordinates: for the extrusion (0, 0, -1) their x axis is the world's -x."""
    part = read_dxf(dxf("0 CIRCLE 8 cut 10 5 20 7 40 2 230 -1 0 TEXT 8 note 10 5 20 7 40 2 1 A 230 -1"))
    assert part.circles()[0].centre == pytest.approx((-5.0, 7.0))
    assert (part.words[0].at, part.words[0].along) == ((-5.0, 7.0), (-2.0, 0.0))


def test_dxf_polylines_of_older_files() -> None:
    vertices = "".join(
        f" 0 VERTEX 8 cut 10 {x} 20 {y} 42 {b}" for x, y, b in ((0, 0, 0), (4, 0, 1), (4, 2, 0))
    )
    (outline,) = read_dxf(dxf(f"0 POLYLINE 8 cut 66 1 70 1{vertices} 0 SEQEND")).outlines
    assert outline.closed
    assert [type(piece).__name__ for piece in outline.pieces] == ["Straight", "Bow", "Straight"]


@pytest.mark.parametrize(
    "data", [b"", b"no dxf", dxf("0 LINE 8 cut"), dxf("")[:-5], dxf("")[: len(dxf("")) // 2]]
)
def test_what_is_no_dxf_raises(data: bytes) -> None:
    with pytest.raises(ReadError):
        read_dxf(data)


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


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("0 0 9 9 re W n", "clip"),
        ("/Im1 Do", "picture"),
        ("/Pattern sh", "'sh'"),
        ("[3 1] 2 d", "begin 2 pt on"),
        ("BT 3 Tr ET", "mode 3"),
    ],
)
def test_pdf_that_is_not_known_is_named(content: str, words: str) -> None:
    (oddity,) = read_pdf(pdf(content)).pages[0].oddities
    assert words in oddity


@pytest.mark.parametrize(
    "content", ["0 0 m (", "1 2 3 l", "0 0 m 9 9 l S 5", "BT (a) Tj ET", "Q", "9 l", "{"]
)
def test_pdf_content_that_is_broken_raises(content: str) -> None:
    with pytest.raises(ReadError):
        read_pdf(pdf(content))


def test_what_is_no_pdf_raises() -> None:
    with pytest.raises(ReadError):
        read_pdf(b"no pdf")


def test_pdf_rectangles_close_and_fill() -> None:
    """36 pt are 12.7 mm; `b` closes, fills and draws (ISO 32000-1, 8.5.3)."""
    rect, both = read_pdf(pdf("0 0 36 36 re S 0 0 m 36 0 l 36 36 l b")).pages[0].outlines
    assert rect.closed
    assert rect.area() == pytest.approx(12.7**2)
    assert (both.closed, both.filled, both.width) == (True, True, pytest.approx(25.4 / 72))


def test_pdf_colours() -> None:
    content = "1 G 0 0 m 9 9 l S 1 0 0 RG 0 0 m 9 9 l S 0 0 0 1 K 0 0 m 9 9 l S"
    inks = [outline.pen.ink for outline in read_pdf(pdf(content)).pages[0].outlines]
    assert inks == ["#ffffff", "#ff0000", "#000000"]


def test_pdf_pages_that_are_turned_are_named() -> None:
    with pikepdf.open(BytesIO(pdf(""))) as document:
        document.pages[0].Rotate = 90
        document.pages[0].UserUnit = 2
        buffer = BytesIO()
        document.save(buffer)
    assert [o.split()[2] for o in read_pdf(buffer.getvalue()).pages[0].oddities] == ["is", "has"]


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
