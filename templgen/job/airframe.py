"""What the job starts from: axes, skin, structure, kinds of fastener, and how well holes are made."""

from __future__ import annotations

from typing import Literal, get_args

from pydantic import Field

from templgen.errors import JobError
from templgen.job.fields import (
    HoleText,
    HowWell,
    Length,
    Name,
    Node,
    Point,
    PositiveLength,
    SheetThickness,
    Words,
    empty_list,
)

__all__ = [
    "Axes",
    "DrilledTo",
    "FaceSide",
    "FastenerDef",
    "Hand",
    "LineIs",
    "MadeKind",
    "Skin",
    "Structure",
    "StructureRivets",
]

Hand = Literal["left", "right"]
FaceSide = Literal["outside", "inside"]
LineIs = Literal["heel", "free flange edge", "web face", "rivet row"]
MadeKind = Literal["locating", "rivet", "screw", "hole", "cut"]


class DrilledTo(Node):
    """How well holes and cut lines will be made, either way; said of every kind that the job has."""

    locating: HowWell | None = Field(
        None, description="how well the locating holes are drilled", examples=['"0.2 mm"']
    )
    rivet: HowWell | None = Field(
        None, description="how well rivet holes are drilled, if there are any", examples=['"0.2 mm"']
    )
    screw: HowWell | None = Field(
        None, description="how well screw holes are drilled, if there are any", examples=['"0.2 mm"']
    )
    hole: HowWell | None = Field(
        None, description="how well plain round holes are drilled, if there are any", examples=['"0.3 mm"']
    )
    cut: HowWell | None = Field(
        None, description="how well edges are cut and filed, if there are any", examples=['"0.3 mm"']
    )

    @property
    def given(self) -> dict[str, float]:
        """What the job says, by kind, mm."""
        found = {kind: getattr(self, kind) for kind in get_args(MadeKind)}
        return {kind: value for kind, value in found.items() if value is not None}

    def of(self, kind: MadeKind) -> float:
        """Return how well a kind of hole or edge is made, mm. Raises JobError where it is not said."""
        given = getattr(self, kind)
        if given is None:
            raise JobError(f"drilled_to says nothing of {kind}, which the job needs", at=self.where())
        return float(given)


class Axes(Node):
    """Words for the axes as they were measured: where +x and +y point on the aircraft."""

    origin: Words = Field(
        description="what x = 0, y = 0 is on the aircraft", examples=['"crossing of two rivet rows"']
    )
    x: Words = Field(description="where x grows to", examples=['"aft"'])
    y: Words = Field(description="where y grows to", examples=['"outboard"'])


class Skin(Node):
    """The skin that is cut."""

    material: Words = Field(description="alloy and temper of the skin", examples=['"2024-T3 clad"'])
    thickness: SheetThickness = Field(description="thickness of the skin", examples=['"0.032 in"'])
    room_behind: PositiveLength | None = Field(None, description="free depth behind the skin")
    surface: Literal["upper", "lower", "side"] | None = Field(None, description="which surface the skin is")


class FastenerDef(Node):
    """One kind of fastener, named in [fastener.NAME]; tables fill what is left out, where they can.

    A blind rivet has no table row: its hole, grip range, head and unset length are the builder's numbers.
    """

    kind: Literal["solid rivet", "blind rivet", "screw"] = Field(
        description="what kind of fastener it is", examples=['"solid rivet"']
    )
    size: Words = Field(description="nominal size", examples=['"1/8"'])
    head: Literal["universal", "protruding", "flush"] = Field(
        description="the head; universal is a solid rivet's", examples=['"universal"']
    )
    hole: HoleText | None = Field(
        None, description='final hole: a drill name such as "#30", or a diameter', examples=['"#30"']
    )
    pilot: HoleText | None = Field(
        None,
        description=(
            "pilot hole: a drill name or a diameter; default: #40 above 1/8 in, 1/8 above 1/4 in, else none"
        ),
        examples=['"#40"'],
    )
    seat: Literal["countersunk", "dimpled"] | None = Field(
        None, description="how a flush head is let in", examples=['"dimpled"']
    )
    head_diameter: PositiveLength | None = Field(
        None, description="diameter of the head, from calipers or the maker's table", examples=['"0.250 in"']
    )
    head_height: PositiveLength | None = Field(None, description="height of the head")
    behind_diameter: PositiveLength | None = Field(
        None,
        description="what stands behind, across: a blind rivet's pulled end, a screw's nut over its corners",
    )
    behind_height: PositiveLength | None = Field(
        None, description="height of what stands behind: a pulled end, a nut with the end of its screw"
    )
    grip_min: Length | None = Field(
        None, ge=0, description="least metal it may join, from the maker's table", examples=['"0.020 in"']
    )
    grip_max: PositiveLength | None = Field(
        None, description="most metal it may join, from the maker's table", examples=['"0.125 in"']
    )
    unset_length: PositiveLength | None = Field(
        None, description="what stands behind the sheet before pulling", examples=['"0.30 in"']
    )
    shear_lbf: float | None = Field(
        None, gt=0, lt=1e6, description="single shear strength from the maker's table, lbf"
    )


class StructureRivets(Node):
    """Rivets that are there already: measured places, or a row from the line's first point."""

    fastener: str = Field(description="a name from [fastener]", examples=['"old"'])
    points: list[Point] | None = Field(
        None,
        min_length=1,
        description="measured places, in the job's axes",
        examples=["[[1.0, 0.0], [2.0, 0.0]]"],
    )
    first: Length | None = Field(
        None, description="distance of the first one along the line", examples=["1.0"]
    )
    pitch: PositiveLength | None = Field(None, description="from one to the next", examples=["1.0"])
    count: int | None = Field(None, ge=1, le=2000, description="how many there are", examples=["8"])
    off: Length | None = Field(
        None, description="from the heel towards the free flange edge; default: flange middle"
    )


class Structure(Node):
    """A rib, spar, stringer, seam or skin edge: a line through two measured points.

    `flange = false` says of a rib, spar or stringer that its web ends at the skin and nothing lies on it.
    """

    name: Name = Field(description="what the builder calls it", examples=['"rib 7"'])
    kind: Literal["rib", "spar", "stringer", "seam", "skin edge"] = Field(
        description="what it is", examples=['"rib"']
    )
    line_is: LineIs | None = Field(
        None, description="what the two points were measured on", examples=['"rivet row"']
    )
    start: Point = Field(
        alias="from", description="first measured point of the line", examples=["[0.0, 0.0]"]
    )
    end: Point = Field(alias="to", description="second measured point of the line", examples=["[12.0, 0.0]"])
    material: Words | None = Field(None, description="alloy and temper")
    thickness: SheetThickness | None = Field(None, description="its sheet thickness", examples=['"0.032 in"'])
    flange: bool = Field(True, description="false: no flange lies on the skin")
    flange_width: PositiveLength | None = Field(
        None, description="from the heel to the free flange edge", examples=['"5/8 in"']
    )
    flange_side: Hand | None = Field(
        None, description="side of the line's direction on which the flange lies", examples=['"right"']
    )
    skin_side: Hand | None = Field(
        None, description="skin edge: the side on which the metal lies", examples=['"left"']
    )
    bend_radius: PositiveLength | None = Field(
        None, description="inside radius between flange and web", examples=['"1/8 in"']
    )
    web_height: PositiveLength | None = Field(None, description="height of the web, away from the skin")
    rivets: list[StructureRivets] = Field(
        default_factory=empty_list, description="rivets that are there already"
    )
    measured_to: HowWell | None = Field(None, description="how well this line was measured")
