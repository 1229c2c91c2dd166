"""Reading a shape file: what is in it is known, complete and of the right kind, or it is refused.

A file has these keys; numbers may be expressions of the parameters (see `templgen.shapes.expressions`).

    name, title, kind       the stem of the file; a short name; "outline" or "pattern" (of holes)
    remarks                 sentences for the builder
    path                    the steps that draw it (see `templgen.shapes.path`), or
    construction            the name of a construction (see `templgen.shapes.constructions`)
    inner                   paths of openings
    [parameters.NAME]       unit, default, meaning; required, minimum, maximum, minimum_is, maximum_is
    [derived]               values reckoned from the parameters, in order
    [example]               parameters, facts that must then hold (see `FACTS`), tolerance in mm
    [source]                document, paragraph, seen, derived, confidence, note, confirmed_by
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomli

from templgen.errors import ShapeError
from templgen.shapes.constructions import Construction, get_construction
from templgen.shapes.expressions import FUNCTIONS, Expression
from templgen.shapes.names import unknown
from templgen.shapes.parameters import SCALARS, UNITS, Number, Parameter, check_values, default_values
from templgen.shapes.path import Step, read_number, read_steps
from templgen.shapes.shape import Example, Shape
from templgen.trade.source import Confidence, Source

__all__ = ["FACTS", "LARGEST_FILE", "read_shape"]

LARGEST_FILE = 100_000
"""A shape file of more bytes is refused."""

FACTS = ("area", "perimeter", "extent_x", "extent_y", "holes")
"""What an example may state: area less openings (mm2), length of all edges, extents (mm), number of holes."""

_TOP = (
    "name",
    "title",
    "kind",
    "remarks",
    "parameters",
    "derived",
    "path",
    "inner",
    "construction",
    "example",
    "source",
)
_PARAMETER = ("unit", "default", "minimum", "minimum_is", "maximum", "maximum_is", "meaning", "required")
_KINDS = ("outline", "pattern")
_SOURCE = ("document", "paragraph", "seen", "confidence", "note", "derived", "confirmed_by")
_CONFIDENCES: tuple[Confidence, ...] = ("high", "medium", "low")
_SHAPE_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_PARAMETER_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
_RESERVED = frozenset({*FUNCTIONS, "pi"})


def read_shape(file: Path) -> Shape:
    """The shape of a file.

    Raises:
        ShapeError: the file can not be read, is not TOML, lacks something or says something unknown; the
        message
            begins with the name of the file and the key.
    """
    table = _load(file)
    label = file.name
    _known_keys(table, _TOP, label)
    kind = _choice(table, "kind", _KINDS, label)
    parameters = _read_parameters(_table(table, "parameters", label), label)
    derived = _read_derived(_table(table, "derived", label), parameters, label)
    construction, outer, inner = _read_drawing(table, kind, parameters, label)
    _known_names((*outer, *(step for steps in inner for step in steps)), {*parameters, *derived})
    return Shape(
        name=_read_name(table, file),
        title=_text(table, "title", label),
        kind=kind,
        parameters=parameters,
        source=_read_source(table, label),
        file=file,
        remarks=_read_remarks(table, label),
        derived=derived,
        outer=outer,
        inner=inner,
        construction=construction,
        example=_read_example(_table(table, "example", label), parameters, derived, label),
    )


def _load(file: Path) -> dict[str, Any]:
    try:
        raw = file.read_bytes()
    except OSError as error:
        raise ShapeError(f"{file}: can not be read: {error.strerror}") from None
    if len(raw) > LARGEST_FILE:
        raise ShapeError(f"{file.name}: {len(raw)} bytes, a shape file has at most {LARGEST_FILE}")
    try:
        return tomli.loads(raw.decode("utf-8"))
    except UnicodeDecodeError as error:
        raise ShapeError(f"{file.name}: byte {error.start + 1} is not UTF-8 text") from None
    except (tomli.TOMLDecodeError, RecursionError) as error:
        place = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        reason = re.sub(r" \(at .*\)", "", str(error))
        at = f":{place[1]}:{place[2]}" if place else ""
        raise ShapeError(f"{file.name}{at}: this is not TOML: {reason}") from None


def _known_keys(table: Mapping[str, Any], allowed: tuple[str, ...], where: str) -> None:
    for key in table:
        if key not in allowed:
            raise ShapeError(f"{where}: {key!r} is not known here; {unknown(key, allowed)}")


def _table(table: Mapping[str, Any], key: str, where: str) -> dict[str, Any]:
    value = table.get(key, {})
    if not isinstance(value, dict):
        raise ShapeError(f"{where}: {key} is not a table")
    return value


def _text(table: Mapping[str, Any], key: str, where: str) -> str:
    value = table.get(key)
    if not isinstance(value, str) or not value.strip():
        raise ShapeError(f"{where}: {key} is missing, a text is needed")
    return value.strip()


def _choice(table: Mapping[str, Any], key: str, allowed: tuple[str, ...] | list[str], where: str) -> str:
    value = _text(table, key, where)
    if value not in allowed:
        raise ShapeError(f"{where}: {key} = {value!r}; {unknown(value, allowed)}")
    return value


def _read_name(table: Mapping[str, Any], file: Path) -> str:
    name = _text(table, "name", file.name)
    if not _SHAPE_NAME.fullmatch(name):
        raise ShapeError(f"{file.name}: name = {name!r}; allowed: small letters, digits and single hyphens")
    if name != file.stem:
        raise ShapeError(f"{file.name}: name = {name!r} differs from the name of the file, {file.stem!r}")
    return name


def _read_remarks(table: Mapping[str, Any], where: str) -> tuple[str, ...]:
    remarks = table.get("remarks", [])
    if not isinstance(remarks, list) or not all(isinstance(item, str) and item for item in remarks):
        raise ShapeError(f"{where}: remarks is not a list of sentences")
    return tuple(remarks)


def _read_source(table: Mapping[str, Any], label: str) -> Source | None:
    if "source" not in table:
        return None
    where = f"{label}: source"
    source = _table(table, "source", label)
    _known_keys(source, _SOURCE, where)
    confidence = next((each for each in _CONFIDENCES if each == source.get("confidence")), None)
    seen, derived = _flag(source, "seen", where), _flag(source, "derived", where)
    if confidence is None and not (seen or derived):
        raise ShapeError(
            f'{where}: needed is seen = true, derived = true, or confidence = "high", "medium", "low"'
        )
    return Source(
        document=_text(source, "document", where),
        paragraph=_text(source, "paragraph", where) if "paragraph" in source else "",
        seen=seen,
        confidence=confidence,
        note=_text(source, "note", where) if "note" in source else "",
        derived=derived,
        confirmed_by=_text(source, "confirmed_by", where) if "confirmed_by" in source else "",
    )


def _flag(table: Mapping[str, Any], key: str, where: str) -> bool:
    value = table.get(key, False)
    if not isinstance(value, bool):
        raise ShapeError(f"{where}: {key} is true or false, not {value!r}")
    return value


def _read_parameters(table: Mapping[str, Any], label: str) -> dict[str, Parameter]:
    parameters: dict[str, Parameter] = {}
    for name, entry in table.items():
        where = f"{label}: parameters.{name}"
        if not _PARAMETER_NAME.fullmatch(name) or name in _RESERVED:
            raise ShapeError(f"{where}: not a name; allowed: small letters, digits and _, no function name")
        if not isinstance(entry, dict):
            raise ShapeError(f"{where}: not a table")
        parameters[name] = _read_parameter(name, entry, parameters, where)
    known = [name for name, parameter in parameters.items() if parameter.is_scalar]
    for name, parameter in parameters.items():
        for limit in (parameter.minimum, parameter.maximum):
            _known(limit, known, f"{label}: parameters.{name}")
    _check_defaults(parameters, label)
    return parameters


def _check_defaults(parameters: Mapping[str, Parameter], label: str) -> None:
    """The defaults have to lie within their own limits, those of required parameters too."""
    try:
        _, faults = check_values(parameters, default_values(parameters), label)
    except ShapeError as error:
        raise ShapeError(f"{label}: default: {error}") from None
    if faults:
        raise ShapeError(f"{label}: parameters.{faults[0].parameter}.default: {faults[0].message}")


def _read_parameter(
    name: str, entry: Mapping[str, Any], before: Mapping[str, Parameter], where: str
) -> Parameter:
    _known_keys(entry, _PARAMETER, where)
    unit = _choice(entry, "unit", list(UNITS), where)
    if "default" not in entry:
        raise ShapeError(
            f"{where}: default is missing; it serves the picture even where the value is required"
        )
    required = _flag(entry, "required", where)
    limits = {
        key: read_number(entry[key], f"{where}.{key}") if key in entry else None
        for key in ("minimum", "maximum")
    }
    default = entry["default"]
    if isinstance(default, str):
        default = read_number(default, f"{where}.default")
        _known(default, _usable(before, unit), f"{where}.default")
    return Parameter(
        name=name,
        unit=unit,
        default=default,
        minimum=limits["minimum"],
        maximum=limits["maximum"],
        meaning=_text(entry, "meaning", where),
        required=required,
        minimum_is=str(entry.get("minimum_is", "")),
        maximum_is=str(entry.get("maximum_is", "")),
    )


def _usable(before: Mapping[str, Parameter], unit: str) -> list[str]:
    """The parameters a default may be reckoned from: numbers for a number, the like for a list."""
    scalar = unit in SCALARS
    return [name for name, each in before.items() if (each.is_scalar if scalar else each.unit == unit)]


def _known(number: Number | None, names: list[str], where: str) -> None:
    """Refuse an expression with a name that has no value at this place."""
    if isinstance(number, Expression):
        for name in number.names:
            if name not in names:
                raise ShapeError(
                    f"{where}: {number.text!r}: no value is called {name!r}; {unknown(name, names)}"
                )


def _known_names(steps: tuple[Step, ...], names: set[str]) -> None:
    for step in steps:
        for name in sorted(step.names - names):
            raise ShapeError(f"{step.where}: no value is called {name!r}; {unknown(name, names)}")


def _read_derived(
    table: Mapping[str, Any], parameters: Mapping[str, Parameter], label: str
) -> dict[str, Number]:
    derived: dict[str, Number] = {}
    known = [name for name, parameter in parameters.items() if parameter.is_scalar]
    for name, value in table.items():
        where = f"{label}: derived.{name}"
        if not _PARAMETER_NAME.fullmatch(name) or name in _RESERVED or name in parameters:
            raise ShapeError(f"{where}: not a new name of small letters, digits and _")
        derived[name] = read_number(value, where)
        _known(derived[name], [*known, *derived.keys() - {name}], where)
    return derived


def _read_drawing(
    table: Mapping[str, Any], kind: str, parameters: Mapping[str, Parameter], label: str
) -> tuple[Construction | None, tuple[Step, ...], tuple[tuple[Step, ...], ...]]:
    if ("path" in table) == ("construction" in table):
        raise ShapeError(f"{label}: exactly one of path, construction is needed")
    openings = table.get("inner", [])
    if not isinstance(openings, list) or (openings and (kind != "outline" or "construction" in table)):
        raise ShapeError(f"{label}: inner is a list of paths and goes with the path of an outline")
    if "path" in table:
        inner = tuple(
            read_steps(steps, kind, f"{label}: inner {place}") for place, steps in enumerate(openings, 1)
        )
        return None, read_steps(table["path"], kind, f"{label}: path"), inner
    return _read_construction(table, kind, parameters, label), (), ()


def _read_construction(
    table: Mapping[str, Any], kind: str, parameters: Mapping[str, Parameter], label: str
) -> Construction:
    try:
        found = get_construction(_text(table, "construction", label))
    except ShapeError as error:
        raise ShapeError(f"{label}: {error}") from None
    if found.kind != kind:
        raise ShapeError(f"{label}: construction {found.name} makes an {found.kind}, the file says {kind}")
    declared = {name: parameter.unit for name, parameter in parameters.items()}
    for name, unit in found.needs.items():
        if declared.get(name) != unit:
            raise ShapeError(f"{label}: construction {found.name} needs a parameter {name} in {unit}")
    for name in declared:
        if name not in found.needs:
            raise ShapeError(
                f"{label}: construction {found.name} does not use {name}; {unknown(name, found.needs)}"
            )
    return found


def _read_example(
    table: Mapping[str, Any], parameters: Mapping[str, Parameter], derived: Mapping[str, Number], label: str
) -> Example:
    where = f"{label}: example"
    _known_keys(table, ("parameters", "facts", "tolerance"), where)
    facts = _table(table, "facts", where)
    _known_keys(facts, FACTS, f"{where}.facts")
    if not facts:
        raise ShapeError(f"{where}: facts are missing; {unknown('', FACTS)}")
    known = [*(name for name, parameter in parameters.items() if parameter.is_scalar), *derived]
    read: dict[str, Number] = {}
    for name, value in facts.items():
        read[name] = read_number(value, f"{where}.facts.{name}")
        _known(read[name], known, f"{where}.facts.{name}")
    defaults = default_values(parameters)
    given = {name: defaults[name] for name, parameter in parameters.items() if parameter.required}
    values, faults = check_values(parameters, {**given, **_table(table, "parameters", where)}, label)
    if faults:
        raise ShapeError(f"{where}: {faults[0].message}")
    tolerance = read_number(table.get("tolerance", 0.0), f"{where}.tolerance")
    if isinstance(tolerance, Expression) or not 0 <= tolerance <= 1:
        raise ShapeError(f"{where}.tolerance is a length from 0 to 1 mm")
    return Example(values, read, tolerance)
