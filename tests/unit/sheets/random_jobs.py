"""Job files from a seed: masts, holes, cutouts, plates, brackets beside structure; all numbers invented."""

from __future__ import annotations

import random

__all__ = ["random_job"]

_SHAPES = (
    '{{ shape = "mast-rounded", length = {length:.2f}, width = {width:.2f}, nose_radius = {nose:.2f}, '
    "tail_radius = {tail:.2f} }}",
    '{{ shape = "racecourse", length = {length:.2f}, width = {width:.2f} }}',
    '{{ shape = "ellipse", length = {length:.2f}, width = {width:.2f} }}',
    '{{ shape = "mast-tapered", length = {length:.2f}, width = {width:.2f}, tail_radius = {tail:.2f} }}',
)


def random_job(seed: int) -> str:
    """Return a job file; lengths are in mm, the job's unit only changes what is printed."""
    rng = random.Random(seed)
    parts = [_head(rng), _structure(rng)]
    kind = rng.choice(["mast", "mast", "mast", "holes", "cutout", "part"])
    if kind == "mast":
        parts.append(_mast(rng))
    if kind != "mast" or rng.random() < 0.3:
        parts.append(_loose(rng, kind))
    return "\n".join(parts)


def _head(rng: random.Random) -> str:
    words = rng.choice([("aft", "outboard"), ("forward", "inboard"), ("up along the hinge line", "aft")])
    surface = rng.choice(["lower", "upper"])
    return f"""
title = "{rng.choice(["Mast", "A long title for a small part beside the second rib of the outer wing"])}"
aircraft = "Corrie Two (fictional)"
unit = "{rng.choice(["mm", "in"])}"
hand = "{rng.choice(["left", "right"])}"
measured_on = "{rng.choice(["outside", "inside"])}"
laid_on = "{rng.choice(["outside", "outside", "inside"])}"
use = "{rng.choice(["trace", "trace", "stick"])}"
measured_to = "0.3 mm"
smallest_file = "1 mm"
drilled_to = {{ locating = "0.2 mm", rivet = "0.2 mm", screw = "0.2 mm", hole = "0.3 mm", cut = "0.3 mm" }}
[axes]
origin = "first rivet of the rib"
x = "{words[0]}"
y = "{words[1]}"
[skin]
material = "2024-T3 clad"
thickness = "{rng.choice(["0.63 mm", "0.032 in"])}"
room_behind = "90 mm"
surface = "{surface}"
[fastener]
plate = {{ kind = "solid rivet", size = "1/8", head = "universal", hole = "#30", pilot = "#40" }}
old = {{ kind = "solid rivet", size = "3/32", head = "universal", hole = "#40" }}
"""


def _structure(rng: random.Random) -> str:
    tilt = rng.choice([0.0, 0.0, rng.uniform(-40.0, 40.0)])
    text = f"""
[[structure]]
name = "rib 7"
kind = "rib"
line_is = "{rng.choice(["rivet row", "heel", "free flange edge"])}"
from = ["-150 mm", "0 mm"]
to = ["150 mm", "{tilt:.1f} mm"]
material = "2024-T3 clad"
thickness = "0.8 mm"
flange_width = "{rng.choice([16, 19])} mm"
flange_side = "right"
bend_radius = "3 mm"
web_height = "110 mm"
rivets = [{{ fastener = "old", first = "10 mm", pitch = "{rng.choice([20, 25, 32])} mm", count = 9 }}]
"""
    if rng.random() < 0.5:
        text += f"""
[[structure]]
name = "main spar"
kind = "spar"
line_is = "rivet row"
from = ["{rng.uniform(-130, -90):.1f} mm", "-50 mm"]
to = ["{rng.uniform(-130, -90):.1f} mm", "160 mm"]
material = "2024-T3 clad"
thickness = "1.6 mm"
flange_width = "25 mm"
flange_side = "left"
bend_radius = "4.8 mm"
rivets = [{{ fastener = "old", first = "12 mm", pitch = "19 mm", count = 10 }}]
"""
    return text


def _mast(rng: random.Random) -> str:
    length = rng.uniform(30.0, 75.0)
    width = rng.uniform(0.25, 0.4) * length
    nose, tail = width * rng.uniform(0.3, 0.45), rng.uniform(1.2, 2.5)
    section = rng.choice(_SHAPES).format(length=length, width=width, nose=nose, tail=tail)
    long, wide = length + rng.uniform(50.0, 90.0), width + rng.uniform(45.0, 85.0)
    off = 14.0 + wide / 2 + rng.uniform(0.0, 30.0)
    a, b = long / 2 - 9.0, wide / 2 - 9.0
    rows = rng.choice([2, 3, 5])
    xs = [-a + 2 * a * step / (rows - 1) for step in range(rows)]
    points = [(x, y) for y in (b, -b) for x in xs] + [(a, 0.0), (-a, 0.0)]
    places = ", ".join(f'["{x:.2f} mm", "{y:.2f} mm"]' for x, y in points)
    text = f"""
[[mast]]
name = "mast"
at = {{ from = "rib 7", along = "{rng.uniform(130, 170):.1f} mm", off = "{off:.1f} mm" }}
forward = {{ line = "rib 7", angle = {rng.choice([180, 0, 180, 172.5])} }}
section = {_in_mm(section)}
widest = "same"
gap = "{rng.choice(["0.8 mm", "1/32 in", "1.5 mm"])}"
fillet = 0
[mast.flange]
outline = {{ shape = "rectangle", length = "{long:.1f} mm", width = "{wide:.1f} mm", corner_radius = "9 mm" }}
material = "2024-T3 clad"
thickness = "1 mm"
side = "{rng.choice(["inside", "inside", "outside"])}"
holes = [{{ fastener = "plate", points = [{places}], locating = [{len(points) - 1}, {len(points)}] }}]
"""
    if rng.random() < 0.6:
        text += """
[[trim]]
parts = ["paper", "base plate"]
lines = [{ structure = "rib 7", line = "web face", set_back = "1 mm" }]
edge = "butting"
"""
    if rng.random() < 0.4:
        text += f"""
[[bracket]]
name = "rib clip"
structure = "rib 7"
along = "{rng.uniform(120, 180):.1f} mm"
length = "{rng.uniform(25, 60):.1f} mm"
web_leg = "22 mm"
skin_leg = "19 mm"
bend_radius = "4 mm"
material = "2024-T3 clad"
thickness = "0.8 mm"
side = "left"
lift = "1 mm"
[[bracket.web_holes]]
fastener = "plate"
points = [["-8 mm", "14 mm"], ["8 mm", "14 mm"]]
through = ["rib clip", "rib 7"]
"""
    return text


def _in_mm(section: str) -> str:
    """Bare lengths of a section with their unit."""
    words = section.split(" = ")
    return " = ".join(_quoted(word) for word in words)


def _quoted(word: str) -> str:
    number, mark, rest = word.partition(",") if "," in word else word.partition(" }")
    try:
        float(number)
    except ValueError:
        return word
    return f'"{number} mm"{mark}{rest}'


def _loose(rng: random.Random, kind: str) -> str:
    text = ""
    if kind in ("holes", "mast"):
        text += f"""
[[hole]]
name = "drain"
at = {{ from = "origin", x = "{rng.uniform(-60, 60):.1f} mm", y = "{rng.uniform(60, 120):.1f} mm" }}
diameter = "{rng.choice([6, 9.5, 19])} mm"
[[pattern]]
name = "row"
at = {{ from = "rib 7", along = "150 mm", off = "{rng.uniform(40, 90):.1f} mm" }}
[pattern.holes]
fastener = "plate"
pattern = {{ shape = "row", count = {rng.randint(2, 8)}, pitch = "{rng.choice([9, 12, 16])} mm" }}
"""
    if kind in ("cutout", "part"):
        text += f"""
[[cutout]]
name = "access opening"
at = {{ from = "rib 7", along = "150 mm", off = "{rng.uniform(60, 90):.1f} mm" }}
purpose = "access"
[cutout.outline]
shape = "rectangle"
length = "{rng.uniform(40, 90):.1f} mm"
width = "{rng.uniform(30, 70):.1f} mm"
corner_radius = "8 mm"
"""
    if kind == "part":
        text += f"""
[[part]]
name = "doubler"
at = {{ from = "rib 7", along = "150 mm", off = "85 mm" }}
angle = {rng.choice([0, 0, 30])}
outline = {{ shape = "rectangle", length = "130 mm", width = "95 mm", corner_radius = "8 mm" }}
material = "2024-T3 clad"
thickness = "0.8 mm"
side = "inside"
[[part.holes]]
fastener = "plate"
points = [["-56 mm", "-40 mm"], ["56 mm", "-40 mm"], ["56 mm", "40 mm"], ["-56 mm", "40 mm"]]
locating = [1, 3]
"""
    return text
