"""Field types of the job model: lengths, angles, points, places, and the base of every table.

Each table knows where it and its keys stand in the file (`where`), so that later floors can name
file:line:column for whatever they find. A key stands at its name; so does what is wrong with its value.
"""

from __future__ import annotations

import datetime
import re
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PrivateAttr,
    ValidationInfo,
    WithJsonSchema,
)
from pydantic.json_schema import SkipJsonSchema

from templgen.errors import Location
from templgen.trade.drills import parse_hole_size
from templgen.trade.plausible import sheet_doubt
from templgen.units import Unit, parse_angle, parse_length

if TYPE_CHECKING:
    from templgen.shapes import ShapeLibrary

__all__ = [
    "Angle",
    "Date",
    "Diameter",
    "HoleText",
    "HowWell",
    "Label",
    "Length",
    "Name",
    "Node",
    "Place",
    "Point",
    "PositiveLength",
    "ShapeUse",
    "SheetThickness",
    "Words",
    "empty_dict",
    "empty_list",
]

AT_KEY = "__at__"
KEYS_KEY = "__keys__"
NOWHERE = Location("<job>", 1, 1)
LONGEST_NAME = 60


def empty_list() -> list[Any]:
    """A new list. pydantic asks for the signature of a default, and that of `list` takes long to find out."""
    return []


def empty_dict() -> dict[str, Any]:
    """A new table, as `empty_list`."""
    return {}


class Node(BaseModel):
    """A table of the job file. Unknown keys are faults, and no value changes its type in silence."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        allow_inf_nan=False,
        populate_by_name=True,
        arbitrary_types_allowed=True,
        defer_build=True,  # only the job is built, once, instead of every table and then the job
    )

    at_: Annotated[SkipJsonSchema[Location], Field(alias=AT_KEY, default=NOWHERE, exclude=True, repr=False)]
    keys_: Annotated[
        SkipJsonSchema[dict[str, Location]],
        Field(alias=KEYS_KEY, default_factory=empty_dict, exclude=True, repr=False),
    ]

    def model_post_init(self, context: Any) -> None:
        """Hand a sound table to the reader, which looks for sense where the form is right."""
        if isinstance(context, dict) and "sound" in context:
            context["sound"].append(self)

    def where(self, key: str | None = None) -> Location:
        """Return where this table, or one of its keys (as written in the file), stands in the file."""
        return self.at_ if key is None else self.keys_.get(key, self.at_)


def _unit(info: ValidationInfo) -> Unit:
    unit: Unit = (info.context or {}).get("unit", "mm")
    return unit


def _is_scalar(value: Any) -> bool:
    return isinstance(value, str | int | float) and not isinstance(value, bool)


def _length(value: Any, info: ValidationInfo) -> float:
    if not _is_scalar(value):
        raise ValueError('not a length; allowed: 1.5, "1 3/8 in", "3.2 mm"')
    return parse_length(value, _unit(info)).mm


def _sheet(value: Any, info: ValidationInfo) -> float:
    """A length that is asked about where sheet is not so thick; a unit written with it answers."""
    thickness = _length(value, info)
    has_unit = isinstance(value, str) and re.search(r"[A-Za-z\"]", value) is not None
    if thickness > 0 and (doubt := sheet_doubt(thickness, _unit(info), has_unit)):
        raise ValueError(doubt)
    return thickness


def _diameter(value: Any, info: ValidationInfo) -> float:
    if not _is_scalar(value):
        raise ValueError('not a diameter; allowed: 6.0, "1/4 in", "3.3 mm", or a drill name such as "#30"')
    return parse_hole_size(value, _unit(info)).diameter_mm


def _angle(value: Any) -> float:
    if not _is_scalar(value):
        raise ValueError('not an angle; allowed: 12.5, "12.5 deg"')
    return parse_angle(value)


def _pair(value: Any) -> Any:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError("a point is two lengths: [x, y]")
    return tuple(value)


def _how_well(value: float) -> float:
    if value <= 0:
        raise ValueError("nobody measures or drills exactly; write how far it may be off, either way")
    return value


def _hole(value: Any, info: ValidationInfo) -> Any:
    """A bare number is a diameter in the job's unit; the text keeps its unit from here on."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        parse_hole_size(value, _unit(info))
        return f"{value} {_unit(info)}"
    return value


def _date(value: Any) -> Any:
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value.isoformat()
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d{1,2}-\d{1,2}", value.strip(), re.ASCII):
        try:
            year, month, day = (int(part) for part in value.strip().split("-"))
            datetime.date(year, month, day)
        except ValueError:
            raise ValueError("there is no such day; a date may be 2031-05-09 or words") from None
    return value


def _words(value: str) -> str:
    if not value.strip():
        raise ValueError("empty; write it out or leave the key away")
    if not value.isprintable():
        raise ValueError("one line of plain text is needed, without line breaks or control characters")
    return value


def _name(value: str) -> str:
    _words(value)
    if value != value.strip():
        raise ValueError("a name has no blanks in front or behind")
    if len(value) > LONGEST_NAME:
        raise ValueError(f"a name has at most {LONGEST_NAME} characters")
    if bad := sorted(set(value) & set('/\\:*?"<>|')):
        raise ValueError(f'a name becomes a file name and has none of / \\ : * ? " < > |, here {bad[0]}')
    return value


def _whole_as_text(value: Any) -> Any:
    return (
        str(value) if isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**9 else value
    )


_LENGTH_SCHEMA = {
    "anyOf": [{"type": "number"}, {"type": "string"}],
    "description": "length: number in the job's unit, or text with a unit",
}
_MORE_THAN_NOTHING_SCHEMA = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string"}]}
_ANGLE_SCHEMA = {"anyOf": [{"type": "number"}, {"type": "string"}], "description": "angle in degrees"}
_HOLE_SCHEMA = {"anyOf": [{"type": "string"}, {"type": "number", "exclusiveMinimum": 0}]}
_POINT_SCHEMA = {"type": "array", "items": _LENGTH_SCHEMA, "minItems": 2, "maxItems": 2}
_LABEL_SCHEMA = {"anyOf": [{"type": "string"}, {"type": "integer"}]}

Length = Annotated[float, BeforeValidator(_length), WithJsonSchema(_LENGTH_SCHEMA)]
PositiveLength = Annotated[
    float, BeforeValidator(_length), Field(gt=0), WithJsonSchema(_MORE_THAN_NOTHING_SCHEMA)
]
SheetThickness = Annotated[
    float, BeforeValidator(_sheet), Field(gt=0), WithJsonSchema(_MORE_THAN_NOTHING_SCHEMA)
]
"""Thickness of sheet or plate, mm; a number that is none is asked about."""
Diameter = Annotated[float, BeforeValidator(_diameter), WithJsonSchema(_HOLE_SCHEMA)]
"""Diameter of a plain hole in mm; a drill name is its drill's diameter."""
HowWell = Annotated[Length, AfterValidator(_how_well), WithJsonSchema(_MORE_THAN_NOTHING_SCHEMA)]
"""How far off something may be, in mm either way: never zero."""
Angle = Annotated[float, BeforeValidator(_angle), WithJsonSchema(_ANGLE_SCHEMA)]
Point = Annotated[tuple[Length, Length], BeforeValidator(_pair), WithJsonSchema(_POINT_SCHEMA)]
HoleText = Annotated[str, BeforeValidator(_hole), WithJsonSchema(_HOLE_SCHEMA)]
"""Size of a hole: a drill name or a length, as text with its unit."""
Words = Annotated[str, AfterValidator(_words)]
Name = Annotated[str, AfterValidator(_name)]
Date = Annotated[str, BeforeValidator(_date), AfterValidator(_words)]
Label = Annotated[str, BeforeValidator(_whole_as_text), AfterValidator(_words), WithJsonSchema(_LABEL_SCHEMA)]


class Place(Node):
    """Where something stands: x and y from the origin or a named hole, or along and off a structure line."""

    reference: str = Field("origin", alias="from", description='"origin", a structure line or a named hole')
    x: Length | None = None
    y: Length | None = None
    along: Length | None = Field(None, description="along the line from its first point")
    off: Length | None = Field(None, description="square to the line, positive to the left of its direction")


class ShapeUse(Node):
    """A shape of the library with its parameters; lengths may be written as anywhere else."""

    model_config = ConfigDict(extra="allow")

    shape: str = Field(description="name of a shape of the library", examples=['"rectangle"'])
    _unit: Unit = PrivateAttr("mm")

    def model_post_init(self, context: Any) -> None:
        """Keep the job's unit: the parameters are turned to mm when the library is asked."""
        super().model_post_init(context)
        if isinstance(context, dict):
            self._unit = context.get("unit", "mm")

    def parameters(self, library: ShapeLibrary) -> dict[str, Any]:
        """What the job gives to the shape, ready for `library.get(self.shape).outline(**parameters)`.

        Args:
            library: where shapes come from.

        Returns:
            Lengths in mm, angles in degrees, outlines as contours; defaults are left to the shape.

        Raises:
            JobFaults: no such shape, unknown, missing or unfit parameters; each at its key.
        """
        from templgen.job.shape_values import shape_parameters

        return shape_parameters(self, library, self._unit)
