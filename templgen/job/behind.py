"""What is behind an opening in the job file: the box on the cover, plugs and leads, the room, the hand."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from templgen.job.features import HoleSet
from templgen.job.fields import Angle, Length, Node, Point, PositiveLength, Words, empty_list

__all__ = [
    "OpeningBox",
    "OpeningHand",
    "OpeningLead",
    "OpeningObstacle",
    "OpeningPlug",
    "OpeningRoom",
    "Point3",
]

HandNeed = Literal["bare hand", "hand with tool", "two hands"]


def _bare_hand() -> list[HandNeed]:
    return ["bare hand"]


def _triple(value: Any) -> Any:
    if not isinstance(value, list | tuple) or len(value) != 3:
        raise ValueError("a place in the room behind is three lengths: [x, y, z]")
    return tuple(value)


_LENGTH_SCHEMA = {"anyOf": [{"type": "number"}, {"type": "string"}]}
Point3 = Annotated[
    tuple[Length, Length, Length],
    BeforeValidator(_triple),
    WithJsonSchema({"type": "array", "items": _LENGTH_SCHEMA, "minItems": 3, "maxItems": 3}),
]
"""x and y in the job's axes, z from the inner face of the skin into the aircraft."""


class OpeningPlug(Node):
    """A plug of the box on the cover.

    `at` is on the named side of the box, from the middle of the box: [y, z] on +x and -x, [x, z] on +y and
    -y, [x, y] on top; z from the cover. `undone` says whether a hand undoes it before the box comes out.
    """

    name: Words = Field(description="what the builder calls it", examples=['"sensor plug"'])
    side: Literal["+x", "-x", "+y", "-y", "top"] = Field(
        description="side of the box, in its own frame; top looks away from the cover", examples=['"+x"']
    )
    at: Point | None = Field(None, description="where on that side; default: its middle")
    width: PositiveLength = Field(description="its width, or its diameter", examples=['"0.6 in"'])
    height: PositiveLength | None = Field(None, description="its height; default: it is round")
    stands_out: PositiveLength = Field(
        description="how far it stands out of the box, with what can not be bent behind it",
        examples=['"1 in"'],
    )
    undone: Literal["in reach", "on"] = Field(
        description="undone in reach with the box held outside, or left on while the box comes out",
        examples=['"in reach"'],
    )


class OpeningLead(Node):
    """A wire or tube that leads to a plug."""

    name: Words = Field(description="what the builder calls it", examples=['"sensor lead"'])
    plug: Words = Field(description="the plug it ends in", examples=['"sensor plug"'])
    free_length: PositiveLength = Field(description="from its last support to the plug", examples=['"12 in"'])
    support: Point3 = Field(
        description="its last support: x and y in the job's axes, z behind the skin",
        examples=["[4.0, 2.0, 1.5]"],
    )
    rib: str | None = Field(None, description="the structure beside which it runs", examples=['"rib 7"'])
    slack_side: Literal["left", "right"] | None = Field(
        None, description="side of that line's direction on which its slack stays"
    )
    stowed: Words | None = Field(None, description="how the slack is held when the cover is on")
    stowed_at: Point3 | None = Field(None, description="where the slack lies when the cover is on")
    stowed_radius: Length = Field(0.0, ge=0, description="room that the stowed slack takes")


class OpeningBox(Node):
    """A box that hangs on the inside of the cover."""

    name: Words = Field(description="what the builder calls it", examples=['"controller"'])
    length: PositiveLength = Field(description="its length, along its own x", examples=['"3 in"'])
    width: PositiveLength = Field(description="its width, along its own y", examples=['"2 in"'])
    height: PositiveLength = Field(description="how far it stands in from the cover", examples=['"1 in"'])
    at: Point = Field((0.0, 0.0), description="its middle in the opening's frame")
    angle: Angle = Field(0.0, description="turn of its x axis in the opening's frame, counter-clockwise")
    flange: PositiveLength | None = Field(
        None,
        description="thickness of its mounting flange; the length of its screws needs it",
        examples=['"0.050 in"'],
    )
    mass_g: float | None = Field(None, gt=0, lt=1e6, description="its mass in grams")
    holes: list[HoleSet] = Field(
        default_factory=empty_list, description="its mounting holes, in its own frame; through the cover"
    )
    plugs: list[OpeningPlug] = Field(default_factory=empty_list, description="its plugs")
    leads: list[OpeningLead] = Field(default_factory=empty_list, description="leads to its plugs")
    hand_distance: PositiveLength = Field(
        150.0,
        description="how far outside the opening it is held while plugs are undone",
        examples=['"6 in"'],
        json_schema_extra={"default": "150 mm"},
    )


class OpeningObstacle(Node):
    """Something in the room behind: a box between two corners, or a line such as a pushrod or a cable."""

    name: Words = Field(description="what it is", examples=['"aileron pushrod"'])
    kind: Literal["box", "line"] = Field(description="a box or a line", examples=['"line"'])
    start: Point3 = Field(
        alias="from", description="first corner or end: [x, y, z]", examples=["[0.0, 4.0, 2.0]"]
    )
    end: Point3 = Field(alias="to", description="other corner or end", examples=["[12.0, 4.0, 2.0]"])
    diameter: Length = Field(0.0, ge=0, description="line: how thick it is")
    moving: bool = Field(False, description="whether it moves, as controls do")
    swing: Length = Field(0.0, ge=0, description="how far it moves, either way")


class OpeningRoom(Node):
    """The room behind the opening."""

    depth: PositiveLength = Field(
        description="from the inner face of the skin to the far skin", examples=['"5.5 in"']
    )
    area: list[Point] | None = Field(
        None, min_length=2, max_length=2, description="two corners of the bay, in the job's axes"
    )
    obstacles: list[OpeningObstacle] = Field(
        default_factory=empty_list,
        description="what stands in it: pushrods, tanks, webs that are no [[structure]]",
    )


class OpeningHand(Node):
    """The hand that goes in: what it has to do, and the builder's own sizes."""

    needs: list[HandNeed] = Field(default_factory=_bare_hand, min_length=1, description="what has to go in")
    width: PositiveLength | None = Field(None, description="across the flat hand", examples=['"3.6 in"'])
    thickness: PositiveLength | None = Field(None, description="of the flat hand", examples=['"1.6 in"'])
    tool_width: PositiveLength | None = Field(None, description="of the hand that holds the tool")
    tool_thickness: PositiveLength | None = Field(None, description="of the hand that holds the tool")
    two_hands_width: PositiveLength | None = Field(None, description="of both hands side by side")
