"""Cut files: what they hold and what they refuse."""

from __future__ import annotations

from io import StringIO

import pytest

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
from templgen.errors import ExportError
from templgen.exporters.dxf import CUT_MEANINGS, dxf_bytes, layer_name
from templgen.geometry import Arc, Contour, Line, Motion, Vec
from templgen.proof.readers.dxf import Part, read_dxf
from templgen.proof.readers.model import Bow
from templgen.sheets.cut_drawings import cut_drawings
from tests.unit.sheets.support import DEMO, judged

INFO = PageInfo("Base plate", "feedface", "seen from outside", (("hand", "left"),))
PLATE = Contour.rectangle(80.0, 40.0, 6.0, Vec(50.0, 30.0))


def write(*items: Item) -> bytes:
    return dxf_bytes(Drawing(items, INFO))


def read(*items: Item) -> Part:
    return read_dxf(write(*items))


def test_the_header_says_millimetres_and_r2000() -> None:
    part = read(PathMark(PLATE, Meaning.CUT))
    # $INSUNITS 4 is millimetres, $MEASUREMENT 1 metric, AC1015 is R2000 (DXF reference, header section).
    assert (part.units, part.measurement, part.version) == (4, 1, "AC1015")


def test_the_file_says_what_it_is() -> None:
    part = read()
    assert part.comments == ("templgen: Base plate", "seen from outside", "digest: feedface", "hand: left")


def test_ezdxf_reads_it_and_finds_nothing_to_mend() -> None:
    import ezdxf

    text = write(PathMark(PLATE, Meaning.CUT), CircleMark(Vec(50, 30), 3.0, Meaning.HOLE)).decode("cp1252")
    document = ezdxf.read(StringIO(text))
    audit = document.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert sorted(entity.dxftype() for entity in document.modelspace()) == ["CIRCLE", "LWPOLYLINE"]


def test_an_outline_is_one_closed_polyline_with_bulges() -> None:
    part = read(PathMark(PLATE, Meaning.CUT))
    assert part.kinds == ("LWPOLYLINE",)
    (outline,) = part.outlines
    assert outline.closed
    bows = [piece for piece in outline.pieces if isinstance(piece, Bow)]
    assert [bow.radius for bow in bows] == pytest.approx([6.0] * 4, abs=1e-9)
    assert outline.area() == pytest.approx(PLATE.area, abs=0.01)


def test_a_mirrored_outline_turns_the_other_way() -> None:
    part = read(PathMark(PLATE.moved(Motion.mirror_x()), Meaning.CUT))
    (outline,) = part.outlines
    assert {piece.sweep < 0 for piece in outline.pieces if isinstance(piece, Bow)} == {
        PLATE.moved(Motion.mirror_x()).area < 0
    }


def test_a_round_outline_becomes_a_circle() -> None:
    part = read(PathMark(Contour.circle(Vec(20.0, 30.0), 12.7), Meaning.CUT))
    assert part.kinds == ("CIRCLE",)
    (circle,) = part.circles("cut")
    assert circle.centre == pytest.approx((20.0, 30.0), abs=1e-9)
    assert circle.radius == pytest.approx(12.7, abs=1e-9)


def test_a_clockwise_arc_is_written_counter_clockwise() -> None:
    arc = Arc.from_centre(Vec(0.0, 0.0), 10.0, 90.0, -60.0)
    (outline,) = read(ArcMark(arc, Meaning.BEND)).outlines
    assert outline.pieces[0].start == pytest.approx((arc.end.x, arc.end.y))
    assert outline.pieces[0].end == pytest.approx((arc.start.x, arc.start.y))


@pytest.mark.parametrize("meaning", Meaning, ids=lambda meaning: meaning.value)
def test_a_layer_has_a_plain_name(meaning: Meaning) -> None:
    """DXF reference: layer names may not hold these signs; spaces are left out for older programs."""
    name = layer_name(meaning)
    assert not set(name) & set("<>/\\\":;?*|=',` ")
    assert name.replace("_", " ") == meaning.value


@pytest.mark.parametrize("meaning", sorted(CUT_MEANINGS, key=lambda meaning: meaning.value))
@pytest.mark.parametrize(
    "make",
    [
        lambda meaning: LineMark(Line(Vec(0, 0), Vec(5, 0)), meaning),
        lambda meaning: ArcMark(Arc(Vec(0, 0), Vec(5, 0), 0.3), meaning),
        lambda meaning: PathMark(Contour.polyline([Vec(0, 0), Vec(5, 0), Vec(5, 5)]), meaning),
    ],
    ids=["line", "arc", "path"],
)
def test_an_open_line_on_a_cut_layer_is_refused(meaning: Meaning, make: object) -> None:
    with pytest.raises(ExportError, match="open line"):
        write(make(meaning))  # type: ignore[operator]  # one of the three above


TRIANGLE = [Vec(0, 0), Vec(30, 0), Vec(10, 20)]


@pytest.mark.parametrize(
    "other",
    [
        PLATE,
        PLATE.reversed(),
        Contour((*PLATE.segments[3:], *PLATE.segments[:3]), True),
        PLATE.moved(Motion.translation(Vec(1e-7, -1e-7))),
    ],
    ids=["same", "other way round", "other start", "beside it by nothing"],
)
def test_a_doubled_outline_is_refused(other: Contour) -> None:
    with pytest.raises(ExportError, match="share the edge"):
        write(PathMark(PLATE, Meaning.CUT), PathMark(other, Meaning.CUT))


def test_two_outlines_with_one_edge_in_common_are_refused() -> None:
    beside = Contour.polygon([Vec(0, 0), Vec(0, -10), Vec(30, 0)])
    with pytest.raises(ExportError, match="share the edge"):
        write(PathMark(Contour.polygon(TRIANGLE), Meaning.CUT), PathMark(beside, Meaning.CUT))


def test_two_bows_over_one_chord_are_no_double() -> None:
    lens = [Arc(Vec(0, 0), Vec(30, 0), 0.4), Arc(Vec(30, 0), Vec(0, 0), 0.2)]
    assert len(read(PathMark(Contour(tuple(lens), True), Meaning.CUT)).outlines) == 1


@pytest.mark.parametrize("inch", [1 / 128, 3 / 64, 0.0625, 1.0, 2.5])
def test_a_doubled_hole_is_refused_wherever_it_lies(inch: float) -> None:
    """Places that people write lie on no border of what counts as the same place."""
    x, y = 25.4 * inch, -25.4 * inch
    for noise in (0.0, 1e-9, -1e-9):
        with pytest.raises(ExportError, match="two circles"):
            write(
                CircleMark(Vec(x, y), 1.6, Meaning.HOLE),
                CircleMark(Vec(x + noise, y - noise), 1.6, Meaning.LOCATING_HOLE),
            )


def test_a_doubled_circle_is_seen_in_either_form() -> None:
    round_path = PathMark(Contour.circle(Vec(5, 5), 3.0), Meaning.CUT)
    with pytest.raises(ExportError, match="two circles"):
        write(round_path, CircleMark(Vec(5, 5), 3.0, Meaning.HOLE))


def test_concentric_circles_are_no_double() -> None:
    assert len(read(*(CircleMark(Vec(5, 5), r, Meaning.HOLE) for r in (1.0, 2.0))).outlines) == 2


def test_lines_that_are_not_cut_may_be_open_and_doubled() -> None:
    mark = LineMark(Line(Vec(0, 0), Vec(5, 0)), Meaning.BEND)
    assert read(mark, mark).kinds == ("LINE", "LINE")


def test_a_filled_mark_is_refused() -> None:
    with pytest.raises(ExportError, match="filled"):
        write(PathMark(Contour.polygon(TRIANGLE), Meaning.NOTE, filled=True))


@pytest.mark.parametrize("meaning", [meaning for meaning in Meaning if meaning is not Meaning.NOTE])
def test_words_lie_on_the_layer_of_notes_only(meaning: Meaning) -> None:
    with pytest.raises(ExportError, match="not on 'note'"):
        write(Text("words", Vec(1, 1), 2.5, meaning=meaning))


@pytest.mark.parametrize("anchor", Anchor)
def test_words_keep_place_height_and_angle(anchor: Anchor) -> None:
    (words,) = read(Text("accepted: Ø4 “as is”", Vec(3.0, 4.0), 3.5, anchor, 30.0)).words
    assert words.text == "accepted: Ø4 “as is”"
    assert (words.at, words.anchor, words.layer) == ((3.0, 4.0), anchor.value, "note")
    assert (words.size, words.angle) == (pytest.approx(3.5), pytest.approx(30.0))


def test_a_sign_beyond_four_digits_is_refused() -> None:
    with pytest.raises(ExportError, match="can not be written"):
        write(Text("\U0001f600", Vec(3.0, 4.0), 3.5))


def test_the_library_is_left_as_it_was() -> None:
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    write(PathMark(PLATE, Meaning.CUT))
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_the_header_has_the_corners_of_what_is_drawn() -> None:
    # An arch of radius 20 over a base from x 10 to x 50: its top, 20 over the base, is on no corner.
    arch = Contour((Line(Vec(10, 5), Vec(50, 5)), Arc(Vec(50, 5), Vec(10, 5), 1.0)), True)
    data = write(PathMark(arch, Meaning.CUT), CircleMark(Vec(30, 15), 2.0, Meaning.HOLE))
    assert read_dxf(data).extent == (pytest.approx((10.0, 5.0)), pytest.approx((50.0, 25.0)))

    import ezdxf
    from ezdxf import bbox

    document = ezdxf.read(StringIO(data.decode("cp1252")))
    # Distances here are those of arcs: the reference flattens them, and is asked to do so finely.
    reference = bbox.extents(document.modelspace(), fast=False)
    low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
    assert tuple(low)[:2] == pytest.approx((reference.extmin.x, reference.extmin.y), abs=0.01)
    assert tuple(high)[:2] == pytest.approx((reference.extmax.x, reference.extmax.y), abs=0.01)


def test_words_count_in_the_corners_and_an_empty_drawing_has_none() -> None:
    words = Text("cut with care", Vec(10, -20), 3.5)
    corners = read(PathMark(PLATE, Meaning.CUT), words).extent
    assert corners is not None
    (left, low), (right, high) = corners
    assert (left, right, high) == pytest.approx((10.0, 90.0, 50.0))
    assert -22.0 < low <= -20.0
    far = read(Text("cut with care", Vec(100, 0), 3.5)).extent
    assert far is not None
    assert 120.0 < far[1][0] < 140.0
    assert read().extent is None


def test_every_cut_file_of_the_demo_has_the_corners_of_its_shapes() -> None:
    drawings = cut_drawings(*judged(DEMO))
    assert len(drawings) == 2
    for drawing in drawings.values():
        part = read_dxf(dxf_bytes(drawing))
        boxes = [outline.bounds() for outline in part.outlines]
        assert part.extent is not None
        (left, low), (right, high) = part.extent
        # Words stand under the part, from its left corner on: they reach lower than its shapes.
        assert left == pytest.approx(min(box[0] for box in boxes), abs=1e-6)
        assert high == pytest.approx(max(box[3] for box in boxes), abs=1e-6)
        assert right >= max(box[2] for box in boxes) - 1e-6
        assert low < min(box[1] for box in boxes) - 3.5
