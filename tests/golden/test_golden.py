"""Three masts in words and caliper readings, made into jobs from the README alone: is the metal right?

Each folder holds the words (`words.md`), the job written from them and facts worked out from the words by
hand (`facts.toml`, with the arithmetic). Nothing here asks the program what is right.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from templgen.proof.readers.model import Outline, Page, Point, Round
from tests.golden.measuring import (
    CUT_FILE_HOLES,
    HERE,
    JOBS,
    WITHIN,
    Laid,
    Result,
    facts_of,
    laid,
    numbered,
    one,
    radii,
    turn_of,
)
from tests.readers.raster import Picture, pdf_picture, svg_picture

TEMPLATE, PLATE = "template-mast", "part-base-plate"
Facts = dict[str, Any]
Golden = Callable[[str], Result]


@pytest.fixture(params=JOBS)
def job(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def facts(job: str) -> Facts:
    return facts_of(job)


@pytest.fixture
def result(job: str, golden: Golden) -> Result:
    return golden(job)


def lay(page: Page, facts: Facts, mirrored: bool) -> Laid:
    """Lay a sheet on the frame of the words by its locating holes."""
    drawn, (first, second) = numbered(page), facts["holes"]["locating"]
    places = facts["holes"]["places"]
    return laid((places[first], places[second]), (drawn[first].centre, drawn[second].centre), mirrored)


def on_template(result: Result, facts: Facts) -> tuple[Page, Laid]:
    page = result.sheets[TEMPLATE]
    return page, lay(page, facts, facts["turn"]["template"] < 0)


def off_and_along(point: Point, laid_on: Laid, facts: Facts) -> tuple[float, float]:
    """Return how far a point of the template is to the left of the structure's line, and along it."""
    start = laid_on.at(facts["structure"]["through"])
    x, y = laid_on.along(facts["structure"]["direction"])
    length = math.hypot(x, y)
    dx, dy = point[0] - start[0], point[1] - start[1]
    left = (x * dy - y * dx) / length
    return (-left if laid_on.mirrored else left), (x * dx + y * dy) / length


def test_a_job_is_short(job: str) -> None:
    lines = (HERE / job / "job.toml").read_text().splitlines()
    assert len(lines) <= 40
    assert "accept" not in "".join(lines)


def test_the_page_has_the_size_of_the_paper(result: Result, facts: Facts) -> None:
    width, height = facts["page"]["size"]
    for name, sheet in result.sheets.items():
        upright = [width, height] if sheet.width < sheet.height else [height, width]
        assert [sheet.width, sheet.height] == pytest.approx(upright, abs=1e-9), name
        page = result.page(name)
        for box in ("MediaBox", "TrimBox", "CropBox"):
            assert page.boxes[box] == pytest.approx((0.0, 0.0, *upright), abs=0.001), (name, box)
    assert result.sheets[TEMPLATE].width < result.sheets[TEMPLATE].height
    assert result.pdf.print_scaling == "None"


@pytest.mark.parametrize("sheet", [TEMPLATE, PLATE])
def test_every_hole_is_where_the_words_say(sheet: str, result: Result, facts: Facts) -> None:
    """In SVG by number; in the PDF, which numbers nothing, a circle of its size at its place."""
    turn = facts["turn"]["template" if sheet == TEMPLATE else "seen_from_outside"]
    page = result.sheets[sheet]
    paper, drawn = lay(page, facts, turn < 0), numbered(page)
    places, diameter = facts["holes"]["places"], facts["holes"]["diameter"]
    assert drawn.keys() == places.keys()
    circles = [c for c in result.page(sheet).circles() if abs(2 * c.radius - diameter) < WITHIN]
    assert len(circles) == len(places)
    for number, place in places.items():
        expected = paper.at(place)
        assert math.dist(drawn[number].centre, expected) < WITHIN, number
        assert 2 * drawn[number].radius == pytest.approx(diameter, abs=WITHIN)
        assert min(math.dist(c.centre, expected) for c in circles) < WITHIN, number
        assert min(math.dist(c.centre, drawn[number].centre) for c in circles) < WITHIN, number


@pytest.mark.parametrize("reader", ["own", "GDAL"])
def test_the_cut_file_has_the_holes_as_seen_from_outside(reader: str, result: Result, facts: Facts) -> None:
    """It keeps the job's zero; what was measured on the inside is turned over about y. What guides
    the drill has its holes cut at pilot size; those drilled through the skin are only shown."""
    sign = 1 if facts["turn"]["seen_from_outside"] > 0 else -1
    expected = {number: (sign * x, y) for number, (x, y) in facts["holes"]["places"].items()}
    cut = facts["holes"]["cut"]
    circles = circles_of(result, reader, (cut["layer"],))
    assert len(circles) == len(expected)
    for number, place in expected.items():
        circle = min(circles, key=lambda c: math.dist(c.centre, place))
        assert math.dist(circle.centre, place) < WITHIN, number
        assert 2 * circle.radius == pytest.approx(cut["diameter"], abs=0.0005)


def circles_of(result: Result, reader: str, layers: tuple[str, ...]) -> list[Round]:
    if reader == "own":
        assert result.plate.units == 4
        assert result.plate.oddities == ()
        return [circle for layer in layers for circle in result.plate.circles(layer)]
    found = [f for f in result.plate_by_gdal if f.kind == "AcDbCircle" and f.layer in layers]
    return [_round(f.points) for f in found]


def _round(points: tuple[Point, ...]) -> Round:
    xs, ys = zip(*points[:-1], strict=True)
    centre = (sum(xs) / len(xs), sum(ys) / len(ys))
    return Round(centre, sum(math.dist(centre, p) for p in points) / len(points))


def test_locating_holes_are_their_distance_apart(result: Result, facts: Facts) -> None:
    """A plate inside the skin gets them through the skin: its sheet marks no hole that is drilled first."""
    first, second = facts["holes"]["locating"]
    for sheet in (TEMPLATE, PLATE, "rough-mast"):
        page = result.sheets[sheet]
        named = {int(c.name): c.centre for c in page.circles("locating-hole") if c.name.isdigit()}
        inside = any("It lies inside the skin." in words.text for words in page.words)
        assert named.keys() == (set() if inside else {first, second}), sheet
        if inside:
            named = {number: circle.centre for number, circle in numbered(page).items()}
        assert math.dist(named[first], named[second]) == pytest.approx(facts["holes"]["apart"], abs=WITHIN)


def test_the_base_plate_has_its_size(result: Result, facts: Facts) -> None:
    """Seen along the mast, which all three jobs lay along x: the bounds are its length and width."""
    plate = facts["plate"]
    inner = result.plate.circles("cut")
    outline = one(o for o in result.plate.on("cut") if o.round() is None)
    xmin, ymin, xmax, ymax = outline.bounds()
    assert outline.closed
    assert [xmax - xmin, ymax - ymin] == pytest.approx([plate["along"], plate["across"]], abs=WITHIN)
    assert radii(outline) == pytest.approx([plate["corner_radius"]], abs=0.0005)
    assert abs(outline.area()) == pytest.approx(plate["area"], abs=0.02)
    assert [2 * c.radius for c in inner] == pytest.approx([plate["bore"]] if "bore" in plate else [])
    for circle in inner:
        first, second = (result_place(result, n, facts) for n in facts["holes"]["locating"])
        middle = ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
        assert math.dist(circle.centre, middle) < WITHIN


def result_place(result: Result, number: int, facts: Facts) -> Point:
    """Return the centre of the circle in the cut file that is nearest to where a hole should be."""
    x, y = facts["holes"]["places"][number]
    place = (x if facts["turn"]["seen_from_outside"] > 0 else -x, y)
    return min(
        (c.centre for c in circles_of(result, "own", CUT_FILE_HOLES)), key=lambda p: math.dist(p, place)
    )


def test_gdal_sees_the_same_plate(result: Result, facts: Facts) -> None:
    (outline,) = (f for f in result.plate_by_gdal if f.layer == "cut" and f.kind == "AcDbPolyline")
    assert outline.closed
    xs, ys = zip(*outline.points, strict=True)
    size = [max(xs) - min(xs), max(ys) - min(ys)]
    assert size == pytest.approx([facts["plate"]["along"], facts["plate"]["across"]], abs=WITHIN)


def cutout_of(page: Page) -> Outline:
    return one(o for o in page.on("cut") if o.name == "mast cutout")


def extent(outline: Outline, along: Point) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the least and the greatest place of an outline along a direction and to its left."""
    length = math.hypot(*along)
    x, y = along[0] / length, along[1] / length
    points = np.asarray(outline.points(128))
    on, off = points @ (x, y), points @ (-y, x)
    return (float(on.min()), float(on.max())), (float(off.min()), float(off.max()))


def test_the_cutout_is_the_section_and_its_gap(result: Result, facts: Facts) -> None:
    page, paper = on_template(result, facts)
    outline, cutout = cutout_of(page), facts["cutout"]
    (rear, front), (low, high) = extent(outline, paper.along((-1.0, 0.0)))
    assert front - rear == pytest.approx(cutout["length"], abs=WITHIN)
    assert cutout["width_least"] - WITHIN <= high - low <= cutout["width_most"] + WITHIN
    middle, forward = paper.at(cutout["middle"]), paper.along((-1.0, 0.0))
    assert (rear + front) / 2 == pytest.approx(middle[0] * forward[0] + middle[1] * forward[1], abs=WITHIN)
    if cutout["width_least"] == cutout["width_most"]:  # the same on both sides of the mast
        assert (low + high) / 2 == pytest.approx(middle[1] * forward[0] - middle[0] * forward[1], abs=WITHIN)
    if "area" in cutout:
        assert abs(outline.area()) == pytest.approx(cutout["area"], abs=0.02)
    for radius in cutout.get("radii", []):
        assert min(abs(r - radius) for r in radii(outline)) < 0.0005, radius


def nearest(outline: Outline, point: Point) -> float:
    return min(math.dist(p, point) for p in outline.points(512))


def test_every_caliper_reading_is_one_gap_from_the_edge(golden: Golden) -> None:
    """A reading lies on the mast, so the finish line runs one gap outside it. The line is made of arcs within
    0.005 mm of a smooth line, as the shape library says; the gap's side of them adds as much at the most.
    """
    facts = facts_of("asymmetric_mast")
    page, paper = on_template(golden("asymmetric_mast"), facts)
    outline, cutout = cutout_of(page), facts["cutout"]
    nose = cutout["mast_length_in"] / 2
    for station, left, right in cutout["stations"]:
        for half in (left, -right):  # (a, b) on the mast is at middle - (a, b): its nose points to -x
            a, b = (nose - station) * 25.4, half * 25.4
            point = paper.at((cutout["middle"][0] - a, cutout["middle"][1] - b))
            assert nearest(outline, point) == pytest.approx(cutout["gap"], abs=0.01), (station, half)
    middle = paper.at(cutout["middle"])
    x, y = paper.along((0.0, 1.0))  # inboard, to the mast's right: the fat side
    across = [(p[0] - middle[0]) * x + (p[1] - middle[1]) * y for p in outline.points()]
    assert max(across) >= 25.4 * max(right for _, _, right in cutout["stations"]) + cutout["gap"] - WITHIN
    assert -min(across) < max(across) - 1.0


def test_lines_of_the_structure_are_where_it_was_measured(result: Result, facts: Facts) -> None:
    page, paper = on_template(result, facts)
    drawn = [
        off_and_along(point, paper, facts)[0]
        for outline in page.on("structure-behind")
        if outline.name != "legend"
        for point in (outline.pieces[0].at(0.0), outline.pieces[-1].at(1.0))
    ]
    lines = facts["structure"]["lines"]
    for off in drawn:
        assert min(abs(off - line) for line in lines) < WITHIN, off
    if facts["structure"]["rivets_along"]:
        missing = [line for line in lines if min(abs(off - line) for off in drawn) > WITHIN]
        assert missing == []


def test_targets_are_the_rivets_that_are_there(result: Result, facts: Facts) -> None:
    page, paper = on_template(result, facts)
    structure = facts["structure"]
    targets = [c for c in page.circles("existing-rivet") if c.name != "legend"]
    assert len(targets) >= 2 or not structure["rivets_along"]
    for circle in targets:
        off, along = off_and_along(circle.centre, paper, facts)
        assert off == pytest.approx(structure["rivets_off"], abs=WITHIN)
        assert min(abs(along - place) for place in structure["rivets_along"]) < WITHIN, along


def test_the_trim_is_set_back_from_the_web(result: Result, facts: Facts) -> None:
    page, paper = on_template(result, facts)
    edges = [o for o in page.on("butting-edge") if o.name == ""]
    assert len(edges) == 1 or not facts["structure"]["rivets_along"]  # else it passes beyond the paper
    for point in (point for edge in edges for point in edge.points(1)):
        off, _ = off_and_along(point, paper, facts)
        assert off == pytest.approx(facts["structure"]["trim"], abs=WITHIN)
    if "trimmed_edge" in facts["plate"]:
        assert one(edges).length() == pytest.approx(facts["plate"]["trimmed_edge"], abs=WITHIN)
        plate = one(o for o in result.sheets[PLATE].on("butting-edge") if o.name == "")
        assert plate.length() == pytest.approx(facts["plate"]["trimmed_edge"], abs=WITHIN)


def test_the_drill_schedule_has_every_hole_from_the_structure(result: Result, facts: Facts) -> None:
    head, *rows = result.schedule[4:]
    holes, schedule = facts["holes"], facts["schedule"]
    inch = "inches" in result.schedule[1][0]
    places = 3 if inch else 2
    assert [int(row[0]) for row in rows] == sorted(holes["places"])
    for row in rows:
        found = dict(zip(head, row, strict=True))
        number = int(found["number"])
        half = 0.5000001 * 10.0**-places
        where = [float(found[key]) * (25.4 if inch else 1.0) for key in ("x", "y")]
        assert where == pytest.approx(holes["places"][number], abs=half * 25.4)
        assert [float(found[key]) for key in ("along", "off")] == pytest.approx(
            schedule[str(number)], abs=half + 0.00005
        )
        assert found["line"] == schedule["line"]
        assert found["fastener"] == holes["fastener"]
        assert (found["pilot drill"], found["final drill"]) == (holes["pilot"], holes["drill"])
        assert found["remark"] == ("locating hole" if number in holes["locating"] else "")


@pytest.mark.parametrize("sheet", [TEMPLATE, PLATE])
def test_no_part_is_turned_over(sheet: str, result: Result, facts: Facts) -> None:
    turn, drawn = facts["turn"], numbered(result.sheets[sheet])
    sign = turn["template" if sheet == TEMPLATE else "seen_from_outside"]
    assert math.copysign(1, turn_of(*(drawn[n].centre for n in turn["holes"]))) == sign


@pytest.mark.parametrize("words_of", ["svg", "pdf", "viewer"])
def test_the_template_says_which_face_and_hand_it_is_for(words_of: str, result: Result, facts: Facts) -> None:
    words = {
        "svg": lambda: "\n".join(w.text for w in result.sheets[TEMPLATE].words),
        "pdf": lambda: result.page(TEMPLATE).text,
        "viewer": lambda: result.viewer_words(TEMPLATE),
    }[words_of]()
    for text in facts["words"]:
        assert re.search(rf"\b{text}\b", words), text
    for other in ("INSIDE FACE", "RIGHT HAND" if "LEFT HAND" in facts["words"] else "LEFT HAND"):
        assert other not in words


DPI = 600
EDGE = 0.3
"""The strip that is looked at begins so far from a ruler's edge, mm, and is three times as deep."""


def ruler_edges(page: Page, upright: bool) -> tuple[float, float, float, float]:
    """Return where a ruler's edges lie across it: of the inches and of the millimetres; and its both ends."""
    long = []
    for outline in page.on("ruler"):
        xmin, ymin, xmax, ymax = outline.bounds(1)
        across = (xmin, xmax, ymin, ymax) if upright else (ymin, ymax, xmin, xmax)
        if across[1] - across[0] < 1e-6 and across[3] - across[2] > 100.0:
            long.append(across)
    millimetres, inches = sorted(long)
    return inches[0], millimetres[0], inches[2], max(inches[3], millimetres[3])


def ticks(picture: Picture, page: Page, upright: bool, of_inches: bool) -> npt.NDArray[np.float64]:
    """Return where the ticks along one edge of a ruler have their ink, mm from the left or the bottom."""
    dot = 25.4 / DPI
    inches, millimetres, start, end = ruler_edges(page, upright)
    near = inches - 4 * EDGE if of_inches else millimetres + EDGE
    if upright:
        strip = picture[:, round(near / dot) : round((near + 3 * EDGE) / dot)].mean(axis=1)[::-1]
    else:
        top = picture.shape[0] - round((near + 3 * EDGE) / dot)
        strip = picture[top : top + round(3 * EDGE / dot), :].mean(axis=0)
    ink = 1.0 - strip
    first = round((start - 0.5) / dot)
    ink = ink[first : round((end + 0.4) / dot)]
    dark = np.flatnonzero(ink > 0.02)
    runs = np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1)
    centres = [float((ink[run] * (run + 0.5)).sum() / ink[run].sum()) for run in runs]
    return (np.asarray(centres) + first) * dot


@pytest.fixture(scope="module")
def pictures(golden: Golden) -> dict[str, Picture | None]:
    """One template at 600 dpi: the PDF by pdfium, the SVG by cairo (None where libcairo is missing)."""
    result = golden("asymmetric_mast")
    (file,) = result.folder.glob(f"sheets/*-{TEMPLATE}.svg")
    found: dict[str, Picture | None] = {"pdf": pdf_picture(result.pdf_bytes, DPI)}
    try:
        found["svg"] = svg_picture(file.read_bytes(), DPI)
    except OSError:
        found["svg"] = None
    return found


@pytest.mark.parametrize("how", ["pdf", "svg"])
@pytest.mark.parametrize("upright", [False, True], ids=["across", "up"])
def test_100_mm_and_4_in_on_the_rulers_of_a_template(
    how: str, upright: bool, pictures: dict[str, Picture | None], golden: Golden
) -> None:
    """Counted tick by tick in the picture: 100 mm is 100 ticks, 4 in is 32 eighths (1 in = 25.4 mm)."""
    picture = pictures[how]
    if picture is None:
        pytest.skip("libcairo is not installed")
    page = golden("asymmetric_mast").sheets[TEMPLATE]
    metric = ticks(picture, page, upright, of_inches=False)
    eighths = ticks(picture, page, upright, of_inches=True)
    assert metric[100] - metric[0] == pytest.approx(100.0, abs=0.01)
    assert eighths[32] - eighths[0] == pytest.approx(101.6, abs=0.01)
    assert metric[0] == pytest.approx(eighths[0], abs=0.01)
    assert np.diff(metric) == pytest.approx(1.0, abs=0.02)
    assert np.diff(eighths) == pytest.approx(25.4 / 8, abs=0.02)


def test_both_pictures_have_their_rulers_at_one_place(
    pictures: dict[str, Picture | None], golden: Golden
) -> None:
    one_picture, other = pictures["pdf"], pictures["svg"]
    if one_picture is None or other is None:
        pytest.skip("libcairo is not installed")
    page = golden("asymmetric_mast").sheets[TEMPLATE]
    assert one_picture.shape == other.shape
    for upright in (False, True):
        first, second = (ticks(p, page, upright, of_inches=False) for p in (one_picture, other))
        assert first == pytest.approx(second, abs=0.01)
