"""The job file as typed values: what the builder wrote, checked for form, not yet laid out.

Lengths arrive in millimetres, angles in degrees. Places are still in the frame in which they were
measured (`measured_on`, `measured_hand`); `layout` turns them.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from templgen.job.fields import Angle, Length, Node, Place, Point, PositiveLength, ShapeUse

__all__ = [
    "Acceptance",
    "Axes",
    "Bore",
    "Bracket",
    "Cutout",
    "DrilledTo",
    "FastenerDef",
    "FaceSide",
    "Flange",
    "FlatPart",
    "Forward",
    "Hand",
    "HoleSet",
    "Job",
    "LineIs",
    "Mast",
    "PassesBore",
    "SingleHole",
    "Skin",
    "Structure",
    "StructureRivets",
    "Trim",
    "TrimLine",
]

Hand = Literal["left", "right"]
FaceSide = Literal["outside", "inside"]
LineIs = Literal["heel", "free flange edge", "web face", "rivet row"]


class DrilledTo(Node):
    """How well holes and cut lines will be made, in mm either way; no silent zero."""

    locating: Length = Field(ge=0, description="locating holes, from the paper")
    rivet: Length = Field(ge=0, description="rivet holes")
    screw: Length = Field(ge=0, description="screw holes")
    hole: Length = Field(ge=0, description="round holes without a fastener")
    cut: Length = Field(ge=0, description="cut and filed edges")


class Axes(Node):
    """Words for the axes as they were measured: where +x and +y point on the aircraft."""

    origin: str
    x: str
    y: str


class Skin(Node):
    """The skin that is cut."""

    material: str
    thickness: PositiveLength
    room_behind: PositiveLength | None = Field(None, description="free depth behind the skin")
    surface: Literal["upper", "lower", "side"] | None = None


class FastenerDef(Node):
    """One kind of fastener, named in [fastener.NAME]; tables fill what is left out, where they can.

    A blind rivet has no table row: its hole, grip range, head and unset length are the builder's numbers.
    """

    kind: Literal["solid rivet", "blind rivet", "screw"]
    size: str
    head: Literal["universal", "protruding", "flush"]
    hole: str | None = Field(None, description='drill name of the final hole, such as "#30"')
    pilot: str | None = Field(None, description="drill name of the pilot hole")
    seat: Literal["countersunk", "dimpled"] | None = Field(None, description="how a flush head is let in")
    head_diameter: PositiveLength | None = None
    head_height: PositiveLength | None = None
    grip_min: Length | None = None
    grip_max: PositiveLength | None = None
    unset_length: PositiveLength | None = Field(None, description="what stands behind the sheet before pulling")
    shear_lbf: float | None = Field(None, gt=0, description="single shear strength from the maker's table, lbf")


class StructureRivets(Node):
    """Rivets that are there already: measured places, or a row from the line's first point."""

    fastener: str
    points: list[Point] | None = None
    first: Length | None = Field(None, description="distance of the first one along the line")
    pitch: PositiveLength | None = None
    count: int | None = Field(None, ge=1, le=2000)
    off: Length | None = Field(None, description="from the heel towards the free flange edge; default: flange middle")


class Structure(Node):
    """A rib, spar, stringer, seam or skin edge: a line through two measured points."""

    name: str
    kind: Literal["rib", "spar", "stringer", "seam", "skin edge"]
    line_is: LineIs | None = Field(None, description="what the two points were measured on")
    start: Point = Field(alias="from")
    end: Point = Field(alias="to")
    material: str | None = None
    thickness: PositiveLength | None = None
    flange_width: PositiveLength | None = Field(None, description="from the heel to the free flange edge")
    flange_side: Hand | None = Field(None, description="side of the line's direction on which the flange lies")
    skin_side: Hand | None = Field(None, description="skin edge: the side on which the metal lies")
    bend_radius: PositiveLength | None = Field(None, description="inside radius between flange and web")
    web_height: PositiveLength | None = None
    rivets: list[StructureRivets] = Field(default_factory=list)
    measured_to: Length | None = Field(None, ge=0)


class HoleSet(Node):
    """Holes of one kind: points, or a hole pattern of the shape library, in the part's own frame."""

    fastener: str | None = Field(None, description="a name from [fastener]; none: a plain hole of `diameter`")
    diameter: PositiveLength | None = None
    points: list[Point] | None = None
    pattern: ShapeUse | None = None
    locating: list[int] = Field(default_factory=list, description="numbers (from 1) of the locating holes")
    through: list[str] | None = Field(None, description="parts joined, outside first; default: skin and this part")
    head: FaceSide = "outside"
    row: Literal["seam", "stiffener"] | None = None
    made_from: str | None = Field(None, description='"paper", "through PART"; default: paper')


class Flange(Node):
    """The mast's base plate: outline in the mast's frame (x forward), thickness, side of the skin."""

    outline: ShapeUse
    centre: Point | None = None
    material: str
    thickness: PositiveLength
    side: FaceSide
    holes: list[HoleSet] = Field(default_factory=list)


class PassesBore(Node):
    """Something that must pass the bore afterwards, by its largest section."""

    name: str
    diameter: PositiveLength
    count: int = Field(1, ge=1, le=20)


class Bore(Node):
    """Smallest bore of the mast and what must pass it, one by one or all together."""

    diameter: PositiveLength
    passes: list[PassesBore] = Field(default_factory=list)
    how: Literal["one by one", "together"] = "one by one"


class Forward(Node):
    """Where the nose points: an angle to a structure line's direction (or to +x), ccw as measured."""

    line: str | None = None
    angle: Angle = 0.0


class Mast(Node):
    """A mast through the skin: sections, gap, fillet, base plate, bore."""

    name: str
    at: Place
    forward: Forward
    section: ShapeUse = Field(description="section at the skin")
    widest: ShapeUse | Literal["same"] = Field(description='section at the widest station that must pass; or "same"')
    gap: Length = Field(gt=0, description="gap between mast and skin, per side")
    fillet: Length = Field(ge=0, description="leg of the root fillet or weld bead; 0 if there is none")
    measured_to: Length | None = Field(None, ge=0)
    flange: Flange
    bore: Bore | None = None


class SingleHole(Node):
    """One hole, with or without a fastener."""

    name: str
    at: Place
    fastener: str | None = None
    diameter: PositiveLength | None = None
    through: list[str] | None = None
    head: FaceSide = "outside"
    locating: bool = False
    made_from: str | None = None


class Pattern(Node):
    """A hole pattern of its own, in the skin and what lies on it."""

    name: str
    at: Place
    angle: Angle = 0.0
    holes: HoleSet


class Cutout(Node):
    """A plain cutout through the skin (and the parts named)."""

    name: str
    at: Place
    angle: Angle = 0.0
    outline: ShapeUse
    purpose: Literal["access", "fit", "lightening"]
    through: list[str] | None = None


class FlatPart(Node):
    """A flat part on the skin: doubler, spacer, plate."""

    name: str
    at: Place
    angle: Angle = 0.0
    outline: ShapeUse
    material: str
    thickness: PositiveLength
    side: FaceSide
    holes: list[HoleSet] = Field(default_factory=list)


class Bracket(Node):
    """A formed angle: one leg on a structure's web, one on the skin side.

    Holes on the web leg: x along the structure line from the bracket's middle, y away from the skin.
    Holes on the skin leg: x along the line from the bracket's middle, y away from the web.
    """

    name: str
    structure: str
    along: Length = Field(description="middle of the bracket, from the line's first point")
    length: PositiveLength
    web_leg: PositiveLength = Field(description="to the mold line")
    skin_leg: PositiveLength = Field(description="to the mold line")
    bend_radius: PositiveLength
    material: str
    thickness: PositiveLength
    side: Hand = Field(description="side of the line's direction on which the bracket stands")
    web_holes: list[HoleSet] = Field(default_factory=list)
    skin_holes: list[HoleSet] = Field(default_factory=list)
    lift: Length = Field(0.0, ge=0, description="what lies between skin and skin leg, such as a base plate")


class TrimLine(Node):
    """One straight trim: a structure's line, set back towards the part that stays."""

    structure: str
    line: LineIs = "web face"
    set_back: Length
    angle: Angle = Field(0.0, description="turn of the trim line against the structure line, about its middle")


class Trim(Node):
    """What a trim cuts, along which lines, and what the new edge is."""

    parts: list[str] = Field(description='"paper" and names of parts')
    lines: list[TrimLine] = Field(min_length=1)
    edge: Literal["free", "formed", "butting"] = "free"
    of: str | None = Field(None, description="the mast whose paper is meant, where there are several")


class Acceptance(Node):
    """A finding that somebody accepts, down to a value, with a reason."""

    rule: str
    feature: str
    part: str
    down_to: Length
    reason: str
    who: str
    when: str


class Job(Node):
    """The whole job file."""

    title: str
    unit: Literal["in", "mm"]
    aircraft: str = ""
    date: str | None = None
    revision: str | None = None
    drawn_by: str | None = None
    hand: Hand = Field(description="the side of the aircraft that this is for")
    measured_hand: Hand | None = Field(None, description="the side that was measured, if it was the other one")
    measured_on: FaceSide = Field(description="the face of the skin on which x and y were measured")
    laid_on: FaceSide = Field("outside", description="the face on which the paper is laid")
    use: Literal["trace", "stick"] = "trace"
    paper: Literal["letter", "legal", "tabloid", "a4", "a3"] = "letter"
    measured_to: Length = Field(ge=0, description="how well places were measured, unless an item says otherwise")
    drilled_to: DrilledTo
    axes: Axes
    skin: Skin
    fastener: dict[str, FastenerDef] = Field(default_factory=dict)
    structure: list[Structure] = Field(default_factory=list)
    mast: list[Mast] = Field(default_factory=list)
    hole: list[SingleHole] = Field(default_factory=list)
    pattern: list[Pattern] = Field(default_factory=list)
    cutout: list[Cutout] = Field(default_factory=list)
    part: list[FlatPart] = Field(default_factory=list)
    bracket: list[Bracket] = Field(default_factory=list)
    trim: list[Trim] = Field(default_factory=list)
    accept: list[Acceptance] = Field(default_factory=list)
    smallest_file: PositiveLength | None = Field(None, description="radius of the smallest file or bit at hand")
