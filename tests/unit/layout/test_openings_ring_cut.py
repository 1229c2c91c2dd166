"""A ring that is cut: its rows of rivets end beside the cut, and what has no room for one is refused."""

from __future__ import annotations

import re
from itertools import product

import pytest
from shapely.geometry import Point, Polygon

from templgen.checks import find_rule, run_checks
from templgen.errors import JobFaults
from templgen.geometry import Vec, point_segment
from templgen.geometry.flatten import flatten
from templgen.layout.assembly import Assembly
from templgen.layout.finding import Verdict
from templgen.layout.openings.model import OpeningSet
from tests.unit.layout.jobs import faults, laid
from tests.unit.layout.opening_jobs import (
    CIRCLE,
    ELLIPSE,
    RACECOURSE,
    RECTANGLE,
    by_name,
    laid_opening,
    opening_job,
)

DIAMETER = 3 / 32 * 25.4
RULES = ["hole-too-near-edge", "pitch-too-small", "rows-too-close", "heads-too-close", "hole-off-the-part"]
OUTLINES = {"rectangle": RECTANGLE, "circle": CIRCLE, "racecourse": RACECOURSE, "ellipse": ELLIPSE}


def cut_ring(
    outline: str, made: str, rivets: str = "rows = 2", count: int = 8
) -> tuple[Assembly, OpeningSet]:
    return laid_opening(
        outline=outline,
        screws=f'{{ fastener = "screw", count = {count} }}',
        more=f'ring = {{ made = "{made}" }}\nrivets = {{ {rivets} }}',
    )


def places(assembly: Assembly, hatch: OpeningSet) -> list[Vec]:
    fasteners = by_name(assembly)
    return [fasteners[name].at for name in hatch.ring_rivets]


@pytest.mark.parametrize(("name", "made"), list(product(OUTLINES, ["split", "halves"])))
@pytest.mark.parametrize(
    "rivets", ["rows = 2", "rows = 2, staggered = false", "rows = 2, pitch = 12", "rows = 1"]
)
def test_two_rows_and_a_cut_pass_their_own_rules(name: str, made: str, rivets: str) -> None:
    assembly, _ = cut_ring(OUTLINES[name], made, rivets)
    findings = run_checks(assembly, (), [find_rule(rule) for rule in RULES])
    bad = [each.message for each in findings if each.verdict in (Verdict.FAIL, Verdict.DOUBTFUL)]
    assert bad == []


@pytest.mark.parametrize(("name", "made"), list(product(OUTLINES, ["split", "halves"])))
def test_rivets_keep_two_diameters_from_the_metal_s_edge_at_the_cut(name: str, made: str) -> None:
    """2 D (AC 43.13-1B para 4-57) and how well rivets and cuts are made; asked of shapely."""
    assembly, hatch = cut_ring(OUTLINES[name], made)
    pieces = []
    for face in hatch.ring_faces:
        outline = assembly.faces[face].outline
        assert outline is not None
        pieces.append(Polygon([(p.x, p.y) for p in flatten(outline.outer, 0.001)]).boundary)
    doubt = assembly.drilled_to["rivet"] + assembly.drilled_to["cut"]
    for place in places(assembly, hatch):
        assert min(each.distance(Point(place.x, place.y)) for each in pieces) >= 2 * DIAMETER + doubt - 0.002


@pytest.mark.parametrize("name", ["rectangle", "circle"])
def test_the_outer_row_has_a_rivet_on_either_side_of_a_cut_as_far_from_it(name: str) -> None:
    assembly, hatch = cut_ring(OUTLINES[name], "halves")
    for cut in hatch.ring_cuts:
        along = (cut.end - cut.start).unit()
        outer = [
            each
            for each in places(assembly, hatch)
            if min(point_segment(each, s).distance for s in hatch.rivet_lines[0].segments) < 1e-6
            and (each - cut.end).length < 40
        ]
        left = min(along.cross(each - cut.start) for each in outer if along.cross(each - cut.start) > 0)
        right = min(-along.cross(each - cut.start) for each in outer if along.cross(each - cut.start) < 0)
        assert left == pytest.approx(right)
        # 2 D + 1/16 in, and half of the cut
        assert left == pytest.approx(2 * DIAMETER + 25.4 / 16 + 0.4)


def test_rows_that_do_not_meet_a_cut_are_left_as_they_are() -> None:
    whole, ring = laid_opening(more="rivets = { pitch = 30 }")
    cut, split = laid_opening(more='ring = { made = "split" }\nrivets = { pitch = 30 }')
    assert places(whole, ring) == places(cut, split)


def test_a_cut_where_the_builder_says_has_rows_that_end_at_it() -> None:
    more = 'ring = { made = "split", cut_at = 20 }\nrivets = { rows = 2 }'
    assembly, hatch = laid_opening(outline=CIRCLE, more=more)
    cut = hatch.ring_cuts[0]
    assert (cut.midpoint - hatch.centre).angle == pytest.approx(20)
    assert min(point_segment(each, cut).distance for each in places(assembly, hatch)) > 2 * DIAMETER + 0.4


@pytest.mark.parametrize("made", ["split", "halves"])
@pytest.mark.parametrize("cut_at", [90, 180, 38])
def test_a_cut_through_a_screw_is_told_the_nearest_angle_that_clears_all_holes(
    made: str, cut_at: int
) -> None:
    """Eight screws on a rectangle: one in each corner and in the middle of each side."""
    (line,) = faults(opening_job(more=f'ring = {{ made = "{made}", cut_at = {cut_at} }}'))
    holes = "1 screw hole" if made == "split" else "2 screw holes"
    assert f"hatch: cut_at = {cut_at}: the ring's cut there" in line
    assert f"runs through {holes} (cut_at =" in line
    told = int(re.search(r"\(cut_at = (\d+) in \[opening.ring\] clears all holes\)", line).group(1))  # type: ignore[union-attr]
    side = 1 if told > cut_at else -1

    def shaky(degrees: int) -> bool:
        text = opening_job(more=f'ring = {{ made = "{made}", cut_at = {degrees} }}')
        try:
            findings = run_checks(laid(text), (), [find_rule("hole-too-near-edge")])
        except JobFaults:
            return True
        return any(each.verdict in (Verdict.FAIL, Verdict.DOUBTFUL) for each in findings)

    assert not shaky(told)
    assert all(shaky(degrees) for degrees in range(cut_at, told, side))


def test_screws_that_leave_no_room_for_a_cut_are_refused_with_how_many_do() -> None:
    """16 nutplates turned along leave no place between two lugs that is 2.5 D from both."""
    keys = {"outline": CIRCLE}
    more = 'ring = { made = "halves" }\nnutplates = { turned = "along" }'
    (line,) = faults(opening_job(**keys, screws='{ fastener = "screw", count = 16 }', more=more))
    assert "hatch: wherever the ring is cut, a screw or a lug rivet lacks 1.27 mm (0.050 in)" in line
    count = int(re.search(r"\((\d+) screws let them hold", line).group(1))  # type: ignore[union-attr]
    assembly, _ = laid_opening(**keys, screws=f'{{ fastener = "screw", count = {count} }}', more=more)
    findings = run_checks(assembly, (), [find_rule("hole-too-near-edge")])
    assert all(each.verdict is not Verdict.FAIL for each in findings)
