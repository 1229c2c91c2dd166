"""A ring that is countersunk to take the dimples of the sheets on it, from the job to the steps."""

from __future__ import annotations

import math
from itertools import chain

import pytest

from templgen.layout import lay_out
from templgen.layout.assembly import Assembly, Fastener
from templgen.layout.hardware_list import hardware_list
from templgen.layout.work.model import Stage, Step
from templgen.layout.work.steps import work_steps
from templgen.shapes import ShapeLibrary
from tests.unit.layout.jobs import faults, head, laid, read
from tests.unit.layout.opening_jobs import opening_job

INCH = 25.4
SUNK = '[fastener.sunk]\nkind = "screw"\nsize = "#8"\nhead = "flush"\nseat = "dimpled"\n'
IN_PLACE = 'nutplates = { riveted = "in place" }\nrivets = { fastener = "pull" }\n'
RING = 'ring = { thickness = 2.2, under_dimples = "countersunk" }\n'


def flush(more: str = RING, top: str = "") -> str:
    """A flush cover of 0.8 mm with dimpled screws, on a ring."""
    return opening_job(
        cover='{ kind = "flush", gap = 0.4 }',
        screws='{ fastener = "sunk", count = 8 }',
        before=SUNK,
        more=f'outline_is = "clear hole"\nrivets = {{ fastener = "pull" }}\n{more}',
        top=top,
    )


def lying(more: str = RING + IN_PLACE, before: str = SUNK) -> str:
    """A lying cover of 0.8 mm with dimpled screws, nutplates riveted in place through skin and ring."""
    return opening_job(screws='{ fastener = "sunk", count = 8 }', before=before, more=more)


def seats(assembly: Assembly, group: str) -> set[tuple[tuple[str, str], ...]]:
    """How each face of the stacks of a group is made for its heads."""
    own = [each for each in assembly.fasteners if each.group == f"hatch {group}"]
    assert own
    return {tuple((face, each.seat_in(face)) for face in each.stack) for each in own}


def steps_of(text: str) -> tuple[Assembly, tuple[Step, ...]]:
    job = read(text)
    assembly = lay_out(job, ShapeLibrary.standard())
    return assembly, work_steps(job, assembly)


def test_thin_sheets_are_dimpled_and_the_ring_is_countersunk() -> None:
    assembly = laid(flush())
    assert seats(assembly, "screws") == {(("hatch cover", "dimpled"), ("hatch ring", "countersunk"))}
    assert seats(assembly, "nutplate rivets") == {(("hatch ring", "countersunk"),)}
    below = laid(lying())
    over = (("hatch cover", "dimpled"), ("skin", "dimpled"), ("hatch ring", "countersunk"))
    assert seats(below, "screws") == {over}
    assert seats(below, "nutplate rivets") == {over[1:]}


@pytest.mark.parametrize("ring", ["", 'ring = { under_dimples = "dimpled" }\n'])
def test_without_it_every_sheet_is_dimpled_as_ever(ring: str) -> None:
    assembly = laid(flush(ring))
    assert seats(assembly, "screws") == {(("hatch cover", "dimpled"), ("hatch ring", "dimpled"))}


def test_a_countersunk_head_is_let_into_the_sheet_under_it_alone() -> None:
    assembly = laid(lying(before=SUNK.replace("dimpled", "countersunk"), more=""))
    assert seats(assembly, "screws") == {(("hatch cover", "countersunk"), ("skin", ""), ("hatch ring", ""))}
    (inside,) = {each.spec for each in assembly.fasteners if each.group == "hatch screws"}
    turned = next(each for each in assembly.fasteners if each.spec is inside)
    other = Fastener(
        **{name: getattr(turned, name) for name in turned.__struct_fields__} | {"head_side": "inside"}
    )
    assert [other.seat_in(face) for face in other.stack] == ["", "", "countersunk"]


def test_a_ring_that_is_asked_to_take_dimples_where_there_are_none_is_refused() -> None:
    (line,) = faults(opening_job(more=RING))
    assert 'under_dimples = "countersunk", but nothing that lies on its ring is dimpled' in line
    assert 'seat = "dimpled" of "screw"' in line


@pytest.mark.parametrize(
    ("keys", "into"),
    [
        ("ring = { thickness = 1.6 }\n", True),
        ('ring = { thickness = 1.6, under_dimples = "dimpled" }\n', False),
        ("ring = { thickness = 1.0 }\n", False),
    ],
)
def test_lug_rivets_that_the_program_chooses_go_by_plain_lugs_and_the_ring(keys: str, into: bool) -> None:
    """MS20426 3/32 (from memory): 0.036 in deep, + 0.8 mm (1 / sin 50 - 1) = 1.16 mm. A ring of 1.6 mm is
    countersunk for the dimples of the skin, one of 1.0 mm is not: plain lugs stay an error of the checks."""
    assert 0.036 * INCH + 0.8 * (1 / math.sin(math.radians(50)) - 1) == pytest.approx(1.16, abs=0.005)
    assembly = laid(opening_job(more=keys + IN_PLACE))
    ring = "countersunk" if into else "dimpled"
    assert seats(assembly, "nutplate rivets") == {(("skin", "dimpled"), ("hatch ring", ring))}
    (note,) = (note for note in assembly.notes if "too thin to countersink" in note)
    assert ("the ring countersunk to take the dimples" in note) is into
    assert ("the nutplates need countersunk lugs" in note) is not into


def test_lugs_that_take_dimples_leave_the_ring_dimpled() -> None:
    own = '[nutplate.own]\nstandard = "MS21047"\nscrew = "#8"\nlug_seat = "countersunk"\n'
    keys = 'ring = { thickness = 1.6 }\nrivets = { fastener = "pull" }\n'
    nuts = 'nutplates = { kind = "own", riveted = "in place" }\n'
    assembly = laid(opening_job(before=own, more=keys + nuts))
    assert seats(assembly, "nutplate rivets") == {(("skin", "dimpled"), ("hatch ring", "dimpled"))}


def test_the_hardware_list_tells_dimples_and_countersinks_with_their_sheets() -> None:
    """#8: (0.332 in + 2 x 0.8 mm (1 / sin 50 - 1) tan 50) = 9.02 mm wide; to the #15 hole of 0.180 in
    (9.015 - 4.572) / 2 / tan 50 = 1.86 mm deep. Derived."""
    job = read(flush())
    table = hardware_list(job, lay_out(job, ShapeLibrary.standard()))
    rows = [dict(zip(table.columns, row, strict=True)) for row in table.rows]
    screw = next(row for row in rows if row["what"].startswith("screw #8"))
    assert screw["what"] == "screw #8, flush head, dimpled into a countersink"
    wide = 0.332 * INCH + 2 * 0.8 * (1 / math.sin(math.radians(50)) - 1) * math.tan(math.radians(50))
    deep = (wide - 0.180 * INCH) / 2 / math.tan(math.radians(50))
    assert screw["countersink or dimple"] == (
        "dimple hatch cover singly, #8 die; countersink hatch ring 100° for the dimples, "
        f"{wide:.2f} mm wide, {deep:.2f} mm deep"
    )
    plates = next(row for row in rows if row["what"].startswith("nutplate"))
    assert "plain lugs on dimples" not in plates["check against the part in hand"]


def test_a_ring_in_which_the_dimples_bottom_is_told_where_it_is_bought_for() -> None:
    job = read(flush(RING.replace("2.2", "1.5")))
    table = hardware_list(job, lay_out(job, ShapeLibrary.standard()))
    assert any("IS TOO THIN" in cell for row in table.rows for cell in row)


def test_the_step_dimples_the_thin_sheets_and_countersinks_the_ring() -> None:
    _, steps = steps_of(flush())
    (step,) = (step for step in steps if step.stage is Stage.DIMPLE)
    assert step.title == "Dimple and countersink 1 to 24 of hatch"
    assert "Dimple 1 to 8 in hatch cover, each sheet singly" in step.detail
    assert "Never drill through nested dimples" in step.detail
    assert "Countersink with a stop 1 to 8 in hatch ring (outer face" in step.detail
    assert "not dimpled: it takes the dimples" in step.detail
    assert "in scrap of the same sheet, until a dimpled piece of the sheets on it lies flat" in step.detail
    assert "only in the sheet under the head: 9 to 24 in hatch ring" in step.detail
    assert "dimples lie flat in their countersinks, tried in scrap" in step.ticks
    assert (step.parts, step.access) == (("hatch cover", "hatch ring"), "bench")


def test_only_what_is_dimpled_is_drilled_undersize_and_reamed() -> None:
    """One drill through a lug makes ring and skin alike: there both are reamed."""
    reamed = head().replace("[fastener]\n", "[dimpling]\nream = true\n\n[fastener]\n")
    _, steps = steps_of(flush(top=reamed))
    drills = list(chain.from_iterable(step.drills for step in steps))
    screws = [each for each in drills if "1" in each.holes]
    assert {each.parts for each in screws if "undersize" in each.remark} == {("hatch cover",)}
    assert {each.parts for each in screws if "ream" in each.remark} == {("hatch cover",)}
    ring = [each for each in screws if each.parts == ("hatch ring",)]
    assert max(each.diameter for each in ring) == pytest.approx(0.180 * INCH)
    text = lying().replace("[fastener]\n", "[dimpling]\nream = true\n\n[fastener]\n")
    _, steps = steps_of(text)
    lugs = [each for step in steps for each in step.drills if "9" in each.holes]
    assert {each.parts for each in lugs if "ream" in each.remark} == {("skin", "hatch ring")}


def test_a_part_is_drilled_to_size_once_where_nothing_is_reamed() -> None:
    _, steps = steps_of(flush())
    (final,) = (step for step in steps if step.stage is Stage.FINAL)
    assert [each.parts for each in final.drills if "1" in each.holes] == [("hatch cover", "hatch ring")]
