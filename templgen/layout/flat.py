"""Flat patterns: a part as it lies on the sheet before it is bent, always as seen from outside."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from templgen.errors import GeometryError
from templgen.geometry import Contour, Line, Motion, Region, Segment, Vec
from templgen.geometry.merge import merged
from templgen.layout.assembly import Assembly, Bend, Face, Fastener
from templgen.trade.bending import bend_allowance

__all__ = ["FlatBend", "FlatHole", "FlatPattern", "flat_pattern"]


class FlatHole(Struct, frozen=True):
    """A hole in the flat, mm."""

    fastener: Fastener
    face: str
    at: Vec
    diameter: float


class FlatBend(Struct, frozen=True):
    """A bend in the flat: its two tangent lines, the line midway, the angle bent, and which way it goes.

    `relief` is the diameter of the relief hole at either end of it, 0 where the bend runs from edge to edge.
    """

    tangents: tuple[Line, Line]
    middle: Line
    angle: float
    inside_radius: float
    allowance: float
    towards: str
    relief: float = 0.0


class FlatPattern(Struct, frozen=True):
    """A part in the flat, as seen from outside.

    A part with one face keeps the place it has in its plane (`keeps_place`), its lips too if it has any. An
    angle has x along its structure line and its origin in the middle of the skin leg's bend tangent.
    `cutouts` are kept apart from the outline.
    """

    part: str
    thickness: float
    material: str
    outline: Region
    holes: tuple[FlatHole, ...]
    cutouts: tuple[Contour, ...] = ()
    bends: tuple[FlatBend, ...] = ()
    keeps_place: bool = True


def flat_pattern(assembly: Assembly, part: str) -> FlatPattern:
    """Return the flat pattern of a part.

    Args:
        assembly: what was laid out.
        part: name of a part that is made.

    Raises:
        GeometryError: the part has no edges (skin that goes on), or more than one bend besides lips.
    """
    bends = [bend for bend in assembly.bends if bend.part == part]
    faces = [assembly.faces[name] for name in assembly.parts[part].faces]
    if any(face.outline is None for face in faces) or not faces:
        raise GeometryError(f"{part} has no outline, so it has no flat pattern")
    if len(faces) == 1 and all(bend.lip for bend in bends):
        return _single(assembly, faces[0], bends)
    if len(bends) != 1 or len(faces) != 2:
        raise GeometryError(f"{part} has {len(bends)} bends; a flat pattern is made for one")
    return _unfolded(assembly, part, bends[0])


def _single(assembly: Assembly, face: Face, lips: Sequence[Bend] = ()) -> FlatPattern:
    cutouts = tuple(cutout.contour for cutout in assembly.cutouts_of(face.name))
    return FlatPattern(
        face.part,
        face.thickness,
        face.material,
        _with_lips(face, lips) if lips else _outline(face),
        _holes(assembly, face, Motion.identity()),
        cutouts,
        tuple(_flat_lip(face, bend) for bend in lips),
    )


def _with_lips(face: Face, lips: Sequence[Bend]) -> Region:
    """The outline with the lips turned down into its plane, each beyond its mold line."""
    outline = _outline(face)
    segments: list[Segment] = []
    for segment in outline.outer.segments:
        if isinstance(segment, Line) and segment in face.formed:
            out = segment.direction.perp() * -lips[face.formed.index(segment)].lip
            far = Line(segment.start + out, segment.end + out)
            segments += [Line(segment.start, far.start), far, Line(far.end, segment.end)]
        else:
            segments.append(segment)
    return Region(merged(Contour(tuple(segments), closed=True)), outline.inner)


def _flat_lip(face: Face, bend: Bend) -> FlatBend:
    allowance = bend_allowance(bend.angle, bend.inside_radius, face.thickness)
    tangent, out = bend.tangent_a, -bend.tangent_a.direction.perp()
    other, middle = (
        Line(tangent.start + out * by, tangent.end + out * by) for by in (allowance, allowance / 2)
    )
    towards = "towards you, to the outside"
    return FlatBend((tangent, other), middle, bend.angle, bend.inside_radius, allowance, towards, bend.relief)


def _unfolded(assembly: Assembly, part: str, bend: Bend) -> FlatPattern:
    """Turn the second leg up into the plane of the first, one bend allowance away."""
    first, second = assembly.faces[bend.face_a], assembly.faces[bend.face_b]
    allowance = bend_allowance(bend.angle, bend.inside_radius, first.thickness)
    to_flat = _first_motion(bend)
    side = 1.0 if _outline(first).moved(to_flat).centroid.y > 0 else -1.0
    second_to_flat = _second_motion(bend, side, allowance)
    box = _outline(first).moved(to_flat).bounds.union(_outline(second).moved(second_to_flat).bounds)
    half = bend.tangent_a.length / 2
    lines = [Line(Vec(-half, y), Vec(half, y)) for y in (0.0, -side * allowance, -side * allowance / 2)]
    return FlatPattern(
        part,
        first.thickness,
        first.material,
        Region(Contour.polygon(box.corners)),
        _holes(assembly, first, to_flat) + _holes(assembly, second, second_to_flat),
        bends=(
            FlatBend(
                (lines[0], lines[1]),
                lines[2],
                bend.angle,
                bend.inside_radius,
                allowance,
                "away from you, into the aircraft",
            ),
        ),
        keeps_place=False,
    )


def _first_motion(bend: Bend) -> Motion:
    """From the skin plane to the flat: the skin leg's tangent line becomes the x axis; never a mirror."""
    middle, along = bend.tangent_a.midpoint, bend.tangent_a.direction
    turn = Motion(along.x, -along.y, Vec(0.0, 0.0))
    return Motion.translation(-middle).then(turn)


def _second_motion(bend: Bend, side: float, allowance: float) -> Motion:
    """From the web plane (seen from the left of the line) to the flat, on the other side of the bend."""
    middle = bend.tangent_b.midpoint
    if side > 0:
        return Motion(1.0, 0.0, Vec(-middle.x, middle.y - allowance), is_mirrored=True)
    return Motion.translation(Vec(-middle.x, allowance - middle.y))


def _holes(assembly: Assembly, face: Face, motion: Motion) -> tuple[FlatHole, ...]:
    return tuple(
        FlatHole(hole.fastener, face.name, motion.apply(hole.fastener.at), hole.diameter)
        for hole in assembly.holes(face.name)
    )


def _outline(face: Face) -> Region:
    assert face.outline is not None, face.name  # noqa: S101 - looked at by flat_pattern
    return face.outline
