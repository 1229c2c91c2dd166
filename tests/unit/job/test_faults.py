"""Every complaint in full: place, what was given, what is allowed, the nearest name."""

from __future__ import annotations

import pytest

from templgen.errors import UnitError
from templgen.job import read_job_text
from templgen.trade.drills import parse_hole_size
from templgen.units import parse_length
from tests.unit.job.jobs import MAST, edited, faults_of


def refused(text: str) -> str:
    """How the units floor refuses a length: its words are tested there."""
    with pytest.raises(UnitError) as caught:
        parse_length(text, "in")
    return str(caught.value)


FORM = {
    "missing key": (
        ('gap = "1/32 in"\n', ""),
        ['22:1: mast "mast" needs gap: gap between mast and skin, per side (for example gap = "1/32 in")'],
    ),
    "misspelt key": (
        ("fillet = 0", "filet = 0"),
        [
            '22:1: mast "mast" needs fillet: leg of the root fillet or weld bead; 0 if there is none'
            ' (for example fillet = "1/16 in")',
            '29:1: mast "mast" has no key filet (nearest: fillet)',
        ],
    ),
    "key of another table": (
        ("skin = { mat", 'skin = { paper = "a4", mat'),
        ["8:10: [skin] has no key paper (paper belongs to the job itself: put it above the first [table])"],
    ),
    "key like nothing": (
        ("axes = { ", "axes = { qqq = 1, "),
        ["7:10: [axes] has no key qqq (allowed: origin, x, y)"],
    ),
    "zero gap": (('gap = "1/32 in"', "gap = 0"), ['28:1: mast "mast": gap = 0: more than 0 is needed']),
    "negative fillet": (
        ("fillet = 0", "fillet = -0.1"),
        ['29:1: mast "mast": fillet = -0.1: at least 0 is needed'],
    ),
    "list for a length": (
        ('gap = "1/32 in"', "gap = [1]"),
        ['28:1: mast "mast": gap = [1]: not a length; allowed: 1.5, "1 3/8 in", "3.2 mm"'],
    ),
    "true for a length": (
        ("thickness = 0.040", "thickness = true"),
        ['33:1: mast "mast": flange.thickness = true: not a length; allowed: 1.5, "1 3/8 in", "3.2 mm"'],
    ),
    "day for a length": (
        ("thickness = 0.040", "thickness = 1979-05-27"),
        [
            '33:1: mast "mast": flange.thickness = 1979-05-27: not a length;'
            ' allowed: 1.5, "1 3/8 in", "3.2 mm"'
        ],
    ),
    "wrong choice": (
        ('kind = "rib"', 'kind = "ribb"'),
        [
            '13:1: structure "rib 2": kind = "ribb": allowed: "rib", "spar", "stringer", "seam", "skin edge"'
            ' (nearest: "rib")'
        ],
    ),
    "wrong unit": (
        ('unit = "in"', 'unit = "inch"'),
        ['2:1: unit = "inch": allowed: "in", "mm" (nearest: "in")'],
    ),
    "wrong word for a shape": (
        ('widest = "same"', 'widest = "sam"'),
        [
            '27:1: mast "mast": widest = "sam": allowed: "same", or a shape { shape = ... }'
            ' (nearest: "same")',
        ],
    ),
    "number for a text": (
        ('name = "mast"', "name = 7"),
        ['23:1: mast number 1: name = 7: a text in quotes is needed (write "7")'],
    ),
    "blank text": (
        ('title = "Mast beside rib 2"', 'title = "  "'),
        ['1:1: title = "  ": empty; write it out or leave the key away'],
    ),
    "text with a line break": (
        ('title = "Mast beside rib 2"', 'title = "a\\nb"'),
        ['1:1: title = "a\\nb": one line of plain text is needed, without line breaks or control characters'],
    ),
    "name that is no file name": (
        ('name = "mast"', 'name = "mast/1"'),
        [
            '23:1: mast "mast/1": name = "mast/1": a name becomes a file name and has none of'
            ' / \\ : * ? " < > |, here /',
        ],
    ),
    "broken count": (
        ("count = 11", "count = 1.5"),
        ['21:59: structure "rib 2": rivets[1].count = 1.5: a whole number is needed'],
    ),
    "text for a count": (
        ("count = 11", 'count = "11"'),
        ['21:59: structure "rib 2": rivets[1].count = "11": a whole number is needed (write 11)'],
    ),
    "words for a list of numbers": (
        ("locating = [1, 3]", 'locating = "1 and 3"'),
        [
            '35:85: mast "mast": flange.holes[1].locating = "1 and 3": a list in [ ] is needed'
            " (write [1, 3])",
        ],
    ),
    "words in a list of numbers": (
        ("locating = [1, 3]", 'locating = ["1 and 3"]'),
        [
            '35:97: mast "mast": flange.holes[1].locating[1] = "1 and 3": a whole number is needed'
            " (write 1, 3)",
        ],
    ),
    "words that hold no number": (
        ("locating = [1, 3]", 'locating = "the outer ones"'),
        [
            '35:85: mast "mast": flange.holes[1].locating = "the outer ones": a list in [ ] is needed',
        ],
    ),
    "text for a list of names": (
        ("locating = [1, 3]", 'locating = [1, 3], through = "skin"'),
        [
            '35:104: mast "mast": flange.holes[1].through = "skin": a list in [ ] is needed (write ["skin"])',
        ],
    ),
    "count of nothing": (
        ("count = 11", "count = 0"),
        ['21:59: structure "rib 2": rivets[1].count = 0: at least 1 is needed'],
    ),
    "huge count": (
        ("count = 11", "count = 99999999999999999999999999"),
        ['21:59: structure "rib 2": rivets[1].count = a number of very many digits: at most 2000 is needed'],
    ),
    "point of one number": (
        ("to = [12, 0]", "to = [12]"),
        ['16:1: structure "rib 2": to = [12]: a point is two lengths: [x, y]'],
    ),
    "one bracket": (
        ("[[structure]]", "[structure]"),
        [
            "11:1: structure = { ... }: a list in [ ] is needed"
            " (write [[structure]] with two brackets, there may be several)",
            '24:8: no structure or hole is called "rib 2" (allowed: origin)',
            '25:13: no structure is called "rib 2" (none is allowed here)',
        ],
    ),
    "nobody measures exactly": (
        ('measured_to = "0.3 mm"', "measured_to = 0"),
        [
            "5:1: measured_to = 0: nobody measures or drills exactly;"
            " write how far it may be off, either way",
        ],
    ),
    "nobody drills exactly": (
        ("rivet = 0.01", "rivet = 0"),
        [
            "6:33: [drilled_to]: rivet = 0: nobody measures or drills exactly;"
            " write how far it may be off, either way",
        ],
    ),
    "no such day": (
        ('hand = "left"', 'hand = "left"\ndate = "2031-02-29"'),
        ['4:1: date = "2031-02-29": there is no such day; a date may be 2031-05-09 or words'],
    ),
    "number where a drill was meant": (
        ('hole = "#30"', "hole = 30"),
        ['10:67: fastener "plate": hole = 30: drill #30 or 30 in? Write "#30" for the drill, or "30 in"'],
    ),
    "reserved key": (
        ('hand = "left"', 'hand = "left"\n__at__ = 1'),
        ["4:1: no key begins with two underscores: __at__"],
    ),
}


@pytest.mark.parametrize("case", FORM)
def test_fault_of_form(case: str) -> None:
    change, expected = FORM[case]
    assert faults_of(edited(change)) == [f"job.toml:{line}" for line in expected]


SENSE = {
    "rib without flange width": (
        ('flange_width = "5/8 in"\n', ""),
        [
            '11:1: rib "rib 2" needs flange_width: from the heel to the free flange edge: what lies on the'
            ' skin; without a flange write flange = false (for example flange_width = "5/8 in")'
        ],
    ),
    "rib with a skin side": (
        ('flange_side = "right"', 'flange_side = "right"\nskin_side = "left"'),
        ['20:1: rib "rib 2" has no skin_side: that is a skin edge\'s'],
    ),
    "line of one point": (
        ("to = [12, 0]", "to = [0, 0.0]"),
        ['16:1: rib "rib 2": from and to are the same point (a line needs two)'],
    ),
    "unknown structure": (
        ('at = { from = "rib 2"', 'at = { from = "rib 3"'),
        ['24:8: no structure or hole is called "rib 3" (nearest: rib 2)'],
    ),
    "along from the origin": (
        ('at = { from = "rib 2", along', 'at = { from = "origin", along'),
        [
            '24:1: a place from "origin" needs x (write x = 0 if it is nothing)',
            '24:1: a place from "origin" needs y (write y = 0 if it is nothing)',
            '24:25: a place from "origin" takes no along (x and y are allowed, because "origin" is a point)',
            '24:38: a place from "origin" takes no off (x and y are allowed, because "origin" is a point)',
        ],
    ),
    "x from a line": (
        ("along = 6.0, off = 2.6", "along = 6.0, x = 2.6"),
        [
            '24:1: a place from "rib 2" needs off (write off = 0 if it is nothing)',
            '24:37: a place from "rib 2" takes no x'
            ' (along and off are allowed, because "rib 2" is a structure line)',
        ],
    ),
    "unknown line": (
        ('{ line = "rib 2", angle', '{ line = "rib2", angle'),
        ['25:13: no structure is called "rib2" (nearest: rib 2)'],
    ),
    "unknown fastener": (
        ('fastener = "plate", points', 'fastener = "plat", points'),
        ['35:12: no fastener is called "plat" (nearest: plate)'],
    ),
    "hole of no size": (
        ('fastener = "plate", points', "points"),
        [
            "35:10: holes: fastener or diameter is needed"
            " (a name from [fastener], or the diameter of a plain hole)",
        ],
    ),
    "hole of two sizes": (
        ('fastener = "plate", points', 'fastener = "plate", diameter = 0.2, points'),
        [
            "35:32: holes: fastener and diameter are both given; the fastener has its own hole"
            " (delete one of them)",
        ],
    ),
    "locating hole that is not there": (
        ("locating = [1, 3]", "locating = [1, 5]"),
        ["35:85: locating = [1, 5]: there is no hole 5 (1 to 4)"],
    ),
    "one locating hole": (
        ("locating = [1, 3]", "locating = [1]"),
        [
            '35:85: mast "mast" needs two locating holes in its base plate, here are 1'
            " (the paper is pinned on them: locating = [1, 4] names holes by number)",
        ],
    ),
    "the same locating hole twice": (
        ("locating = [1, 3]", "locating = [1, 3, 3]"),
        ["35:85: locating names hole 3 twice"],
    ),
    "flush head without seat": (
        ('head = "universal"', 'head = "flush"'),
        [
            "10:1: a flush head needs seat: how it is let in, countersunk or dimpled"
            ' (for example seat = "dimpled")',
        ],
    ),
    "seat without flush head": (
        ('head = "universal"', 'head = "universal", seat = "dimpled"'),
        ['10:67: seat = "dimpled": only head = "flush" is let in'],
    ),
    "head of another kind": (
        ('head = "universal"', 'head = "protruding"'),
        ['10:47: head = "protruding": a solid rivet has "universal", "flush"'],
    ),
    "grip of a solid rivet": (
        ('head = "universal"', 'head = "universal", grip_max = 0.1'),
        ["10:67: a solid rivet has no grip_max: that is a blind rivet's"],
    ),
    "nut of a solid rivet": (
        ('head = "universal"', 'head = "universal", behind_height = 0.1'),
        ["10:67: a solid rivet has no behind_height: its driven head follows from its diameter"],
    ),
    "text where a drill was meant": (
        ('hole = "#30"', 'hole = "30"'),
        ['10:67: hole = "30": drill #30 or 30 in? Write "#30" for the drill, or "30 in"'],
    ),
    "pilot as large as the hole": (
        ('hole = "#30"', 'hole = "#41"'),
        ['10:81: pilot = "#40" is not smaller than hole = "#41"'],
    ),
    "row that begins nowhere": (
        ("first = 0.5, pitch", "pitch"),
        [
            "21:11: a row of rivets needs first: distance of the first one along the line"
            " (for example first = 1.0)",
        ],
    ),
    "rivets placed twice": (
        ("first = 0.5, pitch = 1.0, count", "points = [[1, 2]], count"),
        ["21:52: rivets are given by points and by count (give points, or first, pitch and count)"],
    ),
    "rivets placed nowhere": (
        ("first = 0.5, pitch = 1.0, count = 11", "off = 0.2"),
        ["21:11: rivets need their places: points, or first, pitch and count along the line"],
    ),
    "name taken": (
        ('name = "mast"', 'name = "Rib 2"'),
        [
            '23:1: the name "Rib 2" is taken by the structure in line 12 (capitals do not tell names apart)',
        ],
    ),
    "name of the skin": (
        ('name = "mast"', 'name = "skin"'),
        ['23:1: the name "skin" is not free: it means the skin'],
    ),
    "name of a face": (
        ('name = "mast"', 'name = "rib 2 web"'),
        ['23:1: the name "rib 2 web" is not free: the program calls a face of "rib 2" so'],
    ),
    "name of a base plate": (
        ('name = "mast"', 'name = "base plate of tail"'),
        ['23:1: the name "base plate of tail" is not free: the program calls base plates and papers so'],
    ),
}


@pytest.mark.parametrize("case", SENSE)
def test_fault_of_sense(case: str) -> None:
    change, expected = SENSE[case]
    assert faults_of(edited(change)) == [f"job.toml:{line}" for line in expected]


SHAPES = {
    "unknown shape": (
        ('shape = "racecourse"', 'shape = "racecours"'),
        ["26:13: no shape is called 'racecours'; nearest: racecourse"],
    ),
    "unknown parameter": (
        ("length = 2.2,", "length = 2.2, nose = 1,"),
        ["26:49: racecourse has no parameter nose; allowed: length, width"],
    ),
    "out of range": (
        ("width = 0.7 }", "width = 7 }"),
        ["26:35: length = 2.2 in (55.88 mm) is below 7 in (177.8 mm) (the width) (given: length = 2.2)"],
    ),
    "a refused value, and what follows from it": (
        ("length = 5.0, width", "length = -5.0, width"),
        ["31:34: length = -5 in (-127 mm) is below 0.019685 in (0.5 mm) (given: length = -5.0)"],
    ),
    "text that is no number": (
        ("corner_radius = 0.5", 'corner_radius = "half"'),
        [f"31:61: rectangle: corner_radius = {refused('half')}"],
    ),
    "two faults": (
        ("length = 5.0, width = 3.5", 'length = "5,0", widht = 3.5'),
        [
            "31:1: rectangle needs width: Overall size along y, edge to edge.",
            f"31:34: rectangle: length = {refused('5,0')}",
            "31:50: rectangle has no parameter widht; nearest: width",
        ],
    ),
}


@pytest.mark.parametrize("case", SHAPES)
def test_fault_of_a_shape(case: str) -> None:
    change, expected = SHAPES[case]
    assert faults_of(edited(change)) == [f"job.toml:{line}" for line in expected]


def test_pattern_where_an_outline_is_needed() -> None:
    (line,) = faults_of(edited(('shape = "racecourse"', 'shape = "row"')))
    assert line.startswith('job.toml:26:13: shape = "row" is a hole pattern; an outline is needed (allowed: ')
    assert "circle" in line
    assert "bolt-circle" not in line


@pytest.mark.parametrize("text", ["0,8 mm", "1 3/8 ft", "#30", "abc", "1e3"])
def test_lengths_are_refused_in_the_words_of_the_units_floor(text: str) -> None:
    lines = faults_of(edited(('gap = "1/32 in"', f'gap = "{text}"')))
    assert lines == [f'job.toml:28:1: mast "mast": gap = {refused(text)}']


def test_a_drill_that_does_not_exist_names_the_nearest() -> None:
    with pytest.raises(UnitError) as caught:
        parse_hole_size("#400", "in")
    (line,) = faults_of(edited(('hole = "#30"', 'hole = "#400"')))
    assert line.startswith(f"job.toml:10:67: hole = {caught.value} (nearest drills: #40, ")


def test_all_faults_come_in_one_run_in_the_order_of_the_file() -> None:
    job = edited(
        ('title = "Mast beside rib 2"\n', ""),
        ('hand = "left"', 'hand = "port"'),
        ("rivet = 0.01", 'rivet = "0,01"'),
        ('flange_side = "right"', 'flange_sid = "right"'),
        ("angle = 180", "angle = 400"),
        ('shape = "racecourse"', 'shape = "race"'),
        ('gap = "1/32 in"', "gap = nan"),
        ('fastener = "plate", points', 'fastener = "plates", points'),
        ("locating = [1, 3]", "locating = [1, 9]"),
    )
    lines = faults_of(job)
    places = [tuple(int(part) for part in line.split(":")[1:3]) for line in lines]
    assert places == sorted(places)
    assert [place[0] for place in places] == [1, 2, 5, 18, 24, 25, 27, 34, 34]


def test_a_faulty_table_does_not_make_every_mention_of_it_a_fault() -> None:
    assert len(faults_of(edited(('kind = "rib"', 'kind = "ribb"')))) == 1


def test_nothing_to_make() -> None:
    job = MAST[: MAST.index("[[mast]]")]
    assert faults_of(job) == [
        "job.toml:1:1: the job makes nothing"
        " (give a [[mast]], [[hole]], [[pattern]], [[cutout]], [[part]], [[bracket]] or [[opening]])"
    ]


MORE = """
[[hole]]
name = "a"
at = { from = "b", x = 1, y = 0 }
diameter = "#40"
[[hole]]
name = "b"
at = { from = "a", x = 1, y = 0 }
diameter = 0.25
through = ["skin", "paper", "rib 9", "skin"]
made_from = "thruogh skin"
[[bracket]]
name = "clip"
structure = "joint"
along = 6
length = 1.5
web_leg = 0.9
skin_leg = 0.75
bend_radius = "5/32 in"
material = "2024-T3 clad"
thickness = 0.032
side = "left"
[[structure]]
name = "joint"
kind = "seam"
from = [0, 5]
to = [12, 5]
bend_radius = 0.125
line_is = "heel"
[[structure]]
name = "edge"
kind = "skin edge"
from = [0, 9]
to = [12, 9]
[[trim]]
parts = ["paper", "base plat", "rib 2", "paper"]
lines = [{ structure = "rib 22", set_back = 0.1 }]
of = "probe"
"""


def test_holes_in_a_ring_brackets_seams_and_trims() -> None:
    assert faults_of(MAST + MORE) == [
        f"job.toml:{line}"
        for line in [
            '39:8: hole "a" is placed from itself: "a" from "b" from "a"',
            '43:8: hole "b" is placed from itself: "b" from "a" from "b"',
            '45:1: no part is called "rib 9" (nearest: rib 2)',
            '45:1: through names "skin" twice',
            "45:1: through names the paper, which is no metal",
            '46:1: made_from = "thruogh skin": allowed: "paper", "through a nutplate",'
            ' or "through " and the name of a part',
            '49:1: bracket "clip" needs a web to stand on; "joint" is a seam',
            '63:1: a seam is a line without a section: seam "joint" has no bend_radius',
            '64:1: a seam is a line without a section: seam "joint" has no heel (leave line_is away)',
            '65:1: skin edge "edge" needs skin_side: on which side of the line, from first to second point,'
            ' the metal lies (for example skin_side = "left")',
            '71:1: no part to trim is called "base plat" (nearest: base plate)',
            '71:1: no part to trim is called "rib 2" (allowed: base plate, paper)',
            '71:1: parts names "paper" twice',
            '72:12: no structure is called "rib 22" (nearest: rib 2)',
            '73:1: no mast is called "probe" (allowed: mast)',
        ]
    ]


BLIND = '{ kind = "blind rivet", size = "1/8", head = "protruding" }'


def test_a_blind_rivet_brings_its_own_numbers() -> None:
    old = '{ kind = "solid rivet", size = "1/8", head = "universal", hole = "#30", pilot = "#40" }'
    lines = faults_of(edited((old, BLIND)))
    assert lines == [
        "job.toml:10:1: a blind rivet needs hole, grip_min, grip_max, head_diameter and unset_length: no "
        'table stands in for the maker\'s (for example hole = "#30", grip_min = "0.020 in", grip_max = '
        '"0.125 in", head_diameter = "0.250 in", unset_length = "0.30 in")'
    ]
    whole = BLIND.replace(
        " }", ', hole = "#30", grip_min = 0.02, grip_max = 0.125, head_diameter = 0.25, unset_length = 0.3 }'
    )
    read_job_text(edited((old, whole)))
    wrong_way = whole.replace("grip_min = 0.02", "grip_min = 0.2")
    assert faults_of(edited((old, wrong_way))) == [
        "job.toml:10:82: grip_min = 0.200 in (5.08 mm) is not less than grip_max = 0.125 in (3.18 mm)"
    ]
    one = whole.replace(", grip_max = 0.125", "")
    (line,) = faults_of(edited((old, one)))
    assert line.startswith("job.toml:10:1: a blind rivet needs grip_max: most metal it may join; no table")


def test_a_rib_without_a_flange_says_so() -> None:
    gone = [('flange_width = "5/8 in"\nflange_side = "right"\nbend_radius = "1/8 in"', "flange = false")]
    job = read_job_text(edited(*gone))
    assert job.structure[0].flange is False
    lines = faults_of(
        edited(*gone, ('line_is = "heel"', 'line_is = "rivet row"'), ("thickness = 0.032\nfl", "fl"))
    )
    assert lines == [
        'job.toml:11:1: rib "rib 2" needs thickness: the web\'s inner face and the bend follow from it'
        ' (for example thickness = "0.032 in")',
        'job.toml:14:1: rib "rib 2" has flange = false, and so no rivet row (allowed: "heel", "web face")',
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [("", "is empty"), (" \n\n", "is empty"), ("# a job\n", "holds comments only")],
)
def test_an_empty_file_is_one_fault(text: str, words: str) -> None:
    told = f'job.toml:1:1: the file {words}; start with "templgen new"'
    assert faults_of(text) == [told]
