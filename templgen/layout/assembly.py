"""The model under everything: planes, faces of parts, fasteners that join faces, cutouts.

All places are millimetres in the frame of a plane. The plane "skin" is seen from outside the aircraft, for
the hand that is built; every part that lies flat on the skin shares it, so a hole has one place only.
A web plane has x along its structure line and y away from the skin.
"""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field

from templgen.errors import Location
from templgen.geometry import Contour, HalfPlane, Line, Motion, Region, Vec
from templgen.job.names import THROUGH_NUTPLATE
from templgen.layout.axes import MeasuredFrame
from templgen.units import Unit

if TYPE_CHECKING:
    from templgen.layout.alignment import Alignment
    from templgen.layout.cutting.model import CuttingPlan
    from templgen.layout.openings.model import Closing, OpeningSet, Task

__all__ = [
    "Assembly",
    "Bend",
    "CutPurpose",
    "Cutout",
    "Face",
    "Fastener",
    "FastenerSpec",
    "Hole",
    "MastFit",
    "Part",
    "Plane",
    "Seat",
    "StructureLine",
    "TrimEdge",
]

SKIN_PLANE = "skin"

Seat = Literal["countersunk", "dimpled", ""]
"""How a flush head is let in."""


class Plane(Struct, frozen=True):
    """A plane with its own 2D frame; `x_words` and `y_words` say where the axes point on the aircraft.

    `x_axis` and `y_axis` are unit vectors of those words in the plane's frame (mirroring turns them).
    """

    name: str
    seen_from: str
    x_words: str
    y_words: str
    origin_words: str
    x_axis: Vec = field(default_factory=lambda: Vec(1.0, 0.0))
    y_axis: Vec = field(default_factory=lambda: Vec(0.0, 1.0))


class Face(Struct, frozen=True):
    """One flat face of a part, in its plane.

    `outline` is None where the job gives no edge (a skin that goes on). `formed` are outline lines that are
    bend tangents, or the mold lines of lips (not free), `beyond` lines where the metal goes on past what was
    measured (no edge at all).
    All other edges are free. `order` counts from outside inwards: skin 0, parts outside negative.
    `lift` is what the builder says lies between the skin and this face, mm; None where he says nothing.
    """

    name: str
    part: str
    plane: str
    thickness: float
    material: str
    outline: Region | None
    order: int
    formed: tuple[Line, ...] = ()
    beyond: tuple[Line, ...] = ()
    at: Location = field(default_factory=lambda: Location("<job>", 1, 1))
    lift: float | None = None


class Bend(Struct, frozen=True):
    """A bend that joins two faces of one part: bend tangent line in each, inside radius, angle bent.

    The second leg may be a lip without holes, which is no face: `face_b` is "" then, `tangent_b` is
    `tangent_a`, `lip` is how far the blank reaches beyond the mold line and `relief` the diameter of the
    relief hole at either end, mm.
    """

    part: str
    face_a: str
    face_b: str
    tangent_a: Line
    tangent_b: Line
    inside_radius: float
    angle: float
    lip: float = 0.0
    relief: float = 0.0


class Part(Struct, frozen=True):
    """A piece of metal, or the paper. `made` is False for structure that is there already."""

    name: str
    faces: tuple[str, ...]
    made: bool
    kind: Literal["skin", "base plate", "flat part", "bracket", "structure", "paper"]
    side: Literal["outside", "inside", ""] = ""


class FastenerSpec(Struct, frozen=True):
    """What a fastener needs of the metal, mm. `diameter` is nominal; `hole` the final hole, made by `drill`
    after `pilot` ("": drilled to size at once).

    Heads: `head_diameter` on the head side, `driven_diameter` on the other (solid rivet: nominal driven head;
    blind rivet: its formed side, if given; screw: its nut, if given). None is unknown, never zero.
    `into_countersink` says of a dimpled head that the last sheet under it is not dimpled but countersunk, and
    takes the dimples of those on it.
    """

    name: str
    kind: Literal["solid rivet", "blind rivet", "screw", "hole"]
    size: str
    diameter: float
    hole: float
    drill: str
    pilot: str
    head: Literal["universal", "protruding", "flush", "none"]
    seat: Seat = ""
    head_diameter: float | None = None
    head_height: float | None = None
    sharp_diameter: float | None = None
    driven_diameter: float | None = None
    driven_height: float | None = None
    grip_min: float | None = None
    grip_max: float | None = None
    unset_length: float | None = None
    shear_lbf: float | None = None
    sources: tuple[str, ...] = ()
    into_countersink: bool = False

    @property
    def seat_words(self) -> str:
        """How its head is let in, in words; "" for one that is not."""
        return "dimpled into a countersink" if self.into_countersink else self.seat

    @property
    def is_flush(self) -> bool:
        """True for a countersunk or dimpled head."""
        return self.head == "flush"


class Fastener(Struct, frozen=True):
    """A fastener, or a plain round hole (spec.kind "hole"), at one place of a plane through a stack of faces.

    `stack` lists face names from the outside inwards; in a web plane `head_side` "outside" is its first face.
    `group` is the hole set it belongs to, `row` names a seam or stiffener row, `exists` is True for rivets
    that are there already (nobody drills them). `name` is the mark on sheets: "12" for hole 12, "R3" for the
    third rivet that is there already; both count from 1 for themselves. `doubt` is how well its place is
    known or made, mm either way. `nutplate` is the same text for a screw and the rivets of its nutplate:
    their holes are not counted against each other. `access` is what the builder needs to fasten it: "both
    sides", "outside only" or "hand through NAME"; empty where its kind decides. `other_holes` are the faces
    whose final hole is another than the spec's, such as the ring under a floating nut.
    """

    name: str
    number: int
    plane: str
    at: Vec
    spec: FastenerSpec
    stack: tuple[str, ...]
    head_side: Literal["outside", "inside"]
    feature: str
    group: str
    made_from: str
    doubt: float
    locating: bool = False
    exists: bool = False
    row: Literal["seam", "stiffener", ""] = ""
    where: Location = field(default_factory=lambda: Location("<job>", 1, 1))
    nutplate: str = ""
    access: str = ""
    other_holes: tuple[tuple[str, float], ...] = ()

    @property
    def is_from_nutplate(self) -> bool:
        """Whether its hole is drilled through the lug of the nutplate in hand, wherever that one has it."""
        return self.made_from == THROUGH_NUTPLATE

    @property
    def pilot(self) -> str:
        """The drill that goes first; "" where the hole is drilled to size at once, as through a lug."""
        return "" if self.is_from_nutplate else self.spec.pilot

    def hole_in(self, face: str) -> float:
        """Return the diameter of the final hole in a face, mm."""
        return next((hole for name, hole in self.other_holes if name == face), self.spec.hole)

    def seat_in(self, face: str) -> Seat:
        """Return how a face of its stack is made for the head: a countersink is under the head alone, unless
        it takes the dimples of the sheets on it."""
        outer, inner = self.stack[0], self.stack[-1]
        under, last = (outer, inner) if self.head_side == "outside" else (inner, outer)
        if self.spec.seat == "dimpled":
            return "countersunk" if self.spec.into_countersink and face == last else "dimpled"
        return self.spec.seat if face == under else ""


class Hole(Struct, frozen=True):
    """A fastener's hole in one face: derived, never stored."""

    fastener: Fastener
    face: str
    diameter: float


class CutPurpose(Enum):
    """Why a cutout is there; its corner rule depends on it."""

    FIT = "fit"
    ACCESS = "access"
    LIGHTENING = "lightening"


class Cutout(Struct, frozen=True):
    """A cutout: one contour for every face it passes. `deviation` is what curve fitting cost, mm."""

    name: str
    feature: str
    plane: str
    contour: Contour
    faces: tuple[str, ...]
    purpose: CutPurpose
    doubt: float
    deviation: float = 0.0
    where: Location = field(default_factory=lambda: Location("<job>", 1, 1))


class StructureLine(Struct, frozen=True):
    """A rib, spar, stringer, seam or skin edge in the skin plane, with its derived lines.

    `lines` maps "heel", "web face", "web inner face", "bend tangent", "rivet row", "free flange edge" (those
    that are known) to lines in the skin plane; a skin edge has "skin edge", a seam "rivet row".
    `flange_side` is +1 if the flange (of a skin edge: the metal) lies to the left of the lines' direction
    in the skin plane, -1 to the right, 0 if there is none. `flange` is all that covers the skin, from the
    heel to the free flange edge; the flat from the bend tangent on is the outline of the face "NAME
    flange".
    """

    name: str
    kind: Literal["rib", "spar", "stringer", "seam", "skin edge"]
    lines: dict[str, Line]
    flange_side: int
    flange: Region | None
    thickness: float | None
    bend_radius: float | None
    doubt: float
    where: Location = field(default_factory=lambda: Location("<job>", 1, 1))


class TrimEdge(Struct, frozen=True):
    """What one trim line did to one face (or to the paper of a feature).

    `half_plane` keeps the metal; `new_edge` are the edges of the trimmed outline that lie on its line,
    `cut_away` what this line took off, `depth` how far beyond the line that reached (mm, 0 when nothing was).
    """

    face: str
    structure: str
    line: str
    half_plane: HalfPlane
    set_back: float
    edge: Literal["free", "formed", "butting"]
    new_edge: tuple[Line, ...]
    cut_away: tuple[Region, ...]
    depth: float = 0.0
    where: Location = field(default_factory=lambda: Location("<job>", 1, 1))

    @property
    def reaches(self) -> bool:
        """Whether the line meets the face at all; one that only runs along an edge does."""
        return bool(self.new_edge or self.cut_away)


class MastFit(Struct, frozen=True):
    """What the mast's own checks need, contours in the skin plane."""

    name: str
    section: Contour
    widest: Contour
    cutout: str
    gap: float
    fillet: float
    flange_face: str
    side: Literal["outside", "inside"]
    forward: Vec
    centre: Vec
    doubt: float
    deviation: float
    bore_diameter: float | None = None
    bore_passes: tuple[tuple[str, float, int], ...] = ()
    bore_together: bool = False
    where: Location = field(default_factory=lambda: Location("<job>", 1, 1))


class Assembly(Struct, frozen=True):
    """Everything laid out. Names are unique; look things up by name.

    `view` is the motion from the frame in which the job was measured to the skin plane as seen from outside
    for the hand that is built. `laid_on` is the face of the skin on which the paper is laid. `targets` names,
    for a paper that is laid where it can not butt against structure, the existing rivets that place it.
    `cutting` says how each cutout is opened; `dimple_die_radius` is the builder's own, mm.
    `alignment` is how the paper lies on holes that exist; None where none was measured. `unit` is the job's:
    words lead with it. `room_behind_web` is the free depth behind a web on the side away from a bracket, by
    the bracket's name, mm; `room_behind` that behind the skin.
    """

    planes: dict[str, Plane]
    parts: dict[str, Part]
    faces: dict[str, Face]
    fasteners: tuple[Fastener, ...]
    cutouts: tuple[Cutout, ...]
    bends: tuple[Bend, ...]
    structures: dict[str, StructureLine]
    trims: tuple[TrimEdge, ...]
    masts: tuple[MastFit, ...]
    view: Motion
    hand: Literal["left", "right"]
    room_behind: float | None = None
    smallest_file: float | None = None
    drilled_to: dict[str, float] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    laid_on: Literal["outside", "inside"] = "outside"
    measured: MeasuredFrame | None = None
    targets: dict[str, tuple[str, ...]] = field(default_factory=dict)
    openings: tuple[OpeningSet, ...] = ()
    closings: tuple[Closing, ...] = ()
    tasks: tuple[Task, ...] = ()
    cutting: tuple[CuttingPlan, ...] = ()
    dimple_die_radius: float | None = None
    alignment: Alignment | None = None
    unit: Unit = "mm"
    room_behind_web: dict[str, float] = field(default_factory=dict)

    def holes(self, face: str) -> tuple[Hole, ...]:
        """Return every hole in a face, derived from the fasteners whose stack passes it."""
        return tuple(Hole(f, face, f.hole_in(face)) for f in self.fasteners if face in f.stack)

    def cutouts_of(self, face: str) -> tuple[Cutout, ...]:
        """Return every cutout that passes a face."""
        return tuple(cutout for cutout in self.cutouts if face in cutout.faces)
