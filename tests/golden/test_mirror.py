"""One mast that is fatter on one side, for both hands and both faces: what turns over, and what does not.

The other hand mirrors the metal; the other face mirrors the view only; a cut file is always as seen from
outside; words are never mirrored. The job is that of `asymmetric_mast`, measured on the right wing from
outside, with one hole of the base plate moved, so that the plate can not be laid on its own mirror image.
"""

from __future__ import annotations

import math
from itertools import permutations
from pathlib import Path

import pytest

from templgen.build.check import check_job
from templgen.layout.finding import Verdict
from templgen.proof.readers.model import Outline, Page, Point, Words
from tests.golden.measuring import (
    CUT_FILE_HOLES,
    HERE,
    WITHIN,
    Laid,
    Result,
    build,
    facts_of,
    laid,
    numbered,
    one,
    turn_of,
)

HANDS, FACES = ("right", "left"), ("outside", "inside")
COMBINATIONS = [(hand, face) for hand in HANDS for face in FACES]
AS_BUILT = [pytest.param(hand, face, id=f"{hand}-{face}") for hand, face in COMBINATIONS]
MOVED = 9
"""The hole that is moved, by its number."""


def text_of(hand: str, face: str, *, measured_hand: bool = True) -> str:
    """Return the job for a hand and a face, as measured on the right wing from outside."""
    text = (HERE / "asymmetric_mast" / "job.toml").read_text()
    measured = '\nmeasured_hand = "right"' if measured_hand else ""
    for old, new in (
        ('hand = "right"', f'hand = "{hand}"{measured}'),
        ('laid_on = "outside"', f'laid_on = "{face}"'),
        ("[-0.7, -1.5]", "[-0.3, -1.5]"),
    ):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def places() -> dict[int, Point]:
    """Where the holes are, as measured (mm): by the facts, the moved one at (5.5 + 0.3, 3.9) in."""
    known: dict[int, Point] = facts_of("asymmetric_mast")["holes"]["places"]
    return known | {MOVED: (5.8 * 25.4, 3.9 * 25.4)}


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], Result]:
    found = {}
    for hand, face in COMBINATIONS:
        folder = tmp_path_factory.mktemp(f"{hand}-{face}")
        job = folder / "job.toml"
        job.write_text(text_of(hand, face))
        found[hand, face] = build(job, folder / "out")
    return found


Results = dict[tuple[str, str], Result]


def sign(hand: str, face: str) -> int:
    """Worked out by hand: under a right wing, seen from outside, inboard is a quarter turn counter-clockwise
    from aft. Seen from inside it is clockwise, on the other wing too; both together cancel.
    """
    return {
        ("right", "outside"): 1,
        ("right", "inside"): -1,
        ("left", "outside"): -1,
        ("left", "inside"): 1,
    }[hand, face]


def face_of(sheet: str, laid_on: str) -> str:
    """Part sheets and the fit page are as seen from outside; a template is for the face that it lies on."""
    return laid_on if sheet in {"template-mast", "rough-mast"} else "outside"


DRAWN = ("template-mast", "rough-mast", "part-base-plate")


def lies(page: Page, mirrored: bool) -> Laid:
    drawn = numbered(page)
    return laid((places()[1], places()[2]), (drawn[1].centre, drawn[2].centre), mirrored)


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
@pytest.mark.parametrize("sheet", DRAWN)
def test_metal_is_mirrored_by_the_hand_and_the_view_by_the_face(
    sheet: str, hand: str, face: str, results: Results
) -> None:
    page = results[hand, face].sheets[sheet]
    drawn, turned = numbered(page), sign(hand, face_of(sheet, face)) < 0
    paper = lies(page, turned)
    assert drawn.keys() == ({1, 2} if sheet == "rough-mast" else places().keys())
    for number, circle in drawn.items():
        assert math.dist(circle.centre, paper.at(places()[number])) < WITHIN, number
    if sheet != "rough-mast":
        wrong = lies(page, not turned)
        assert math.dist(drawn[MOVED].centre, wrong.at(places()[MOVED])) > 10.0


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
@pytest.mark.parametrize("sheet", DRAWN)
def test_axes_arrows_and_their_words_turn_with_the_metal(
    sheet: str, hand: str, face: str, results: Results
) -> None:
    page = results[hand, face].sheets[sheet]
    arrows = arrows_of(page)
    aft, inboard = arrows["aft"], arrows["inboard"]
    turn = aft[0] * inboard[1] - aft[1] * inboard[0]
    assert turn == pytest.approx(sign(hand, face_of(sheet, face)), abs=1e-6)
    drawn = numbered(page)
    first, second = drawn[1].centre, drawn[2].centre  # from the nose to the tail
    backwards = ((second[0] - first[0]) * aft[0] + (second[1] - first[1]) * aft[1]) / math.dist(first, second)
    assert backwards == pytest.approx(1.0, abs=1e-6)


def arrows_of(page: Page) -> dict[str, Point]:
    """Return the unit vector of each axis arrow by the word that stands nearest to its tip."""
    marks = [o for o in page.outlines if o.name == "axis arrow"]
    heads = [o for o in marks if o.filled]
    assert len(heads) == 2
    found = {}
    for head in heads:
        corners = head.points(1)
        base, tip = _head(corners)
        length = math.dist(base, tip)
        word = min((w for w in page.words if w.text in {"aft", "inboard"}), key=lambda w: _gap(w, tip))
        found[word.text] = ((tip[0] - base[0]) / length, (tip[1] - base[1]) / length)
    assert found.keys() == {"aft", "inboard"}
    return found


def _head(corners: list[Point]) -> tuple[Point, Point]:
    """Return the middle of an arrow head's base, which is its shortest side, and its tip."""
    a, b, c = dict.fromkeys(corners)
    sides = [(math.dist(p, q), p, q, r) for p, q, r in ((a, b, c), (b, c, a), (c, a, b))]
    _, p, q, tip = min(sides)
    return ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2), tip


def _gap(words: Words, point: Point) -> float:
    """How far the ink of a word is from a point."""
    from templgen.proof.readers.svg import ink_box

    xmin, ymin, xmax, ymax = ink_box(words)
    x, y = min(max(point[0], xmin), xmax), min(max(point[1], ymin), ymax)
    return math.dist((x, y), point)


def holes_of(result: Result) -> list[Point]:
    return [circle.centre for layer in CUT_FILE_HOLES for circle in result.plate.circles(layer)]


def fits(holes: list[Point], *, mirrored: bool) -> bool:
    """Whether holes can be laid on those of the words, mirrored or not.

    Every pair that is the right distance apart is tried for the two locating holes.
    """
    apart = math.dist(places()[1], places()[2])
    for first, second in permutations(holes, 2):
        if abs(math.dist(first, second) - apart) > WITHIN:
            continue
        metal = laid((places()[1], places()[2]), (first, second), mirrored)
        if all(min(math.dist(metal.at(p), hole) for hole in holes) < WITHIN for p in places().values()):
            return True
    return False


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
def test_a_cut_file_is_as_seen_from_outside_for_its_hand(hand: str, face: str, results: Results) -> None:
    result = results[hand, face]
    holes = holes_of(result)
    assert len(holes) == len(places())
    assert fits(holes, mirrored=hand == "left")
    assert not fits(holes, mirrored=hand == "right")
    gdal = [f for f in result.plate_by_gdal if f.kind == "AcDbCircle" and f.layer != "cut"]
    for feature in gdal:
        xs, ys = zip(*feature.points[:-1], strict=True)
        centre = (sum(xs) / len(xs), sum(ys) / len(ys))
        assert min(math.dist(centre, hole) for hole in holes) < WITHIN
    assert f"as seen from outside, {hand} hand, 1:1, drawn in mm" in [w.text for w in result.plate.words]
    assert f"hand: {hand}" in result.plate.comments
    assert "seen from: outside" in result.plate.comments


@pytest.mark.parametrize("hand", HANDS)
def test_the_face_of_the_paper_changes_nothing_in_a_cut_file(hand: str, results: Results) -> None:
    one_face, other = (results[hand, face].plate for face in FACES)
    assert one_face.outlines == other.outlines
    assert len(one_face.outlines) == len(places()) + 2  # the edge and the bore


def test_the_trimmed_edge_is_on_its_side_of_the_holes(results: Results) -> None:
    """Hole 3 is 0.9 - 0.40625 in from the trimmed edge, hole 7 is 3.9 - 0.40625 in from it.

    A paper laid inside is pushed home: its edge is the web face itself, 1/32 in nearer to the web.
    """
    for (hand, face), result in results.items():
        for sheet in ("template-mast", "part-base-plate"):
            drawn = numbered(result.sheets[sheet])
            edge = one(o for o in result.sheets[sheet].on("butting-edge") if o.name == "")
            start, end = edge.points(1)
            off = [turn_of(start, end, drawn[n].centre) / math.dist(start, end) for n in (3, 7)]
            home = 1 / 32 if (face, sheet) == ("inside", "template-mast") else 0.0
            assert [abs(value) for value in off] == pytest.approx(
                [25.4 * (0.49375 + home), 25.4 * (3.49375 + home)], abs=WITHIN
            ), (hand, face)
            assert off[0] * off[1] > 0


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
def test_holes_agree_between_svg_pdf_and_cut_file(hand: str, face: str, results: Results) -> None:
    result = results[hand, face]
    for sheet in ("template-mast", "part-base-plate"):
        drawn = numbered(result.sheets[sheet])
        pdf = [c.centre for c in result.page(sheet).circles() if abs(2 * c.radius - 3.2639) < WITHIN]
        assert len(pdf) == len(drawn)
        for circle in drawn.values():
            assert min(math.dist(circle.centre, p) for p in pdf) < WITHIN
    # The part sheet is the cut file moved: neither turned over nor scaled.
    drawn, cut = numbered(result.sheets["part-base-plate"]), holes_of(result)
    assert len(cut) == len(drawn)
    corner = [min(p[k] for p in cut) - min(c.centre[k] for c in drawn.values()) for k in (0, 1)]
    for circle in drawn.values():
        moved = (circle.centre[0] + corner[0], circle.centre[1] + corner[1])
        assert min(math.dist(moved, p) for p in cut) < WITHIN


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
def test_every_sheet_says_its_face_and_hand(hand: str, face: str, results: Results) -> None:
    result, other = results[hand, face], "left" if hand == "right" else "right"
    for sheet, page in result.sheets.items():
        for words in (
            [w.text for w in page.words],
            [w.text for w in result.page(sheet).words],
        ):
            assert hand in words, sheet  # in the title block
            assert other not in words, sheet
            assert f"{other.upper()} HAND" not in words
            if sheet in DRAWN:
                seen = face_of(sheet, face)
                unseen = "inside" if seen == "outside" else "outside"
                assert f"{hand.upper()} HAND" in words, sheet
                assert f"{seen.upper()} FACE" in words
                assert f"{unseen.upper()} FACE" not in words
        if sheet in DRAWN:
            assert f"{hand.upper()} HAND" in result.viewer_words(sheet)
    assert {w.text for w in result.sheets["fit-mast"].words} >= {"SEEN FROM OUTSIDE", f"{hand.upper()} HAND"}


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
def test_no_word_is_mirrored(hand: str, face: str, results: Results) -> None:
    """Up is to the left of the reading direction in every line of every file; so are the outlines of letters:
    a line that stands in two sheets has the same outlines in both.
    """
    result = results[hand, face]
    shapes: dict[str, set[str]] = {}
    for words in (w for page in results["right", "outside"].sheets.values() for w in page.words):
        shapes.setdefault(words.text, set()).add(words.steps)  # upright and bold
    lines = [w for page in result.sheets.values() for w in page.words]
    lines += [w for page in result.pdf.pages for w in page.words] + list(result.plate.words)
    assert len(lines) > 500
    for words in lines:
        (a, b), (c, d) = words.along, words.up
        assert a * d - b * c > 0, words.text
        assert round(words.angle) in {0, 90}, words.text
        if words.steps and words.text in shapes:
            assert words.steps in shapes[words.text], words.text


def fingerprint(page: Page, digests: set[str]) -> tuple[tuple[str, ...], tuple[tuple[object, ...], ...]]:
    """Return what a page says and shows, without digest and fiducial markers, which differ for every job."""
    texts = sorted(w.text for w in page.words if w.text not in digests)
    shapes = sorted(
        (o.layer, o.name, *(round(v, 2) for v in (*o.bounds(8), *_middle(o))))
        for o in page.outlines
        if o.layer != "fiducial-marker"
    )
    return tuple(texts), tuple(shapes)


def _middle(outline: Outline) -> Point:
    xs, ys = zip(*outline.points(8), strict=True)
    return sum(xs) / len(xs), sum(ys) / len(ys)


def test_no_left_sheet_equals_a_right_one(results: Results) -> None:
    digests = {c.split()[-1] for r in results.values() for c in r.plate.comments if c.startswith("digest")}
    assert len(digests) == 4
    prints = {
        key: {sheet: fingerprint(page, digests) for sheet, page in result.sheets.items()}
        for key, result in results.items()
    }
    # The face of the paper changes neither part sheet nor fit page: so equal pages are seen to be equal.
    for hand in HANDS:
        for sheet in ("part-base-plate", "fit-mast"):
            assert prints[hand, "outside"][sheet] == prints[hand, "inside"][sheet]
    for right_face in FACES:
        right = set(prints["right", right_face].values())
        for left_face in FACES:
            assert right.isdisjoint(prints["left", left_face].values())
    # Not by words alone: on one face, what is cut and drilled by is another picture.
    for sheet in (*DRAWN, "fit-mast"):
        for face in FACES:
            assert prints["right", face][sheet][1] != prints["left", face][sheet][1], (sheet, face)


def test_the_cut_files_of_the_hands_differ(results: Results) -> None:
    right, left = (sorted(holes_of(results[hand, "outside"])) for hand in HANDS)
    assert [p != q for p, q in zip(right, left, strict=True)] == [True] * len(right)


def fat_side(outline: Outline, axis: tuple[Point, Point]) -> float:
    """Return how much farther an outline reaches to the left of an axis than to its right, mm."""
    reach = [turn_of(*axis, point) / math.dist(*axis) for point in outline.points()]
    return max(reach) + min(reach)


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
def test_the_fat_side_of_the_mast_is_inboard(hand: str, face: str, results: Results) -> None:
    """Words and calipers: 0.44 in to the right of the mast, 0.36 in to its left, seen from under a right wing
    with the nose away: to the right is inboard. From nose to tail that is on the left.
    """
    template = results[hand, face].sheets["template-mast"]
    drawn = numbered(template)
    cutout = one(o for o in template.on("cut") if o.name == "mast cutout")
    fat = fat_side(cutout, (drawn[1].centre, drawn[2].centre))
    assert fat * sign(hand, face) > 25.4 * 0.07
    inboard = turn_of(drawn[1].centre, drawn[2].centre, drawn[7].centre)
    assert fat * inboard > 0


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
def test_the_fit_page_shows_the_mast_of_its_hand(hand: str, face: str, results: Results) -> None:
    """As seen from outside, nose to the left: a right mast is fatter above its axis, a left one below."""
    page = results[hand, face].sheets["fit-mast"]
    template = results[hand, "outside"].sheets["template-mast"]
    wanted = one(o for o in template.on("cut") if o.name == "mast cutout")
    hole = one(o for o in page.on("cut") if o.name == "fit P2")
    xmin, ymin, xmax, _ = hole.bounds()
    nose = min(hole.points(64))  # the nose is round: its tip is where the axis runs
    fat = fat_side(hole, (nose, (xmax, nose[1])))
    assert fat * sign(hand, "outside") > 25.4 * 0.07
    assert abs(hole.area()) == pytest.approx(abs(wanted.area()), abs=0.01)
    assert "Nose to the left, as seen from outside." in " ".join(w.text for w in page.words)
    assert xmax - xmin == pytest.approx(65.0875, abs=WITHIN)
    assert ymin < nose[1]


@pytest.mark.parametrize(("hand", "face"), AS_BUILT)
def test_the_schedule_says_on_which_side_of_the_line_a_hole_is(
    hand: str, face: str, results: Results
) -> None:
    """Along and off are as measured; hole 7 lies 3.9 in inboard of the row, which runs aft. Inboard of aft is
    to the left, as it was measured, or to the right, where the sheet shows it turned over.
    """
    table = results[hand, face].schedule
    notes = " ".join(row[0] for row in table[:4])
    side, other = ("left", "right") if sign(hand, face) > 0 else ("right", "left")
    assert f"off positive to the {side} of its direction as you look at the {face}" in notes
    assert f"off positive to the {other}" not in notes
    assert f"{hand} hand" in notes
    assert ("of the right side" in notes) == (hand == "left")
    (row,) = (row for row in table[5:] if row[0] == "7")
    found = dict(zip(table[4], row, strict=True))
    assert (found["along"], found["off"]) == ("3.500", "3.900")
    page = results[hand, face].sheets["template-mast"]
    targets = sorted(c.centre for c in page.circles("existing-rivet") if c.name == "target")
    drawn = numbered(page)
    backwards = drawn[2].centre[0] > drawn[1].centre[0]  # the row runs aft, as the mast's nose to its tail
    row_line = (targets[0], targets[-1]) if backwards else (targets[-1], targets[0])
    off = turn_of(*row_line, drawn[7].centre) / math.dist(*row_line)
    assert off == pytest.approx((1 if side == "left" else -1) * 3.9 * 25.4, abs=WITHIN)


def test_paper_is_cut_at_the_rib_only_where_it_can_butt(results: Results) -> None:
    for (hand, face), result in results.items():
        words = " ".join(w.text for w in result.sheets["template-mast"].words)
        assert ("Do not cut the paper" in words) == (face == "outside"), (hand, face)
        assert ("Cut the paper here: it butts against rib 4" in words) == (face == "inside")


def test_words_that_fit_the_other_wing_are_refused(tmp_path: Path) -> None:
    """The same axes on the left wing, if nothing says that the right one was measured, are mirrored."""
    job = tmp_path / "job.toml"
    job.write_text(text_of("left", "outside", measured_hand=False))
    judged = check_job(job)
    assert not judged.may_cut
    assert "axes-are-mirrored" in {f.rule for f in judged.findings if f.verdict is Verdict.FAIL}
