"""Access openings in the job file: short to write, and refused in plain words where they can not be."""

from __future__ import annotations

from pathlib import Path

import pytest

from templgen.errors import JobFaults
from templgen.job import read_job, read_job_text
from templgen.job.model import Job
from tests.unit.job.jobs import edited, faults_of

SHORT = """\
title = "Hatch"
unit = "in"
hand = "left"
measured_on = "outside"
measured_to = "0.3 mm"
drilled_to = { locating = 0.01, rivet = 0.01, screw = 0.01, hole = 0.01, cut = 0.015 }
axes = { origin = "first rivet", x = "aft", y = "outboard" }
skin = { material = "2024-T3 clad", thickness = 0.032 }
fastener.cover = { kind = "screw", size = "#8", head = "protruding" }
[[opening]]
name = "hatch"
at = { x = 6, y = 6 }
outline = { shape = "rectangle", length = 5, width = 4, corner_radius = 0.5 }
cover = { kind = "lying" }
screws = { fastener = "cover", count = 8 }
"""

LONG = (
    SHORT
    + """\
ring = { made = "whole" }
nutplates = { kind = "MS21047" }
rivets = { rows = 1 }
[opening.hangs]
name = "box"
length = 3
width = 2
height = 1
plugs = [{ name = "p", side = "+x", width = 0.5, stands_out = 0.5, undone = "on" }]
leads = [{ name = "l", plug = "p", free_length = 12, support = [1, 2, 3] }]
[opening.room]
depth = 5
obstacles = [{ name = "rod", kind = "line", from = [0, 0, 1], to = [9, 0, 1] }]
[nutplate.own]
screw = "#8"
lugs = "two"
rivet_spacing = 0.7
[[closing]]
name = "skin on"
closes = "the bay"
[[task]]
name = "wire"
access = "both sides"
"""
)


def read(text: str) -> Job:
    return read_job_text(text, "job.toml")


def test_an_opening_takes_fifteen_lines() -> None:
    assert len(SHORT.splitlines()) == 15
    hatch = read(SHORT).opening[0]
    assert (hatch.ring.made, hatch.nutplates.turned, hatch.rivets.rows) == ("whole", "auto", 1)
    assert (hatch.opened, hatch.hangs, hatch.room) == ("rarely", None, None)


def test_the_whole_format_reads() -> None:
    job = read(LONG)
    hatch = job.opening[0]
    assert hatch.hangs is not None
    assert hatch.hangs.leads[0].support == pytest.approx((25.4, 50.8, 76.2))
    assert hatch.hangs.hand_distance == 150.0
    assert job.nutplate["own"].rivet_spacing == pytest.approx(17.78)
    assert (job.closing[0].takes, job.task[0].access) == ("inside", "both sides")


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        (
            'cover = { kind = "lying" }',
            'cover = { kind = "flush", gap = 0.02 }',
            10,
            "needs outline_is: a flush",
        ),
        ('cover = { kind = "lying" }', 'cover = { kind = "flush" }', 14, "a flush cover needs gap"),
        ('kind = "lying" }', 'kind = "lying", gap = 0.02 }', 14, "gap is for a flush cover"),
        (
            'kind = "lying" }',
            'kind = "lying", overlap = 1, outline = { shape = "circle", diameter = 9 } }',
            14,
            "both",
        ),
        ("count = 8", "count = 8, pitch = 2", 15, "count and pitch are both given"),
        (", count = 8", "", 15, "count or pitch is needed"),
        ('"cover", count', '"covers", count', 15, 'no fastener is called "covers"'),
        ("count = 8", 'count = 8, fixed = "beside corners"', 15, "how far beside?"),
        ("count = 8", "count = 8, beside = 1", 15, 'beside is for fixed = "beside corners"'),
        ("count = 8", "count = 8, locating = [9]", 15, "there is no screw 9"),
        (
            "count = 8",
            'count = 8, access = "inside"',
            15,
            'allowed: "both sides", "outside only", "hand through "',
        ),
        ("count = 8", 'count = 8, access = "hand through hatsh"', 15, 'no opening is called "hatsh"'),
        ("count = 8", 'count = 8, made_from = "through hatch lid"', 15, 'no part is called "hatch lid"'),
        ('made = "whole"', "cut_at = 30", 16, 'cut_at is for made = "split" or "halves"'),
        ('made = "whole"', 'width = 1, outline = { shape = "circle", diameter = 9 }', 16, "are both given"),
        (
            'made = "whole"',
            'made = "halves", cut_gap = 0.005',
            16,
            "0.005: a cut is at least 0.2 mm (0.008 in)",
        ),
        ('kind = "MS21047"', 'kind = "MS21048x"', 17, 'no nutplate is called "MS21048x" (nearest: MS21048'),
        (
            "rows = 1",
            "rows = 1, qqq = 1",
            18,
            "row_gap, made_from, access besides those that are given)",
        ),
        ('side = "+x"', 'side = "x"', 24, '(nearest: "+x" or "-x")'),
        ("rows = 1", "rows = 1, row_gap = 1", 18, "row_gap is for rows = 2"),
        ("rows = 1", "rows = 3", 18, "3"),
        ('plug = "p"', 'plug = "q"', 25, 'no plug is called "q"'),
        ("[1, 2, 3]", "[1, 2]", 25, "a place in the room behind is three lengths"),
        ("[1, 2, 3] }", '[1, 2, 3], slack_side = "left" }', 25, "slack_side and rib go together"),
        ("to = [9, 0, 1]", "to = [0, 0, 1]", 28, "a line needs two different ends"),
        ('kind = "line"', 'kind = "box"', 28, "a box needs corners that differ"),
        ("to = [9, 0, 1] }", "to = [9, 0, 1], swing = 1 }", 28, "swing is for moving = true"),
        ('lugs = "two"', "floating = true", 29, "needs lugs"),
        ('lugs = "two"', 'standard = "MS21059"\nfloating = true', 29, "a floating nutplate needs free_play"),
        ("rivet_spacing = 0.7", 'rivet = "1/7"', 32, "rivet ="),
        ('closes = "the bay"', 'closes = "the bay"\ntakes = "below"', 36, 'allowed: "inside", "outside"'),
        ('access = "both sides"', 'access = "both sides"\nafter = ["wire"]', 39, '"wire" comes after itself'),
        (
            'access = "both sides"',
            'access = "both sides"\nafter = ["skn on"]',
            39,
            'is called "skn on" (nearest: skin on',
        ),
    ],
)
def test_what_can_not_be_is_said_at_its_line(old: str, new: str, line: int, words: str) -> None:
    found = faults_of(edited((old, new), job=LONG))
    assert any(each.startswith(f"job.toml:{line}:") and words in each for each in found), found


def test_unknown_names_and_sizes_are_told_in_one_run_with_words_that_are_wrong() -> None:
    changes = [
        ('"cover", count = 8', '"covers", count = "many"'),
        ('kind = "MS21047"', 'kind = "MS21048x", qqq = 1'),
        ('size = "#8"', 'size = "M4"'),
    ]
    found = faults_of(edited(*changes, job=LONG))
    for words in (
        "count = ",
        'no fastener is called "covers"',
        "qqq",
        'no nutplate is called "MS21048x"',
        "M4",
    ):
        assert sum(words in each for each in found) == 1, (words, found)


def test_the_parts_of_an_opening_have_names_that_are_taken() -> None:
    part = (
        '[[part]]\nname = "hatch ring"\nat = { x = 1, y = 1 }\noutline = { shape = "circle", diameter = 1 }\n'
        'material = "2024-T3"\nthickness = 0.04\nside = "inside"\n'
    )
    (line,) = faults_of(SHORT + part)
    assert 'the name "hatch ring" is not free' in line


def test_holes_may_pass_the_parts_of_an_opening() -> None:
    hole = (
        '[[hole]]\nname = "vent"\nat = { x = 9, y = 6 }\ndiameter = 0.25\nthrough = ["skin", "hatch ring"]\n'
    )
    assert read(SHORT + hole).hole[0].through == ["skin", "hatch ring"]


HARDWARE = """\
unit = "mm"
[fastener.cover]
kind = "screw"
size = "#6"
head = "protruding"
head_diameter = 6.6
[nutplate.drawer]
screw = "#6"
lugs = "two"
rivet_spacing = 17.5
"""


def _with_hardware(folder: Path, job: str, hardware: str) -> Path:
    (folder / "hardware.toml").write_text(hardware, encoding="utf-8")
    (folder / "job.toml").write_text(job, encoding="utf-8")
    return folder / "job.toml"


def test_own_hardware_stands_beside_the_job_in_its_own_unit(tmp_path: Path) -> None:
    bare = edited(('fastener.cover = { kind = "screw", size = "#8", head = "protruding" }\n', ""), job=SHORT)
    job = read_job(_with_hardware(tmp_path, bare + 'nutplates = { kind = "drawer" }\n', HARDWARE))
    assert job.fastener["cover"].head_diameter == pytest.approx(6.6)
    assert job.nutplate["drawer"].rivet_spacing == pytest.approx(17.5)


def test_the_jobs_own_fastener_goes_before_the_table(tmp_path: Path) -> None:
    job = read_job(_with_hardware(tmp_path, SHORT, HARDWARE))
    assert job.fastener["cover"].size == "#8"


def test_the_digest_counts_the_hardware(tmp_path: Path) -> None:
    first = read_job(_with_hardware(tmp_path, SHORT, HARDWARE)).digest
    assert read_job(_with_hardware(tmp_path, SHORT, HARDWARE.replace("17.5", "17.6"))).digest != first


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('unit = "mm"\n', "", "hardware.toml:1:1: hardware.toml needs the unit"),
        ('unit = "mm"\n', 'unit = "mm"\nskin = 1\n', 'hardware.toml:2:1: hardware.toml has no key "skin"'),
        ("lugs = ", "lug = ", 'hardware.toml:9:1: nutplate "drawer" has no key lug (nearest: lugs)'),
        ("17.5", '"wide"', "hardware.toml:10:1: "),
    ],
)
def test_faults_of_the_hardware_name_its_file(tmp_path: Path, old: str, new: str, words: str) -> None:
    path = _with_hardware(tmp_path, SHORT, HARDWARE.replace(old, new))
    with pytest.raises(JobFaults) as caught:
        read_job(path)
    assert words in str(caught.value)
