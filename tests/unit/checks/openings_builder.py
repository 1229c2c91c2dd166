"""Openings for small assemblies: one [[openings]] table of a case is one OpeningSet.

Left out, an opening is 127 x 101.6 mm with corners of 12.7 mm, its ring 25 mm wide, its cover lying on the
skin.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from templgen.errors import Location
from templgen.geometry import Bounds, Contour, Line, Motion, Region, Vec, offset_contour
from templgen.layout.openings.model import (
    Closing,
    Hand,
    HangingBox,
    Lead,
    Nutplate,
    NutplateSpec,
    Obstacle,
    OpeningSet,
    Place3,
    Plug,
    Room,
    Task,
)
from templgen.units import parse_length

Table = Mapping[str, Any]
FILE = "case.toml"
_HOLE = {"rectangle": [127, 101.6], "corner": 12.7}


def mm(value: Any) -> float:
    return parse_length(value, "mm").mm


def vec(point: Any) -> Vec:
    return Vec(mm(point[0]), mm(point[1]))


def outline(table: Table) -> Contour:
    if "circle" in table:
        x, y, radius = table["circle"]
        return Contour.circle(vec((x, y)), mm(radius))
    if "points" in table:
        return Contour.polygon([vec(point) for point in table["points"]])
    width, height = table["rectangle"]
    centre = vec(table.get("centre", (0, 0)))
    return Contour.rectangle(mm(width), mm(height), mm(table.get("corner", 0)), centre)


def opening(table: Table) -> OpeningSet:
    skin_hole = outline(table.get("skin_hole", _HOLE))
    clear_hole = outline(table["clear_hole"]) if "clear_hole" in table else skin_hole
    band = mm(table.get("band", 25))
    outer = outline(table["ring"]) if "ring" in table else offset_contour(skin_hole, band)[0]
    name = table.get("name", "hatch")
    made = table.get("made", "whole")
    return OpeningSet(
        name=name,
        centre=skin_hole.bounds.centre,
        frame=Motion.identity(),
        skin_hole=skin_hole,
        clear_hole=clear_hole,
        cover=outer,
        ring=Region(outer, (clear_hole,)),
        screw_line=outer,
        rivet_lines=(outer,),
        ring_faces=tuple(table.get("ring_faces", ["ring"])),
        cover_face=table.get("cover_face", "cover"),
        cover_kind=table.get("cover_kind", "lying"),
        gap=0.0,
        screws=tuple(table.get("screws", ())),
        nutplates=tuple(_nutplate(number, each) for number, each in enumerate(table.get("nutplates", ()), 1)),
        ring_rivets=tuple(table.get("ring_rivets", ())),
        ring_made=made,
        nutplates_riveted=table.get("riveted", "bench"),
        opened=table.get("opened", "rarely"),
        ring_cuts=tuple(Line(vec(a), vec(b)) for a, b in table.get("cuts", ())),
        room=_room(table["room"]) if "room" in table else None,
        hangs=_box(table["box"]) if "box" in table else None,
        hand=_hand(table.get("hand", {})),
        pressure_psi=table.get("pressure_psi"),
        low_point=vec(table["low_point"]) if "low_point" in table else None,
        drain_gap=mm(table["drain_gap"]) if "drain_gap" in table else None,
        where=Location(FILE, 30, 1),
    )


def closing(table: Table) -> Closing:
    return Closing(
        name=table["name"],
        closes=table.get("closes", "the bay"),
        takes=table.get("takes", "inside"),
        opening=table.get("opening", ""),
        before=tuple(table.get("before", ())),
        after=tuple(table.get("after", ())),
        done=table.get("done", False),
        where=Location(FILE, 40, 1),
    )


def task(table: Table) -> Task:
    return Task(
        name=table["name"],
        access=table.get("access", "both sides"),
        opening=table.get("opening", ""),
        before=tuple(table.get("before", ())),
        after=tuple(table.get("after", ())),
        where=Location(FILE, 41, 1),
    )


def _nutplate(number: int, table: Table) -> Nutplate:
    known = table.get("known", True)
    at, angle = vec(table["at"]), float(table.get("angle", 0))
    size = table.get("size", [24, 9])
    shape = Contour.rectangle(mm(size[0]), mm(size[1]))
    spec = NutplateSpec(
        name="MS21047",
        words="two lugs, fixed",
        lugs="two",
        screw="#8",
        rivet_holes=(Vec(-8.7, 0.0), Vec(8.7, 0.0)),
        rivet="3/32",
        floating=table.get("floating", False),
        lug_seat=table.get("lug_seat", "plain"),
        self_locking=table.get("self_locking", True),
        height=mm(table.get("height", 6)) if known else None,
    )
    placed = shape.moved(Motion.rotation(angle).then(Motion.translation(at)))
    name = f"hatch nutplate {number}"
    rivets = tuple(table.get("rivets", ()))
    return Nutplate(name, spec, f"{number}", rivets, at, angle, "along", placed if known else None)


def _room(table: Table) -> Room:
    area = table.get("area")
    box = Bounds(*(mm(value) for value in area)) if area else None
    return Room(mm(table["depth"]), box, tuple(_obstacle(each) for each in table.get("obstacles", ())))


def _obstacle(table: Table) -> Obstacle:
    given: dict[str, Any] = {
        "name": table["name"],
        "moving": table.get("moving", False),
        "radius": mm(table.get("radius", 0)),
        "swing": mm(table.get("swing", 0)),
    }
    if "box" in table:
        xmin, ymin, z_from, xmax, ymax, z_to = (mm(value) for value in table["box"])
        return Obstacle(**given, box=Bounds(xmin, ymin, xmax, ymax), z_from=z_from, z_to=z_to)
    return Obstacle(**given, start=_place(table["from"]), end=_place(table["to"]))


def _place(values: Iterable[Any]) -> Place3:
    x, y, z = (mm(value) for value in values)
    return Place3(Vec(x, y), z)


def _box(table: Table) -> HangingBox:
    length, width, height = (mm(value) for value in table["size"])
    frame = Motion.translation(vec(table.get("at", (0, 0))))
    return HangingBox(
        name=table.get("name", "controller"),
        footprint=Contour.rectangle(length, width).moved(frame),
        frame=frame,
        length=length,
        width=width,
        height=height,
        mounts=tuple(table.get("mounts", ())),
        plugs=tuple(_plug(each, frame, length, width, height) for each in table.get("plugs", ())),
        leads=tuple(_lead(each) for each in table.get("leads", ())),
        hand_distance=mm(table.get("hand_distance", 150)),
        cover_z=mm(table.get("cover_z", -1)),
        where=Location(FILE, 31, 1),
    )


def _plug(table: Table, frame: Motion, length: float, width: float, height: float) -> Plug:
    sides = {"+x": Vec(1, 0), "-x": Vec(-1, 0), "+y": Vec(0, 1), "-y": Vec(0, -1), "top": Vec(0, 0)}
    out = sides[table["side"]]
    at = Vec(out.x * length / 2, out.y * width / 2)
    z = height if table["side"] == "top" else mm(table.get("z", height / 2))
    return Plug(
        name=table.get("name", "plug"),
        side=table["side"],
        at=frame.apply(at),
        z=z,
        direction=out,
        width=mm(table.get("width", 10)),
        height=mm(table.get("height", 10)),
        stands_out=mm(table["stands_out"]),
        undone=table.get("undone", "on"),
    )


def _lead(table: Table) -> Lead:
    return Lead(
        name=table.get("name", "lead"),
        plug=table.get("plug", "plug"),
        free_length=mm(table["free_length"]),
        support=_place(table["support"]),
        structure=table.get("structure", ""),
        slack_side=table.get("slack_side", ""),
        stowed_at=_place(table["stowed_at"]) if "stowed_at" in table else None,
        stowed_radius=mm(table.get("stowed_radius", 0)),
        where=Location(FILE, 32, 1),
    )


def _hand(table: Table) -> Hand:
    sizes = {key: mm(value) for key, value in table.items() if key != "needs"}
    return Hand(needs=tuple(table.get("needs", ["bare hand"])), **sizes)
