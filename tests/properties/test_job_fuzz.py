"""No text, valid or broken, ends in anything but a job or a list of plain complaints with their places."""

from __future__ import annotations

import datetime
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from templgen.checks import run_checks
from templgen.errors import JobError, JobFaults, TemplgenError
from templgen.job import Job, read_job, read_job_text
from templgen.job.starters import starter, starter_kinds
from templgen.layout import lay_out
from templgen.shapes import ShapeLibrary
from tests.unit.job.jobs import MAST, edited

JOBS = [MAST, *(starter(kind) for kind in starter_kinds())]
TOKEN = re.compile(r'"(?:[^"\\\n]|\\.)*"|[A-Za-z0-9_.\-]+|\n|[^\S\n]+|#[^\n]*|.', re.DOTALL)
JARGON = re.compile(
    r"[Ii]nput should|validation error|pydantic|Traceback|\btype=|for further information|Location\("
)
QUICK = settings(deadline=None, max_examples=80, suppress_health_check=[HealthCheck.too_slow])


def faults_in(text: str) -> tuple[JobError, ...]:
    """Read a text; every fault must be one plain line at a place in the text. () where it is a job."""
    try:
        assert isinstance(read_job_text(text, "job.toml"), Job)
    except JobFaults as caught:
        faults = caught.faults
    else:
        return ()
    lines = text.replace("\r\n", "\n").split("\n")
    assert faults, "faults without a fault"
    for fault in faults:
        assert len(str(fault).splitlines()) == 1, str(fault)
        assert not JARGON.search(str(fault)), str(fault)
        assert len(str(fault)) < 1500
        assert 1 <= fault.at.line <= len(lines)
        assert 1 <= fault.at.column <= len(lines[fault.at.line - 1]) + 1
    return faults


def test_the_jobs_that_are_broken_here_are_whole() -> None:
    assert [faults_in(job) for job in JOBS] == [()] * len(JOBS)


# Tokens taken out, doubled, exchanged

STRANGE = [
    *('"', "[", "]", "{", "}", "=", ",", ".", "\n", "#", "'", "\\", "[[", "\t", "ø", "\r", "\u2028", "\x00"),
    *(
        "-1",
        "1e400",
        "nan",
        "inf",
        "true",
        "null",
        "0x1F",
        "1979-05-27",
        "'''",
        '""',
        '"1,5"',
        '"#30"',
        '"ribb"',
    ),
    *('"\\u0000"', '"\\ud7ff"', "__at__", "from", "[[mast]]", "[fastener.plate]", "<shape>"),
]


@st.composite
def mangled(draw: st.DrawFn) -> str:
    tokens = TOKEN.findall(draw(st.sampled_from(JOBS)))
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(tokens) - 1))
        deed = draw(st.sampled_from(["delete", "double", "exchange", "replace", "replace"]))
        if deed == "delete":
            del tokens[place]
        elif deed == "double":
            tokens.insert(place, tokens[place])
        elif deed == "exchange":
            other = draw(st.integers(0, len(tokens) - 1))
            tokens[place], tokens[other] = tokens[other], tokens[place]
        else:
            tokens[place] = draw(st.sampled_from(STRANGE) | st.sampled_from(tokens))
    return "".join(tokens)


@QUICK
@given(mangled())
def test_mangled_jobs(text: str) -> None:
    faults_in(text)


# Any value of any type at any key

SCALARS = st.one_of(
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.text(max_size=12),
    st.sampled_from(
        ["in", "mm", "left", "#30", "1/8", "3 mm", "rib 2", "skin", "paper", "circle", "row", "same"]
    ),
    st.dates(),
    st.times(),
    st.datetimes(),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["shape", "name", "from", "<shape>", "x", "points", "é", "", "__at__"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=8,
)


def written(value: Any) -> str:
    """A value in TOML, on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, datetime.datetime | datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{written(key)} = {written(item)}" for key, item in value.items()) + "}"
    return repr(value)


def quoted(text: str) -> str:
    """A text in quotes, wide characters as they are, others as their number."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(char if char.isprintable() else f"\\U{ord(char):08x}" for char in escaped) + '"'


def paths_of(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(found for key, item in items for found in paths_of(item, (*path, key)))]


def changed(value: Any, path: tuple[str | int, ...], new: Any) -> Any:
    if not path:
        return new
    key, rest = path[0], path[1:]
    if isinstance(value, list):
        return [changed(item, rest, new) if place == key else item for place, item in enumerate(value)]
    return {name: changed(item, rest, new) if name == key else item for name, item in value.items()}


TABLES = [tomllib.loads(job) for job in JOBS]


@st.composite
def with_a_strange_value(draw: st.DrawFn) -> str:
    tables = draw(st.sampled_from(TABLES))
    for _ in range(draw(st.integers(1, 2))):
        path = draw(st.sampled_from(paths_of(tables)[1:]))
        tables = changed(tables, path, draw(VALUES))
    extra = draw(st.dictionaries(st.text(max_size=6), VALUES, max_size=1))
    return "\n".join(f"{written(key)} = {written(item)}" for key, item in {**extra, **tables}.items())


@QUICK
@given(with_a_strange_value())
@example('"<" = 1\n"" = 2')
@example(edited(('widest = "same"', 'widest = { "<shape>" = 1, shape = "circle", diameter = 3 }')))
def test_any_value_at_any_key(text: str) -> None:
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        pytest.fail(f"the test wrote no TOML: {text}")
    faults_in(text)


@st.composite
def with_other_numbers(draw: st.DrawFn) -> str:
    """A job of which one to three numbers are some times what they were."""
    tables = draw(st.sampled_from(TABLES))
    for _ in range(draw(st.integers(1, 3))):
        paths = [path for path in paths_of(tables) if is_number(value_at(tables, path))]
        path = draw(st.sampled_from(paths))
        factor = draw(st.sampled_from([-1.0, 0.0, 0.1, 0.5, 0.9, 1.01, 1.5, 3.0, 20.0]))
        tables = changed(tables, path, round(value_at(tables, path) * factor, 6))
    return "\n".join(f"{written(key)} = {written(item)}" for key, item in tables.items())


def value_at(value: Any, path: tuple[Any, ...]) -> Any:
    for part in path:
        value = value[part]
    return value


def is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def judge(text: str) -> None:
    """Read, lay out and judge: findings, or faults in words, and never anything else."""
    try:
        assembly = lay_out(read_job_text(text, "job.toml"), ShapeLibrary.standard())
    except TemplgenError:
        return
    assert run_checks(assembly)


@QUICK
@given(with_other_numbers())
def test_any_number_is_judged_or_refused_in_words(text: str) -> None:
    judge(text)


@pytest.mark.heavy
@settings(deadline=None, max_examples=3000, suppress_health_check=[HealthCheck.too_slow])
@given(with_other_numbers())
def test_many_jobs_are_judged_or_refused_in_words(text: str) -> None:
    judge(text)


@pytest.mark.parametrize("job", range(len(JOBS)))
def test_a_job_on_single_lines_is_the_same_job(job: int) -> None:
    text = "\n".join(f"{written(key)} = {written(item)}" for key, item in TABLES[job].items())
    one, other = read_job_text(text), read_job_text(JOBS[job])
    assert one.model_dump() == other.model_dump()


# Texts and bytes without any sense


@QUICK
@given(st.text(max_size=200))
@example("\ufeff")
@example("\ud800 = 1")
@example('a = "\ud800"')
@example("[" * 3000)
@example("a = " + "[" * 3000)
@example("a = " + "{b = " * 2000)
@example("a." * 3000 + "b = 1")
@example("[" + "a." * 2000 + "b]")
@example("title = '''\n'''\n\n")
def test_any_text(text: str) -> None:
    assert faults_in(text)


@QUICK
@given(content=st.binary(max_size=200))
def test_any_bytes(content: bytes, tmp_path_factory: pytest.TempPathFactory) -> None:
    path: Path = tmp_path_factory.mktemp("job") / "job.toml"
    path.write_bytes(content)
    with pytest.raises(JobFaults) as caught:
        read_job(path)
    assert all(fault.at.file == str(path) for fault in caught.value.faults)


# Columns behind characters of many bytes

PRINTABLE = st.text(
    st.characters(exclude_categories=["C", "Z"], exclude_characters='"\\'), min_size=1, max_size=20
)


@QUICK
@given(words=PRINTABLE, blanks=st.integers(0, 5))
def test_columns_behind_any_characters(words: str, blanks: int) -> None:
    line = f'axes = {{ origin = "{words}", x = "aft",{" " * blanks} wrong_key = [1], y = "{words}" }}'
    faults = faults_in(edited(('axes = { origin = "first rivet", x = "aft", y = "outboard" }', line)))
    assert [(fault.at.line, fault.at.column) for fault in faults] == [(7, line.index("wrong_key") + 1)]


@QUICK
@given(words=PRINTABLE)
def test_columns_of_keys_of_any_characters(words: str) -> None:
    line = f'axes = {{ "ø{words}" = 1, origin = "o", x = "aft", y = "" }}'
    faults = faults_in(edited(('axes = { origin = "first rivet", x = "aft", y = "outboard" }', line)))
    expected = [line.index(f'"ø{words}" ='), line.index('y = ""')]
    assert [fault.at.column for fault in faults] == [place + 1 for place in expected]


@pytest.mark.heavy
@settings(deadline=None, max_examples=5000, suppress_health_check=[HealthCheck.too_slow])
@given(mangled() | with_a_strange_value())
def test_many_broken_jobs(text: str) -> None:
    faults_in(text)
