"""What became of shapes that are not in the file as drawn, and what the file holds that nobody drew."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from templgen.geometry import Arc, Vec
from templgen.proof.deviation import apart, deviation_of_any, outline_circle, reversed_piece
from templgen.proof.difference import Difference, Kind, both
from templgen.proof.matching import Paired, box_of_outline, box_of_shape, nearest_pairs, wherever
from templgen.proof.readers.model import Outline, Point, Straight
from templgen.proof.wanted import Shape

__all__ = ["told_leftovers"]

_NEAR = 5.0  # mm: a shape within this is taken for the one that was drawn, moved or changed
_SAME_SIZE = 0.01  # mm: a shape farther away has to be as large as the one that was drawn
_MOST_FAR_PAIRS = 250_000
_JOINED = 0.01  # mm between the ends of pieces that belong to one outline


def told_leftovers(paired: Paired, within: float) -> tuple[Paired, list[Difference]]:
    """Return all that can be paired, and what is to be said of the rest.

    `paired` holds the shapes that were found in their group and what is left over. Marks that are as drawn
    but elsewhere in the file count as found.
    """
    told: list[Difference] = []
    before = len(paired.found)
    paired = wherever(paired, within, _same_layer)
    paired = wherever(paired, within)
    for shape, outline, _ in paired.found[before:]:
        if shape.layer != outline.layer:
            told.append(_layer_changed(shape, outline))
    told += _doubled(paired, within)
    paired.outlines = _joined(paired.outlines)
    told += _near(paired, within)
    told += _far(paired, within)
    told += [_missing(shape) for shape in paired.shapes]
    told += [_added(outline) for outline in paired.outlines]
    return paired, told


def _same_layer(shape: Shape, outline: Outline) -> bool:
    return shape.layer == outline.layer


def at(place: Vec) -> str:
    """Return a place in words."""
    return f"at x {place.x:.3f}, y {place.y:.3f} mm"


def _layer_changed(shape: Shape, outline: Outline) -> Difference:
    words = f"{shape.name} {at(shape.place)} lies on the layer {outline.layer!r}, not on {shape.layer!r}"
    return Difference(Kind.LAYER, words, layer=shape.layer, to=outline.layer, place=shape.place)


def _missing(shape: Shape) -> Difference:
    where = f" on the layer {shape.layer!r}" if shape.layer else ""
    words = f"{shape.name} is missing {at(shape.place)}{where}"
    return Difference(Kind.MISSING, words, layer=shape.layer, place=shape.place)


def _added(outline: Outline) -> Difference:
    box = box_of_outline(outline)
    place = Vec((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    size = max(box[2] - box[0], box[3] - box[1])
    circle = outline_circle(outline)
    what = f"a circle of {both(2 * circle[1])}" if circle else f"an outline {both(size)} long"
    if len(outline.pieces) == 1 and not circle:
        what = f"a line of {both(math.hypot(box[2] - box[0], box[3] - box[1]))}"
    where = f" on the layer {outline.layer!r}" if outline.layer else ""
    words = f"{what} is there that was not drawn, {at(place)}{where}"
    return Difference(Kind.ADDED, words, size, outline.layer, place=place)


def _doubled(paired: Paired, within: float) -> Iterator[Difference]:
    """Tell outlines that lie on a shape which is there already, and take them from the rest."""
    shapes = [(box_of_shape(shape), shape) for shape, _, _ in paired.found] if paired.outlines else []
    outlines = [(box_of_outline(outline), outline) for outline in paired.outlines]
    twice: dict[int, Shape] = {}
    for _, i, j in nearest_pairs(shapes, outlines, reach=1.0):
        if j not in twice and deviation_of_any(shapes[i][1], outlines[j][1]) <= within:
            twice[j] = shapes[i][1]
    for j, shape in twice.items():
        words = f"{shape.name} {at(shape.place)} is there twice"
        yield Difference(Kind.DOUBLED, words, layer=outlines[j][1].layer, place=shape.place)
    gone = {id(outlines[j][1]) for j in twice}
    paired.outlines = [outline for outline in paired.outlines if id(outline) not in gone]


def _joined(outlines: Sequence[Outline]) -> list[Outline]:
    """Put single pieces that meet end to end together again, into closed outlines of their layer."""
    whole = [outline for outline in outlines if outline.closed or not outline.pieces]
    by_layer: dict[tuple[str, object], list[Outline]] = defaultdict(list)
    for outline in outlines:
        if not outline.closed and outline.pieces:
            by_layer[outline.layer, outline.pen].append(outline)
    for group in by_layer.values():
        whole += _loops(group)
    return whole


def _loops(outlines: list[Outline]) -> Iterator[Outline]:
    ends: dict[tuple[int, int], list[tuple[int, bool]]] = defaultdict(list)
    for index, outline in enumerate(outlines):
        ends[_knot(outline.pieces[0].start)].append((index, True))
        ends[_knot(outline.pieces[-1].end)].append((index, False))
    used: set[int] = set()
    for index, outline in enumerate(outlines):
        if index in used:
            continue
        used.add(index)
        pieces, members = list(outline.pieces), [outline]
        while (step := _next(pieces[-1].end, ends, used)) is not None:
            number, forwards = step
            used.add(number)
            more = outlines[number].pieces
            pieces += more if forwards else [reversed_piece(piece) for piece in reversed(more)]
            members.append(outlines[number])
        if len(members) > 1 and math.dist(pieces[0].start, pieces[-1].end) <= _JOINED:
            yield replace(outline, pieces=tuple(pieces), closed=True, name=f"{len(members)} pieces")
        else:
            yield from members


def _knot(point: Point) -> tuple[int, int]:
    return round(point[0] / _JOINED), round(point[1] / _JOINED)


def _next(
    end: Point, ends: dict[tuple[int, int], list[tuple[int, bool]]], used: set[int]
) -> tuple[int, bool] | None:
    column, row = _knot(end)
    for knot in ((column + a, row + b) for a in (0, -1, 1) for b in (0, -1, 1)):
        for index, forwards in ends.get(knot, ()):
            if index not in used:
                return index, forwards
    return None


def _near(paired: Paired, within: float) -> list[Difference]:
    """Tell shapes that have an outline near their place, and take both from the rest."""
    shapes = [(box_of_shape(shape), shape) for shape in paired.shapes]
    outlines = [(box_of_outline(outline), outline) for outline in paired.outlines]
    return _told_pairs(paired, nearest_pairs(shapes, outlines, _NEAR), within)


def _told_pairs(paired: Paired, pairs: list[tuple[float, int, int]], within: float) -> list[Difference]:
    """Tell what changed, the nearest pairs first, each side once, and take both from the rest."""
    told: list[Difference] = []
    first: set[int] = set()
    second: set[int] = set()
    for _, i, j in pairs:
        shape, outline = paired.shapes[i], paired.outlines[j]
        if i not in first and j not in second and _same_sort(shape, outline):
            first.add(i)
            second.add(j)
            told += _changed(shape, outline, within)
    paired.shapes = [shape for i, shape in enumerate(paired.shapes) if i not in first]
    paired.outlines = [outline for j, outline in enumerate(paired.outlines) if j not in second]
    return told


def _same_sort(shape: Shape, outline: Outline) -> bool:
    """Whether an outline may be what became of a shape: lines of lines, holes of holes."""
    if shape.circle is not None:
        return outline_circle(outline) is not None or not _is_line(outline)
    return _is_line(outline) == (len(shape.segments) == 1 and not shape.closed)


def _is_line(outline: Outline) -> bool:
    return len(outline.pieces) == 1 and not outline.closed


def _far(paired: Paired, within: float) -> list[Difference]:
    """Tell shapes of which an outline of the same size lies farther away, and take both from the rest."""
    if len(paired.shapes) * len(paired.outlines) > _MOST_FAR_PAIRS:
        return []
    boxes = [box_of_outline(outline) for outline in paired.outlines]
    pairs: list[tuple[float, int, int]] = []
    for i, shape in enumerate(paired.shapes):
        own = shape.bounds
        for j, box in enumerate(boxes):
            wide, high = box[2] - box[0] - own.width, box[3] - box[1] - own.height
            if max(abs(wide), abs(high)) <= _SAME_SIZE and shape.layer == paired.outlines[j].layer:
                pairs.append((abs(box[0] - own.xmin) + abs(box[1] - own.ymin), i, j))
    return _told_pairs(paired, sorted(pairs), within)


def _changed(shape: Shape, outline: Outline, within: float) -> list[Difference]:
    """Say what is different about an outline that is taken for a shape."""
    name, place, layer = f"{shape.name} {at(shape.place)}", shape.place, shape.layer
    told: list[Difference] = []
    if shape.layer != outline.layer:
        told.append(_layer_changed(shape, outline))
    if outline.name.endswith(" pieces") and outline.closed:
        words = f"{name} has come apart into {outline.name} that are no closed outline"
        told.append(Difference(Kind.OPEN, words, layer=layer, place=place))
        if deviation_of_any(shape, outline) <= within:
            return told
    if shape.closed and not outline.closed:
        gap = math.dist(outline.pieces[0].start, outline.pieces[-1].end)
        ends = f"its ends lie {both(gap)} apart" if gap > within else "its ends meet but are not joined"
        words = f"{name} is open: {ends}"
        return [*told, Difference(Kind.OPEN, words, gap, layer, place=place)]
    kind, words, size = _how(shape, outline, within)
    return [*told, Difference(kind, f"{name} {words}", size, layer, place=place)]


def _how(shape: Shape, outline: Outline, within: float) -> tuple[Kind, str, float]:
    chords = _chords(shape, outline)
    if chords:
        off = apart(shape, outline)
        inside = all(beyond < 0.0 for beyond in chords)
        side = "inside the arc" if inside else "off the arc"
        return Kind.FACETED, f"is faceted: {len(chords)} chords, up to {both(off)} {side}", off
    round_ = outline_circle(outline)
    if shape.circle is not None and round_ is not None:
        out = max(abs(round_[0].distance_to(Vec(*point)) - round_[1]) for point in outline.points(8))
        if out > within and out > round_[0].distance_to(shape.circle[0]) / 2:
            return Kind.FORM, f"is out of round by {both(out)}", out
        return _circle_changed(shape.circle, round_, within)
    own, box = shape.bounds, box_of_outline(outline)
    shift = Vec((box[0] + box[2]) / 2, (box[1] + box[3]) / 2) - own.centre
    back = outline.moved((1.0, 0.0, 0.0, 1.0, -shift.x, -shift.y))
    if shift.length > within and deviation_of_any(shape, back) <= 2 * within:
        return Kind.MOVED, f"moved {both(shift.length)}", shift.length
    off = apart(shape, outline)
    built = f"{len(outline.pieces)} pieces in place of {len(shape.edges)}"
    if off <= within:
        return Kind.FORM, f"is built in another way: {built}", off
    return Kind.FORM, f"has another form: up to {both(off)} from where it was drawn", off


def _circle_changed(
    drawn: tuple[Vec, float], read: tuple[Vec, float], within: float
) -> tuple[Kind, str, float]:
    moved, wider = drawn[0].distance_to(read[0]), 2 * (read[1] - drawn[1])
    words = []
    if moved > within:
        words.append(f"moved {both(moved)} to x {read[0].x:.3f}, y {read[0].y:.3f} mm")
    if abs(wider) > within:
        change = "too large" if wider > 0 else "too small"
        words.append(
            f"is {both(abs(wider))} {change}: {both(2 * read[1], wider)}, not {both(2 * drawn[1], wider)}"
        )
    if not words:
        words.append("is built in another way")
    return (Kind.MOVED if moved >= abs(wider) else Kind.SIZE), " and ".join(words), max(moved, abs(wider))


def _chords(shape: Shape, outline: Outline) -> list[float]:
    """Return how far the middle of each chord lies outside (above 0) or inside the arc it stands for.

    Empty when the outline is not made of straight pieces in place of arcs.
    """
    arcs = [edge for edge in shape.edges if isinstance(edge, Arc)]
    straight = all(isinstance(piece, Straight) for piece in outline.pieces)
    if not arcs or not straight or len(outline.pieces) <= len(shape.edges):
        return []
    found = []
    for piece in outline.pieces:
        start, middle, end = Vec(*piece.start), Vec(*piece.at(0.5)), Vec(*piece.end)
        near = min(arcs, key=lambda arc: _off(arc, start) + _off(arc, end))
        if _off(near, start) + _off(near, end) <= _SAME_SIZE + 0.01 * near.radius:
            found.append(near.centre.distance_to(middle) - near.radius)
    return found


def _off(arc: Arc, point: Vec) -> float:
    return abs(arc.centre.distance_to(point) - arc.radius)
