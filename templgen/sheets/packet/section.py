"""A section through all joints of a plane: plain line art, not to scale, faces in order outside to inside."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from templgen.drawing import Anchor, Item, LineMark, Meaning, PathMark
from templgen.geometry import Arc, Contour, Line, Motion, Vec
from templgen.layout.assembly import SKIN_PLANE, Assembly, Face
from templgen.sheets.lettering import CALLOUT, LEAST, NOTE, TITLE, pitch_of, words, wrap
from templgen.sheets.marks import hatch_lines
from templgen.sheets.packet.joints import Joint, lies_at, rows_of
from templgen.sheets.view import moved

__all__ = ["COLUMN", "LABELS", "SectionFigure"]

LABELS = 50.0
"""Width in mm of the words at the left of a section."""
COLUMN = 24.0
"""Width in mm of one joint."""

NOT_TO_SCALE = "NOT TO SCALE: measure nothing here"
_BAR, _EDGE = 7.0, 1.6
_CONE = 0.6 * _BAR
"""Depth of a countersink, and how far a dimple stands out: the cone of a head."""
_SHANK, _HEAD, _FLUSH = 1.7, 3.9, 4.0
_HEAD_ROOM = 5.0
_DRIVEN, _PULLED, _PLAIN_NUT, _END = 1.9, 4.6, 4.0, 1.6
_LUG, _LUG_HALF, _NUT, _NUT_HALF = 2.4, 9.0, 6.0, 4.4
_TAILS = {"solid rivet": "driven head", "blind rivet": "pulled end", "screw": "nut", "hole": ""}


class _Row(Struct, frozen=True):
    """Faces side by side: the top of their bars, their height."""

    faces: tuple[Face, ...]
    top: float
    height: float

    @property
    def foot(self) -> float:
        return self.top - self.height


class SectionFigure(Struct, frozen=True):
    """A block with the section through some joints of one plane; `caption` says which plane."""

    assembly: Assembly
    joints: tuple[Joint, ...]
    caption: str
    material: dict[str, str]
    keeps_with_next: bool = False

    def _faces(self) -> list[tuple[Face, ...]]:
        return rows_of(self.assembly, self.joints)

    def _words_of(self, faces: tuple[Face, ...]) -> list[tuple[str, float, bool]]:
        """Names, each kind of sheet behind its faces: lines with their height and whether they are bold."""
        kinds: dict[str, list[str]] = {}
        for face in faces:
            kinds.setdefault(self.material[face.name], []).append(face.name)
        lines: list[tuple[str, float, bool]] = []
        for material, names in kinds.items():
            lines += [(line, NOTE, True) for line in wrap(", ".join(names), LABELS - 3.0, NOTE, bold=True)]
            lines += [(line, LEAST, False) for line in wrap(material, LABELS - 3.0, LEAST)]
        return lines

    def _row_height(self, faces: tuple[Face, ...]) -> float:
        return max(_BAR, sum(pitch_of(height) for _, height, _ in self._words_of(faces)) + 0.6)

    def _header(self) -> float:
        most = max(len(_numbers(joint)) for joint in self.joints)
        return 2.0 + CALLOUT + 1.6 + most * pitch_of(LEAST)

    def _rooms(self) -> tuple[float, float]:
        """Room above and below the bars."""
        above, below = [_HEAD_ROOM], [_HEAD_ROOM]
        for joint in self.joints:
            (below if joint.head_is_outside else above).append(_tail_room(joint))
        return max(above), max(below)

    def height(self, width: float) -> float:
        """Return its height in mm, the space above it included."""
        above, below = self._rooms()
        bars = sum(self._row_height(faces) for faces in self._faces())
        foot = 2 * pitch_of(LEAST) + 2.0
        return 3.0 + 2 * pitch_of(TITLE) + self._header() + above + bars + below + foot

    def draw(self, x: float, top: float, width: float) -> list[Item]:
        """Return its marks with its upper left corner at (x, top)."""
        y = top - 3.0 - TITLE
        items: list[Item] = [
            words(self.caption, x, y, TITLE, bold=True),
            words(NOT_TO_SCALE, x, y - pitch_of(TITLE), TITLE, bold=True),
        ]
        y -= pitch_of(TITLE) + 3.0
        above, below = self._rooms()
        rows = self._rows(y - self._header() - above)
        if self.joints[0].plane == SKIN_PLANE:
            items.append(words("outside", x, rows[0].top + 1.2, LEAST))
            items.append(words("inside", x, rows[-1].foot - 1.2 - LEAST, LEAST))
        for row in rows:
            items += self._label(x, row)
        middles = [x + LABELS + (count + 0.5) * COLUMN for count in range(len(self.joints))]
        for number, row in enumerate(rows):
            items += self._bars(row, middles, bool(number % 2))
        for joint, middle in zip(self.joints, middles, strict=True):
            items += _heading(joint, middle, y)
            items += _fastener(joint, middle, *self._ends(joint, rows))
            items += _foot(joint, middle, rows[-1].foot - below)
        return items

    def _rows(self, top: float) -> list[_Row]:
        rows, y = [], top
        for faces in self._faces():
            height = self._row_height(faces)
            rows.append(_Row(faces, y, height))
            y -= height
        return rows

    def _label(self, x: float, row: _Row) -> list[Item]:
        items: list[Item] = []
        top = row.top - 0.5
        for line, height, bold in self._words_of(row.faces):
            items.append(words(line, x, top - 0.2 * height - height, height, bold=bold))
            top -= pitch_of(height)
        return items

    def _ends(self, joint: Joint, rows: Sequence[_Row]) -> tuple[float, float]:
        """Head side and tail side of a joint's stack."""
        own = [row for row in rows if _passed(row, joint)]
        top, foot = own[0].top, own[-1].foot
        return (top, foot) if joint.head_is_outside else (foot, top)

    def _bars(self, row: _Row, middles: Sequence[float], is_turned: bool) -> list[Item]:
        """The bar of a face where it has metal, with a gap at every hole."""
        items: list[Item] = []
        piece: list[Vec] = []
        before: Face | None = None
        for joint, middle in zip(self.joints, middles, strict=True):
            face = self._face_at(row, joint)
            left = middle - COLUMN / 2
            if face is not before:
                items += _closed(piece, row, left - _EDGE, is_turned)
                start = left + (_EDGE if middle > middles[0] else 0.0)
                piece = [] if face is None else [Vec(start, row.foot), Vec(start, row.top)]
            before = face
            if face is not None and face.name in joint.stack:
                edge = _edge(joint, row, face)
                items += _filled([*piece, *(Vec(middle - half, y) for half, y in edge)], is_turned)
                piece = [Vec(middle + half, y) for half, y in reversed(edge)]
        items += _closed(piece, row, middles[-1] + COLUMN / 2, is_turned)
        return items

    def _face_at(self, row: _Row, joint: Joint) -> Face | None:
        """The face of a row that has metal where a joint is."""
        at = joint.fasteners[0].at
        found = _passed(row, joint)
        return found or next((face for face in row.faces if lies_at(self.assembly, face, at)), None)


def _passed(row: _Row, joint: Joint) -> Face | None:
    return next((face for face in row.faces if face.name in joint.stack), None)


def _tail_room(joint: Joint) -> float:
    """How far a joint reaches behind its stack, and a little more."""
    if joint.spec.kind == "hole":
        return 0.0
    plate = _LUG if joint.below or joint.nutplate else 0.0
    tail = {"solid rivet": _DRIVEN, "blind rivet": _PULLED}.get(joint.spec.kind, _nut_height(joint) + _END)
    return _stands_out(joint) + plate + tail + 1.5


def _stands_out(joint: Joint) -> float:
    """How far dimples stand out behind a stack."""
    first = joint.fasteners[0]
    return _CONE if first.seat_in(first.stack[-1 if joint.head_is_outside else 0]) == "dimpled" else 0.0


def _nut_height(joint: Joint) -> float:
    return _NUT if joint.nutplate else _PLAIN_NUT


def _edge(joint: Joint, row: _Row, face: Face) -> list[tuple[float, float]]:
    """The edge of a hole from the top of a bar to its foot: half width and height.

    A countersink is wide on the head's side; a dimple is the sheet itself, bent away from the head.
    """
    seat = joint.fasteners[0].seat_in(face.name) if joint.spec.is_flush else ""
    away = -_CONE if joint.head_is_outside else _CONE
    if seat == "dimpled":
        return [
            (_FLUSH, row.top),
            (_SHANK, row.top + away),
            (_SHANK, row.foot + away),
            (_FLUSH, row.foot),
        ]
    if seat == "countersunk" and joint.head_is_outside:
        return [(_FLUSH, row.top), (_SHANK, row.top + away), (_SHANK, row.foot)]
    if seat == "countersunk":
        return [(_SHANK, row.top), (_SHANK, row.foot + away), (_FLUSH, row.foot)]
    return [(_SHANK, row.top), (_SHANK, row.foot)]


def _closed(piece: list[Vec], row: _Row, right: float, is_turned: bool) -> list[Item]:
    return _filled([*piece, Vec(right, row.top), Vec(right, row.foot)], is_turned) if piece else []


def _filled(corners: list[Vec], is_turned: bool) -> list[Item]:
    """A piece of sheet in section, hatched one way or the other."""
    contour = Contour.polygon(corners)
    outline: list[Item] = [PathMark(contour, Meaning.HOLE, name="section")]
    if not is_turned:
        return [*outline, *hatch_lines(contour.as_ccw())]
    turn = Motion.mirror_x()
    return [*outline, *(moved(item, turn) for item in hatch_lines(contour.moved(turn).as_ccw()))]


def _numbers(joint: Joint) -> list[str]:
    return wrap(joint.numbers, COLUMN - 2.0, LEAST)


def _heading(joint: Joint, middle: float, top: float) -> list[Item]:
    y = top - CALLOUT
    items: list[Item] = [words(joint.mark, middle, y, CALLOUT, Anchor.MIDDLE, bold=True)]
    for count, line in enumerate(_numbers(joint), 1):
        items.append(words(line, middle, y - 0.6 - count * pitch_of(LEAST), LEAST, Anchor.MIDDLE))
    return items


def _foot(joint: Joint, middle: float, top: float) -> list[Item]:
    """What stands behind, in words; plain where nothing does."""
    tail = "nutplate" if joint.nutplate and not joint.is_lug else _TAILS[joint.spec.kind]
    if joint.spec.kind == "screw" and not joint.nutplate and joint.below:
        tail = "its flange, nut"
    text = tail or "plain hole"
    return [
        words(line, middle, top - LEAST - count * pitch_of(LEAST), LEAST, Anchor.MIDDLE)
        for count, line in enumerate(wrap(text, COLUMN - 2.0, LEAST)[:2])
    ]


def _fastener(joint: Joint, middle: float, head: float, tail: float) -> list[Item]:
    """A fastener from its head to what stands behind: `head` and `tail` are the ends of its stack."""
    if joint.spec.kind == "hole":
        return []
    out = 1.0 if head > tail else -1.0
    items = _head(joint, middle, head, out)
    end = tail - out * _stands_out(joint)
    if joint.below or (joint.nutplate and joint.spec.kind == "screw"):
        items.append(_plate(joint, middle, tail, out))
        end -= out * _LUG
    cone = _CONE if joint.spec.is_flush else 0.0
    items += _shank(middle, head - out * cone, end)
    return [*items, *_tail(joint, middle, end, out)]


def _plate(joint: Joint, middle: float, at: float, out: float) -> Item:
    """A lug or a flange behind the stack: it stands on dimples, unless its own lugs take them."""
    stands_out = out * _stands_out(joint)
    if not stands_out or joint.nutplate is None or joint.nutplate.lug_seat == "plain":
        at -= stands_out
        return _box(middle, at, at - out * _LUG, _LUG_HALF)
    edge = [(_LUG_HALF, at), (_FLUSH, at), (_SHANK, at - stands_out)]
    upper = [*edge, *((-half, y) for half, y in reversed(edge))]
    lower = [(half, y - out * _LUG) for half, y in reversed(upper)]
    corners = [Vec(middle + half, y) for half, y in (*upper, *lower)]
    return PathMark(Contour.polygon(corners), Meaning.FRAME, name="fastener")


def _head(joint: Joint, middle: float, at: float, out: float) -> list[Item]:
    spec = joint.spec
    if spec.is_flush:
        foot = at - out * _CONE
        corners = [
            Vec(middle + sign * half, y)
            for sign, half, y in ((-1, _SHANK, foot), (-1, _FLUSH, at), (1, _FLUSH, at), (1, _SHANK, foot))
        ]
        return [PathMark(Contour.polyline(corners), Meaning.FRAME, name="fastener")]
    if spec.kind == "screw":
        return [_box(middle, at, at + out * 2.8, _HEAD)]
    items: list[Item] = [_dome(middle, at, out, _HEAD, 2.6)]
    if spec.kind == "blind rivet":
        items.append(_rule(Vec(middle, at + out * 2.6), Vec(middle, at + out * 4.2)))
    return items


def _tail(joint: Joint, middle: float, at: float, out: float) -> list[Item]:
    kind = joint.spec.kind
    if kind == "solid rivet":
        return [_box(middle, at, at - out * _DRIVEN, 2.8)]
    if kind == "blind rivet":
        return [_dome(middle, at, -out, 3.2, _PULLED)]
    nut = at - out * _nut_height(joint)
    end = nut - out * _END
    return [
        _box(middle, at, nut, _NUT_HALF),
        *_shank(middle, at, end),
        _rule(Vec(middle - _SHANK, end), Vec(middle + _SHANK, end)),
    ]


def _shank(middle: float, start: float, end: float) -> list[Item]:
    return [_rule(Vec(middle + half, start), Vec(middle + half, end)) for half in (-_SHANK, _SHANK)]


def _rule(a: Vec, b: Vec) -> Item:
    return LineMark(Line(a, b), Meaning.FRAME)


def _box(middle: float, first: float, second: float, half: float) -> Item:
    centre = Vec(middle, (first + second) / 2)
    contour = Contour.rectangle(2 * half, abs(second - first), centre=centre)
    return PathMark(contour, Meaning.FRAME, name="fastener")


def _dome(middle: float, at: float, out: float, half: float, height: float) -> Item:
    """A round head that stands `height` above `at`, upwards for `out` above zero."""
    left, right = Vec(middle - half, at), Vec(middle + half, at)
    bulge = out * height / half
    contour = Contour((Arc(right, left, bulge), Line(left, right)), closed=True)
    return PathMark(contour, Meaning.FRAME, name="fastener")
