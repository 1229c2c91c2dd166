"""The job file as typed values: what the builder wrote, checked for form, not yet laid out.

Lengths arrive in millimetres, angles in degrees. Places are still in the frame in which they were
measured (`measured_on`, `measured_hand`); `layout` turns them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from pydantic import Field
from pydantic.json_schema import SkipJsonSchema

from templgen.job.airframe import (
    Axes,
    DrilledTo,
    FaceSide,
    FastenerDef,
    Hand,
    LineIs,
    Skin,
    Structure,
    StructureRivets,
)
from templgen.job.cutting import Cutters, Dimpling
from templgen.job.features import (
    Acceptance,
    Bore,
    Bracket,
    Cutout,
    Flange,
    FlatPart,
    Forward,
    HoleSet,
    Mast,
    PassesBore,
    Pattern,
    SingleHole,
    Trim,
    TrimLine,
)
from templgen.job.fields import (
    Date,
    HowWell,
    Label,
    Length,
    Node,
    PositiveLength,
    Words,
    empty_dict,
    empty_list,
)
from templgen.job.late import late_dict, late_list

if TYPE_CHECKING:
    from templgen.job.alignment import ExistingHole, MeasuredDistance
    from templgen.job.openings import ClosingDef, NutplateDef, Opening, TaskDef

    Openings = list[Opening]
    Nutplates = dict[str, NutplateDef]
    Closings = list[ClosingDef]
    Tasks = list[TaskDef]
    ExistingHoles = list[ExistingHole]
    MeasuredDistances = list[MeasuredDistance]
else:
    Openings = late_list("templgen.job.openings", "Opening")
    Nutplates = late_dict("templgen.job.openings", "NutplateDef")
    Closings = late_list("templgen.job.openings", "ClosingDef")
    Tasks = late_list("templgen.job.openings", "TaskDef")
    ExistingHoles = late_list("templgen.job.alignment", "ExistingHole")
    MeasuredDistances = late_list("templgen.job.alignment", "MeasuredDistance")

__all__ = [
    "Acceptance",
    "Axes",
    "Bore",
    "Bracket",
    "Cutout",
    "Cutters",
    "Dimpling",
    "DrilledTo",
    "FaceSide",
    "FastenerDef",
    "Flange",
    "FlatPart",
    "Forward",
    "Hand",
    "HoleSet",
    "Job",
    "LineIs",
    "Mast",
    "PassesBore",
    "Pattern",
    "SingleHole",
    "Skin",
    "Structure",
    "StructureRivets",
    "Trim",
    "TrimLine",
]


class Job(Node):
    """The whole job file.

    `file` is the name of the file without its folder, `digest` the first 12 hex digits of the SHA-256 of its
    bytes: both come from the reader, never from the file.
    """

    title: Words = Field(
        description="what the job is, in one line", examples=['"Air-data mast beside rib 7"']
    )
    unit: Literal["in", "mm"] = Field(description="the unit of every bare number", examples=['"in"'])
    aircraft: str = Field("", description="the aircraft, for the title block")
    date: Date | None = Field(None, description="date of the job; none: a blank to fill in")
    revision: Label | None = Field(None, description="revision of the job")
    drawn_by: Words | None = Field(None, description="who measured and wrote the job")
    hand: Hand = Field(description="the side of the aircraft that this is for", examples=['"left"'])
    measured_hand: Hand | None = Field(
        None, description="the side that was measured, if it was the other one"
    )
    measured_on: FaceSide = Field(
        description="the face of the skin on which x and y were measured", examples=['"outside"']
    )
    laid_on: FaceSide = Field("outside", description="the face on which the paper is laid")
    use: Literal["trace", "stick"] = Field(
        "trace", description="whether the paper is traced round or glued on"
    )
    paper: Literal["letter", "legal", "tabloid", "a4", "a3"] = Field(
        "letter", description="paper of the printer"
    )
    tolerance: HowWell | None = Field(
        None, description="how far any feature of a print may be off; 0.25 mm or 0.010 in if left out"
    )
    arm: Length | None = Field(
        None, description="arm of what is changed, from the datum of weight and balance", examples=['"96 in"']
    )
    datum: Words | None = Field(
        None, description="that datum in words", examples=['"firewall, aft is positive"']
    )
    measured_to: HowWell = Field(
        description="how well places were measured, unless an item says otherwise", examples=['"0.3 mm"']
    )
    drilled_to: DrilledTo = Field(
        description="how well holes are drilled and edges cut",
        examples=[
            '{ locating = "0.2 mm", rivet = "0.2 mm", screw = "0.2 mm", hole = "0.3 mm", cut = "0.3 mm" }'
        ],
    )
    axes: Axes = Field(
        description="words for the axes", examples=['a table [axes] with origin, x = "aft", y = "outboard"']
    )
    skin: Skin = Field(
        description="the skin that is cut", examples=["a table [skin] with material and thickness"]
    )
    fastener: dict[str, FastenerDef] = Field(
        default_factory=empty_dict, description="kinds of fastener, by name"
    )
    nutplate: Nutplates = Field(default_factory=empty_dict, description="own nutplates, by name")
    structure: list[Structure] = Field(
        default_factory=empty_list, description="what was measured on the airframe"
    )
    mast: list[Mast] = Field(default_factory=empty_list, description="masts through the skin")
    hole: list[SingleHole] = Field(default_factory=empty_list, description="single holes")
    pattern: list[Pattern] = Field(default_factory=empty_list, description="hole patterns")
    cutout: list[Cutout] = Field(default_factory=empty_list, description="plain cutouts")
    part: list[FlatPart] = Field(default_factory=empty_list, description="flat parts on the skin")
    bracket: list[Bracket] = Field(default_factory=empty_list, description="formed brackets on a web")
    opening: Openings = Field(default_factory=empty_list, description="access openings with ring and cover")
    trim: list[Trim] = Field(default_factory=empty_list, description="trims against structure lines")
    closing: Closings = Field(default_factory=empty_list, description="what ends an access for good")
    task: Tasks = Field(default_factory=empty_list, description="work with its access need")
    existing: ExistingHoles = Field(
        default_factory=empty_list, description="measured holes that exist, to lay the paper on"
    )
    distance: MeasuredDistances = Field(
        default_factory=empty_list, description="measured distances between holes that exist"
    )
    accept: list[Acceptance] = Field(default_factory=empty_list, description="findings that somebody accepts")
    smallest_file: PositiveLength | None = Field(
        None, description="radius of the smallest file or bit at hand"
    )
    cutters: Cutters | None = Field(None, description="the builder's own drills, step drills and hole saws")
    dimpling: Dimpling | None = Field(None, description="how holes are dimpled")
    file: SkipJsonSchema[str] = Field("<job>", alias="__file__", exclude=True)
    digest: SkipJsonSchema[str] = Field("", alias="__digest__", exclude=True)
