"""Trims: what a template or a part loses beside structure, exactly.

A trim line is a line of the structure, set back square to it towards the side that stays, then turned about
its middle. The side that stays is the mast's; for a flat part it is the side of its middle. A paper that is
laid inside is pushed home against the structure: its edge lies on the line itself, whatever stays off it.
A trim that meets a hole or a cutout is no fault here: both stay in the assembly, and the checks say by how
much they are cut.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from templgen.errors import JobError
from templgen.geometry import Arc, Line, Region, Segment, Vec, region_contains
from templgen.geometry.trim import HalfPlane, trim_region
from templgen.job.model import Mast, Trim, TrimLine
from templgen.job.names import BASE_PLATE, PAPER
from templgen.layout.assembly import SKIN_PLANE, Face, StructureLine, TrimEdge
from templgen.layout.draft import Draft, base_plate_name
from templgen.layout.faults import SkippedError
from templgen.layout.paper import PAPER_MARGIN, paper_name
from templgen.layout.structures import SINGLE_LINE
from templgen.shapes.names import unknown

__all__ = ["add_trims"]

ON_LINE = 1e-6
"""An edge this near to a trim line lies on it, mm."""

LEAST_TARGETS = 2
_CAN_BE_TRIMMED = ("base plate", "flat part", "paper")
_BEHIND_SKIN = ("rib", "spar", "stringer")


def add_trims(draft: Draft) -> None:
    """Apply every trim of the job to the faces it names, then find the new edges of the final outlines."""
    for trim in draft.job.trim:
        with draft.faults.guard(trim.where(), "trim"):
            mast = _mast_of(draft, trim)
            for part in trim.parts:
                with draft.faults.guard(trim.where("parts"), "trim"):
                    _trim_part(draft, trim, _full_name(draft, part, mast))
    _find_new_edges(draft)


def _mast_of(draft: Draft, trim: Trim) -> Mast | None:
    """Return the mast whose paper and plate a trim means; None where the job has no mast."""
    names = [mast.name for mast in draft.job.mast]
    if trim.of is not None:
        if trim.of not in names:
            raise JobError(
                f'no mast is called "{trim.of}"', at=trim.where("of"), hint=unknown(trim.of, names)
            )
        return next(mast for mast in draft.job.mast if mast.name == trim.of)
    if len(names) > 1 and {PAPER, BASE_PLATE} & set(trim.parts):
        raise JobError(
            "there are several masts; of says whose paper and plate the trim means",
            at=trim.where("parts"),
            hint="allowed: " + ", ".join(f'of = "{name}"' for name in names),
        )
    return draft.job.mast[0] if len(names) == 1 else None


def _full_name(draft: Draft, part: str, mast: Mast | None) -> str:
    """Return the part a trim means: its mast's own paper and plate."""
    if mast is None or part not in (PAPER, BASE_PLATE):
        return part
    if mast.name in draft.failed:
        raise SkippedError(part)
    return paper_name(draft, mast) if part == PAPER else base_plate_name(draft.job, mast)


def _trim_part(draft: Draft, trim: Trim, part: str) -> None:
    _require_trimmable(draft, trim, part)
    for line in trim.lines:
        with draft.faults.guard(line.where(), f"trim of {part}"):
            _trim_by(draft, trim, line, part, _staying(draft, part))
    if draft.parts[part].kind == "paper" and draft.job.laid_on == "outside":
        for line in trim.lines:
            _add_targets(draft, part, line)


def _require_trimmable(draft: Draft, trim: Trim, part: str) -> None:
    """Refuse what no template trims; a part that can be trimmed has one face, of its own name."""
    bent = {bend.part for bend in draft.bends if bend.lip}
    allowed = [
        each.name for each in draft.parts.values() if each.kind in _CAN_BE_TRIMMED and each.name not in bent
    ]
    if part in allowed:
        return
    if part in bent:
        raise JobError(f'"{part}" has a bent lip and is not trimmed', at=trim.where("parts"))
    if part in draft.failed:
        raise SkippedError(part)
    message = (
        f'"{part}" is not trimmed by a template' if part in draft.parts else f'no part is called "{part}"'
    )
    raise JobError(message, at=trim.where("parts"), hint=unknown(part, allowed))


def _staying(draft: Draft, part: str) -> Vec:
    """Return the point whose side stays: the middle of the mast, else of the part."""
    for mast in draft.job.mast:
        if mast.name not in draft.failed and part in (
            paper_name(draft, mast),
            base_plate_name(draft.job, mast),
        ):
            return draft.placements[mast.name].apply(Vec(0.0, 0.0))
    return _outline(draft.faces[part]).centroid


def _outline(face: Face) -> Region:
    assert face.outline is not None, face.name  # noqa: S101 - what can be trimmed has an outline
    return face.outline


def _trim_by(draft: Draft, trim: Trim, line: TrimLine, name: str, stays: Vec) -> None:
    """Cut one face by one line and note what it did."""
    butts = _is_pushed_home(draft, name)
    if butts and (line.set_back or line.angle):
        draft.note(
            f"the {name} is laid inside and pushed home: its edge is the line of {line.structure} itself; "
            "set-back and turn of the trim are for metal only"
        )
        line = line.model_copy(update={"set_back": 0.0, "angle": 0.0})
    plane = _half_plane(draft, line, name, stays)
    face = draft.faces[name]
    result = trim_region(_outline(face), [plane])
    if not result.kept:
        raise JobError(f'the trim would cut away all of "{name}"', at=line.where())
    kept = next((piece for piece in result.kept if region_contains(piece, stays)), result.kept[0])
    cut = (*result.cut, *(piece for piece in result.kept if piece is not kept))
    draft.faces[name] = replace(face, outline=kept)
    lowest = [_lowest(piece.segments, plane) for piece in result.cut]
    draft.trims.append(
        TrimEdge(
            name,
            line.structure,
            _line_name(line, draft.structures[line.structure]),
            plane,
            line.set_back,
            trim.edge,
            (),
            cut,
            depth=max((-plane.height_of(point) for point in lowest), default=0.0),
            where=line.where(),
        )
    )


def _is_pushed_home(draft: Draft, name: str) -> bool:
    """Whether the edge of a face is what places it: a set-back would move every hole by as much."""
    return draft.parts[name].kind == "paper" and draft.job.laid_on == "inside"


def _half_plane(draft: Draft, line: TrimLine, name: str, stays: Vec) -> HalfPlane:
    structure = draft.structure(line.structure, line.where("structure"))
    base = _structure_line(structure, line)
    side = base.direction.cross(stays - base.midpoint)
    if abs(side) <= ON_LINE:
        raise JobError(
            f'"{line.structure}" runs through the middle of "{name}": no side of it stays',
            at=line.where("structure"),
        )
    way = 1.0 if side > 0 else -1.0
    angle = -line.angle if draft.view.is_mirrored else line.angle
    middle = base.midpoint + base.direction.perp() * (way * line.set_back)
    plane = HalfPlane(middle, base.direction.turned(angle) * way)
    if plane.height_of(stays) <= ON_LINE:
        raise JobError(
            f'the trim along "{line.structure}" would cut away the middle of "{name}"',
            at=line.where("set_back"),
            hint=f"the middle stands {draft.show(abs(side))} from the line",
        )
    return plane


def _line_name(line: TrimLine, structure: StructureLine) -> str:
    """Return the line a trim means: a seam or a skin edge has one only, so the default means that."""
    if structure.kind in SINGLE_LINE and "line" not in line.model_fields_set:
        return SINGLE_LINE[structure.kind]
    return line.line


def _structure_line(structure: StructureLine, line: TrimLine) -> Line:
    name = _line_name(line, structure)
    if name not in structure.lines:
        known = ", ".join(f'"{each}"' for each in structure.lines)
        raise JobError(
            f'the {name} of "{structure.name}" is not known',
            at=line.where("line"),
            hint=f"known: {known}; the others need flange_width, flange_side and thickness",
        )
    return structure.lines[name]


def _lowest(segments: Iterable[Segment], plane: HalfPlane) -> Vec:
    """Return the point farthest to the right of a line: ends, and where an arc runs parallel to it."""
    points = []
    for segment in segments:
        points += [segment.start, segment.end]
        if isinstance(segment, Arc):
            towards = -plane.direction.perp()
            if segment.covers_angle(towards.angle % 360.0):
                points.append(segment.centre + towards * segment.radius)
    return min(points, key=plane.height_of)


def _find_new_edges(draft: Draft) -> None:
    for number, trim in enumerate(draft.trims):
        face = draft.faces[trim.face]
        lines = [edge for edge in _outline(face).segments if isinstance(edge, Line)]
        edges = tuple(edge for edge in lines if _lies_on(edge, trim.half_plane))
        draft.trims[number] = replace(trim, new_edge=edges)
        if trim.edge == "formed":
            draft.faces[trim.face] = replace(face, formed=(*face.formed, *edges))


def _lies_on(edge: Line, plane: HalfPlane) -> bool:
    return all(abs(plane.height_of(point)) <= ON_LINE for point in (edge.start, edge.end))


def _add_targets(draft: Draft, paper: str, line: TrimLine) -> None:
    """Name the rivets by which a paper laid outside is placed: it can not butt against what stands inside."""
    if line.structure not in draft.structures:
        return
    structure = draft.structures[line.structure]
    if structure.kind not in _BEHIND_SKIN:
        return
    # What lies in the paper's margin only is not on the sheet.
    box = _outline(draft.faces[paper]).bounds.grown(-PAPER_MARGIN)
    middle = box.centre
    rivets = [
        each
        for each in draft.fasteners
        if each.exists and each.feature == structure.name and each.plane == SKIN_PLANE
    ]
    along = next(iter(structure.lines.values())).direction
    reach = max(abs((corner - middle).dot(along)) for corner in box.corners)
    rivets.sort(key=lambda each: (abs((each.at - middle).dot(along)), each.number))
    near = [each for each in rivets if abs((each.at - middle).dot(along)) <= reach]
    chosen = near if len(near) >= LEAST_TARGETS else rivets[:LEAST_TARGETS]
    if len(chosen) < LEAST_TARGETS:
        draft.note(
            f"the {paper} is laid outside and can not butt against {structure.name}, which has no two known "
            "rivets: place it by measuring, and by the locating holes"
        )
        return
    names = [each.name for each in sorted(chosen, key=lambda each: each.number)]
    draft.targets[paper] = tuple(dict.fromkeys([*draft.targets.get(paper, ()), *names]))
    draft.note(
        f"the {paper} is laid outside and can not butt against {structure.name}: place it by the rivets "
        + ", ".join(names)
    )
