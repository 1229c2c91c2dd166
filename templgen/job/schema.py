"""JSON Schema of the job file, so that editors complete keys and underline what is unknown.

It is generated from the model; the file `job.schema.json` beside this module is the shipped copy. The schema
knows form only: what belongs together and whether a name exists is found when the job is read.
"""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import tomli
from pydantic.json_schema import GenerateJsonSchema

from templgen.job.model import Job

__all__ = ["SCHEMA_FILE", "json_schema", "schema_text", "shipped_schema"]

SCHEMA_FILE = "job.schema.json"


def json_schema() -> dict[str, Any]:
    """The schema, generated from the model (JSON Schema, draft 2020-12)."""
    schema: dict[str, Any] = _tidied(Job.model_json_schema(by_alias=True, mode="validation"))
    return {"$schema": GenerateJsonSchema.schema_dialect, "title": "templgen job file", **schema}


def _tidied(schema: Any) -> Any:
    """Without names made from keys and without null; with examples as values, not as lines of a file."""
    if isinstance(schema, list):
        return [_tidied(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    tidy = {key: _tidied(item) for key, item in schema.items() if key != "examples"}
    if isinstance(tidy.get("title"), str):
        del tidy["title"]
    if {"type": "null"} in tidy.get("anyOf", []):
        tidy = _without_null(tidy)
    values = [value for text in _texts(schema.get("examples")) for value in _value(text)]
    return {**tidy, "examples": values} if values else tidy


def _without_null(schema: dict[str, Any]) -> dict[str, Any]:
    """TOML has no null: a key that may be left away takes what is left of its choices."""
    choices = [choice for choice in schema["anyOf"] if choice != {"type": "null"}]
    rest = {key: item for key, item in schema.items() if key != "anyOf" and (key, item) != ("default", None)}
    return {**choices[0], **rest} if len(choices) == 1 else {"anyOf": choices, **rest}


def _texts(examples: Any) -> list[str]:
    return [each for each in examples if isinstance(each, str)] if isinstance(examples, list) else []


def _value(text: str) -> list[Any]:
    """The value that an example has in a job file; none for words about a whole table."""
    try:
        return [tomli.loads(f"example = {text}")["example"]]
    except tomli.TOMLDecodeError:
        return []


def schema_text() -> str:
    """The schema as the text that ships: sorted as the model is, two blanks deep."""
    return json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n"


def shipped_schema() -> dict[str, Any]:
    """The schema file that ships with the program."""
    text = files("templgen.job").joinpath(SCHEMA_FILE).read_text(encoding="utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded
