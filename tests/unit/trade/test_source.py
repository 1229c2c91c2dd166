"""The standing of a source, and what it may do."""

from __future__ import annotations

import subprocess
import sys
from importlib.resources import files

import pytest

from templgen.trade.contradictions import contradictions, find_contradiction
from templgen.trade.source import BUILDERS_TABLE, COMMON_PRACTICE, OWN_DEFAULT, Source
from templgen.trade.tables import load_table, sources_of, unknown_name

TABLES = sorted(
    entry.name.removesuffix(".toml")
    for entry in files("templgen.trade").joinpath("data").iterdir()
    if entry.name.endswith(".toml")
)
WITH_SOURCES = [name for name in TABLES if "sources" in load_table(name)]


@pytest.mark.parametrize(
    ("source", "standing", "may_fail"),
    [
        (Source("AC", seen=True), "seen in its source", True),
        (Source("AC", seen=True, disputed=True), "seen in its source, sources disagree", False),
        (Source("AC", seen=True, secondary=True), "seen quoted in another text", False),
        (
            Source("AC", seen=True, secondary=True, confirmed_by="TM"),
            "seen quoted in another text, agrees with TM",
            True,
        ),
        (Source("FAA", confidence="high"), "from memory, confidence high", False),
        (
            Source("FAA", confidence="high", confirmed_by="arithmetic"),
            "from memory, confidence high, agrees with arithmetic",
            True,
        ),
        (
            Source("FAA", confidence="medium", confirmed_by="arithmetic"),
            "from memory, confidence medium, agrees with arithmetic",
            False,
        ),
        (Source("FAA"), "from memory, confidence low", False),
        (Source("geometry", derived=True), "derived", True),
        (Source(COMMON_PRACTICE), "common practice, no source", False),
        (Source(OWN_DEFAULT), "our own default, no source", False),
        (Source(BUILDERS_TABLE), "given by the builder", True),
    ],
)
def test_evidence_sets_what_a_source_may_do(source, standing, may_fail):
    assert source.standing == standing
    assert source.may_fail is may_fail


def test_a_source_prints_document_paragraph_and_standing():
    source = Source("AC 43.13-1B", "para 4-57", seen=True)
    assert str(source) == "AC 43.13-1B, para 4-57 (seen in its source)"
    assert str(Source(COMMON_PRACTICE)) == "common practice"


@pytest.mark.parametrize("name", WITH_SOURCES)
def test_every_source_of_a_table_says_how_it_stands(name):
    for key, source in sources_of(name).items():
        unpublished = source.document in (COMMON_PRACTICE, OWN_DEFAULT, BUILDERS_TABLE)
        assert source.seen or source.derived or unpublished or source.confidence, key
        assert not (source.seen and source.confidence), key


@pytest.mark.parametrize("name", TABLES)
def test_sources_name_documents_and_no_places_on_a_network(name):
    text = files("templgen.trade").joinpath("data", f"{name}.toml").read_text(encoding="utf-8")
    assert not [word for word in ("http", "www.", ".com", ".org", ".net") if word in text]


@pytest.mark.parametrize("name", WITH_SOURCES)
def test_every_source_a_row_names_exists(name):
    def walk(value):
        if isinstance(value, dict):
            for key, inner in value.items():
                if key in ("source", "shear_source"):
                    yield inner
                elif key != "sources":
                    yield from walk(inner)
        elif isinstance(value, list):
            for inner in value:
                yield from walk(inner)

    assert set(walk(dict(load_table(name)))) <= set(load_table(name)["sources"])


def test_an_unknown_name_is_answered_with_the_nearest():
    text = str(unknown_name("paper", "leter", ["a4", "letter"]))
    assert text == '"leter" is no paper; nearest: letter; allowed: a4, letter'


def test_nothing_is_parsed_at_import():
    modules = (
        "drills rivets splices screws nutplates grommets sheet bending loads wires_and_tubes paper limits"
    )
    code = (
        "import importlib, sys\n"
        f"for name in {modules.split()!r}: importlib.import_module('templgen.trade.' + name)\n"
        "from templgen.trade.tables import load_table\n"
        "assert load_table.cache_info().currsize == 0, load_table.cache_info()\n"
        "assert not {'shapely', 'numpy', 'ezdxf', 'pydantic'} & set(sys.modules), 'heavy import'\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_contradictions_are_listed_with_what_is_used():
    assert len({found.name for found in contradictions()}) == len(contradictions()) == 17
    assert all(found.subject and found.first and found.second and found.use for found in contradictions())
    assert find_contradiction("rivet-hole").choices == ("faa", "wartime", "nominal")
    with pytest.raises(ValueError, match="nearest: rivet-hole"):
        find_contradiction("rivet-holes")
