"""Reading: values in mm, places in characters, and every kind of file that is no job."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from templgen.errors import JobFaults
from templgen.job import Job, library_for, read_job, read_job_text
from templgen.job.syntax import syntax_fault
from templgen.job.text import MOST_BYTES
from tests.unit.job.jobs import MAST, edited, faults_of


def test_lengths_are_millimetres_and_tables_are_typed() -> None:
    job = read_job_text(MAST, "folder/job.toml")
    assert job.structure[0].end == (304.8, 0.0)
    assert job.structure[0].flange_width == pytest.approx(15.875)
    assert job.measured_to == 0.3
    assert job.mast[0].gap == pytest.approx(25.4 / 32)
    assert job.mast[0].forward.angle == 180.0
    assert job.fastener["plate"].hole == "#30"
    assert job.mast[0].flange.holes[0].locating == [1, 3]
    assert job.date is None


def test_a_metric_job() -> None:
    job = read_job_text(
        edited(
            ('unit = "in"', 'unit = "mm"'),
            ("[12, 0]", "[300, 0]"),
            ("width = 0.7", "width = 2"),
            ("thickness = 0.032 }", "thickness = 0.8 }"),
            ("thickness = 0.032\n", "thickness = 0.8\n"),
            ("thickness = 0.040", "thickness = 1"),
        )
    )
    assert job.structure[0].end == (300.0, 0.0)
    assert job.structure[0].flange_width == pytest.approx(15.875)


def test_file_and_digest() -> None:
    job = read_job_text(MAST, "folder/job.toml")
    assert job.file == "job.toml"
    assert job.digest == hashlib.sha256(MAST.encode()).hexdigest()[:12]
    assert read_job_text(MAST + "# a word\n").digest != job.digest


def test_digest_is_of_the_bytes_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b"\xef\xbb\xbf" + MAST.replace("\n", "\r\n").encode())
    assert read_job(path).digest == hashlib.sha256(path.read_bytes()).hexdigest()[:12]
    assert read_job(path).mast == read_job_text(MAST, str(path)).mast


def test_a_hole_may_be_a_drill_a_length_or_a_number() -> None:
    for text, hole in (('"#30"', "#30"), ('"3.3 mm"', "3.3 mm"), ("0.1285", "0.1285 in"), ('"1/8"', "1/8")):
        job = read_job_text(edited(('hole = "#30"', f"hole = {text}")))
        assert job.fastener["plate"].hole == hole


def test_a_plain_hole_may_be_a_drill() -> None:
    hole = '[[hole]]\nname = "drain"\nat = { x = 1, y = 2 }\ndiameter = {}\n'
    for text, diameter in (('"#30"', 3.2639), ('"1/4"', 6.35), ("0.25", 6.35), ('"3.3 mm"', 3.3)):
        job = read_job_text(MAST + hole.replace("{}", text))
        assert job.hole[0].diameter == pytest.approx(diameter)
        assert job.hole[0].at.reference == "origin"


@pytest.mark.parametrize(
    ("written", "read"),
    [('"2031-05-09"', "2031-05-09"), ("2031-05-09", "2031-05-09"), ('"May 2031"', "May 2031")],
)
def test_dates(written: str, read: str) -> None:
    assert read_job_text(f"date = {written}\n" + MAST).date == read


def test_a_revision_may_be_a_number() -> None:
    assert read_job_text("revision = 3\n" + MAST).revision == "3"


# Where things stand


def place_of(text: str, found: str) -> tuple[int, int]:
    """Line and column in characters of what stands once in a text: what the reader must say too."""
    assert text.count(found) == 1
    before = text[: text.index(found)]
    return before.count("\n") + 1, len(before) - before.rfind("\n")


def test_every_table_and_key_knows_where_it_stands() -> None:
    job = read_job_text(MAST, "job.toml")
    pairs = [
        (job.where("title"), "title ="),
        (job.drilled_to.where("screw"), "screw ="),
        (job.structure[0].where(), "[[structure]]"),
        (job.structure[0].where("from"), "from = [0"),
        (job.structure[0].rivets[0].where(), "{ fastener"),
        (job.structure[0].rivets[0].where("count"), "count ="),
        (job.mast[0].where(), "[[mast]]"),
        (job.mast[0].at.where("off"), "off ="),
        (job.mast[0].flange.where(), "[mast.flange]"),
        (job.mast[0].flange.outline.where("corner_radius"), "corner_radius"),
        (job.mast[0].flange.holes[0].where("locating"), "locating = ["),
        (job.fastener["plate"].where("pilot"), "pilot ="),
    ]
    text = MAST.replace("holes = [{ fastener", "holes = [{  fastener")
    pairs = [(at, found) for at, found in pairs if found != "{ fastener"]
    for at, found in pairs:
        line, column = place_of(MAST, found)
        assert (at.line, at.column) == (line, column), found
    assert read_job_text(text, "job.toml").structure[0].rivets[0].where().column == 11


WIDE = 'axes = { origin = "Ø 6 µm, 30°, ✈", "y" = "αβγ", x = "aft", zz = "w" }'


def test_columns_count_characters_and_not_bytes() -> None:
    old = 'axes = { origin = "first rivet", x = "aft", y = "outboard" }'
    (line,) = faults_of(edited((old, WIDE)))
    assert line.startswith(f"job.toml:7:{WIDE.index('zz') + 1}: [axes] has no key zz")


def test_columns_after_wide_characters_in_a_key() -> None:
    text = edited(('hand = "left"', '"Ø✈" = 1\n"é".x = 2\nhand = "left"'))
    assert [line.split(" ")[0] for line in faults_of(text)] == ["job.toml:3:1:", "job.toml:4:1:"]


DOTTED = """
[[hole]]
name = "h"
at.from = "origin"
at . x = 1
at."y" = "1,5"
diameter = 0.1
locating
 = 1
"""


def test_dotted_and_quoted_keys() -> None:
    text = MAST + DOTTED.replace("locating\n", "locating")
    lines = [line.split(" = ")[0] for line in faults_of(text)]
    assert lines == ['job.toml:41:4: hole "h": at.y', 'job.toml:43:1: hole "h": locating']


LISTS = """
[[hole]]
name = "one"
at = { x = 1, y = 1 }
diameter = 0.1
[[pattern]]
name = "two"
at = { x = 2, y = 2 }
[pattern.holes]
diameter = 0.1
points = [
  [1, 2],  # [9, "9"]
  [3, "x"],

  [5, 6], [7],
]
[[hole]]
name = "three"
at = { x = 3, y = "y" }
diameter = 0.1
"""


def test_items_of_a_list_over_many_lines_and_tables_of_a_list() -> None:
    places = [line.split(" ")[0] for line in faults_of(MAST + LISTS)]
    assert places == ["job.toml:48:7:", "job.toml:50:11:", "job.toml:54:15:"]


def test_line_ends_of_another_system_and_the_mark_in_front() -> None:
    text = edited(("fillet = 0", "fillet = []")).replace("\n", "\r\n")
    assert [line.split(" ")[0] for line in faults_of(text)] == ["job.toml:29:1:"]


# Files that are none


def fault_of_file(path: Path) -> str:
    with pytest.raises(JobFaults) as caught:
        read_job(path)
    (fault,) = caught.value.faults
    return str(fault)


def test_no_such_file_names_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "mast.toml").write_text(MAST)
    missing = tmp_path / "masst.toml"
    assert fault_of_file(missing) == f"{missing}:1:1: there is no such file; nearest: mast.toml"
    (tmp_path / "i_nohole.toml").write_text(MAST)
    far = tmp_path / "nothere.toml"
    assert fault_of_file(far) == f"{far}:1:1: there is no such file"
    nowhere = tmp_path / "no" / "job.toml"
    assert fault_of_file(nowhere) == f"{nowhere}:1:1: there is no such file"


def test_a_folder(tmp_path: Path) -> None:
    assert fault_of_file(tmp_path) == f"{tmp_path}:1:1: this is a folder; name the job file in it"


FILES = {
    "another encoding": (b'title = "30\xb0"\n', "1:12: byte 0xb0 is not UTF-8 text; save the file as UTF-8"),
    "second line": (b"# \xc3\xb8\n\xc3\xb8\xff", "2:2: byte 0xff is not UTF-8 text; save the file as UTF-8"),
    "UTF-16": ("title = 1".encode("utf-16"), "1:1: saved as UTF-16; save the file as UTF-8"),
    "zeros": (b"a = 1\n\0", "1:1: not a text file (it holds zero bytes); a job file is UTF-8 text"),
    "too long": (b"#" * (MOST_BYTES + 1), "1:1: more than 8 million bytes: no job file is that long"),
}


@pytest.mark.parametrize("case", FILES)
def test_files_that_are_no_text(case: str, tmp_path: Path) -> None:
    content, expected = FILES[case]
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    assert fault_of_file(path) == f"{path}:{expected}"


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000])
def test_names_that_no_file_can_have(name: str) -> None:
    assert ": " in fault_of_file(Path(name))


def test_a_file_that_says_little_is_told_what_is_needed() -> None:
    lines = faults_of('aircraft = "ours"')
    assert [line.split(" needs ")[1].split(":")[0] for line in lines] == [
        "axes", "drilled_to", "hand", "measured_on", "measured_to", "skin", "title", "unit",
    ]  # fmt: skip


# TOML that is none

SYNTAX = {
    "a fraction without quotes": (
        ("thickness = 0.040", "thickness = 1/8"),
        '33:14: nothing more may follow on this line, here stands "/8"'
        " (put a length with a fraction or a unit in quotes)",
    ),
    "a unit without quotes": (
        ("thickness = 0.040", "thickness = 1.2 mm"),
        '33:17: nothing more may follow on this line, here stands "mm"'
        " (put a length with a fraction or a unit in quotes)",
    ),
    "a decimal comma": (
        ("thickness = 0.040", "thickness = 0,040"),
        '33:14: nothing more may follow on this line, here stands ",040"'
        " (a decimal is written with a point: 0.5)",
    ),
    "a drill without quotes": (
        ('pilot = "#40" }', "pilot = #40 }"),
        '10:89: no value can be read here, here stands "#40 }"'
        ' (# begins a comment: put a drill name in quotes: "#40")',
    ),
    "an inch mark in quotes": (
        ('gap = "1/32 in"', 'gap = "1/32""'),
        '28:13: nothing more may follow on this line, here stands "\\""'
        ' (write the inch mark inside a text as \\" or write in: "3/16 in")',
    ),
    "no zero in front": (
        ("thickness = 0.040", "thickness = .040"),
        '33:13: no value can be read here, here stands ".040" (write a digit before the point: 0.040)',
    ),
    "zeros in front": (
        ("thickness = 0.040", "thickness = 007"),
        '33:14: nothing more may follow on this line, here stands "07" (a number has no zeros in front)',
    ),
    "a text without quotes": (
        ('side = "inside"', "side = inside"),
        '34:8: no value can be read here, here stands "inside" (put a text in quotes)',
    ),
    "a large True": (
        ("fillet = 0", "fillet = True"),
        '29:10: no value can be read here, here stands "True" (write true or false, small)',
    ),
    "no value": (
        ("fillet = 0", "fillet ="),
        "29:9: no value can be read here, at the end of the line",
    ),
    "no equals sign": (
        ("fillet = 0", "fillet 0"),
        '29:8: an equals sign is needed behind a key, here stands "0"',
    ),
    "an open text": (
        ('side = "inside"', 'side = "inside'),
        "34:15: a text is not closed: its end quote is missing, at the end of the line",
    ),
    "two keys on a line": (
        ("fillet = 0", 'fillet = 0, "x" = 1'),
        '29:11: nothing more may follow on this line, here stands ", \\"x\\" = 1"'
        " (one key on a line; commas stand only inside [ ] and { })",
    ),
    "the same key twice": (
        ("fillet = 0", "fillet = 0\nfillet = 1"),
        '30:1: this key is given twice, here stands "fillet = 1" (delete one of them)',
    ),
    "the same key twice in a table of one line": (
        ("angle = 180 }", "angle = 180, angle = 1 }"),
        '25:42: this key is given twice, here stands "angle = 1 }" (delete one of them)',
    ),
    "the same table twice": (
        ("[[mast]]", "[fastener]\n[[mast]]"),
        '22:1: this table is given twice; a list of them is [[name]], here stands "[fastener]"',
    ),
    "no such day": (
        ("fillet = 0", "fillet = 2031-02-30"),
        '29:10: there is no such day or time, here stands "2031-02-30"',
    ),
    "an open bracket": (
        ("[mast.flange]", "[mast.flange"),
        "30:13: the bracket ] behind the name of a table is missing, at the end of the line",
    ),
    "a backslash": (
        ('title = "Mast', 'title = "\\Mast'),
        "1:12: a backslash stands alone in a text; write \\\\ or use 'single quotes'"
        ', here stands "ast beside rib 2\\""',
    ),
}


@pytest.mark.parametrize("case", SYNTAX)
def test_syntax_in_plain_words(case: str) -> None:
    change, expected = SYNTAX[case]
    assert faults_of(edited(change)) == [f"job.toml:{expected}"]


def test_an_open_list_at_the_end() -> None:
    (line,) = faults_of(MAST + "x = [1, 2\n")
    assert line.startswith("job.toml:37:1: a list is not closed: a comma or ] is missing")


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "9" * 5000,
        "a = 1e999",
        "a = -inf",
        "a = 0x" + "f" * 5000,
        "a.b.c.d.e.f = 1",
        "a = 9e99999999999",
    ],
)
def test_monstrous_numbers(text: str) -> None:
    assert all(line.startswith("job.toml:") for line in faults_of(text + "\n" + MAST))


@pytest.mark.parametrize("depth", [20, 200, 5000])
def test_deep_nesting_is_refused_where_it_begins(depth: int) -> None:
    text = MAST + "x = " + "[" * depth + "]" * depth + "\n"
    (line,) = faults_of(text)
    assert line == (
        "job.toml:36:20: tables and lists stand more than 16 deep within each other; a job needs six at most"
    )


def test_deep_tables() -> None:
    text = "x = " + "{a = " * 3000 + "1" + "}" * 3000
    assert "deep within each other" in faults_of(text)[0]


@pytest.mark.parametrize(
    ("message", "words"),
    [
        ("Whatever comes next (at line 1, column 2)", "f:1:2: this is not TOML, here stands"),
        ("No place at all", "f:1:1: this is not TOML"),
        ("Invalid value (at end of document)", "f:2:1: no value can be read here, at the end of the line"),
    ],
)
def test_messages_of_another_version_still_give_a_line(message: str, words: str) -> None:
    assert str(syntax_fault(message, "abc\n", "f")).startswith(words)


# The builder's own shapes

OWN = """
name = "own-circle"
title = "Own circle"
kind = "outline"
path = [
    { start = ["size/2", 0] },
    { arc_to = ["-size/2", 0], centre = [0, 0] },
    { arc_to = ["size/2", 0], centre = [0, 0] },
    { close = true },
]
[parameters.size]
unit = "mm"
default = 20.0
required = true
minimum = 1
maximum = 500
meaning = "Diameter."
[example]
parameters = { size = 20.0 }
[example.facts]
extent_x = 20
"""
USE_OWN = ('{ shape = "racecourse", length = 2.2, width = 0.7 }', '{ shape = "own-circle", size = 1 }')


def write_job(folder: Path) -> Path:
    path = folder / "job.toml"
    path.write_text(edited(USE_OWN), encoding="utf-8")
    return path


def test_shapes_of_the_folder_beside_the_job(tmp_path: Path) -> None:
    path = write_job(tmp_path)
    assert "no shape is called" in fault_of_file(path)
    (tmp_path / "shapes").mkdir()
    (tmp_path / "shapes" / "own-circle.toml").write_text(OWN, encoding="utf-8")
    use = read_job(path).mast[0].section
    parameters = use.parameters(library_for(path))
    assert parameters == {"size": 25.4}
    assert library_for(path).get("own-circle").outline(**parameters).contour.bounds.width == pytest.approx(
        25.4
    )


def test_a_faulty_shape_of_ones_own_is_named(tmp_path: Path) -> None:
    path = write_job(tmp_path)
    (tmp_path / "shapes").mkdir()
    (tmp_path / "shapes" / "own-circle.toml").write_text("name = 3", encoding="utf-8")
    line = fault_of_file(path)
    assert line.startswith(f"{path}:1:1: own shapes: own-circle.toml")


def test_an_empty_shapes_folder_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "shapes").mkdir()
    assert library_for(tmp_path / "job.toml") is library_for(tmp_path / "shapes" / "job.toml")


def test_a_job_made_in_python_has_no_place_but_a_name() -> None:
    assert Job.model_fields["file"].default == "<job>"


# Several faults of form in one run

BROKEN = (
    MAST.replace('gap = "1/32 in"', "gap = 1/32")
    .replace("fillet = 0", "fillet = 0,5")
    .replace("thickness = 0.032\nflange", "thickness = .032\nflange")
)


def test_faults_that_stand_on_one_line_are_all_told_in_one_run() -> None:
    found = faults_of(BROKEN)
    assert [fault.split(":")[1] for fault in found] == ["17", "28", "29"]
    assert "write a digit before the point: 0.032" in found[0]
    assert "put a length with a fraction or a unit in quotes" in found[1]
    assert "a decimal is written with a point" in found[2]


@pytest.mark.parametrize(
    "text",
    [
        "a = 1/2\nb = [1,\nc = 1/3\n",
        "a = 1/2\n[table\nc = 1/3\n",
        'a = 1/2\nb = """x\nc = 1/3\n',
        "a = 1/2\nb =\n[1, 2]\nc = 1/3\n",
        "a = 1/2\nb = # the list\n[1, 2]\nc = 1/3\n",
        "a = 1/2\nfastener\na = 1\nc = 1/3\n",
    ],
)
def test_a_fault_that_may_reach_further_ends_the_search(text: str) -> None:
    found = faults_of(text)
    assert len(found) == 2
    assert found[0].startswith("job.toml:1:6: ")
    assert not any('here stands "/3"' in fault for fault in found)


def test_a_list_over_several_lines_is_not_taken_apart() -> None:
    (fault,) = faults_of("a = [\n  1/2,\n  3/4,\n]\nb = 1/2\n")
    assert fault.startswith("job.toml:2:")


def test_what_is_told_of_one_line_is_what_stands_alone_in_a_file_with_that_fault_only() -> None:
    """The same three faults, each in a file of its own: the same words at the same places."""
    alone = []
    for right, wrong in (
        ('gap = "1/32 in"', "gap = 1/32"),
        ("fillet = 0", "fillet = 0,5"),
        ("thickness = 0.032\nflange", "thickness = .032\nflange"),
    ):
        alone += faults_of(MAST.replace(right, wrong))
    assert sorted(alone) == sorted(faults_of(BROKEN))


def test_a_file_that_is_no_job_at_all_is_told_in_a_few_lines() -> None:
    assert len(faults_of("a = 1/2\n" * 400)) <= 20
