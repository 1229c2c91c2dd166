"""What the rules of access openings share: the ring's pieces, the room behind, the hole that is left to
pass."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from templgen.checks.rule import Subject
from templgen.checks.survey import Survey
from templgen.checks.words import both
from templgen.geometry import Contour, Side, Vec, locate, region_contains
from templgen.geometry.extent import extent_along
from templgen.geometry.holding import HoleSpace, nearest_normal
from templgen.geometry.plate import Bay, Lump, Plate
from templgen.geometry.solids import Solid, block, prism, rod
from templgen.layout.assembly import SKIN_PLANE, StructureLine
from templgen.layout.openings.model import Nutplate, Obstacle, OpeningSet, Place3
from templgen.trade.source import Source

__all__ = [
    "DERIVED",
    "Piece",
    "bay_of",
    "clear_space",
    "clear_space_of",
    "cut_doubt",
    "none_here",
    "of_opening",
    "pieces_of",
    "size_words",
    "skin_thickness",
    "solid_of",
    "unknown_nutplates",
]

DERIVED = Source("geometry of opening, ring and room", derived=True)

none_here = "no access opening"


class Piece(Struct, frozen=True):
    """One piece of a ring: its name, its outer edge, its thickness (mm), and the nutplates on it."""

    name: str
    outline: Contour
    thickness: float
    nutplates: tuple[Nutplate, ...]

    @property
    def bare(self) -> Plate:
        """The piece without nutplates."""
        return Plate(self.outline, self.thickness)

    @property
    def with_nutplates(self) -> Plate:
        """The piece with those nutplates whose outline and height are known."""
        lumps = [
            Lump(plate.outline, plate.spec.height)
            for plate in self.nutplates
            if plate.outline is not None and plate.spec.height is not None
        ]
        return Plate(self.outline, self.thickness, tuple(lumps))


def of_opening(opening: OpeningSet, face: str = "", place: Vec | None = None) -> Subject:
    """Return an opening, or a face or a place of it, as the subject of a finding."""
    return Subject(opening.where, opening.name, face, SKIN_PLANE, place or opening.centre)


def skin_thickness(survey: Survey) -> float:
    """Return the thickness of the skin, mm."""
    return survey.assembly.faces[SKIN_PLANE].thickness


def cut_doubt(survey: Survey, opening: OpeningSet) -> float:
    """Return how well the edge of the opening in the skin is made, mm either way."""
    cutouts = survey.assembly.cutouts_of(SKIN_PLANE)
    own = [cutout for cutout in cutouts if cutout.feature == opening.name]
    return max((cutout.doubt + cutout.deviation for cutout in own), default=opening.deviation)


def pieces_of(survey: Survey, opening: OpeningSet) -> Iterator[Piece]:
    """Yield the pieces of the ring; one that is cut through once counts as one piece without the cut."""
    thickness = survey.assembly.faces[opening.ring_face].thickness
    bench = opening.nutplates if opening.nutplates_riveted == "bench" else ()
    if opening.ring_made != "halves":
        yield Piece("the ring", opening.ring.outer, thickness, bench)
        return
    for name in opening.ring_faces:
        outline = survey.assembly.faces[name].outline
        if outline is not None:
            own = tuple(plate for plate in bench if region_contains(outline, plate.at))
            yield Piece(name, outline.outer, thickness, own)


def unknown_nutplates(nutplates: tuple[Nutplate, ...]) -> tuple[Nutplate, ...]:
    """Return the nutplates whose outline or height nobody gave."""
    return tuple(plate for plate in nutplates if plate.outline is None or plate.spec.height is None)


def size_words(contour: Contour, opening: OpeningSet, less: float = 0.0) -> str:
    """Return length by width of an outline along the opening's own axes, less (or more) all round, in
    words."""
    sizes = []
    for axis in (Vec(1.0, 0.0), Vec(0.0, 1.0)):
        low, high = extent_along(contour, opening.frame.apply_direction(axis))
        sizes.append(both(high - low - 2 * less))
    return " x ".join(sizes)


def bay_of(survey: Survey, opening: OpeningSet) -> Bay | None:
    """Return the room behind with all that stands in it: obstacles, webs and flanges of structure.

    It is worked out once, since several rules ask for it.
    """
    if opening.name not in survey.bays:
        survey.bays[opening.name] = _bay_of(survey, opening)
    return survey.bays[opening.name]


def _bay_of(survey: Survey, opening: OpeningSet) -> Bay | None:
    room = opening.room
    if room is None:
        return None
    solids = [solid_of(obstacle) for obstacle in room.obstacles]
    for structure in survey.assembly.structures.values():
        solids += _structure_solids(structure, room.depth)
    return Bay(room.depth, room.area, tuple(solids))


def solid_of(obstacle: Obstacle) -> Solid:
    """Return an obstacle as a solid, grown by what it swings."""
    if obstacle.box is not None:
        box, swing = obstacle.box.grown(obstacle.swing), obstacle.swing
        return block(obstacle.name, box, obstacle.z_from - swing, obstacle.z_to + swing)
    start, end = obstacle.start, obstacle.end
    assert start is not None  # noqa: S101 - an obstacle is a box or a line
    assert end is not None  # noqa: S101
    return rod(obstacle.name, _point(start), _point(end), obstacle.radius + obstacle.swing)


def _point(place: Place3) -> tuple[float, float, float]:
    return place.at.x, place.at.y, place.z


def _structure_solids(structure: StructureLine, depth: float) -> Iterator[Solid]:
    """A web stands from skin to skin where no more is known; a flange lies on the skin."""
    if structure.kind in ("seam", "skin edge"):
        return
    names = ("web face", "web inner face", "heel", "bend tangent")
    web = next((structure.lines[name] for name in names if name in structure.lines), None)
    if web is not None:
        yield prism(structure.name, (web.start, web.end), 0.0, depth)
    if structure.flange is not None:
        corners = structure.flange.outer.vertices
        yield prism(f"the flange of {structure.name}", corners, 0.0, structure.thickness or 0.0)


def clear_space(opening: OpeningSet) -> HoleSpace:
    """Return the clear hole less what nutplates reach into it."""
    hole = opening.clear_hole.as_ccw()
    cuts = []
    for plate in opening.nutplates:
        if plate.outline is None:
            continue
        normal = nearest_normal(plate.at, hole)
        inmost = min(plate.outline.vertices, key=lambda corner: corner.dot(normal))
        if any(locate(corner, hole) is Side.INSIDE for corner in plate.outline.vertices):
            cuts.append((inmost, normal))
    return HoleSpace.of(hole, cuts)


def clear_space_of(survey: Survey, opening: OpeningSet) -> HoleSpace:
    """Return `clear_space`, worked out once, since several rules ask for it."""
    if opening.name not in survey.clear_spaces:
        survey.clear_spaces[opening.name] = clear_space(opening)
    return survey.clear_spaces[opening.name]
