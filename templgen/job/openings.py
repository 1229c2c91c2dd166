"""Access openings in the job file: [[opening]], [nutplate.NAME], [[closing]], [[task]].

An opening needs a name, a place, an outline, what its cover lies on, and its screws; everything else has a
default that layout derives from the trade's limits, and every default gives way to a number of the builder's.
Places of an opening's own things are in its own frame (x along its outline's x, origin at its middle); what
belongs to the airframe (room behind, supports, low point) is in the job's axes. z counts from the inner face
of the skin into the aircraft.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, TypeVar

from pydantic import Field, field_validator

from templgen.job.behind import OpeningBox, OpeningHand, OpeningRoom
from templgen.job.cutting import CUT_BY_WORDS, CutBy
from templgen.job.features import ACCESS_WORDS
from templgen.job.fields import (
    Angle,
    HoleText,
    HowWell,
    Length,
    Name,
    Node,
    Place,
    Point,
    PositiveLength,
    ShapeUse,
    SheetThickness,
    Words,
    empty_list,
)

__all__ = [
    "ClosingDef",
    "NutplateDef",
    "Opening",
    "OpeningCover",
    "OpeningLip",
    "OpeningNutplates",
    "OpeningRing",
    "OpeningRivets",
    "OpeningScrews",
    "TaskDef",
]

MOST_SCREWS = 500
"""More screws than this round one opening are a slip of the pen."""

EARLIER_WORDS = "closings, tasks and features whose work comes before it"
LATER_WORDS = "closings, tasks and features whose work comes after it"


Table = TypeVar("Table", bound=Node)


def _left_away(table: type[Table]) -> Callable[[], Table]:
    """What stands for a table that the job leaves away: all its defaults."""
    return lambda: table.model_validate({})


class NutplateDef(Node):
    """A nutplate of the builder's own, named in [nutplate.NAME]; a `standard` fills what is left out.

    Its own frame has its origin at the screw and x along the lugs.
    """

    standard: Words | None = Field(
        None, description="a row of the tables that fills what is left out", examples=['"MS21047"']
    )
    screw: Words = Field(description="the screw that it takes", examples=['"#8"'])
    lugs: Literal["two", "one", "corner"] | None = Field(
        None, description="how its lugs lie: two, one, or two at a right angle", examples=['"two"']
    )
    floating: bool | None = Field(None, description="whether the nut moves in its cage", examples=["true"])
    free_play: PositiveLength | None = Field(
        None, description="how far a floating nut moves, either way", examples=['"0.030 in"']
    )
    miniature: bool | None = Field(None, description="whether its rivets are closer than the usual")
    rivet_spacing: PositiveLength | None = Field(
        None, description="two lugs: from rivet hole to rivet hole", examples=['"0.687 in"']
    )
    rivet_holes: list[Point] | None = Field(
        None,
        min_length=1,
        max_length=4,
        description="rivet holes from the screw's centre, x along the lugs",
        examples=['[["0.25 in", 0], ["0.47 in", 0]]'],
    )
    rivet: Words | None = Field(None, description="nominal size of its rivets", examples=['"3/32"'])
    lug_seat: Literal["plain", "countersunk"] = Field(
        "plain", description="whether its lugs take a dimpled or a countersunk head"
    )
    length: PositiveLength | None = Field(None, description="overall length, x", examples=['"0.95 in"'])
    width: PositiveLength | None = Field(None, description="overall width, y", examples=['"0.37 in"'])
    outline: ShapeUse | None = Field(None, description="its outline, if it is no rectangle")
    lug_thickness: PositiveLength | None = Field(
        None, description="thickness of a lug; rivet lengths need it", examples=['"0.032 in"']
    )
    height: PositiveLength | None = Field(
        None, description="from the ring to the end of the nut; screw lengths need it", examples=['"0.25 in"']
    )
    self_locking: bool | None = Field(None, description="whether the nut locks the screw")


NARROWEST_CUT_MM = 0.2
"""Pieces of a ring nearer to each other can not be told from pieces that touch; our own limit."""


class OpeningRing(Node):
    """The doubler ring on the inside of the skin."""

    material: Words | None = Field(None, description="alloy and temper; default: the skin's")
    thickness: SheetThickness | None = Field(None, description="default: one gauge heavier than the skin")
    width: PositiveLength | None = Field(
        None, description="from the clear hole to the ring's outer edge; default: what the rows need"
    )
    outline: ShapeUse | None = Field(
        None, description="its outer edge in the opening's frame, if it does not follow the opening"
    )
    under_dimples: Literal["countersunk", "dimpled"] | None = Field(
        None,
        description="how it takes the dimples of the cover and the skin on it; default: dimpled too, but "
        "countersunk for the program's own lug rivets where plain lugs need it and it is thick enough",
    )
    made: Literal["whole", "split", "halves"] = Field(
        "whole", description="in one piece, cut through once, or in two halves"
    )
    cut_at: Angle | None = Field(
        None,
        description="split or halves: direction of the cut from the middle, in the opening's frame; "
        "default: where it is farthest from all holes",
    )
    cut_gap: PositiveLength = Field(
        0.8,
        description="what the cut takes out of the ring",
        examples=['"1/32 in"'],
        json_schema_extra={"default": "0.8 mm"},
    )

    @field_validator("cut_gap")
    @classmethod
    def _can_be_told(cls, gap: float) -> float:
        if gap < NARROWEST_CUT_MM:
            raise ValueError(f"a cut is at least {NARROWEST_CUT_MM:g} mm (0.008 in) wide: a saw takes more")
        return gap


class OpeningLip(Node):
    """The bent edge of a cover, to the outside: on the inside it would stand on the skin or the ring."""

    height: PositiveLength = Field(
        description="height along the lip, from the mold line to its edge", examples=['"1/4 in"']
    )
    bend_radius: PositiveLength = Field(description="inside radius of its bend", examples=['"3/32 in"'])
    angle: Angle = Field(90.0, gt=0, le=135, description="how far it is bent, to the outside")


class OpeningCover(Node):
    """The cover: on the skin, over its edge, or in the skin's plane on the ring."""

    kind: Literal["lying", "flush"] = Field(
        description="lying on the skin, or flush with it and lying on the ring", examples=['"lying"']
    )
    gap: PositiveLength | None = Field(
        None, description="flush: gap to the skin, all round", examples=['"1/64 in"']
    )
    ledge: PositiveLength | None = Field(
        None, description="flush: width of the ring inside the skin hole; default: what the screws need"
    )
    overlap: PositiveLength | None = Field(
        None, description="lying: from the opening's edge to the cover's; default: what the screws need"
    )
    outline: ShapeUse | None = Field(
        None, description="lying: its edge in the opening's frame, if it does not follow the opening"
    )
    material: Words | None = Field(None, description="alloy and temper; default: the skin's")
    thickness: SheetThickness | None = Field(None, description="default: the skin's")
    lip: OpeningLip | None = Field(None, description="the bent lip along its straight edges, if it has one")


class OpeningScrews(Node):
    """The row of screws round the opening."""

    fastener: str = Field(description="a screw from [fastener]", examples=['"cover screw"'])
    count: int | None = Field(None, ge=2, le=MOST_SCREWS, description="how many there are", examples=["8"])
    pitch: PositiveLength | None = Field(
        None, description="most from one to the next along the row", examples=['"2 in"']
    )
    fixed: Literal["corners", "beside corners", "none"] | None = Field(
        None, description="screws that are set first; default: corners, where it has corners"
    )
    beside: PositiveLength | None = Field(
        None, description="beside corners: from the middle of the corner, along the row"
    )
    places: list[Point] | None = Field(
        None,
        min_length=1,
        description="further screws set first, in the opening's frame; the nearest place of the row counts",
    )
    from_opening: PositiveLength | None = Field(
        None, description="from the clear hole's edge to the row", examples=['"3/8 in"']
    )
    from_cover_edge: PositiveLength | None = Field(
        None, description="from the cover's edge to the row", examples=['"0.30 in"']
    )
    under_structure: Literal["refuse", "leave out"] = Field(
        "refuse", description="what happens to a screw whose nutplate would stand on structure"
    )
    locating: list[int] | None = Field(
        None, description="numbers (from 1) of the locating holes; default: the first and the one opposite"
    )
    made_from: str | None = Field(
        None, description='"paper", "through PART" or "through a nutplate"; default: paper'
    )
    access: str | None = Field(None, description=ACCESS_WORDS)


class OpeningNutplates(Node):
    """The nutplates on the ring."""

    kind: str = Field(
        "MS21047", description="a name from [nutplate], or a standard of the tables", examples=['"MS21047"']
    )
    turned: Literal["along", "across", "auto"] = Field(
        "auto", description="how the lugs lie to the edge; auto: so that all limits hold"
    )
    rivet: str | None = Field(
        None, description="a rivet from [fastener] for the lugs; default: solid, flush, in the lug's size"
    )
    riveted: Literal["bench", "in place"] = Field(
        "bench", description="on the bench, to the ring alone, or once the ring is in place"
    )
    ring_hole: HoleText | None = Field(
        None, description="screw hole under the nut; default: the cover's, or with the free play both ways"
    )
    made_from: str | None = Field(
        None, description='"paper", "through PART" or "through a nutplate"; default: through a nutplate'
    )
    access: str | None = Field(None, description=ACCESS_WORDS)


class OpeningRivets(Node):
    """The rivets that fasten the ring to the skin."""

    fastener: str | None = Field(
        None, description="a rivet from [fastener]; default: solid, universal head, about 3 x the skin"
    )
    rows: Literal[1, 2] = Field(1, description="one row, or two")
    staggered: bool = Field(True, description="two rows: whether the second stands between the first")
    pitch: PositiveLength | None = Field(
        None, description="most from one to the next along the outer row; default: 6 x its diameter"
    )
    count: int | None = Field(
        None, ge=2, le=MOST_SCREWS * 4, description="how many there are in the outer row", examples=["24"]
    )
    from_edge: PositiveLength | None = Field(
        None, description="from the ring's outer edge to the outer row; default: 2 D + 1/16 in"
    )
    row_gap: PositiveLength | None = Field(None, description="from row to row; default: 3/4 of the pitch")
    made_from: str | None = Field(
        None, description='"paper", "through PART" or "through a nutplate"; default: paper'
    )
    access: str | None = Field(None, description=ACCESS_WORDS)


class Opening(Node):
    """An access opening with ring, cover, screws, nutplates and what hangs on the cover."""

    name: Name = Field(description="what the builder calls it", examples=['"hatch"'])
    at: Place = Field(
        description="where its middle stands", examples=['{ from = "origin", x = 1.0, y = 2.0 }']
    )
    angle: Angle = Field(0.0, description="turn of its x axis, counter-clockwise as measured")
    outline: ShapeUse = Field(
        description="outline of the opening",
        examples=['{ shape = "rectangle", length = "5 in", width = "4 in", corner_radius = "0.5 in" }'],
    )
    outline_is: Literal["skin hole", "clear hole"] | None = Field(
        None, description="flush cover: which of the two openings the outline is", examples=['"clear hole"']
    )
    cover: OpeningCover = Field(description="its cover", examples=['{ kind = "lying" }'])
    screws: OpeningScrews = Field(
        description="its screws", examples=['{ fastener = "cover screw", count = 8 }']
    )
    ring: OpeningRing = Field(default_factory=_left_away(OpeningRing), description="its doubler ring")
    nutplates: OpeningNutplates = Field(
        default_factory=_left_away(OpeningNutplates), description="its nutplates"
    )
    rivets: OpeningRivets = Field(
        default_factory=_left_away(OpeningRivets), description="rivets that hold the ring"
    )
    hangs: OpeningBox | None = Field(None, description="the box that hangs on the cover")
    room: OpeningRoom | None = Field(None, description="the room behind")
    hand: OpeningHand = Field(default_factory=_left_away(OpeningHand), description="the hand that goes in")
    opened: Literal["every flight", "rarely"] = Field("rarely", description="how often it is opened")
    pressure_psi: float | None = Field(
        None, ge=0, lt=100, description="pressure on the cover, lbf per square inch; for information"
    )
    low_point: Point | None = Field(None, description="lowest place of the bay, in the job's axes")
    drain_gap: PositiveLength | None = Field(None, description="gap left in the ring's sealant for water")
    arm: Length | None = Field(None, description="its arm from the datum of weight and balance")
    measured_to: HowWell | None = Field(None, description="how well its place was measured")
    cut_by: CutBy | None = Field(None, description=CUT_BY_WORDS)


class ClosingDef(Node):
    """Something that ends an access for good: the far skin goes on, the paint is on."""

    name: Name = Field(description="what the builder calls it", examples=['"far skin on"'])
    closes: Words = Field(description="what it closes, in words", examples=['"the bay behind the skin"'])
    takes: str = Field(
        "inside",
        description='access that is gone then: "inside", "outside" or "hand through NAME"',
        examples=['"inside"'],
    )
    done: bool = Field(False, description="whether it is done already, before any work of this job")
    before: list[str] = Field(default_factory=empty_list, description=LATER_WORDS)
    after: list[str] = Field(default_factory=empty_list, description=EARLIER_WORDS)


class TaskDef(Node):
    """A piece of work with its access need."""

    name: Name = Field(description="what is to be done", examples=['"connect the tube"'])
    access: str = Field(
        description='"both sides", "outside only" or "hand through NAME"', examples=['"both sides"']
    )
    before: list[str] = Field(default_factory=empty_list, description=LATER_WORDS)
    after: list[str] = Field(default_factory=empty_list, description=EARLIER_WORDS)
