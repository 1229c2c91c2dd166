"""Words and what they belong to: leaders that end clear of their words, findings that stand on something."""

from __future__ import annotations

from importlib.resources import files

import pytest
from msgspec.structs import replace

from templgen.drawing import PathMark, Text
from templgen.errors import Location
from templgen.geometry import Bounds, Contour, Line, Vec
from templgen.layout.assembly import SKIN_PLANE
from templgen.layout.finding import Finding, Severity, Verdict
from templgen.sheets.blanks import blank_of
from templgen.sheets.header import Head, header_marks
from templgen.sheets.lettering import bounds_of
from templgen.sheets.part_sheet import part_scene
from templgen.sheets.placement import LEADER
from templgen.sheets.remarks import Remark, nearest_on
from templgen.sheets.title_block import Fields, title_block
from tests.unit.sheets.support import DEMO, built, judged
from tests.unit.sheets.test_placing import BESIDE_RIB, INSIDE

OPENING = files("templgen.build").joinpath("jobs/opening.toml").read_text(encoding="utf-8")
DETAIL = (
    "Cut the paper on the line. Trace against it: the outer edge of the ink is the edge, the ink is waste."
)


def clearance(line: Line, box: Bounds) -> float:
    points = [line.point_at(step / 40) for step in range(41)]
    return min(Bounds(at.x, at.y, at.x, at.y).distance_to(box) for at in points)


@pytest.mark.parametrize(
    "text", [DEMO, BESIDE_RIB, INSIDE, OPENING], ids=["demo", "rib", "inside", "opening"]
)
def test_no_leader_runs_into_words(text: str) -> None:
    seen = 0
    for each in built(text):
        boxes = [bounds_of(item) for item in each.drawing.items if isinstance(item, Text)]
        for item in each.drawing.items:
            if isinstance(item, PathMark) and item.name == LEADER:
                seen += 1
                (line,) = item.contour.segments
                assert isinstance(line, Line)
                assert min(clearance(line, box) for box in boxes) >= 0.5, (each.name, line)
    assert seen > 10


@pytest.mark.parametrize("width", [40.0, 48.0, 60.0, 75.0, 120.0])
def test_the_header_breaks_at_a_whole_sentence(width: float) -> None:
    items, rest = header_marks(Head((), "Finish template", DETAIL), (), Bounds(0.0, 0.0, width, 22.0))
    shown = " ".join(item.text for item in items if isinstance(item, Text) and item.text != "Finish template")
    assert " ".join([shown, *rest]).strip() == DETAIL
    assert shown == "" or shown.endswith(".")
    assert bool(shown) == (width >= 40.0)


@pytest.mark.parametrize("width", [56.0, 60.0, 72.0, 180.0])
def test_the_digest_stays_whole(width: float) -> None:
    given = dict.fromkeys(Fields.__struct_fields__, "")
    fields = Fields(**{**given, "title": "Hatch", "digest": "07cda9676013", "drawn_by": "A. Builder"})
    items = title_block(fields, Bounds(0.0, 0.0, width, 100.0))
    texts = [item for item in items if isinstance(item, Text)]
    assert "07cda9676013" in [item.text for item in texts]
    boxes = [bounds_of(item) for item in texts]
    assert all(not a.overlaps(b) for n, a in enumerate(boxes) for b in boxes[:n])


def test_the_nearest_point_of_an_edge() -> None:
    square = Contour.rectangle(100.0, 60.0)
    assert nearest_on(Vec(1.0, 20.0), (square,)).distance_to(Vec(1.0, 30.0)) < 0.5
    assert nearest_on(Vec(90.0, 0.0), (square,)).distance_to(Vec(50.0, 0.0)) < 0.5


def test_a_finding_in_an_opening_is_shown_at_its_edge_and_one_on_metal_where_it_is() -> None:
    job, assembly, _ = judged(OPENING)
    (opening,) = assembly.openings
    ring = assembly.parts[assembly.faces[opening.ring_face].part]
    blank = blank_of(assembly, ring)
    inside = Finding(
        rule="box-fouls-ring",
        rule_name="a rule",
        severity=Severity.WARNING,
        verdict=Verdict.FAIL,
        message="told",
        at=Location("job.toml", 1, 1),
        face=opening.ring_face,
        plane=SKIN_PLANE,
        place=opening.clear_hole.bounds.centre,
    )

    def shown(finding: Finding) -> Vec:
        scene = part_scene(job, assembly, blank, [Remark(1, finding)])
        (at,) = next(label.targets for label in scene.labels if label.framed)
        return at

    gap = min(Vec(0, 0).distance_to(shown(inside) - point) for point in _points(blank.contours))
    assert gap < 0.5
    assert shown(inside).distance_to(opening.clear_hole.bounds.centre) > 10.0
    corner = blank.pattern.outline.outer.bounds
    metal = Vec(corner.centre.x, corner.ymax - 3.0)
    assert shown(replace(inside, place=metal)) == metal


def _points(contours: tuple[Contour, ...]) -> list[Vec]:
    return [contour.point_at(contour.length * step / 2000)[0] for contour in contours for step in range(2000)]
