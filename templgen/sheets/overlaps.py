"""Faults of a finished sheet: words on words, on ink, on hole centres, over the edge; leaders that cross."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from msgspec import Struct

from templgen.drawing import CircleMark, Drawing, Item, PathMark, Text
from templgen.drawing.font import text_bounds
from templgen.geometry import Bounds, Line, Vec
from templgen.sheets.lettering import LEAST, bounds_of
from templgen.sheets.placement import LEADER
from templgen.sheets.space import BARRIERS, HOLES, chords
from templgen.sheets.ways import cells, crosses, distance_to, passes

__all__ = ["overlaps"]

_CELL = 8.0
_TIP = 0.06
_CENTRE = 0.4


class _Word(Struct, frozen=True):
    text: Text
    box: Bounds
    corners: tuple[Vec, Vec, Vec, Vec]


def overlaps(drawing: Drawing) -> list[str]:
    """Return every fault of a sheet in words; a good sheet has none.

    No text box may meet another one, any line, a hole's centre or the page's edge, and no letter may be lower
    than 2.2 mm. No leader may cross another one, a cut line or a hole's centre.
    """
    words = [
        _Word(item, bounds_of(item), text_bounds(item)) for item in drawing.items if isinstance(item, Text)
    ]
    faults = [fault for word in words for fault in _of_page(word, drawing)]
    faults += _word_on_word(words)
    faults += _word_on_ink(words, drawing.items)
    faults += _leader_faults(drawing.items)
    return faults


def _of_page(word: _Word, drawing: Drawing) -> Iterator[str]:
    if word.text.height < LEAST - 1e-9:
        yield f"{word.text.text!r} is {word.text.height} mm high, less than {LEAST}"
    if drawing.width is None or drawing.height is None:
        return
    page = Bounds(0.0, 0.0, drawing.width, drawing.height)
    if not all(page.contains(corner) for corner in word.box.corners):
        yield f"{word.text.text!r} runs over the page's edge"


def _word_on_word(words: list[_Word]) -> list[str]:
    by_cell: dict[tuple[int, int], list[int]] = defaultdict(list)
    pairs = set()
    for number, word in enumerate(words):
        for cell in cells(word.box, _CELL):
            pairs |= {(other, number) for other in by_cell[cell]}
            by_cell[cell].append(number)
    return [
        f"{words[a].text.text!r} meets {words[b].text.text!r}"
        for a, b in sorted(pairs)
        if _meet(words[a].corners, words[b].corners)
    ]


def _meet(a: tuple[Vec, ...], b: tuple[Vec, ...]) -> bool:
    """Whether two convex boxes meet: no side of either parts them (separating axis theorem)."""
    for corners in (a, b):
        for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
            across = (end - start).perp()
            if across.length < 1e-9:
                continue
            one = [across.dot(corner) for corner in a]
            two = [across.dot(corner) for corner in b]
            if max(one) < min(two) or max(two) < min(one):
                return False
    return True


def _word_on_ink(words: list[_Word], items: tuple[Item, ...]) -> list[str]:
    by_cell: dict[tuple[int, int], list[_Word]] = defaultdict(list)
    for word in words:
        for cell in cells(word.box, _CELL):
            by_cell[cell].append(word)
    faults: dict[str, None] = {}
    for item in items:
        for piece in chords(item):
            for word in {
                id(w): w for cell in cells(piece.bounds, _CELL) for w in by_cell.get(cell, ())
            }.values():
                if passes(piece, word.box):
                    faults[f"{word.text.text!r} meets a line: {item.meaning.value} {_name(item)}"] = None
        if isinstance(item, CircleMark) and item.meaning in HOLES:
            for word in words:
                if word.box.grown(_CENTRE).contains(item.centre):
                    faults[f"{word.text.text!r} stands on the centre of a hole {item.name}"] = None
    return list(faults)


def _name(item: Item) -> str:
    return getattr(item, "name", "")


def _leader_faults(items: tuple[Item, ...]) -> list[str]:
    leaders = [
        Line(item.contour.segments[0].start, item.contour.segments[-1].end)
        for item in items
        if isinstance(item, PathMark) and item.name == LEADER
    ]
    faults = [
        f"leaders cross near {a.midpoint}"
        for number, a in enumerate(leaders)
        for b in leaders[:number]
        if crosses(a, b)
    ]
    return faults + [fault for leader in leaders for fault in _on_leader(leader, items)]


def _on_leader(leader: Line, items: tuple[Item, ...]) -> Iterator[str]:
    """A leader may touch at its tip what it points at."""
    if leader.length <= 2 * _TIP:
        return
    body = Line(leader.start + leader.direction * _TIP, leader.end)
    for item in items:
        if item.meaning in BARRIERS and any(crosses(body, piece) for piece in chords(item)):
            yield f"the leader at {leader.start} crosses a line: {item.meaning.value}"
        if not isinstance(item, CircleMark) or item.meaning not in HOLES or _points_at(leader, item):
            continue
        if distance_to(item.centre, leader) < _CENTRE:
            yield f"the leader at {leader.start} passes the centre of hole {item.name}"


def _points_at(leader: Line, hole: CircleMark) -> bool:
    return leader.start.distance_to(hole.centre) <= hole.radius + 3.0
