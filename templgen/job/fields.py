"""Field types of the job model: lengths, angles, points, places, and the base of every table.

Each table keeps where it stands in the file (`at`) and where each of its keys stands (`key_at`), so
that later floors can name file:line:column for whatever they find.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo, WithJsonSchema

from templgen.errors import Location
from templgen.units import parse_angle, parse_length

__all__ = ["Angle", "Length", "Node", "Place", "Point", "PositiveLength", "ShapeUse"]

AT_KEY = "__at__"
KEYS_KEY = "__keys__"
NOWHERE = Location("<job>", 1, 1)


class Node(BaseModel):
    """A table of the job file. Unknown keys are faults."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, arbitrary_types_allowed=True)

    at_: Annotated[Location, Field(alias=AT_KEY, default=NOWHERE, exclude=True, repr=False)]
    keys_: Annotated[dict[str, Location], Field(alias=KEYS_KEY, default_factory=dict, exclude=True, repr=False)]

    def where(self, key: str | None = None) -> Location:
        """Return where this table, or one of its keys, stands in the file."""
        return self.at_ if key is None else self.keys_.get(key, self.at_)


def _length(value: Any, info: ValidationInfo) -> float:
    context = info.context or {}
    return parse_length(value, context.get("unit", "mm")).mm


_LENGTH_SCHEMA = {"anyOf": [{"type": "number"}, {"type": "string"}], "description": "length: number in the job's unit, or text with a unit"}
Length = Annotated[float, BeforeValidator(_length), WithJsonSchema(_LENGTH_SCHEMA)]
PositiveLength = Annotated[Length, Field(gt=0)]
Angle = Annotated[float, BeforeValidator(lambda value: parse_angle(value))]
Point = tuple[Length, Length]


class Place(Node):
    """Where something stands: x and y from the origin or a named hole, or along and off a structure line."""

    reference: str = Field("origin", alias="from", description='"origin", a structure line or a named hole')
    x: Length | None = None
    y: Length | None = None
    along: Length | None = Field(None, description="along the line from its first point")
    off: Length | None = Field(None, description="square to the line, positive to the left of its direction")


class ShapeUse(Node):
    """A shape of the library with its parameters; lengths may be written as anywhere else."""

    model_config = ConfigDict(extra="allow", frozen=True, populate_by_name=True, arbitrary_types_allowed=True)

    shape: str
