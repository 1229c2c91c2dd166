"""How a sheet says where its paper lies beside structure: cut or not, along it, by which rivets."""

from __future__ import annotations

import re

import pytest

from templgen.drawing import LineMark, Meaning, Text
from templgen.geometry import Line, Vec
from tests.unit.sheets.random_jobs import random_job
from tests.unit.sheets.support import DEMO, built, circles, judged, sheet, texts
from tests.unit.sheets.test_packet import packet

# A plate of 5.2 x 3.6 in about (6, 1.5), nose towards -x: hole 2 at (6 - 2.2, 1.5 - 1.15) = (3.8, 0.35) in.
# The rib's rivets stand 1.0 + n 1.125 in along: R4 at 4.375 to R7 at 7.75 lie on the plate.
RIVETS = 'rivets = [{ fastener = "old", first = 1.0, pitch = "1 1/8 in", count = 10 }]'
BESIDE_RIB = f"""
title = "Mast beside a rib"
unit = "in"
hand = "left"
measured_on = "inside"
measured_to = "1/64 in"
drilled_to = {{ locating = 0.01, rivet = 0.01, screw = 0.01, hole = 0.015, cut = 0.015 }}
axes = {{ origin = "heel of rib 9 at the spar web", x = "aft", y = "inboard" }}
skin = {{ material = "2024-T3 clad", thickness = 0.025, surface = "lower", room_behind = 5 }}
paper = "letter"

[fastener]
plate = {{ kind = "solid rivet", size = "1/8", head = "universal", hole = "#30", pilot = "#40" }}
old = {{ kind = "solid rivet", size = "3/32", head = "universal", hole = "#40" }}

[[structure]]
name = "rib 9"
kind = "rib"
line_is = "heel"
from = [0, 0]
to = [13, 0]
thickness = 0.025
flange_width = "5/8 in"
flange_side = "right"
bend_radius = "3/32 in"
web_height = 5
{RIVETS}

[[mast]]
name = "mast"
at = {{ from = "rib 9", along = 6, off = 1.5 }}
forward = {{ line = "rib 9", angle = 180 }}
gap = "1/32 in"
fillet = 0
widest = "same"

[mast.section]
shape = "mast-stations"
stations = [0, 0.25, 0.6, 1.0, 1.6, 2.2, 2.5]
left = [0, 0.25, 0.36, 0.4, 0.34, 0.2, 0.08]
right = [0, 0.2, 0.28, 0.3, 0.25, 0.16, 0.08]
tail_radius = "1/32 in"

[mast.flange]
outline = {{ shape = "rectangle", length = 5.2, width = 3.6, corner_radius = 0.5 }}
material = "2024-T3 clad"
thickness = 0.04
side = "inside"

[[mast.flange.holes]]
fastener = "plate"
points = [
  [2.2, 0], [2.2, 1.15], [0.7, 1.15], [-0.7, 1.15], [-2.2, 1.15], [-2.2, -1.4], [-0.7, -1.4], [0.9, -1.4],
  [2.2, -1.4],
]
locating = [2, 6]

[[trim]]
parts = ["paper", "base plate"]
lines = [{{ structure = "rib 9", line = "web face", set_back = "1/32 in" }}]
edge = "butting"
"""
INSIDE = BESIDE_RIB.replace('paper = "letter"', 'paper = "letter"\nlaid_on = "inside"')
NO_RIVETS = INSIDE.replace(RIVETS, "")
NOT_CUT = "Do not cut the paper"


def words_of(text: str, kind: str = "template") -> str:
    return " ".join(texts(sheet(kind, text).drawing))


def butting(text: str, kind: str = "template") -> list[Line]:
    drawn = sheet(kind, text).drawing
    return [item.line for item in drawn.items if isinstance(item, LineMark) and item.meaning is Meaning.BUTT]


def hole(text: str, number: str) -> Vec:
    drawn = sheet("template", text).drawing
    marks = [*circles(drawn, Meaning.HOLE), *circles(drawn, Meaning.LOCATING_HOLE)]
    return next(mark.centre for mark in marks if mark.name == number)


def test_a_paper_laid_inside_is_cut_where_it_stops_and_not_at_the_set_back() -> None:
    # Holes 2 to 5 stand 1.5 - 1.15 = 0.35 in off the web face; the plate's edge stays 1/32 in off it.
    (edge,) = butting(INSIDE)
    for number in ("2", "5"):
        off = abs((hole(INSIDE, number) - edge.start).cross(edge.direction))
        assert off == pytest.approx(0.35 * 25.4, abs=1e-6)
    (metal,) = butting(INSIDE, "part")
    assert metal.length < edge.length
    said = words_of(INSIDE)
    assert "Cut the paper here: it butts against rib 9, stop at the web" in said
    assert "Edge of the base plate: it stays 0.031 in (0.79 mm) off rib 9's web face" in said
    assert "butts against rib 9: stop at the web" not in words_of(INSIDE, "part")


@pytest.mark.parametrize("text", [INSIDE, NO_RIVETS], ids=["with rivets", "without"])
def test_a_paper_laid_inside_says_where_it_stands_along_the_rib(text: str) -> None:
    said = words_of(text)
    first = "its first measured point (x 0.000 in, y 0.000 in)"
    assert f"Along rib 9: hole 2 stands 3.800 in (96.52 mm) from {first}." in said
    assert ("tick the edge square off R" in said) == (text == INSIDE)
    assert "Along rib 9" not in words_of(BESIDE_RIB)


def test_rivets_to_tick_off_are_drawn_and_named() -> None:
    drawn = sheet("template", INSIDE).drawing
    named = re.findall(r"tick the edge square off ([^:]*):", " ".join(texts(drawn)))
    names = set(re.findall(r"R\d+", named[0]))
    single = {item.text for item in drawn.items if isinstance(item, Text)}
    assert {"R4", "R5", "R6", "R7"} <= names <= single
    assert len(circles(drawn, Meaning.EXISTING)) >= len(names)


@pytest.mark.parametrize("text", [DEMO, BESIDE_RIB], ids=["demo", "crowded"])
def test_where_not_to_cut_stands_on_the_template_and_in_the_packet(text: str) -> None:
    assert NOT_CUT in words_of(text)
    told = " ".join(line for page in packet(text) for line in texts(page.drawing))
    assert f"Trim: {NOT_CUT} at rib" in re.sub(r"\s+", " ", told)
    assert not re.search(r"paper and base plate at the web face", told)


def test_where_not_to_cut_stands_on_every_template_of_random_jobs() -> None:
    seen = 0
    for seed in range(0, 90):
        text = random_job(seed)
        if "[[trim]]" not in text:
            continue
        job, assembly, _ = judged(text)
        uncut = any(trim.face.startswith("paper") and trim.reaches for trim in assembly.trims)
        if job.laid_on != "outside" or not uncut:
            continue
        seen += 1
        pages = [each for each in built(text) if each.kind == "template"]
        assert any(NOT_CUT in " ".join(texts(each.drawing)) for each in pages), seed
    assert seen > 5


@pytest.mark.parametrize("text", [DEMO, BESIDE_RIB], ids=["demo", "beside a rib"])
def test_every_rivet_by_which_a_paper_is_placed_is_drawn_and_named_on_its_sheet(text: str) -> None:
    _, assembly, _ = judged(text)
    (names,) = assembly.targets.values()
    drawn = sheet("template", text).drawing
    assert set(names) <= set(texts(drawn))
    assert len(circles(drawn, Meaning.EXISTING)) >= len(names)
    if text == BESIDE_RIB:
        assert names == ("R4", "R5", "R6", "R7")
    (note,) = [note for note in assembly.notes if "place it by the rivets" in note]
    assert re.findall(r"R\d+", note) == list(names)


def test_named_rivets_are_on_the_sheets_of_random_jobs() -> None:
    seen = 0
    for seed in range(0, 90):
        text = random_job(seed)
        if "[[trim]]" not in text:
            continue
        _, assembly, _ = judged(text)
        for paper, names in assembly.targets.items():
            seen += 1
            told = {line for each in built(text) if each.kind == "template" for line in texts(each.drawing)}
            assert set(names) <= told, (seed, paper)
    assert seen > 5


def test_a_paper_that_only_one_measure_places_is_told() -> None:
    def told(text: str) -> list[str]:
        return [each.verdict.name for each in judged(text)[2] if each.rule == "butted-template-can-slide"]

    assert told(NO_RIVETS) == ["FAIL"]
    assert told(INSIDE) == ["PASS"]
    assert told(BESIDE_RIB) == ["NOT_APPLICABLE"]
    assert "can slide along it" in " ".join(texts(sheet("template", NO_RIVETS).drawing))
