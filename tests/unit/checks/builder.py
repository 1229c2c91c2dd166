"""Small assemblies from short TOML: faces, fasteners and cutouts are written down directly.

Numbers are millimetres, or text with a unit ("1/4 in"). A face is its own part unless it names one. The
doubt of
everything is zero unless a case says otherwise, so that a limit can be met exactly.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from templgen.errors import Location
from templgen.geometry import Contour, Line, Motion, Region, Vec
from templgen.geometry.trim import HalfPlane
from templgen.layout.assembly import (
    Assembly,
    Bend,
    Cutout,
    CutPurpose,
    Face,
    Fastener,
    FastenerSpec,
    MastFit,
    Part,
    Plane,
    StructureLine,
    TrimEdge,
)
from templgen.layout.axes import MeasuredFrame
from templgen.units import parse_length
from tests.unit.checks.alignment_builder import aligned
from tests.unit.checks.openings_builder import closing, opening, task

Table = Mapping[str, Any]
FILE = "case.toml"
_LENGTHS = (
    "diameter",
    "hole",
    "head_diameter",
    "head_height",
    "sharp_diameter",
    "driven_diameter",
    "driven_height",
    "grip_min",
    "grip_max",
    "unset_length",
)


def mm(value: Any) -> float:
    return parse_length(value, "mm").mm


def vec(point: Any) -> Vec:
    return Vec(mm(point[0]), mm(point[1]))


def line(points: Any) -> Line:
    return Line(vec(points[0]), vec(points[1]))


def lines(many: Iterable[Any]) -> tuple[Line, ...]:
    return tuple(line(each) for each in many)


def contour(table: Table) -> Contour:
    """rectangle = [w, h] with centre and corner; circle = [x, y, r]; points; arcs = [[x, y, bulge], ...]."""
    if "rectangle" in table:
        width, height = table["rectangle"]
        centre = vec(table.get("centre", (0, 0)))
        return Contour.rectangle(mm(width), mm(height), mm(table.get("corner", 0)), centre)
    if "circle" in table:
        x, y, radius = table["circle"]
        return Contour.circle(vec((x, y)), mm(radius))
    if "arcs" in table:
        points = [vec(point) for point in table["arcs"]]
        return Contour.from_bulges(points, [float(point[2]) for point in table["arcs"]], closed=True)
    return Contour.polygon([vec(point) for point in table["points"]])


def region(table: Table | None) -> Region | None:
    if table is None:
        return None
    return Region(contour(table), tuple(contour(each) for each in table.get("inner", ())))


def spec(name: str, table: Table) -> FastenerSpec:
    """A fastener kind; what a case does not speak of is plain and sound."""
    values = {key: mm(value) if key in _LENGTHS else value for key, value in table.items()}
    given: dict[str, Any] = {
        "kind": "solid rivet",
        "size": "1/8",
        "hole": values.get("diameter", 0.0),
        "drill": "",
        "pilot": "",
        "head": "universal",
        **values,
    }
    return FastenerSpec(name=name, **given)


def assembly(case: Table, specs: Table) -> Assembly:
    """Turn one case into an assembly."""
    kinds = {name: spec(name, table) for name, table in {**specs, **case.get("specs", {})}.items()}
    faces = {name: _face(name, table) for name, table in case.get("faces", {}).items()}
    job = case.get("job", {})
    return Assembly(
        planes=_planes(faces.values(), case),
        parts=_parts(faces, case),
        faces=faces,
        fasteners=tuple(_fasteners(case.get("fasteners", ()), kinds)),
        cutouts=tuple(_cutout(table, faces) for table in case.get("cutouts", ())),
        bends=tuple(_bend(table) for table in case.get("bends", ())),
        structures={table["name"]: _structure(table) for table in case.get("structures", ())},
        trims=tuple(_trim(table) for table in case.get("trims", ())),
        masts=tuple(_mast(table) for table in case.get("masts", ())),
        view=Motion.identity(),
        hand=job.get("hand", "left"),
        room_behind=mm(job["room_behind"]) if "room_behind" in job else None,
        room_behind_web={name: mm(value) for name, value in job.get("room_behind_web", {}).items()},
        smallest_file=mm(job["smallest_file"]) if "smallest_file" in job else None,
        drilled_to={name: mm(value) for name, value in job.get("drilled_to", {}).items()},
        laid_on=job.get("laid_on", "outside"),
        measured=_measured(case.get("measured")),
        targets={name: tuple(names) for name, names in job.get("targets", {}).items()},
        openings=tuple(opening(table) for table in case.get("openings", ())),
        closings=tuple(closing(table) for table in case.get("closings", ())),
        tasks=tuple(task(table) for table in case.get("tasks", ())),
        dimple_die_radius=mm(job["dimple_die_radius"]) if "dimple_die_radius" in job else None,
        alignment=aligned(case),
    )


def _measured(table: Table | None) -> MeasuredFrame | None:
    if table is None:
        return None
    return MeasuredFrame(table["x"], table["y"], table["face"], table.get("surface"), table["hand"])


def _face(name: str, table: Table) -> Face:
    return Face(
        name=name,
        part=table.get("part", name),
        plane=table.get("plane", "skin"),
        thickness=mm(table.get("thickness", "0.032 in")),
        material=table.get("material", "2024-T3 clad"),
        outline=region(table.get("outline")),
        order=table.get("order", 0),
        formed=lines(table.get("formed", ())),
        beyond=lines(table.get("beyond", ())),
        at=Location(FILE, 2, 1),
        lift=mm(table["lift"]) if "lift" in table else None,
    )


def _planes(faces: Iterable[Face], case: Table) -> dict[str, Plane]:
    names = {face.plane for face in faces} | {each.get("plane", "skin") for each in case.get("fasteners", ())}
    frame = case.get("measured", {"x": "aft", "y": "outboard"})
    x_axis, y_axis = vec(case.get("x_axis", (1, 0))), vec(case.get("y_axis", (0, 1)))
    return {
        name: Plane(name, "outside", frame["x"], frame["y"], "corner", x_axis, y_axis)
        for name in sorted({"skin", *names})
    }


def _parts(faces: Mapping[str, Face], case: Table) -> dict[str, Part]:
    tables = case.get("faces", {})
    parts: dict[str, Part] = {}
    for name, face in faces.items():
        table = tables[name]
        kind = table.get("kind", "skin" if name == "skin" else "flat part")
        own = tuple(other for other in faces if faces[other].part == face.part)
        made = table.get("made", kind not in ("skin", "structure"))
        side = table.get("side", "" if kind == "skin" else "inside")
        parts.setdefault(face.part, Part(face.part, own, made, kind, side))
    return parts


def _fasteners(tables: Iterable[Table], kinds: Mapping[str, FastenerSpec]) -> Iterable[Fastener]:
    number = 0
    for index, table in enumerate(tables):
        for point in table["at"]:
            number += 1
            yield Fastener(
                name=f"{number}",
                number=number,
                plane=table.get("plane", "skin"),
                at=vec(point),
                spec=kinds[table["spec"]],
                stack=tuple(table["stack"]),
                head_side=table.get("head_side", "outside"),
                feature=table.get("feature", "plate"),
                group=table.get("group", f"set {index + 1}"),
                made_from=table.get("made_from", "paper"),
                doubt=mm(table.get("doubt", 0)),
                locating=table.get("locating", False),
                exists=table.get("exists", False),
                row=table.get("row", ""),
                access=table.get("access", ""),
                nutplate=table.get("nutplate", ""),
                other_holes=tuple((face, mm(size)) for face, size in table.get("other_holes", {}).items()),
                where=Location(FILE, 10 + number, 1),
            )


def _cutout(table: Table, faces: Mapping[str, Face]) -> Cutout:
    return Cutout(
        name=table["name"],
        feature=table.get("feature", table["name"]),
        plane=table.get("plane", "skin"),
        contour=contour(table["outline"]),
        faces=tuple(table.get("faces", faces)),
        purpose=CutPurpose(table.get("purpose", "access")),
        doubt=mm(table.get("doubt", 0)),
        deviation=mm(table.get("deviation", 0)),
        where=Location(FILE, 5, 1),
    )


def _bend(table: Table) -> Bend:
    return Bend(
        part=table["part"],
        face_a=table["face_a"],
        face_b=table["face_b"],
        tangent_a=line(table["tangent_a"]),
        tangent_b=line(table["tangent_b"]),
        inside_radius=mm(table["inside_radius"]),
        angle=float(table.get("angle", 90)),
        lip=mm(table.get("lip", 0)),
    )


def _structure(table: Table) -> StructureLine:
    return StructureLine(
        name=table["name"],
        kind=table.get("kind", "rib"),
        lines={name: line(each) for name, each in table.get("lines", {}).items()},
        flange_side=table.get("flange_side", 0),
        flange=region(table.get("flange")),
        thickness=mm(table["thickness"]) if "thickness" in table else None,
        bend_radius=mm(table["bend_radius"]) if "bend_radius" in table else None,
        doubt=mm(table.get("doubt", 0)),
        where=Location(FILE, 4, 1),
    )


def _trim(table: Table) -> TrimEdge:
    start, end = (vec(point) for point in table["through"])
    return TrimEdge(
        face=table["face"],
        structure=table.get("structure", "rib 7"),
        line=table.get("line", "web face"),
        half_plane=HalfPlane.through(start, end),
        set_back=mm(table.get("set_back", 0)),
        edge=table.get("edge", "free"),
        new_edge=lines(table.get("new_edge", [table["through"]])),
        cut_away=tuple(Region(contour(each)) for each in table.get("cut_away", ())),
        where=Location(FILE, 6, 1),
    )


def _mast(table: Table) -> MastFit:
    section = contour(table.get("section", {"circle": [0, 0, 10]}))
    bore = table.get("bore", {})
    return MastFit(
        name=table.get("name", "mast"),
        section=section,
        widest=contour(table["widest"]) if "widest" in table else section,
        cutout=table.get("cutout", "mast cutout"),
        gap=mm(table.get("gap", "1/32 in")),
        fillet=mm(table.get("fillet", 0)),
        flange_face=table.get("flange_face", "base plate"),
        side=table.get("side", "inside"),
        forward=vec(table.get("forward", (1, 0))).unit(),
        centre=Vec(0.0, 0.0),
        doubt=mm(table.get("doubt", 0)),
        deviation=mm(table.get("deviation", 0)),
        bore_diameter=mm(bore["diameter"]) if "diameter" in bore else None,
        bore_passes=tuple((p["name"], mm(p["diameter"]), p.get("count", 1)) for p in bore.get("passes", ())),
        bore_together=bore.get("together", False),
        where=Location(FILE, 3, 1),
    )
