"""Holes in the waste on the sheets: their marks, their words, their table."""

from __future__ import annotations

from importlib.resources import files

import pytest

from templgen.drawing import Meaning
from templgen.geometry import Vec
from templgen.sheets.cutting import cutting_list, cutting_table
from tests.unit.layout.opening_jobs import flush_job
from tests.unit.sheets.support import DEMO, built, circles, judged, sheet, texts

STICK = DEMO.replace('use = "trace"', 'use = "stick"')
OPENING = files("templgen.build").joinpath("jobs/opening.toml").read_text(encoding="utf-8")
CHAIN = DEMO.replace("fillet = 0", 'fillet = 0\ncut_by = "chain"')


@pytest.mark.parametrize("text", [DEMO, STICK, CHAIN], ids=["trace", "stick", "chain"])
def test_holes_stand_on_the_sheet_where_the_plan_has_them(text: str) -> None:
    _, assembly, _ = judged(text)
    drawn = sheet("template" if text is STICK else "rough", text).drawing
    plan = next(each for each in assembly.cutting if "skin" in each.faces)
    marks = {mark.name: mark for mark in circles(drawn, Meaning.ROUGH)}
    assert set(marks) == {hole.name for hole in plan.holes}
    pins = {mark.name: mark.centre for mark in circles(drawn, Meaning.LOCATING_HOLE)}
    pinned = {fastener.name: fastener.at for fastener in assembly.fasteners if fastener.locating}
    for hole in plan.holes:
        assert marks[hole.name].radius == pytest.approx(hole.diameter / 2)
        for name, at in pinned.items():
            measured = marks[hole.name].centre.distance_to(pins[name])
            assert measured == pytest.approx(hole.at.distance_to(at), abs=1e-9)


BARE = flush_job()


def test_without_locating_holes_the_rough_template_is_pinned_on_two_pilots_far_apart() -> None:
    _, assembly, _ = judged(BARE)
    skin = [f for f in assembly.fasteners if "skin" in f.stack]
    assert not [f for f in skin if f.locating]
    far = max(a.at.distance_to(b.at) for a in skin for b in skin)
    drawn = sheet("rough", BARE, "a3").drawing
    pins = circles(drawn, Meaning.HOLE)
    assert len(pins) == 2
    assert pins[0].centre.distance_to(pins[1].centre) == pytest.approx(far, abs=1e-9)
    places = {f.name: f.at for f in skin}
    first = next(each for each in assembly.cutting if "skin" in each.faces).holes[0]
    (mark,) = [each for each in circles(drawn, Meaning.ROUGH) if each.name == first.name]
    for pin in pins:
        assert mark.centre.distance_to(pin.centre) == pytest.approx(first.at.distance_to(places[pin.name]))
    names = sorted((pin.name for pin in pins), key=int)
    told = " ".join(line for each in built(BARE, "a3") for line in texts(each.drawing))
    assert f"Pin this sheet on the pilot holes {' and '.join(names)}" in told
    assert "locating holes in" not in told


def test_in_trace_use_the_finish_template_has_none() -> None:
    assert circles(sheet("template").drawing, Meaning.ROUGH) == []


def test_labels_say_bit_and_pilot() -> None:
    words = texts(sheet("rough").drawing)
    assert "C1 drill #20" in words
    assert "C2 step drill 1/2" in words
    assert "pilot 1/8, wood behind" in words
    (chain,) = [line for line in texts(sheet("rough", CHAIN).drawing) if "chain of" in line]
    assert chain.startswith("C1 to C38: chain of 38 x drill 3/32")


def test_the_table_stands_on_the_notes() -> None:
    lines = [line for each in built() if each.kind == "notes" for line in texts(each.drawing)]
    assert "Drilling the waste" in lines
    job, assembly, _ = judged(DEMO)
    table = cutting_table(job, assembly)
    assert [row[0] for row in table.rows] == ["C1", "C2", "C3"]
    assert table.rows[2][1:3] == ("mast bore", "base plate")
    # the mast's centre stands at 6.0, 2.3 in the job's inches
    assert table.rows[2][3:5] == ("6.000", "2.300")


def test_a_chain_is_one_row_on_paper_and_every_hole_in_the_file() -> None:
    job, assembly, _ = judged(CHAIN)
    plan = next(each for each in assembly.cutting if each.method == "chain")
    table = cutting_table(job, assembly)
    (row,) = [row for row in table.rows if row[1] == plan.cutout]
    count = len(plan.holes)
    assert count > 30
    assert (row[0], row[5]) == (f"C1 to C{count}", "drill 3/32")
    pitch, web = (f"{length / 25.4:.3f} in" for length in (plan.pitch or 0.0, plan.web or 0.0))
    assert row[-1].startswith(f"{count} holes, {pitch} apart, webs of {web} at least")
    assert all(len(each) == len(table.columns) for each in table.rows)
    listed = [each[0] for each in cutting_list(job, assembly).rows if each[1] == plan.cutout]
    assert listed == [hole.name for hole in plan.holes]


def test_the_file_lists_holes_and_straight_cuts_where_the_plan_has_them() -> None:
    job, assembly, _ = judged(OPENING)
    (plan,) = assembly.cutting
    rows = cutting_list(job, assembly).rows
    holes = [row for row in rows if row[3] == "hole in a corner"]
    cuts = [row for row in rows if row[3] == "straight cut"]
    assert [row[0] for row in holes] == [hole.name for hole in plan.holes]
    assert len(cuts) == len(plan.cuts) == 4
    for row, cut in zip(cuts, plan.cuts, strict=True):
        ends = [assembly.view.apply(Vec(float(x), float(y)) * 25.4) for x, y in (row[4:6], row[6:8])]
        for end, planned in zip(ends, (cut.start, cut.end), strict=True):
            assert end.distance_to(planned) < 0.0005 * 25.4 * 1.5  # written to three places of an inch


def test_the_file_says_chain_where_it_is_a_chain() -> None:
    job, assembly, _ = judged(OPENING.replace('opened = "rarely"', 'opened = "rarely"\ncut_by = "chain"'))
    table = cutting_list(job, assembly)
    assert {row[3] for row in table.rows} == {"hole of the chain"}
    assert any("webs of" in note for note in table.notes)
