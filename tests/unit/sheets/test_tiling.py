"""Tiles: what they cover, where they are joined, what is read back off two neighbours."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

import pytest

from templgen.drawing import ArcMark, CircleMark, Item, LineMark, Meaning, PathMark, Text
from templgen.errors import PaperTooSmallError, TemplgenError
from templgen.exporters.pdf import pdf_bytes
from templgen.geometry import Arc, Bounds, Contour, Line, Motion, Vec
from templgen.geometry.distance import point_segment
from templgen.proof.readers.model import Page
from templgen.proof.readers.pdf import read_pdf
from templgen.sheets import Sheet, build_sheets
from templgen.sheets.compose import Kind
from templgen.sheets.overlaps import overlaps
from templgen.sheets.scene import Scene
from templgen.sheets.tiling.clip import Boxed, boxed, clip
from templgen.sheets.tiling.grid import CENTRE_KEEP, OVERLAP, joins
from templgen.sheets.tiling.join_marks import TARGET_RADIUS
from templgen.sheets.tiling.plan import Plan, plan_of
from templgen.trade.paper import find_paper
from tests.unit.sheets.random_jobs import random_job
from tests.unit.sheets.support import DEMO, judged, texts

LARGE = DEMO.replace("length = 6.0, width = 4.0", "length = 15.0, width = 11.0")
PANEL = """
title = "Fence"
unit = "mm"
hand = "left"
measured_on = "outside"
measured_to = 0.3
drilled_to = { locating = 0.2, rivet = 0.2, screw = 0.2, hole = 0.3, cut = 0.3 }
axes = { origin = "corner", x = "aft", y = "outboard" }
skin = { material = "2024-T3 clad", thickness = 0.8, room_behind = 60, surface = "lower" }
"""


def holes(*places: tuple[float, float], diameter: float = 4.0) -> str:
    points = ", ".join(f"[{x}, {y}]" for x, y in places)
    return f"""{PANEL}
fastener = {{ r = {{ kind = "solid rivet", size = "1/8", head = "universal", hole = "#30" }} }}
[[pattern]]
name = "row"
at = {{ x = 0, y = 0 }}
holes = {{ fastener = "r", points = [{points}] }}
"""


@cache
def built(text: str, paper: str = "letter") -> tuple[Sheet, ...]:
    return build_sheets(*judged(text), find_paper(paper))


def tiles(text: str, paper: str = "letter", kind: Kind = "template") -> dict[tuple[int, int], Sheet]:
    """All tiles of the first scene of a kind, by row and column."""
    found = {}
    for each in built(text, paper):
        name = re.search(r"-tile-(\d+)-(\d+)$", each.name)
        if name and each.kind == kind:
            found[int(name[1]), int(name[2])] = each
    return found


def targets(sheet: Sheet) -> dict[str, Vec]:
    return {
        item.name.split()[1]: item.centre
        for item in sheet.drawing.items
        if isinstance(item, CircleMark) and item.name.startswith("registration ")
    }


def places(sheets: dict[tuple[int, int], Sheet]) -> dict[tuple[int, int], Motion]:
    """What takes each tile to the plane of the first one, by targets with one name alone."""
    first = min(sheets)
    found = {first: Motion.identity()}
    while len(found) < len(sheets):
        for cell, sheet in sheets.items():
            for known in list(found):
                same = targets(sheet).keys() & targets(sheets[known]).keys()
                if cell not in found and same:
                    name = min(same)
                    to = found[known].apply(targets(sheets[known])[name])
                    found[cell] = Motion.translation(to - targets(sheet)[name])
    return found


def inside(sheet: Sheet) -> Bounds:
    """The rectangle through the corner crosses."""
    crosses = [
        i.line.midpoint for i in sheet.drawing.items if isinstance(i, LineMark) and i.meaning is Meaning.CROSS
    ]
    box = Bounds.of(crosses)
    assert box is not None
    return box


def marks(sheet: Sheet, meaning: Meaning) -> list[Item]:
    """All marks of a kind between the crosses of a tile."""
    area = inside(sheet)
    return [
        item
        for item, box in boxed(i for i in sheet.drawing.items if not isinstance(i, Text))
        if item.meaning is meaning and area.contains(box.centre)
    ]


# --- clipping


def test_line_arc_and_circle_are_cut_by_closed_formulas() -> None:
    box = Bounds(0.0, 0.0, 10.0, 10.0)
    (line,) = clip(boxed([LineMark(Line(Vec(-5, 5), Vec(15, 5)), Meaning.CUT)])[0], box)
    assert line == LineMark(Line(Vec(0, 5), Vec(10, 5)), Meaning.CUT)
    parts = clip(boxed([CircleMark(Vec(10, 5), 3.0, Meaning.HOLE)])[0], box)
    assert all(isinstance(part, ArcMark) for part in parts)
    arcs = [part.arc for part in parts if isinstance(part, ArcMark)]
    assert sum(arc.length for arc in arcs) == pytest.approx(math.pi * 3.0, abs=1e-9)
    assert all(arc.centre.distance_to(Vec(10, 5)) < 1e-9 and arc.radius == pytest.approx(3.0) for arc in arcs)
    arc = Arc.from_centre(Vec(5, 0), 5.0, 0.0, 180.0)
    (half,) = clip(boxed([ArcMark(arc, Meaning.CUT)])[0], Bounds(5.0, 0.0, 10.0, 10.0))
    assert isinstance(half, ArcMark)
    assert half.arc.sweep == pytest.approx(90.0, abs=1e-9)


def test_closed_outline_becomes_open_chains_and_loses_no_length() -> None:
    contour = Contour.rectangle(30.0, 20.0, 5.0)
    mark = boxed([PathMark(contour, Meaning.CUT, name="plate")])[0]
    windows = [Bounds(-20.0, -20.0, 3.0, 20.0), Bounds(3.0, -20.0, 20.0, 20.0)]
    parts = [part for window in windows for part in clip(mark, window)]
    assert [part.contour.closed for part in parts if isinstance(part, PathMark)] == [False, False]
    total = sum(part.contour.length for part in parts if isinstance(part, PathMark))
    assert total == pytest.approx(contour.length, abs=1e-9)


def test_what_is_wholly_outside_is_dropped_and_wholly_inside_is_kept_as_it_is() -> None:
    circle = CircleMark(Vec(5, 5), 3.0, Meaning.HOLE, name="7")
    assert clip(boxed([circle])[0], Bounds(0.0, 0.0, 10.0, 10.0)) == [circle]
    assert clip(boxed([circle])[0], Bounds(20.0, 0.0, 30.0, 10.0)) == []


# --- joins


def test_fewest_joins_by_hand() -> None:
    """Pieces of 100 mm with 12 mm in common: 100, 188, 276 mm and so on."""
    assert OVERLAP == 12.0
    for length, pieces in ((100.0, 1), (100.1, 2), (188.0, 2), (188.1, 3), (276.0, 3), (1000.0, 12)):
        assert len(joins(0.0, length, 100.0, [])) == pieces - 1, length


def test_joins_are_even_and_no_piece_is_too_long() -> None:
    found = joins(0.0, 260.0, 100.0, [])
    assert found == pytest.approx((260.0 / 3 + 24.0 / 3 - 6.0, 260.0 - (260.0 / 3 + 24.0 / 3 - 6.0)))
    ends = (OVERLAP / 2, *found, 260.0 - OVERLAP / 2)
    assert all(b - a + OVERLAP <= 100.0 + 1e-9 for a, b in pairwise(ends))


def test_join_moves_off_a_hole_and_keeps_all_of_it_whole() -> None:
    assert joins(0.0, 180.0, 100.0, [])[0] == pytest.approx(90.0)
    (moved,) = joins(0.0, 180.0, 100.0, [(89.0, 4.5)])
    assert moved == pytest.approx(93.5)
    (kept,) = joins(0.0, 188.0, 100.0, [(90.0, 4.5)])  # the join can only be at 94 mm
    assert kept == pytest.approx(94.0)
    assert abs(kept - 90.0) >= CENTRE_KEEP


def test_join_that_can_not_avoid_a_hole_still_stands() -> None:
    assert joins(0.0, 188.0, 100.0, [(94.0, 4.5)]) == pytest.approx((94.0,))


# --- whole templates


@pytest.mark.parametrize("kind", ["template", "part"])
@pytest.mark.parametrize("paper", ["letter", "a4", "tabloid"])
def test_tiles_have_no_fault_of_words(paper: str, kind: Kind) -> None:
    found = tiles(LARGE, paper, kind)
    assert len(found) > 1
    assert {each.name: overlaps(each.drawing) for each in found.values() if overlaps(each.drawing)} == {}


def test_joined_tiles_hold_all_of_the_outline_and_every_hole_whole() -> None:
    """The length of the outline on all tiles, less what two of them show both, is that of the plate."""
    _, assembly, _ = judged(LARGE)
    (plate,) = (face for face in assembly.faces.values() if face.part == "base plate" and face.outline)
    assert plate.outline is not None
    found, moves = tiles(LARGE, "letter", "part"), places(tiles(LARGE, "letter", "part"))
    wanted = [plate.outline.outer.point_at(plate.outline.outer.length * n / 500)[0] for n in range(500)]
    drawn = [
        (mark.contour.moved(moves[cell]))
        for cell, sheet in found.items()
        for mark in marks(sheet, Meaning.CUT)
        if isinstance(mark, PathMark) and mark.name == "base plate"
    ]
    box = Bounds.of([point for each in drawn for point in each.vertices])
    assert box is not None
    own = plate.outline.bounds
    assert sorted((box.width, box.height)) == pytest.approx(sorted((own.width, own.height)), abs=1e-6)
    turned = abs(box.width - own.width) > 1e-6
    motion = Motion.rotation(90.0 if turned else 0.0)
    corner = Bounds.of([motion.apply(corner) for corner in own.corners])
    assert corner is not None
    motion = motion.then(Motion.translation(Vec(box.xmin - corner.xmin, box.ymin - corner.ymin)))
    segments = [segment for each in drawn for segment in each.segments]
    for point in wanted:
        at = motion.apply(point)
        assert min(point_segment(at, segment).distance for segment in segments) < 1e-6
    numbers = Counter(
        mark.name
        for sheet in found.values()
        for mark in marks(sheet, Meaning.REFERENCE_HOLE)  # a plate inside: drilled through the skin
        if isinstance(mark, CircleMark)
    )
    assert {f.name for f in assembly.fasteners if not f.exists and "base plate" in f.stack} <= {*numbers}


def test_no_hole_is_split_where_the_grid_can_be_moved() -> None:
    kinds: tuple[Kind, ...] = ("template", "part")
    for kind in kinds:
        for sheet in tiles(LARGE, "letter", kind).values():
            lines = [m.line for m in marks(sheet, Meaning.JOIN) if isinstance(m, LineMark)]
            assert not [mark for mark in marks(sheet, Meaning.HOLE) if isinstance(mark, ArcMark)]
            for hole in marks(sheet, Meaning.HOLE):
                if isinstance(hole, CircleMark):
                    gaps = [abs(line.direction.cross(hole.centre - line.start)) for line in lines]
                    assert min(gaps) >= CENTRE_KEEP


def test_targets_read_from_the_pdf_stand_at_equal_places_of_both_neighbours() -> None:
    """Distances between targets, and from a target to the outline that both show, are the same on both."""
    found = tiles(LARGE, "letter", "part")
    pages = read_pdf(pdf_bytes([sheet.drawing for sheet in found.values()])).pages
    read = dict(zip(found, pages, strict=True))
    edges = 0
    for cell, sheet in found.items():
        for other in ((cell[0], cell[1] + 1), (cell[0] + 1, cell[1])):
            if other not in found:
                continue
            edges += 1
            names = sorted(targets(sheet).keys() & targets(found[other]).keys())
            assert names
            one, two = ([_circle_at(read[c], targets(found[c])[n]) for n in names] for c in (cell, other))
            for (a, b), (c, d) in zip(pairwise(one), pairwise(two), strict=True):
                assert (b - a).distance_to(d - c) < 1e-4
    assert edges >= 2


def _circle_at(page: Page, at: Vec) -> Vec:
    """The middle of the circle that the reader found nearest to a place: eight curves, evenly round it."""
    rings = [[Vec(*piece.start) for piece in each.pieces] for each in page.outlines if len(each.pieces) == 8]
    middles = [
        Vec(sum(point.x for point in ring) / 8, sum(point.y for point in ring) / 8)
        for ring in rings
        if abs(max(p.x for p in ring) - min(p.x for p in ring) - 2 * TARGET_RADIUS) < 1e-3
    ]
    return min(middles, key=lambda middle: middle.distance_to(at))


def test_overlap_is_equal_on_both_sides_of_every_join() -> None:
    """The plate's straight upper edge runs 6 mm beyond the targets on either tile of the first row."""
    found = tiles(LARGE, "letter", "part")
    row = [sheet for cell, sheet in found.items() if cell[0] == 1]
    assert len(row) > 1
    for one, two in pairwise(row):
        name = min(targets(one).keys() & targets(two).keys())
        assert _reach(one).xmax - targets(one)[name].x == pytest.approx(OVERLAP / 2, abs=1e-6)
        assert targets(two)[name].x - _reach(two).xmin == pytest.approx(OVERLAP / 2, abs=1e-6)


def _reach(sheet: Sheet) -> Bounds:
    """How far the outline of the plate is drawn on a tile."""
    plate = [m for m in marks(sheet, Meaning.CUT) if isinstance(m, PathMark) and m.name == "base plate"]
    box = Bounds.of([corner for mark in plate for corner in mark.contour.bounds.corners])
    assert box is not None
    return box


def test_letters_stand_on_both_sides_and_the_map_on_the_first_tile() -> None:
    found = tiles(LARGE)
    for sheet in found.values():
        assert set(targets(sheet)) <= set(texts(sheet.drawing))
    for cell, sheet in found.items():
        said = " ".join(texts(sheet.drawing))
        assert ("NOT TO SCALE" in said) is (cell == min(found))
        assert f"Template: mast, tile {cell[0]}-{cell[1]}" in said
        for word in ("OUTSIDE FACE", "LEFT HAND", "A to B", f"Tile {cell[0]}-{cell[1]}: row {cell[0]} of"):
            assert word in said or "DO NOT CUT" in said


def test_tile_without_content_is_left_out_and_far_ones_stay_joined() -> None:
    """Four holes in the corners of a square: the middle is empty, the sides join the corners."""
    corners = holes((0, 0), (600, 0), (0, 600), (600, 600))
    found = tiles(corners)
    assert found, [each.name for each in built(corners)]
    shown = {c for c, s in found.items() if marks(s, Meaning.HOLE) or marks(s, Meaning.LOCATING_HOLE)}
    assert len(shown) == 4
    rows, columns = (max(cell[n] for cell in found) for n in (0, 1))
    assert len(found) < rows * columns
    assert len(places(found)) == len(found)


def test_over_50_pages_is_refused_unless_asked_for() -> None:
    wide = holes(*((x, y) for x in (0, 1000, 2000, 3000) for y in (0, 1000, 2000, 3000)))
    with pytest.raises(PaperTooSmallError, match=r"takes \d+ pages of Letter, more than 50.*--many-pages"):
        built(wide)
    sheets = build_sheets(*judged(wide), find_paper("letter"), many_pages=True)
    assert sum("-tile-" in each.name for each in sheets) > 50


def test_refusal_names_the_smallest_paper_that_holds_it() -> None:
    grid = holes(*((x, y) for x in range(0, 700, 50) for y in range(0, 1000, 50)))
    with pytest.raises(PaperTooSmallError, match=r"smallest paper that holds it is (A0|ANSI E)"):
        built(grid, "a5")


def test_roll_is_cut_off_as_long_as_it_is_needed() -> None:
    long = holes((0, 0), (2000, 100))
    (template,) = (each for each in built(long, "roll 36 in") if each.kind == "template")
    assert template.drawing.width is not None
    assert template.drawing.height is not None
    sides = sorted((template.drawing.width, template.drawing.height))
    assert sides[0] == pytest.approx(914.4)
    assert 2000.0 < sides[1] <= 2250.0


def test_notes_of_a_roll_are_on_the_paper_of_the_job() -> None:
    notes = [each.drawing for each in built(holes((0, 0), (2000, 100)), "roll 36 in") if each.kind == "notes"]
    assert notes
    assert {tuple(sorted((each.width or 0.0, each.height or 0.0))) for each in notes} == {(215.9, 279.4)}


def test_margin_of_a_printer_is_kept_free() -> None:
    for sheet in tiles(LARGE, "letter, margin 12 mm").values():
        frame = next(i for i in sheet.drawing.items if isinstance(i, PathMark) and i.name == "frame")
        assert frame.contour.bounds.xmin == pytest.approx(12.0)
        assert overlaps(sheet.drawing) == []


def test_paper_words_that_are_of_no_use_are_refused() -> None:
    for words in ("roll 5 mm", "letter, margin 80 mm", "letter, maargin 5 mm", "roll"):
        with pytest.raises(TemplgenError):
            find_paper(words)


def test_same_job_same_bytes() -> None:
    one, two = (
        pdf_bytes([each.drawing for each in build_sheets(*judged(LARGE), find_paper("letter"))]) for _ in "ab"
    )
    assert one == two


def faults_of_small_tiles(seed: int, patch: pytest.MonkeyPatch) -> dict[str, list[str]]:
    """Faults of the job of a seed where all is tiled, on windows of at most 90 by 70 mm."""

    def refused(*arguments: object) -> None:
        raise PaperTooSmallError("tiles are wanted")

    def small(scene: Scene, marks: Sequence[Boxed], width: float, height: float) -> Plan:
        return plan_of(scene, marks, min(width, 90.0), min(height, 70.0))

    patch.setattr("templgen.sheets.build.compose", refused)
    patch.setattr("templgen.sheets.tiling.tile.plan_of", small)
    sheets = build_sheets(*judged(random_job(seed)), find_paper("letter"))
    tiled = [each for each in sheets if "-tile-" in each.name]
    assert tiled
    return {each.name: found for each in tiled if (found := overlaps(each.drawing))}


@pytest.mark.parametrize("seed", range(3))
def test_small_tiles_of_random_jobs_have_no_fault(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    assert faults_of_small_tiles(seed, monkeypatch) == {}


@pytest.mark.heavy
@pytest.mark.parametrize("seed", range(3, 60))
def test_small_tiles_of_many_random_jobs_have_no_fault(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    assert faults_of_small_tiles(seed, monkeypatch) == {}
