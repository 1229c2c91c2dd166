"""Shapes as a job uses them: where they come from, and their parameters in mm and degrees."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from types import UnionType
from typing import Any

from templgen.errors import GeometryError, JobError, JobFaults, ShapeError, UnitError
from templgen.geometry import Contour
from templgen.job.fields import AT_KEY, KEYS_KEY, ShapeUse
from templgen.job.wording import shown
from templgen.shapes import ShapeLibrary
from templgen.shapes.library import standard_folder
from templgen.shapes.names import unknown
from templgen.shapes.parameters import UNITS
from templgen.shapes.shape import Shape
from templgen.units import Unit, parse_angle, parse_length

__all__ = ["SHAPES_FOLDER", "library_for", "shape_parameters"]

SHAPES_FOLDER = "shapes"


def library_for(path: str | Path) -> ShapeLibrary:
    """The shapes that a job file may use: the library, and those of a folder `shapes` beside the file.

    Raises:
        ShapeError: a shape of that folder is faulty, or its name is taken.
    """
    library = ShapeLibrary.standard()
    folder = Path(path).parent / SHAPES_FOLDER
    try:
        own = any(folder.glob("*.toml")) and not folder.samefile(standard_folder())
    except (OSError, ValueError):
        own = False
    return library.with_folder(folder) if own else library


def shape_parameters(use: ShapeUse, library: ShapeLibrary, unit: Unit) -> dict[str, Any]:
    """The parameters that a job gives to a shape: lengths in mm, angles in degrees, outlines as contours.

    Args:
        use: the table of the job file.
        library: where shapes come from.
        unit: the unit of a bare number.

    Raises:
        JobFaults: no such shape, unknown, missing or unfit parameters; each at its key.
    """
    try:
        shape = library.get(use.shape)
    except ShapeError as error:
        raise JobFaults([JobError(str(error), at=use.where("shape"))]) from None
    given = use.model_extra or {}
    values: dict[str, Any] = {}
    faults: list[JobError] = []
    for name, raw in given.items():
        try:
            values[name] = _value(shape, name, raw, library, unit)
        except (UnitError, ShapeError, GeometryError) as error:
            faults.append(JobError(f"{shape.name}: {_label(name)} = {error}", at=use.where(name)))
        except JobFaults as inner:
            faults += inner.faults
    faults += _unfit(use, shape, values, unit) if not faults else _unfit_at_least(use, shape)
    if faults:
        raise JobFaults(faults)
    return values


def _label(name: str) -> str:
    return name if name.isidentifier() and name.isascii() else shown(name)


def _unfit(use: ShapeUse, shape: Shape, values: Mapping[str, Any], unit: Unit) -> list[JobError]:
    given = use.model_extra or {}
    faults = []
    for fault in shape.faults(values, unit):
        known = fault.parameter in given and fault.parameter in shape.parameters
        hint = f"given: {_label(fault.parameter)} = {shown(given[fault.parameter])}" if known else None
        message = fault.message if fault.parameter not in given or known else _unknown(shape, fault.parameter)
        faults.append(JobError(message, at=use.where(fault.parameter), hint=hint))
    return faults


def _unfit_at_least(use: ShapeUse, shape: Shape) -> list[JobError]:
    """What is wrong whatever the unreadable values were: unknown names and missing parameters."""
    given = use.model_extra or {}
    strange = [
        JobError(_unknown(shape, name), at=use.where(name)) for name in given if name not in shape.parameters
    ]
    missing = [each for each in shape.parameters.values() if each.required and each.name not in given]
    return strange + [
        JobError(f"{shape.name} needs {each.name}: {each.meaning}", at=use.where()) for each in missing
    ]


def _unknown(shape: Shape, name: str) -> str:
    return f"{shape.name} has no parameter {_label(name)}; {unknown(name, shape.parameters)}"


def _value(shape: Shape, name: str, raw: Any, library: ShapeLibrary, unit: Unit) -> Any:
    """A raw value in mm, in degrees or as a number; ShapeError where it is of another type."""
    parameter = shape.parameters.get(name)
    if parameter is None:
        return None
    if parameter.unit == "outline" and isinstance(raw, Mapping):
        return _nested(raw, library, unit)
    try:
        return _READERS[parameter.unit](raw, unit)
    except (TypeError, OverflowError):
        raise ShapeError(f"{shown(raw)} is not {UNITS[parameter.unit]}") from None


def _scalar(raw: Any, types: type | UnionType) -> Any:
    if isinstance(raw, bool) or not isinstance(raw, types):
        raise TypeError
    return raw


def _list(raw: Any) -> list[Any]:
    if not isinstance(raw, list):
        raise TypeError
    return raw


def _number(raw: Any, unit: Unit) -> float:
    return float(_scalar(raw, int | float))


def _length(raw: Any, unit: Unit) -> float:
    return parse_length(_scalar(raw, str | int | float), unit).mm


def _angle(raw: Any, unit: Unit) -> float:
    return parse_angle(_scalar(raw, str | int | float))


def _numbers(raw: Any, unit: Unit) -> list[float]:
    return [_number(item, unit) for item in _list(raw)]


def _lengths(raw: Any, unit: Unit) -> list[float]:
    return [_length(item, unit) for item in _list(raw)]


def _points(raw: Any, unit: Unit) -> list[list[float]]:
    points = [_lengths(item, unit) for item in _list(raw)]
    if any(len(point) != 2 for point in points):
        raise TypeError
    return points


_READERS: dict[str, Callable[[Any, Unit], Any]] = {
    "mm": _length,
    "deg": _angle,
    "count": _number,
    "ratio": _number,
    "lengths": _lengths,
    "counts": _numbers,
    "points": _points,
    "outline": _points,
}


def _nested(raw: Mapping[str, Any], library: ShapeLibrary, unit: Unit) -> Contour:
    """The outline of a shape given as a parameter: outline = { shape = "rectangle", ... }."""
    name = raw.get("shape")
    if not isinstance(name, str):
        raise ShapeError(f"{shown(dict(raw))}: an outline is a table with shape = a name of the library")
    places = {key: raw[key] for key in (AT_KEY, KEYS_KEY) if key in raw}
    given = {key: value for key, value in raw.items() if not key.startswith("__")}
    use = ShapeUse.model_validate({**given, **places}, context={"unit": unit}, by_alias=True, by_name=False)
    return library.get(name).outline(**shape_parameters(use, library, unit)).contour
