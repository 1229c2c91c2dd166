"""Structure measured on the airframe: from one measured line to all lines, the flange and the web.

In section a rib, spar or stringer is an angle: its web stands on the skin plane, its flange lies on the skin.
The heel is the corner of the mold lines, so the web's outer face stands over the heel line. From there
towards the free flange edge (the geometry of a 90 degree bend):

    heel, web face 0 | web inner face t | bend tangent t + R | rivet row | free flange edge = flange width
"""

from __future__ import annotations

from templgen.errors import JobError
from templgen.geometry import Contour, Line, Region, Vec
from templgen.job.model import Job, Structure, StructureRivets
from templgen.layout.assembly import SKIN_PLANE, Face, Part, StructureLine
from templgen.layout.draft import Draft
from templgen.layout.frames import vec, web_plane

__all__ = ["add_structure", "existing_rivet_points", "region_between", "shifted", "structure_doubt"]

SINGLE_LINE = {"seam": "rivet row", "skin edge": "skin edge"}
"""Structure without a section: the one line it has."""


def shifted(line: Line, direction: Vec, distance: float) -> Line:
    """Return a line moved by `distance` mm along a unit vector."""
    step = direction * distance
    return Line(line.start + step, line.end + step)


def region_between(first: Line, second: Line) -> Region:
    """Return the area between two parallel lines of the same length."""
    return Region(Contour.polygon([first.start, first.end, second.end, second.start]))


def structure_doubt(job: Job, structure: Structure) -> float:
    """Return how well a structure was measured, mm either way."""
    return job.measured_to if structure.measured_to is None else structure.measured_to


def add_structure(draft: Draft, structure: Structure) -> None:
    """Lay out one structure: its lines, and where enough is known its flange and web.

    Raises:
        JobError: something the derivation needs is missing or contradicts.
        GeometryError: the two measured points are one.
    """
    measured = Line(vec(structure.start), vec(structure.end))
    draft.measured_lines[structure.name] = measured
    line = measured.moved(draft.view)
    if structure.kind in SINGLE_LINE:
        _add_single_line(draft, structure, line)
        return
    _require_section(draft, structure)
    side = _turned_side(draft, structure.flange_side)
    lines = _derived_lines(structure, line, side)
    flange = _footprint(lines)
    draft.structures[structure.name] = StructureLine(
        structure.name,
        structure.kind,
        lines,
        side,
        flange,
        structure.thickness,
        structure.bend_radius,
        structure_doubt(draft.job, structure),
        where=structure.where(),
    )
    _add_faces(draft, structure, lines)


def _turned_side(draft: Draft, side: str | None) -> int:
    """Return +1 for left of the line as seen in the skin plane, -1 for right, 0 for not given."""
    if side is None:
        return 0
    as_measured = 1 if side == "left" else -1
    return -as_measured if draft.view.is_mirrored else as_measured


def _add_single_line(draft: Draft, structure: Structure, line: Line) -> None:
    section = ("flange_width", "flange_side", "bend_radius")
    given = [key for key in section if getattr(structure, key) is not None]
    if given:
        raise JobError(f"a {structure.kind} has no {given[0]}", at=structure.where(given[0]))
    side = 0
    if structure.kind == "skin edge":
        if structure.skin_side is None:
            raise JobError(
                f'skin edge "{structure.name}" needs skin_side: on which side the metal lies',
                at=structure.where(),
                hint='allowed: "left", "right", looking from the first point to the second',
            )
        side = _turned_side(draft, structure.skin_side)
    draft.structures[structure.name] = StructureLine(
        structure.name,
        structure.kind,
        {SINGLE_LINE[structure.kind]: line},
        side,
        None,
        None,
        None,
        structure_doubt(draft.job, structure),
        where=structure.where(),
    )


def _require_section(draft: Draft, structure: Structure) -> None:
    """Refuse a section that can not be, before anything is derived from it."""
    if structure.line_is is None:
        raise JobError(
            f'"{structure.name}" needs line_is: what the two points were measured on',
            at=structure.where(),
            hint='allowed: "heel", "free flange edge", "web face", "rivet row"',
        )
    if structure.flange_width is not None and structure.flange_side is None:
        raise JobError(
            f'"{structure.name}" has a flange width but no flange_side',
            at=structure.where("flange_width"),
            hint='allowed: "left", "right", looking from the first point to the second',
        )
    bend = (structure.thickness or 0.0) + (structure.bend_radius or 0.0)
    if structure.flange_width is not None and bend >= structure.flange_width:
        raise JobError(
            f'"{structure.name}": thickness and bend radius ({draft.show(bend)}) leave no flat flange '
            f"in a width of {draft.show(structure.flange_width)}",
            at=structure.where("flange_width"),
        )
    off = _row_off(structure)
    if off is not None and structure.flange_width is not None and not 0 < off < structure.flange_width:
        raise JobError(
            f'the rivet row of "{structure.name}" stands {draft.show(off)} from the heel, '
            f"the flange is {draft.show(structure.flange_width)} wide",
            at=structure.where("rivets"),
        )


def _row_off(structure: Structure) -> float | None:
    """Return heel to rivet row: as given, or the middle of the flange; None where neither is known."""
    given = next((each.off for each in structure.rivets if each.off is not None), None)
    if given is not None:
        return given
    return None if structure.flange_width is None else structure.flange_width / 2


def _measured_off(structure: Structure) -> float | None:
    """Return heel to measured line."""
    if structure.line_is in ("heel", "web face"):
        return 0.0
    return structure.flange_width if structure.line_is == "free flange edge" else _row_off(structure)


def _derived_lines(structure: Structure, line: Line, side: int) -> dict[str, Line]:
    """Return every line that follows from the measured one, in the order of the section."""
    off = _measured_off(structure)
    if off is None or (off and not side):
        return {str(structure.line_is): line}
    towards_edge = line.direction.perp() * side
    heel = shifted(line, towards_edge, -off)
    lines = {"heel": heel, "web face": heel}
    if not side:
        return lines
    thickness, radius, width = structure.thickness, structure.bend_radius, structure.flange_width
    offs = {
        "web inner face": thickness,
        "bend tangent": None if thickness is None or radius is None else thickness + radius,
        "rivet row": _row_off(structure),
        "free flange edge": width,
    }
    lines.update({name: shifted(heel, towards_edge, each) for name, each in offs.items() if each is not None})
    if structure.line_is is not None:
        lines[structure.line_is] = line
    return lines


def _footprint(lines: dict[str, Line]) -> Region | None:
    """Return all that covers the skin, from the heel to the free flange edge."""
    if "heel" not in lines or "free flange edge" not in lines:
        return None
    return region_between(lines["heel"], lines["free flange edge"])


def _add_faces(draft: Draft, structure: Structure, lines: dict[str, Line]) -> None:
    faces = []
    if not structure.flange:
        pass
    elif structure.thickness is None:
        draft.note(f"{structure.name}: no thickness given, its flange and web are not checked")
    elif "free flange edge" not in lines or "web inner face" not in lines:
        draft.note(f"{structure.name}: no flange width given, its flange is not checked")
    else:
        faces.append(_flange_face(draft, structure, lines))
    if structure.thickness is not None and "heel" in lines:
        plane = web_plane(structure.name, lines["heel"], draft.planes[SKIN_PLANE])
        draft.planes[plane.name] = plane
        faces.append(_web_face(draft, structure, lines["heel"].length))
    names = tuple(face.name for face in faces)
    draft.add_part(Part(structure.name, names, made=False, kind="structure", side="inside"), faces)


def _flange_face(draft: Draft, structure: Structure, lines: dict[str, Line]) -> Face:
    """The flat of the flange; its ends go on, and so does the bend where no radius is given."""
    free = lines["free flange edge"]
    formed = lines.get("bend tangent")
    inner = formed or lines["web inner face"]
    beyond = [Line(inner.start, free.start), Line(inner.end, free.end)]
    if formed is None:
        draft.note(f"{structure.name}: no bend radius given, distances to its bend are not checked")
        beyond.append(inner)
    return Face(
        f"{structure.name} flange",
        structure.name,
        SKIN_PLANE,
        structure.thickness or 0.0,
        structure.material or "",
        region_between(inner, free),
        order=0,
        formed=() if formed is None else (formed,),
        beyond=tuple(beyond),
        at=structure.where(),
    )


def _web_face(draft: Draft, structure: Structure, length: float) -> Face:
    """The flat of the web: x along the line, y away from the skin; only its lower bend is known."""
    thickness, radius = structure.thickness or 0.0, structure.bend_radius
    foot = thickness + (radius or 0.0)
    outline: Region | None = None
    formed: tuple[Line, ...] = ()
    beyond: tuple[Line, ...] = ()
    if structure.web_height is not None:
        if structure.web_height <= foot:
            raise JobError(
                f'"{structure.name}": thickness and bend radius ({draft.show(foot)}) leave no flat web '
                f"in a height of {draft.show(structure.web_height)}",
                at=structure.where("web_height"),
            )
        bottom = Line(Vec(0.0, foot), Vec(length, foot))
        top = Line(Vec(0.0, structure.web_height), Vec(length, structure.web_height))
        outline = region_between(bottom, top)
        formed = () if radius is None else (bottom,)
        beyond = (Line(bottom.end, top.end), top, Line(top.start, bottom.start))
        beyond = beyond if radius is not None else (bottom, *beyond)
    return Face(
        f"{structure.name} web",
        structure.name,
        f"{structure.name} web",
        thickness,
        structure.material or "",
        outline,
        order=0,
        formed=formed,
        beyond=beyond,
        at=structure.where(),
    )


def existing_rivet_points(draft: Draft, structure: Structure, rivets: StructureRivets) -> list[Vec]:
    """Return the places of rivets that are there already, in the skin plane.

    Raises:
        JobError: neither points nor a whole row is given, or the row's line can not be derived.
    """
    row = (rivets.first, rivets.pitch, rivets.count)
    if rivets.points is not None and any(value is not None for value in row):
        at = rivets.where("points")
        raise JobError("rivets are given as points and as a row", at=at, hint="give one of them")
    if rivets.points is not None:
        return [draft.to_skin(vec(point)) for point in rivets.points]
    if rivets.first is None or rivets.count is None or (rivets.pitch is None and rivets.count > 1):
        raise JobError(
            f'rivets of "{structure.name}" need points, or first, pitch and count', at=rivets.where()
        )
    line = _row_line(draft, structure, rivets)
    pitch = rivets.pitch or 0.0
    return [line.start + line.direction * (rivets.first + pitch * step) for step in range(rivets.count)]


def _row_line(draft: Draft, structure: Structure, rivets: StructureRivets) -> Line:
    laid = draft.structures[structure.name]
    if rivets.off is None:
        row = laid.lines.get("rivet row")
        if row is None:
            raise JobError(
                f'the rivet row of "{structure.name}" is not known',
                at=rivets.where(),
                hint="give off, or the flange width and side",
            )
        return row
    base = laid.lines.get("heel") or laid.lines.get("skin edge")
    if base is None or not laid.flange_side:
        raise JobError(
            f'off counts from the heel of "{structure.name}", which is not known',
            at=rivets.where("off"),
            hint="give line_is, flange_width and flange_side",
        )
    return shifted(base, base.direction.perp() * laid.flange_side, rivets.off)
