"""Which plan opens which cutout: the choice, the builder's own tools, what the job asks for, the words."""

from __future__ import annotations

import pytest

from templgen.geometry import Side, locate, point_contour
from templgen.layout.assembly import Assembly
from templgen.layout.cutting.model import CuttingPlan
from tests.unit.layout.jobs import demo, faults, head, laid, mast, rib
from tests.unit.layout.opening_jobs import laid_opening

CUTOUT = """
[[cutout]]
name = "hole"
at = {{ x = 100, y = 100 }}
outline = {outline}
purpose = "access"
{more}
"""
ROUNDED = '{ shape = "rectangle", length = 100, width = 80, corner_radius = 12.7 }'


def cut(outline: str, more: str = "", cutters: str = "") -> str:
    return head() + cutters + CUTOUT.format(outline=outline, more=more)


def only(assembly: Assembly) -> CuttingPlan:
    (plan,) = assembly.cutting
    return plan


def test_rounded_corners_take_the_largest_bit_that_leaves_something_for_the_file() -> None:
    plan = only(laid(cut(ROUNDED)))
    assert plan.method == "corners"
    # 12.7 less 0.3 is the radius 12.4: 15/16 in (11.906) is the next bit down, 1 in would reach the edge
    assert [hole.words for hole in plan.holes] == ["step drill 15/16"] * 4
    assert {hole.pilot for hole in plan.holes} == {"1/8"}
    assert [hole.name for hole in plan.holes] == ["C1", "C2", "C3", "C4"]
    assert len(plan.cuts) == 4
    assert (plan.allowance, plan.cut_allowance) == (0.3, 1.5)


def test_the_builders_own_tools_are_used() -> None:
    own = '[cutters]\ndrills = []\nstep_drills = ["18 mm"]\nhole_saws = []\nallowance = 0.5\n'
    plan = only(laid(cut(ROUNDED, cutters=own)))
    assert [hole.words for hole in plan.holes] == ["step drill 18 mm"] * 4
    assert plan.allowance == 0.5


def test_without_a_bit_that_fits_there_is_no_plan() -> None:
    own = "[cutters]\ndrills = []\nstep_drills = []\nhole_saws = []\n"
    plan = only(laid(cut(ROUNDED, cutters=own)))
    assert (plan.method, plan.holes, plan.cuts) == ("none", (), ())
    assert "file to the line" in plan.notes[0]


def test_a_large_round_hole_is_chain_drilled() -> None:
    plan = only(laid(cut('{ shape = "circle", diameter = 100 }')))
    assert plan.method == "chain"
    assert plan.web is not None
    assert plan.pitch is not None
    assert f"chain of {len(plan.holes)} holes" in plan.notes[0]
    assert plan.cuts == ()


def test_a_small_round_hole_is_one_hole_and_the_file() -> None:
    plan = only(laid(cut('{ shape = "circle", diameter = 25.4 }')))
    assert [hole.words for hole in plan.holes] == ["step drill 15/16"]
    assert plan.cuts == ()


@pytest.mark.parametrize(("wish", "method"), [("chain", "chain"), ("none", "none"), ("corners", "corners")])
def test_the_job_may_say_how(wish: str, method: str) -> None:
    assert only(laid(cut(ROUNDED, f'cut_by = "{wish}"'))).method == method


def test_corners_where_there_are_none_are_refused() -> None:
    (fault,) = faults(cut('{ shape = "circle", diameter = 100 }', 'cut_by = "corners"'))
    assert "hole can not be opened by drilled corners and straight cuts" in fault
    assert 'cut_by = "chain"' in fault


def test_a_chain_where_it_finds_no_room_is_refused() -> None:
    narrow = '{ shape = "slot", centres = 40, diameter = 2.5 }'
    (fault,) = faults(cut(narrow, 'cut_by = "chain"'))
    assert "the waste is too narrow for a chain of holes" in fault


def test_a_mast_is_drilled_at_nose_and_tail() -> None:
    plan = next(each for each in demo().cutting if each.cutout == "mast cutout")
    assert plan.method == "corners"
    # tail 1/16 + 1/32 in: radius 2.381, less 0.3 is 2.081: #20 (radius 2.045), #19 would be 2.108
    # nose 1/4 + 1/32 in: radius 7.144, less 0.3 is 6.844: step drill 1/2 (6.35)
    assert sorted(hole.words for hole in plan.holes) == ["drill #20", "step drill 1/2"]


def test_marks_are_numbered_through_the_job() -> None:
    names = [hole.name for plan in demo().cutting for hole in plan.holes]
    assert names == [f"C{number}" for number in range(1, len(names) + 1)]


def test_plans_turn_with_the_mast_and_the_hand() -> None:
    for angle in (0.0, 37.0):
        assembly = laid(head(hand="right", measured_hand="left") + rib() + mast(angle))
        for plan in assembly.cutting:
            contour = next(each.contour for each in assembly.cutouts if each.name == plan.cutout)
            for hole in plan.holes:
                assert locate(hole.at, contour) is Side.INSIDE
                room = point_contour(hole.at, contour).distance - hole.diameter / 2
                assert room >= plan.allowance - 1e-6


def test_an_opening_has_a_plan_for_each_of_its_holes() -> None:
    flush, _ = laid_opening(
        cover='{ kind = "flush", gap = 0.4, ledge = 25 }', more='outline_is = "clear hole"\n'
    )
    assert [plan.cutout for plan in flush.cutting] == ["hatch skin hole", "hatch clear hole"]
    assert [plan.faces for plan in flush.cutting] == [("skin",), ("hatch ring",)]
    chained, _ = laid_opening(more='cut_by = "chain"\n')
    assert {plan.method for plan in chained.cutting} == {"chain"}


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('drills = ["#300"]', "drills"),
        ('drills = ["3/8 in"]', "above 1/4 in"),
        ('step_drills = ["0 mm"]', "diameter above zero"),
    ],
)
def test_a_tool_that_can_not_be_is_refused(line: str, says: str) -> None:
    from templgen.errors import JobFaults
    from tests.unit.layout.jobs import read

    with pytest.raises(JobFaults) as caught:
        read(cut(ROUNDED, cutters=f"[cutters]\n{line}\n"))
    assert says in str(caught.value)
