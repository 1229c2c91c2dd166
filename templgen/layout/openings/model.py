"""What an access opening is once it is laid out: the matched set of hole, ring, cover and hardware.

Places are in the skin plane (mm, seen from outside for the hand that is built). Depths `z` count from the
inner face of the skin into the aircraft. Metal and holes themselves stand in the assembly's faces, cutouts
and fasteners: here is what they are to each other, by name.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct, field

from templgen.errors import Location
from templgen.geometry import Bounds, Contour, Line, Motion, Region, Vec

__all__ = [
    "Closing",
    "Hand",
    "HangingBox",
    "Lead",
    "LeftOut",
    "Lip",
    "Nutplate",
    "NutplateSpec",
    "Obstacle",
    "OpeningSet",
    "Place3",
    "Plug",
    "Room",
    "Task",
]

_NOWHERE = Location("<job>", 1, 1)


class Place3(Struct, frozen=True):
    """A place in the room behind the skin: in the skin plane, and how deep behind its inner face, mm."""

    at: Vec
    z: float


class NutplateSpec(Struct, frozen=True):
    """A kind of nutplate for one screw, mm. None is unknown, never zero.

    `rivet_holes` are from the screw's centre, x along the lugs. `free_play` is how far a floating nut moves
    either way (0 for a fixed one). `length` and `width` are the plate's outline, x along the lugs;
    `lug_thickness` and `height` (from the ring to the end of the nut) are needed for lengths of rivets and
    screws. `from_memory` names the keys whose value stands in no document that was seen.
    """

    name: str
    words: str
    lugs: Literal["two", "one", "corner"]
    screw: str
    rivet_holes: tuple[Vec, ...]
    rivet: str
    floating: bool = False
    free_play: float = 0.0
    lug_seat: Literal["plain", "countersunk"] = "plain"
    miniature: bool = False
    self_locking: bool = True
    length: float | None = None
    width: float | None = None
    outline: Contour | None = None
    lug_thickness: float | None = None
    height: float | None = None
    from_memory: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


class Nutplate(Struct, frozen=True):
    """One nutplate on the ring.

    `screw` and `rivets` are fastener names; `angle` turns its own x axis, degrees. `name` stands in
    `Fastener.nutplate` of its screw and of its rivets. `outline` (skin plane) only if it is known.
    """

    name: str
    spec: NutplateSpec
    screw: str
    rivets: tuple[str, ...]
    at: Vec
    angle: float
    turned: Literal["along", "across"]
    outline: Contour | None = None


class LeftOut(Struct, frozen=True):
    """A screw that was not placed, and why."""

    at: Vec
    reason: str


class Lip(Struct, frozen=True):
    """The bent lip along the straight edges of a cover, to the outside.

    `height` is along the lip, from the mold line to its edge; the blank reaches `blank_growth` beyond the
    cover's outline along each edge. The bend tangent line stands `set_back` inside the outline; at each end
    of a lip a slot as wide as `relief` parts it from the sheet that stays flat.
    """

    height: float
    bend_radius: float
    angle: float
    blank_growth: float
    set_back: float
    relief: float

    @property
    def relief_depth(self) -> float:
        """How far a relief reaches in from the cover's outline, mm."""
        return self.set_back + self.relief / 2

    @property
    def least_edge(self) -> float:
        """The shortest straight edge that gets a lip, mm: two reliefs, and a lip as long as it is high."""
        return 2 * self.relief + self.height


class Obstacle(Struct, frozen=True):
    """What stands in the room behind: a box (`box`, `z_from` to `z_to`) or a line from `start` to `end`.

    `radius` is half the thickness of a line. `moving` marks controls: `swing` is how far they move either
    way.
    """

    name: str
    moving: bool
    box: Bounds | None = None
    z_from: float = 0.0
    z_to: float = 0.0
    start: Place3 | None = None
    end: Place3 | None = None
    radius: float = 0.0
    swing: float = 0.0


class Room(Struct, frozen=True):
    """The free room behind the skin: `depth` to the far skin, `area` where its walls are known, obstacles."""

    depth: float
    area: Bounds | None = None
    obstacles: tuple[Obstacle, ...] = ()


class Plug(Struct, frozen=True):
    """A plug of the box.

    `side` is a face of the box in its own frame; `at` and `z` are where it leaves the box.
    `width` and `height` are its section (equal for a round one), `stands_out` how far it reaches from the
    box. `undone` says whether a hand undoes it before the box comes out, or it stays on.
    """

    name: str
    side: Literal["+x", "-x", "+y", "-y", "top"]
    at: Vec
    z: float
    direction: Vec
    width: float
    height: float
    stands_out: float
    undone: Literal["in reach", "on"]


class Lead(Struct, frozen=True):
    """A wire or tube to a plug: `free_length` from its last `support` to the plug.

    `structure` and `slack_side` say on which side of a line it runs (left or right of the line's direction in
    the skin plane). `stowed_at` is where the slack lies when the cover is on, within `stowed_radius`;
    `stowed` says how it is held.
    """

    name: str
    plug: str
    free_length: float
    support: Place3
    structure: str = ""
    slack_side: Literal["left", "right", ""] = ""
    stowed: str = ""
    stowed_at: Place3 | None = None
    stowed_radius: float = 0.0
    where: Location = field(default_factory=lambda: _NOWHERE)


class HangingBox(Struct, frozen=True):
    """A box on the inside of the cover.

    `footprint` is in the skin plane, `height` how far it reaches inwards from the cover.
    `frame` leads from the box's own frame (x along its length, origin at its middle) to the skin plane.
    `mounts` are fastener names in the cover. `hand_distance` is how far outside the opening it is held while
    plugs are undone. `cover_z` is the depth of the cover's inner face behind the skin's (less
    than 0 under a lying cover); heights and the plugs' z count from there. `flange` is the thickness of what
    its screws clamp to the cover.
    """

    name: str
    footprint: Contour
    frame: Motion
    length: float
    width: float
    height: float
    mounts: tuple[str, ...]
    plugs: tuple[Plug, ...]
    leads: tuple[Lead, ...]
    hand_distance: float
    cover_z: float
    mass_g: float | None = None
    flange: float | None = None
    where: Location = field(default_factory=lambda: _NOWHERE)


class Hand(Struct, frozen=True):
    """What the builder says of the hand that goes in.

    `needs` is what to judge by; the sizes are the builder's own, mm (None: the published ones).
    """

    needs: tuple[Literal["bare hand", "hand with tool", "two hands"], ...] = ("bare hand",)
    width: float | None = None
    thickness: float | None = None
    tool_width: float | None = None
    tool_thickness: float | None = None
    two_hands_width: float | None = None


class OpeningSet(Struct, frozen=True):
    """One access opening.

    `skin_hole` is cut in the skin, `clear_hole` in the ring: it is what passes. Under a lying cover both are
    the same contour; under a flush one the clear hole is smaller by the `ledge` of the ring, and the cover
    fills the skin hole less `gap` all round. `screws` run along `screw_line` from its first place,
    `ring_rivets` row by row, outermost row first, as `rivet_lines` do. `ring` is the whole ring however it
    is made; its pieces are `ring_faces`, and `ring_cuts` the lines along which it is parted. Names in
    `screws`, `ring_rivets` are those of fasteners. `nutplates_riveted` on the "bench" are riveted to the
    ring alone; "in place" also through the skin under a lying cover. `frame` leads from the opening's own
    frame to the skin plane; `deviation` is what fitting curves of the outline cost. `arm` is its distance
    from the datum of weight and balance. `check_in_hand` are sentences for the sheets about values from
    memory.
    """

    name: str
    centre: Vec
    frame: Motion
    skin_hole: Contour
    clear_hole: Contour
    cover: Contour
    ring: Region
    screw_line: Contour
    rivet_lines: tuple[Contour, ...]
    ring_faces: tuple[str, ...]
    cover_face: str
    cover_kind: Literal["lying", "flush"]
    gap: float
    screws: tuple[str, ...]
    nutplates: tuple[Nutplate, ...]
    ring_rivets: tuple[str, ...]
    ring_made: Literal["whole", "split", "halves"]
    nutplates_riveted: Literal["bench", "in place"]
    opened: Literal["every flight", "rarely"]
    ring_cuts: tuple[Line, ...] = ()
    ledge: float = 0.0
    left_out: tuple[LeftOut, ...] = ()
    lip: Lip | None = None
    room: Room | None = None
    hangs: HangingBox | None = None
    hand: Hand = field(default_factory=Hand)
    pressure_psi: float | None = None
    low_point: Vec | None = None
    drain_gap: float | None = None
    arm: float | None = None
    deviation: float = 0.0
    check_in_hand: tuple[str, ...] = ()
    where: Location = field(default_factory=lambda: _NOWHERE)

    @property
    def ring_face(self) -> str:
        """The face of the ring, or of its first piece."""
        return self.ring_faces[0]


class Closing(Struct, frozen=True):
    """Something that ends an access: from then on nobody works from the side that it `takes`.

    `takes` "hand through" ends the access through `opening`. `before` and `after` name closings, tasks and
    features whose work comes later or earlier; `done` says that it is closed already.
    """

    name: str
    closes: str
    takes: Literal["inside", "outside", "hand through"]
    opening: str = ""
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    done: bool = False
    where: Location = field(default_factory=lambda: _NOWHERE)


class Task(Struct, frozen=True):
    """A piece of work with its access need; "hand through" means through `opening`."""

    name: str
    access: Literal["both sides", "outside only", "hand through"]
    opening: str = ""
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    where: Location = field(default_factory=lambda: _NOWHERE)
