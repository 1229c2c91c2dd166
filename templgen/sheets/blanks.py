"""Made parts as flat blanks, as seen from outside: the flat pattern with names and trimmed edges."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from templgen.geometry import Contour, Vec
from templgen.job.model import Job
from templgen.job.names import PAPER
from templgen.layout import FlatPattern, flat_pattern
from templgen.layout.assembly import SKIN_PLANE, Assembly, Cutout, Face, Fastener, Part, TrimEdge
from templgen.layout.finding import Finding
from templgen.layout.flat import FlatHole
from templgen.layout.work.sources import Sources, part_of_source
from templgen.sheets.facts import numbers
from templgen.trade.drills import parse_hole_size

__all__ = [
    "Blank",
    "blank_of",
    "cut_holes",
    "cut_size",
    "left_out_words",
    "made_parts",
    "place_in_flat",
    "through_parts",
]

_SAME = 1e-6
_METAL = ("base plate", "flat part", "bracket")


class Blank(Struct, frozen=True):
    """A flat part ready to be drawn. One with a single face keeps its place in the skin plane."""

    part: Part
    face: Face
    pattern: FlatPattern
    cutouts: tuple[Cutout, ...]
    trims: tuple[TrimEdge, ...]

    @property
    def is_bent(self) -> bool:
        """Whether it is unfolded into a frame of its own."""
        return not self.pattern.keeps_place

    @property
    def contours(self) -> tuple[Contour, ...]:
        """Every line to cut along: the outline with its openings, and cutouts."""
        return (*self.pattern.outline.contours, *self.pattern.cutouts)


def made_parts(assembly: Assembly) -> tuple[Part, ...]:
    """Return the parts that are made of metal of their own."""
    return tuple(
        part
        for part in assembly.parts.values()
        if part.made
        and part.kind in _METAL
        and all(assembly.faces[name].outline is not None for name in part.faces)
    )


def blank_of(assembly: Assembly, part: Part) -> Blank:
    """Return a made part in the flat, its holes as they are made in it; GeometryError without a flat
    pattern."""
    face = assembly.faces[part.faces[0]]
    pattern, sources = flat_pattern(assembly, part.name), Sources(assembly)
    holes = tuple(replace(each, fastener=sources.shown(each.fastener, each.face)) for each in pattern.holes)
    pattern = replace(pattern, holes=holes)
    cutouts = assembly.cutouts_of(face.name) if pattern.keeps_place else ()
    trims = tuple(trim for trim in assembly.trims if trim.face == face.name)
    return Blank(part, face, pattern, cutouts, trims)


def cut_holes(blank: Blank) -> tuple[FlatHole, ...]:
    """Return the holes that a shop may cut: not those that another part or the nutplate in hand decides."""
    return tuple(hole for hole in blank.pattern.holes if hole.fastener.made_from == PAPER)


def cut_size(job: Job, hole: FlatHole) -> float:
    """Return the diameter to which a shop cuts a hole, mm: that of its pilot drill, where it has one.

    A hole burned to its final size has the notch of the start in its edge, where a crack begins, and lets no
    drill guide itself into the sheets behind; from the pilot it is drilled up by hand (common practice, no
    source).
    """
    pilot = hole.fastener.pilot
    return parse_hole_size(pilot, job.unit).diameter_mm if pilot else hole.diameter


def guided_holes(blank: Blank) -> dict[str, list[FlatHole]]:
    """Return the holes of a part that are drilled through another part, by that part's name."""
    found: dict[str, list[FlatHole]] = {}
    for hole in blank.pattern.holes:
        guide = part_of_source(hole.fastener.made_from)
        if guide:
            found.setdefault(guide, []).append(hole)
    return found


def through_parts(blank: Blank) -> dict[str, list[Fastener]]:
    """Return `guided_holes` as fasteners."""
    return {guide: [hole.fastener for hole in holes] for guide, holes in guided_holes(blank).items()}


def left_out_words(blank: Blank) -> str:
    """Return which holes of a part its cut file leaves out, and why; "" where it has them all."""
    lugs = [hole.fastener for hole in blank.pattern.holes if hole.fastener.is_from_nutplate]
    if not lugs:
        return ""
    return f"without {len(lugs)} lug holes, {numbers(lugs)}: they are drilled through their nutplates"


def place_in_flat(blank: Blank, finding: Finding) -> Vec | None:
    """Return where a finding stands on a blank; on a bent one only what stands on a hole is known."""
    if finding.place is None or finding.face not in blank.part.faces:
        return None
    if not blank.is_bent:
        return finding.place if finding.plane == SKIN_PLANE else None
    for hole in blank.pattern.holes:
        if hole.face == finding.face and hole.fastener.at.distance_to(finding.place) < _SAME:
            return hole.at
    return None
