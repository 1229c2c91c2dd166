"""The shipped JSON Schema is the model's, takes what can be read, refuses what an editor should mark."""

from __future__ import annotations

import tomllib
from pathlib import Path

import jsonschema
import pytest

import templgen.build
from templgen.job.schema import SCHEMA_FILE, json_schema, schema_text, shipped_schema
from templgen.job.starters import starter, starter_kinds
from tests.unit.job.jobs import MAST, edited

VALIDATOR = jsonschema.Draft202012Validator(json_schema())
DEMOS = sorted((Path(templgen.build.__file__).parent / "jobs").glob("*.toml"))


def complaints(text: str) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(tomllib.loads(text))]


def test_the_shipped_schema_is_up_to_date() -> None:
    assert shipped_schema() == json_schema(), f"write schema_text() to templgen/job/{SCHEMA_FILE}"
    assert schema_text().endswith("}\n")


def test_it_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema())


@pytest.mark.parametrize("path", DEMOS, ids=lambda path: path.stem)
def test_demo_jobs_validate(path: Path) -> None:
    assert complaints(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("kind", starter_kinds())
def test_starter_jobs_validate(kind: str) -> None:
    assert complaints(starter(kind)) == []


@pytest.mark.parametrize(
    "change",
    [
        ('gap = "1/32 in"\n', ""),
        ('gap = "1/32 in"', 'gapp = "1/32 in"'),
        ('gap = "1/32 in"', "gap = 0"),
        ('gap = "1/32 in"', "gap = [1]"),
        ('kind = "rib"', 'kind = "ribb"'),
        ('unit = "in"', 'unit = "inch"'),
        ("to = [12, 0]", "to = [12]"),
        ("to = [12, 0]", "to = 12"),
        ('measured_to = "0.3 mm"', "measured_to = 0"),
        ('name = "mast"', "name = 7"),
        ('widest = "same"', 'widest = "sam"'),
        ("[[mast]]", "[mast]"),
        ("locating = [1, 3]", 'locating = ["1"]'),
        ("axes = { ", "axes = { z = 1, "),
        ('shape = "rectangle", ', ""),
        ("count = 11", "count = 0"),
    ],
)
def test_typical_faults_do_not_validate(change: tuple[str, str]) -> None:
    assert complaints(MAST) == []
    assert complaints(edited(change)) != []


def test_nothing_of_the_reader_shows() -> None:
    text = schema_text()
    assert "__" not in text
    assert '"null"' not in text
    assert '"digest"' not in text


def test_the_default_of_a_length_carries_its_unit() -> None:
    """A bare number is in the unit of the job, which a default can not know."""
    schema = json_schema()
    bare = [
        key
        for table in (schema, *schema["$defs"].values())
        for key, value in table.get("properties", {}).items()
        if isinstance(value.get("default"), float) and value["default"] and "angle" not in key
    ]
    assert bare == []
    assert schema["$defs"]["OpeningBox"]["properties"]["hand_distance"]["default"] == "150 mm"


def test_defaults_of_lengths_are_what_the_model_takes() -> None:
    from templgen.job.behind import OpeningBox
    from templgen.job.openings import OpeningRing
    from templgen.units import parse_length

    for table, key in ((OpeningBox, "hand_distance"), (OpeningRing, "cut_gap")):
        said = json_schema()["$defs"][table.__name__]["properties"][key]["default"]
        assert table.model_fields[key].default == parse_length(said, "in").mm
