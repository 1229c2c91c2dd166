"""Steps say on which face and which way round: nutplates, heads, dimples, parts that are taken off.

What the words ask for is common practice, no source.
"""

from __future__ import annotations

import pytest

from templgen.layout import lay_out
from templgen.layout.hardware_list import hardware_list, spares_for
from templgen.layout.work.model import Stage
from templgen.shapes import ShapeLibrary
from tests.unit.layout.jobs import head, mast, read, rib
from tests.unit.layout.opening_jobs import flush_job, opening_job
from tests.unit.layout.test_work_steps import FAR_SKIN, FLUSH, PATTERN, job_steps, of

DIMPLED = (
    '\n[fastener.sunk]\nkind = "screw"\nsize = "#8"\nhead = "flush"\nseat = "dimpled"\nhead_diameter = 8.4\n'
)
IN_PLACE = 'nutplates = { riveted = "in place" }\n'
SUNK = opening_job(before=DIMPLED, screws='{ fastener = "sunk", count = 8 }')
BOX = (
    'hangs = { name = "box", length = 60, width = 40, height = 20, flange = 1.2, '
    'holes = [{ fastener = "small", points = [[24, 12], [-24, 12], [-24, -12], [24, -12]] }] }\n'
)


def test_nutplates_go_on_the_inner_face_of_the_ring_heads_towards_the_skin() -> None:
    steps = job_steps(opening_job())
    assert "on the inner face of the ring, the one away from the skin" in of(steps, Stage.LUGS)[0].detail
    riveted = of(steps, Stage.NUTPLATES)[0].detail
    assert "on the inner face, away from the skin, heads on the outer one" in riveted
    placed = of(job_steps(opening_job(more=IN_PLACE)), Stage.NUTPLATES_IN_PLACE)[0].detail
    assert "behind the ring, heads outside" in placed


def test_dimples_are_told_the_way_that_they_go() -> None:
    (seats,) = of(job_steps(SUNK), Stage.DIMPLE)
    assert "a sheet is pressed towards the inside, punch outside" in seats.detail
    inside = PATTERN.format(more=', head = "inside"')
    (seats,) = of(job_steps(head() + FLUSH + inside), Stage.DIMPLE)
    assert "a sheet is pressed towards the outside, punch inside" in seats.detail


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (opening_job(), ("hatch cover", "hatch ring")),
        (opening_job(more='ring = { made = "halves" }\n'), ("hatch ring 1", "hatch ring 2", "hatch cover")),
        (opening_job(more=IN_PLACE), ("hatch cover", "hatch ring")),
        (flush_job(), ("hatch cover", "hatch ring")),
        (head() + rib() + mast(), ("base plate",)),
    ],
)
def test_parts_are_marked_once_before_the_first_of_them_is_taken_off(
    text: str, parts: tuple[str, ...]
) -> None:
    steps = job_steps(text)
    marked = [step for step in steps if any(tick.startswith("marked before") for tick in step.ticks)]
    assert len(marked) == 1
    words = marked[0].detail
    assert words.startswith("First, while all is still clamped, mark")
    assert all(part in words.partition("an arrow")[0] for part in parts)
    off = [
        step.number
        for step in steps
        if any(each in step.detail for each in ("Cover off", "stack apart", "Take off"))
    ]
    assert marked[0].number == min(off)
    assert marked[0].number > max(step.number for step in of(steps, Stage.MATCH))


def test_a_feature_of_the_skin_alone_has_no_part_to_mark() -> None:
    assert "mark" not in of(job_steps(head() + FLUSH + PATTERN.format(more="")), Stage.FINAL)[0].detail


def test_a_ring_that_is_cut_says_where_and_how_wide() -> None:
    for made, words in (("split", "cut through once"), ("halves", "two parts, 1 and 2")):
        text = opening_job(more=f'ring = {{ made = "{made}", cut_gap = 1.5 }}\n')
        (making,) = of(job_steps(text), Stage.MAKE)
        assert words in making.detail
        assert "1.50 mm" in making.detail
    assert "cut through" not in of(job_steps(opening_job()), Stage.MAKE)[0].detail


def test_a_skin_without_a_squeezer_behind_it_is_dimpled_by_a_tool_that_is_pulled() -> None:
    closed = FAR_SKIN.format(more="done = true")
    in_place = job_steps(opening_job(more=IN_PLACE + 'rivets = { fastener = "pull" }\n' + closed))
    (seats,) = of(in_place, Stage.DIMPLE)
    assert "skin" in seats.parts
    assert "hand-held pull dimple tool" in seats.detail
    assert "pulled die tried in scrap" in seats.ticks
    (seats,) = of(job_steps(opening_job(more=IN_PLACE)), Stage.DIMPLE)
    assert "pull dimple tool" not in seats.detail


def test_a_burr_at_a_dimple_is_told_only_where_there_are_dimples() -> None:
    assert "dimple" in of(job_steps(SUNK), Stage.FINAL)[0].detail
    plain = head() + rib() + mast()
    assert not of(job_steps(plain), Stage.DIMPLE)
    assert "dimple" not in of(job_steps(plain), Stage.FINAL)[0].detail


def test_a_hole_that_came_to_size_for_its_nutplate_is_not_opened_again_in_the_same_sheet() -> None:
    steps = job_steps(opening_job(more=IN_PLACE))
    (lugs,), (final,) = of(steps, Stage.LUGS_CLAMPED), of(steps, Stage.FINAL)
    done = {(hole, part) for each in lugs.drills for hole in each.holes for part in each.parts}
    again = {(hole, part) for each in final.drills for hole in each.holes for part in each.parts}
    assert ("1", "skin") in done
    assert not done & again
    assert "every hole that is listed here" in final.detail


def test_screws_without_a_nutplate_get_nuts_in_the_list_and_in_the_step() -> None:
    text = opening_job(more=BOX)
    job = read(text)
    table = hardware_list(job, lay_out(job, ShapeLibrary.standard()))
    (nuts,) = [row for row in table.rows if row[4].startswith("nut #6")]
    assert nuts[1:4] == (str(4 + spares_for(4)), "4", str(spares_for(4)))
    assert nuts[table.columns.index("joins")] == "flange of box"
    assert not [row for row in table.rows if row[4].startswith("nut #8")]
    (setting,) = of(job_steps(text), Stage.BOX)
    assert "A nut #6 on each" in setting.detail
