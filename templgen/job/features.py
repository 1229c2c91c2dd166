"""What the job makes: masts, holes, patterns, cutouts, flat parts, brackets; trims and acceptances."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from templgen.job.airframe import FaceSide, Hand, LineIs
from templgen.job.cutting import CUT_BY_WORDS, CutBy
from templgen.job.fields import (
    Angle,
    Date,
    Diameter,
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
    "Acceptance",
    "Bore",
    "Bracket",
    "Cutout",
    "Flange",
    "FlatPart",
    "Forward",
    "HoleSet",
    "Mast",
    "PassesBore",
    "Pattern",
    "SingleHole",
    "Trim",
    "TrimLine",
]


ACCESS_WORDS = 'access it needs: "both sides", "outside only" or "hand through NAME"; default: by its kind'


class HoleSet(Node):
    """Holes of one kind: points, or a hole pattern of the shape library, in the part's own frame."""

    fastener: str | None = Field(
        None, description="a name from [fastener]; none: a plain hole of `diameter`", examples=['"plate"']
    )
    diameter: Diameter | None = Field(
        None, description="plain holes: their diameter or drill", examples=['"1/4 in"']
    )
    points: list[Point] | None = Field(
        None,
        min_length=1,
        description="places in the part's own frame",
        examples=["[[1.0, 0.5], [-1.0, 0.5]]"],
    )
    pattern: ShapeUse | None = Field(
        None, description="a hole pattern of the library", examples=['{ shape = "row", ... }']
    )
    locating: list[int] = Field(
        default_factory=empty_list, description="numbers (from 1) of the locating holes"
    )
    through: list[str] | None = Field(
        None, min_length=1, description="parts joined, outside first; default: skin and this part"
    )
    head: FaceSide = Field("outside", description="side of the head")
    row: Literal["seam", "stiffener"] | None = Field(
        None, description="a row that a greatest pitch applies to"
    )
    made_from: str | None = Field(
        None, description='"paper", "through PART" or "through a nutplate"; default: paper'
    )
    access: str | None = Field(None, description=ACCESS_WORDS)


class Flange(Node):
    """The mast's base plate: outline in the mast's frame (x forward), thickness, side of the skin."""

    outline: ShapeUse = Field(
        description="outline of the base plate, x forward",
        examples=['{ shape = "rectangle", length = "6 in", width = "4 in", corner_radius = "0.5 in" }'],
    )
    centre: Point | None = Field(
        None, description="middle of the outline in the mast's frame; default: [0, 0]"
    )
    material: Words = Field(description="alloy and temper of the base plate", examples=['"2024-T3 clad"'])
    thickness: SheetThickness = Field(description="thickness of the base plate", examples=['"0.040 in"'])
    side: FaceSide = Field(description="side of the skin on which the base plate lies", examples=['"inside"'])
    holes: list[HoleSet] = Field(default_factory=empty_list, description="holes of the base plate")


class PassesBore(Node):
    """Something that must pass the bore afterwards, by its largest section."""

    name: Words = Field(description="what must pass", examples=['"tube, nut and sleeve on"'])
    diameter: PositiveLength = Field(description="its largest section", examples=['"0.44 in"'])
    count: int = Field(1, ge=1, le=20, description="how many of them")


class Bore(Node):
    """Smallest bore of the mast and what must pass it, one by one or all together."""

    diameter: PositiveLength = Field(description="smallest bore of the mast", examples=['"0.50 in"'])
    passes: list[PassesBore] = Field(default_factory=empty_list, description="what must pass it afterwards")
    how: Literal["one by one", "together"] = Field("one by one", description="whether it is full at once")


class Forward(Node):
    """Where the nose points: an angle to a structure line's direction (or to +x), ccw as measured."""

    line: str | None = Field(None, description="a structure line; none: the angle is taken from +x")
    angle: Angle = Field(
        description="from the line's direction (first to second point) to the nose, counter-clockwise",
        examples=["180"],
    )


WIDEST_TAGS = ("<shape>", "<same>")


def _widest_tag(value: Any) -> str:
    return WIDEST_TAGS[0] if isinstance(value, dict | ShapeUse) else WIDEST_TAGS[1]


Widest = Annotated[
    Annotated[ShapeUse, Tag(WIDEST_TAGS[0])] | Annotated[Literal["same"], Tag(WIDEST_TAGS[1])],
    Discriminator(_widest_tag),
]


class Mast(Node):
    """A mast through the skin: sections, gap, fillet, base plate, bore."""

    name: Name = Field(description="what the builder calls it", examples=['"mast"'])
    at: Place = Field(
        description="where the middle of its section stands",
        examples=['{ from = "origin", x = 6.0, y = 2.3 }'],
    )
    forward: Forward = Field(
        description="where its nose points", examples=['{ line = "rib 7", angle = 180 }']
    )
    section: ShapeUse = Field(
        description="its section at the skin",
        examples=[
            '{ shape = "mast-rounded", length = "60 mm", width = "19 mm", nose_radius = "6 mm", '
            'tail_radius = "1.5 mm" }'
        ],
    )
    widest: Widest = Field(
        description='section at the widest station that must pass the skin; "same" if it is the one above',
        examples=['"same"'],
    )
    gap: PositiveLength = Field(description="gap between mast and skin, per side", examples=['"1/32 in"'])
    fillet: Length = Field(
        ge=0, description="leg of the root fillet or weld bead; 0 if there is none", examples=['"1/16 in"']
    )
    measured_to: HowWell | None = Field(None, description="how well the mast was measured")
    flange: Flange = Field(description="its base plate", examples=["a table [mast.flange]"])
    bore: Bore | None = Field(None, description="its smallest bore and what must pass it")
    stands_out: PositiveLength | None = Field(
        None, description="how far it stands out of the skin; supports must be higher", examples=['"6 in"']
    )
    cut_by: CutBy | None = Field(None, description=CUT_BY_WORDS)


class SingleHole(Node):
    """One hole, with or without a fastener."""

    name: Name = Field(description="what the builder calls it", examples=['"drain"'])
    at: Place = Field(description="where it stands", examples=['{ from = "origin", x = 1.0, y = 2.0 }'])
    fastener: str | None = Field(
        None, description="a name from [fastener]; none: a plain hole of `diameter`", examples=['"plate"']
    )
    diameter: Diameter | None = Field(
        None, description="plain hole: its diameter or drill", examples=['"1/4 in"']
    )
    through: list[str] | None = Field(None, min_length=1, description="parts it passes, outside first")
    head: FaceSide = Field("outside", description="side of the head")
    locating: bool = Field(False, description="whether the paper is pinned on it")
    made_from: str | None = Field(
        None, description='"paper", "through PART" or "through a nutplate"; default: paper'
    )
    access: str | None = Field(None, description=ACCESS_WORDS)


class Pattern(Node):
    """A hole pattern of its own, in the skin and what lies on it."""

    name: Name = Field(description="what the builder calls it", examples=['"lamp screws"'])
    at: Place = Field(
        description="where its middle stands", examples=['{ from = "origin", x = 1.0, y = 2.0 }']
    )
    angle: Angle = Field(0.0, description="turn of its x axis, counter-clockwise as measured")
    holes: HoleSet = Field(
        description="its holes", examples=['{ diameter = "1/8 in", points = [[-1.0, 0.0], [1.0, 0.0]] }']
    )


class Cutout(Node):
    """A plain cutout through the skin (and the parts named)."""

    name: Name = Field(description="what the builder calls it", examples=['"lamp hole"'])
    at: Place = Field(
        description="where its middle stands", examples=['{ from = "origin", x = 1.0, y = 2.0 }']
    )
    angle: Angle = Field(0.0, description="turn of its x axis, counter-clockwise as measured")
    outline: ShapeUse = Field(description="its outline", examples=['{ shape = "circle", diameter = "2 in" }'])
    purpose: Literal["access", "fit", "lightening"] = Field(
        description="why it is there: its corner rule depends on it", examples=['"access"']
    )
    through: list[str] | None = Field(None, min_length=1, description="parts it passes; default: the skin")
    cut_by: CutBy | None = Field(None, description=CUT_BY_WORDS)


class FlatPart(Node):
    """A flat part on the skin: doubler, spacer, plate."""

    name: Name = Field(description="what the builder calls it", examples=['"doubler"'])
    at: Place = Field(
        description="where its middle stands", examples=['{ from = "origin", x = 1.0, y = 2.0 }']
    )
    angle: Angle = Field(0.0, description="turn of its x axis, counter-clockwise as measured")
    outline: ShapeUse = Field(
        description="its outline", examples=['{ shape = "rectangle", length = "6 in", width = "4 in" }']
    )
    material: Words = Field(description="alloy and temper", examples=['"2024-T3 clad"'])
    thickness: SheetThickness = Field(description="its thickness", examples=['"0.040 in"'])
    side: FaceSide = Field(description="side of the skin on which it lies", examples=['"inside"'])
    holes: list[HoleSet] = Field(default_factory=empty_list, description="its holes, in its own frame")


class Bracket(Node):
    """A formed angle: one leg on a structure's web, one on the skin side.

    Holes on the web leg: x along the structure line from the bracket's middle, y away from the skin.
    Holes on the skin leg: x along the line from the bracket's middle, y away from the web.
    """

    name: Name = Field(description="what the builder calls it", examples=['"rib clip"'])
    structure: str = Field(description="the rib, spar or stringer it stands on", examples=['"rib 7"'])
    along: Length = Field(description="middle of the bracket, from the line's first point", examples=["6.0"])
    length: PositiveLength = Field(description="its length along the line", examples=['"1.5 in"'])
    web_leg: PositiveLength = Field(description="leg on the web, to the mold line", examples=['"0.9 in"'])
    skin_leg: PositiveLength = Field(description="leg on the skin, to the mold line", examples=['"0.75 in"'])
    bend_radius: PositiveLength = Field(description="inside radius of its bend", examples=['"5/32 in"'])
    material: Words = Field(description="alloy and temper", examples=['"2024-T3 clad"'])
    thickness: SheetThickness = Field(description="its sheet thickness", examples=['"0.032 in"'])
    side: Hand = Field(
        description="side of the line's direction on which the bracket stands", examples=['"left"']
    )
    web_holes: list[HoleSet] = Field(default_factory=empty_list, description="holes on the web leg")
    skin_holes: list[HoleSet] = Field(default_factory=empty_list, description="holes on the skin leg")
    lift: Length = Field(0.0, ge=0, description="what lies between skin and skin leg, such as a base plate")
    room_behind_web: PositiveLength | None = Field(
        None,
        description="free depth behind the web, on the side away from the bracket",
        examples=['"1.5 in"'],
    )


class TrimLine(Node):
    """One straight trim: a structure's line, set back towards the part that stays."""

    structure: str = Field(description="the structure whose line is cut along", examples=['"rib 7"'])
    line: LineIs = Field("web face", description="which line of it")
    set_back: Length = Field(
        description=(
            "how far from that line the new edge stays, towards the part that is kept; paper laid inside is "
            "cut on the line itself"
        ),
        examples=['"1/32 in"'],
    )
    angle: Angle = Field(
        0.0, description="turn of the trim line against the structure line, about its middle"
    )


class Trim(Node):
    """What a trim cuts, along which lines, and what the new edge is."""

    parts: list[str] = Field(
        min_length=1, description='"paper" and names of parts', examples=['["paper", "base plate"]']
    )
    lines: list[TrimLine] = Field(
        min_length=1,
        description="the lines to cut along",
        examples=['[{ structure = "rib 7", line = "web face", set_back = "1/32 in" }]'],
    )
    edge: Literal["free", "formed", "butting"] = Field("free", description="what the new edge is")
    of: str | None = Field(None, description="the mast whose paper is meant, where there are several")


class Acceptance(Node):
    """A finding that somebody accepts, down to a value, with a reason."""

    rule: Words = Field(description="name of the rule, as `templgen rules` lists it")
    feature: Words = Field(description="what the finding names", examples=['"mast"'])
    part: Words = Field(description="the part in which it was found", examples=['"base plate"'])
    down_to: Length = Field(description="the worst value that is accepted", examples=['"5.8 mm"'])
    reason: Words = Field(description="why it is accepted", examples=['"a doubler takes the load"'])
    who: Words = Field(description="who accepts it", examples=['"name of a person"'])
    when: Date = Field(description="the day it was accepted", examples=['"2031-05-09"'])
