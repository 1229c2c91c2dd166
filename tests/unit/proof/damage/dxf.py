"""Damage to DXF files, as pairs of group code and value."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

from templgen.proof.difference import Kind
from tests.unit.proof.damage import Damage, Dice

__all__ = ["DAMAGES", "rewritten"]

Tags = list[tuple[int, str]]
Entity = list[tuple[int, str]]
Change = Callable[[list[Entity], Dice], None]
Find = Callable[[list[Entity], Dice], Entity]

_X, _Y = range(10, 19), range(20, 29)
_LENGTHS = {40}
_ANGLES = {50, 51}


def pairs(data: bytes) -> Tags:
    lines = data.decode("latin-1").split("\n")
    return [(int(code), value) for code, value in zip(lines[0::2], lines[1::2], strict=False) if code.strip()]


def file(tags: Tags, ending: str = "\n") -> bytes:
    return "".join(f"{code:>3}{ending}{value}{ending}" for code, value in tags).encode("latin-1")


def rewritten(data: bytes) -> bytes:
    """Return a file as another program would write it: aligned codes, other line ends, sorted entities."""
    tags = pairs(data)
    start, end = _entities(tags)
    entities = sorted(_split(tags[start:end]), key=lambda entity: entity[0])
    return file([*tags[:start], *(pair for entity in entities for pair in entity), *tags[end:]], "\r\n")


def _entities(tags: Tags) -> tuple[int, int]:
    start = tags.index((2, "ENTITIES")) + 1
    return start, next(i for i in range(start, len(tags)) if tags[i] == (0, "ENDSEC"))


def _split(tags: Tags) -> Iterator[Entity]:
    starts = [i for i, (code, _) in enumerate(tags) if code == 0]
    for first, last in pairwise([*starts, len(tags)]):
        yield tags[first:last]


def entities(change: Change) -> Callable[[bytes, Dice], bytes]:
    """Return what makes a change to the list of entities."""

    def do(data: bytes, dice: Dice) -> bytes:
        tags = pairs(data)
        start, end = _entities(tags)
        found = list(_split(tags[start:end]))
        change(found, dice)
        return file([*tags[:start], *(pair for entity in found for pair in entity), *tags[end:]])

    return do


def text(old: str, new: str, count: int = 1) -> Callable[[bytes, Dice], bytes]:
    return lambda data, dice: data.replace(old.encode("latin-1"), new.encode("latin-1"), count)


def header(name: str, value: str | None) -> Callable[[bytes, Dice], bytes]:
    """Return what sets a number of the header; None takes it away."""

    def do(data: bytes, dice: Dice) -> bytes:
        tags = pairs(data)
        at = tags.index((9, name))
        new = [] if value is None else [(9, name), (tags[at + 1][0], value)]
        return file([*tags[:at], *new, *tags[at + 2 :]])

    return do


def both(*steps: Callable[[bytes, Dice], bytes]) -> Callable[[bytes, Dice], bytes]:
    def do(data: bytes, dice: Dice) -> bytes:
        for step in steps:
            data = step(data, dice)
        return data

    return do


def mapped(a: float, b: float, c: float, d: float, e: float, f: float) -> Callable[[bytes, Dice], bytes]:
    """Return what takes every place (x, y) to (a x + c y + e, b x + d y + f), sizes and angles with it."""
    size, mirrored = math.sqrt(abs(a * d - b * c)), a * d - b * c < 0

    def change(found: list[Entity], dice: Dice) -> None:
        for entity in found:
            values = dict(entity)
            for i, (code, value) in enumerate(entity):
                x, y = (code, code + 10) if code in _X else (code - 10, code)
                if code in _X or (code in _Y and code - 10 in values):
                    j = next(j for j in range(i, -1, -1) if entity[j][0] == x)
                    k = next(k for k in range(j, len(entity)) if entity[k][0] == y)
                    before = old[id(entity)]
                    px, py = float(before[j][1]), float(before[k][1])
                    new = a * px + c * py + e if code in _X else b * px + d * py + f
                    entity[i] = (code, repr(new))
                elif code in _LENGTHS and entity[0][1] in ("CIRCLE", "TEXT", "ARC"):
                    entity[i] = (code, repr(float(value) * size))
                elif code == 42 and mirrored:
                    entity[i] = (code, repr(-float(value)))
            if entity[0][1] == "TEXT" and b:
                entity.append((50, repr(math.degrees(math.atan2(b, a)))))

    old: dict[int, Entity] = {}

    def remembered(found: list[Entity], dice: Dice) -> None:
        old.update({id(entity): list(entity) for entity in found})
        change(found, dice)

    return entities(remembered)


def scaled(x: float, y: float | None = None) -> Callable[[bytes, Dice], bytes]:
    return mapped(x, 0.0, 0.0, x if y is None else y, 0.0, 0.0)


def turned(degrees: float) -> Callable[[bytes, Dice], bytes]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return mapped(c, s, -s, c, 0.0, 0.0)


def kind(*names: str, layer: str = "") -> Find:
    """Return what picks an entity of a kind, on a layer if one is given."""

    def find(found: list[Entity], dice: Dice) -> Entity:
        return dice.choice([e for e in found if e[0][1] in names and (not layer or (8, layer) in e)])

    return find


HOLE = kind("CIRCLE", layer="hole")
OUTLINE = kind("LWPOLYLINE")
WORDS = kind("TEXT")


def plate(found: list[Entity], dice: Dice) -> Entity:
    return next(entity for entity in found if entity[0][1] == "LWPOLYLINE")


def removed(find: Find) -> Change:
    return lambda found, dice: found.remove(find(found, dice))


def doubled(find: Find) -> Change:
    return lambda found, dice: found.append(list(find(found, dice)))


def by(
    find: Callable[[list[Entity], Dice], Entity], code: int, change: Callable[[str], str], nth: int = 0
) -> Change:
    """Return what changes the n-th value of a group code of an entity."""

    def do(found: list[Entity], dice: Dice) -> None:
        entity = find(found, dice)
        at = [i for i, pair in enumerate(entity) if pair[0] == code][nth]
        entity[at] = (code, change(entity[at][1]))

    return do


def plus(amount: float) -> Callable[[str], str]:
    return lambda value: repr(float(value) + amount)


def put(find: Find, *more: tuple[int, str]) -> Change:
    return lambda found, dice: find(found, dice).extend(more)


def layer_gone(name: str) -> Change:
    def change(found: list[Entity], dice: Dice) -> None:
        found[:] = [entity for entity in found if (8, name) not in entity]

    return change


def on_layer(old: str, new: str) -> Change:
    def change(found: list[Entity], dice: Dice) -> None:
        found[:] = [[(8, new) if pair == (8, old) else pair for pair in entity] for entity in found]

    return change


def moved_layer(name: str) -> Change:
    def change(found: list[Entity], dice: Dice) -> None:
        for entity in found:
            if (8, name) in entity:
                for code in (10, 11):
                    for i, pair in enumerate(entity):
                        if pair[0] == code:
                            entity[i] = (code, repr(float(pair[1]) + 0.5))

    return change


def corners(entity: Entity) -> list[tuple[float, float, float]]:
    found: list[list[float]] = []
    for code, value in entity:
        if code == 10:
            found.append([float(value), 0.0, 0.0])
        elif code in (20, 42):
            found[-1][1 if code == 20 else 2] = float(value)
    return [(x, y, bulge) for x, y, bulge in found]


def chords(entity: Entity, count: int) -> list[tuple[float, float]]:
    """Return points along a closed polyline; the bulge is the tangent of a quarter of the included angle."""
    points = []
    places = corners(entity)
    for (x0, y0, bulge), (x1, y1, _) in pairwise([*places, places[0]]):
        points.append((x0, y0))
        if bulge:
            angle = 4 * math.atan(bulge)
            away = (1 / bulge - bulge) / 4
            cx, cy = (x0 + x1) / 2 - away * (y1 - y0), (y0 + y1) / 2 + away * (x1 - x0)
            for i in range(1, count):
                c, s = math.cos(angle * i / count), math.sin(angle * i / count)
                points.append((cx + c * (x0 - cx) - s * (y0 - cy), cy + s * (x0 - cx) + c * (y0 - cy)))
    return points


def polyline(layer: str, points: list[tuple[float, float]]) -> Entity:
    head = [(0, "LWPOLYLINE"), (8, layer), (90, str(len(points))), (70, "1")]
    return head + [pair for x, y in points for pair in ((10, repr(x)), (20, repr(y)))]


def faceted(found: list[Entity], dice: Dice) -> None:
    for i, entity in enumerate(found):
        if entity[0][1] == "LWPOLYLINE":
            found[i] = polyline("cut", chords(entity, 16))


def holes_faceted(found: list[Entity], dice: Dice) -> None:
    for i, entity in enumerate(found):
        if entity[0][1] == "CIRCLE":
            value = dict(entity)
            x, y, r = (float(value[code]) for code in (10, 20, 40))
            angles = [math.tau * k / 64 for k in range(64)]
            found[i] = polyline(value[8], [(x + r * math.cos(a), y + r * math.sin(a)) for a in angles])


def exploded(found: list[Entity], dice: Dice) -> None:
    """Every outline becomes single lines, as older programs write it."""
    new: list[Entity] = []
    for entity in found:
        if entity[0][1] != "LWPOLYLINE":
            new.append(entity)
            continue
        points = chords(entity, 8)
        for (x0, y0), (x1, y1) in pairwise([*points, points[0]]):
            ends = [(10, repr(x0)), (20, repr(y0)), (11, repr(x1)), (21, repr(y1))]
            new.append([(0, "LINE"), (8, "cut"), *ends])
    dice.shuffle(new)
    found[:] = new


def halves(found: list[Entity], dice: Dice) -> None:
    hole = HOLE(found, dice)
    found.remove(hole)
    place = [pair for pair in hole if pair[0] in (8, 10, 20, 40)]
    found.append([(0, "ARC"), *place, (50, "0"), (51, "180")])
    found.append([(0, "ARC"), *place, (50, "180"), (51, "360")])


def corner_lost(found: list[Entity], dice: Dice) -> None:
    entity = plate(found, dice)
    at = [i for i, pair in enumerate(entity) if pair[0] == 10][1]
    del entity[at : at + 2]


def added(*pairs: tuple[int, str]) -> Change:
    return lambda found, dice: found.append(list(pairs))


def mirrored_plane(found: list[Entity], dice: Dice) -> None:
    HOLE(found, dice).extend([(210, "0"), (220, "0"), (230, "-1")])


def layer_flag(code: int, value: str) -> Callable[[bytes, Dice], bytes]:
    def do(data: bytes, dice: Dice) -> bytes:
        tags = pairs(data)
        at = next(i for i in range(len(tags)) if tags[i] == (2, "hole") and (0, "LAYER") in tags[i - 5 : i])
        flag = next(i for i in range(at, len(tags)) if tags[i][0] == code)
        return file([*tags[:flag], (code, value), *tags[flag + 1 :]])

    return do


def comments_lost(data: bytes, dice: Dice) -> bytes:
    return file([pair for pair in pairs(data) if pair[0] != 999])


DAMAGES = (
    Damage("scaled", scaled(1.0394), Kind.SCALE, "1.0394 in x and y"),
    Damage("scaled a little", scaled(1.0002), Kind.SCALE, "1.0002"),
    Damage(
        "inches in the header only", header("$INSUNITS", "1"), Kind.SCALE, "inches were taken for millimetres"
    ),
    Damage("inches in the header", header("$INSUNITS", "1"), Kind.UNITS, "counts in inches"),
    Damage("inches all through", both(header("$INSUNITS", "1"), scaled(1 / 25.4)), Kind.UNITS, "inches"),
    Damage("numbers in inches", scaled(1 / 25.4), Kind.SCALE, "millimetres were taken for inches"),
    Damage("no unit", header("$INSUNITS", "0"), Kind.UNITS, "does not say its unit"),
    Damage("unit lost", header("$INSUNITS", None), Kind.UNITS, "does not say its unit"),
    Damage("metres", header("$INSUNITS", "6"), Kind.SCALE, "metres were mixed up"),
    Damage("inch hatches", header("$MEASUREMENT", "0"), Kind.UNITS, "$MEASUREMENT"),
    Damage("mirrored", mapped(-1.0, 0.0, 0.0, 1.0, 0.0, 0.0), Kind.MIRROR, "the other hand"),
    Damage("upside down", mapped(1.0, 0.0, 0.0, -1.0, 0.0, 0.0), Kind.MIRROR, "top to bottom"),
    Damage("turned", turned(90.0), Kind.TURN, "90 degrees counter-clockwise"),
    Damage("turned a little", turned(0.05), Kind.TURN, "0.05 degrees"),
    Damage("turned and mirrored", mapped(0.0, 1.0, 1.0, 0.0, 0.0, 0.0), Kind.MIRROR, "the other hand"),
    Damage("one axis scaled", scaled(1.0, 1.002), Kind.SCALE, "one axis only"),
    Damage("slanted", mapped(1.0, 0.0, 0.002, 1.0, 0.0, 0.0), Kind.SCALE, "slanted"),
    Damage("shifted", mapped(1.0, 0.0, 0.0, 1.0, 12.5, 0.0), Kind.SHIFT, "12.50 mm (0.492 in) to the right"),
    Damage("shifted a little", mapped(1.0, 0.0, 0.0, 1.0, 0.0, -0.003), Kind.SHIFT, "0.0030 mm"),
    Damage("layer shifted", entities(moved_layer("hole")), Kind.SHIFT, "the layer 'hole' is shifted 0.50 mm"),
    Damage("hole missing", entities(removed(HOLE)), Kind.MISSING, "hole"),
    Damage("locating hole missing", entities(layer_gone("locating_hole")), Kind.MISSING, "locating_hole"),
    Damage("hole moved", entities(by(HOLE, 10, plus(0.31))), Kind.MOVED, "moved 0.31 mm"),
    Damage("hole moved far", entities(by(HOLE, 20, plus(-22.0))), Kind.MOVED, "moved 22.00 mm"),
    Damage("hole moved by 2 um", entities(by(HOLE, 20, plus(0.002))), Kind.MOVED, "moved 0.0020 mm"),
    Damage("hole larger", entities(by(HOLE, 40, plus(0.1))), Kind.SIZE, "too large"),
    Damage("hole smaller by 4 um", entities(by(HOLE, 40, plus(-0.002))), Kind.SIZE, "too small"),
    Damage("hole doubled", entities(doubled(HOLE)), Kind.DOUBLED, "is there twice"),
    Damage("outline doubled", entities(doubled(OUTLINE)), Kind.DOUBLED, "is there twice"),
    Damage(
        "hole added",
        entities(added((0, "CIRCLE"), (8, "hole"), (10, "99"), (20, "99"), (40, "2"))),
        Kind.ADDED,
        "a circle of 4.00 mm",
    ),
    Damage("hole in two halves", entities(halves), Kind.OPEN, "2 pieces"),
    Damage("hole on another layer", entities(by(HOLE, 8, lambda _: "cut")), Kind.LAYER, "not on 'hole'"),
    Damage("layer lost", entities(layer_gone("hole")), Kind.MISSING, "the layer 'hole' is lost: 6"),
    Damage("all on layer 0", entities(on_layer("cut", "0")), Kind.LAYER, "the layer 'cut' has become '0'"),
    Damage("layer frozen", layer_flag(70, "1"), Kind.UNREAD, "frozen"),
    Damage("layer off", layer_flag(62, "-7"), Kind.UNREAD, "switched off"),
    Damage("outlines faceted", entities(faceted), Kind.FACETED, "inside the arc"),
    Damage("holes faceted", entities(holes_faceted), Kind.FACETED, "64 chords, up to 0.002"),
    Damage("outlines in lines", entities(exploded), Kind.OPEN, "come apart into"),
    Damage("outline open", entities(by(OUTLINE, 70, lambda _: "0")), Kind.OPEN, "is open"),
    Damage("corner moved", entities(by(plate, 20, plus(-0.02), 1)), Kind.FORM, "0.020 mm"),
    Damage("corner lost", entities(corner_lost), Kind.FORM),
    Damage("arc flatter", entities(by(plate, 42, lambda v: repr(float(v) * 1.01))), Kind.FORM),
    Damage("arc the other way", entities(by(plate, 42, lambda v: repr(-float(v)))), Kind.FORM),
    Damage("arc straight", entities(by(plate, 42, lambda v: "0.0")), Kind.FORM),
    Damage("bend missing", entities(removed(kind("LINE"))), Kind.MISSING, "bend line"),
    Damage("bend moved", entities(by(kind("LINE"), 20, plus(0.02))), Kind.FORM),
    Damage(
        "bend on a cut layer", entities(by(kind("LINE"), 8, lambda _: "cut")), Kind.LAYER, "not on 'bend'"
    ),
    Damage("words on a cut layer", entities(on_layer("note", "cut")), Kind.LAYER, "has become 'cut'"),
    Damage("one on a cut layer", entities(by(WORDS, 8, lambda _: "cut")), Kind.LAYER, "would cut them"),
    Damage("words changed", entities(by(WORDS, 1, lambda _: "other")), Kind.WORDS, "in place of"),
    Damage("words missing", entities(removed(WORDS)), Kind.MISSING, "the words"),
    Damage("words smaller", entities(by(WORDS, 40, plus(-0.5))), Kind.WORDS, "times as large"),
    Damage("words turned", entities(put(WORDS, (50, "5"))), Kind.WORDS, "turned by 5.000 degrees"),
    Damage("words backwards", entities(put(WORDS, (71, "2"))), Kind.WORDS, "mirrored"),
    Damage("words by another point", entities(put(kind("TEXT"), (73, "2"))), Kind.WORDS, "another point"),
    Damage("words slanted", entities(put(WORDS, (51, "15"))), Kind.UNREAD, "slanted letters"),
    Damage("paragraph added", entities(added((0, "MTEXT"), (8, "note"), (1, "by"))), Kind.UNREAD, "MTEXT"),
    Damage("spline added", entities(added((0, "SPLINE"), (8, "cut"))), Kind.UNREAD, "SPLINE"),
    Damage("block added", entities(added((0, "INSERT"), (8, "0"), (2, "a"))), Kind.UNREAD, "INSERT"),
    Damage(
        "text added",
        entities(added((0, "TEXT"), (8, "cut"), (1, "job 7"), (10, "1"), (20, "1"), (40, "5"))),
        Kind.ADDED,
        "a machine would cut them",
    ),
    Damage("hole out of the plane", entities(put(HOLE, (30, "3"))), Kind.UNREAD, "out of the plane"),
    Damage("hole seen from below", entities(mirrored_plane), Kind.MOVED, "moved"),
    Damage("hole invisible", entities(put(HOLE, (60, "1"))), Kind.UNREAD, "invisible"),
    Damage("hole on a page", entities(put(HOLE, (67, "1"))), Kind.MISSING, "hole"),
    Damage(
        "circle added on a page",
        entities(added((0, "CIRCLE"), (67, "1"), (8, "cut"), (10, "9"), (20, "9"), (40, "3"))),
        Kind.UNREAD,
        "a CIRCLE on a page of the drawing program",
    ),
    Damage("outline wide", entities(put(OUTLINE, (43, "0.4"))), Kind.UNREAD, "wide"),
    Damage("hole dashed", entities(put(HOLE, (6, "DASHED"))), Kind.UNREAD, "DASHED"),
    Damage(
        "digest of another state", text("digest: 0123456789ab", "digest: ba9876543210"), Kind.DIGEST, "ba98"
    ),
    Damage("other hand in the facts", text("hand: left", "hand: right"), Kind.ABOUT, "hand: left"),
    Damage(
        "comments lost",
        lambda data, dice: file([p for p in pairs(data) if p[0] != 999]),
        Kind.ABOUT,
        "digest",
    ),
    Damage("cut off", lambda data, dice: data[: dice.randint(10, len(data) - 12)], None),
    Damage("no number", entities(by(HOLE, 40, lambda _: "wide")), None),
    Damage("no DXF", lambda data, dice: bytes(dice.randrange(256) for _ in range(999)), None),
    Damage("empty", lambda data, dice: b"", None),
)
