"""The state and the paths of a PDF content stream (ISO 32000-1, 8.4 and 8.5)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from templgen.proof.readers.model import (
    Bezier,
    Matrix,
    Outline,
    Pen,
    Piece,
    Point,
    Straight,
    apply,
    size_of,
    times,
)
from templgen.proof.readers.pdf_fonts import Font

__all__ = ["PathWalk", "State"]

_OTHERWISE_SET = {"/LW": "a line width", "/LC": "line ends", "/D": "dashes", "/Font": "a font"}
_CAPS = {0.0: "butt", 1.0: "round", 2.0: "square"}


@dataclass(slots=True)
class State:
    """What `q` keeps and `Q` brings back."""

    matrix: Matrix
    width: float = 1.0
    dash: tuple[float, ...] = ()
    cap: str = "butt"
    stroke_ink: str = "#000000"
    fill_ink: str = "#000000"
    font: Font | None = None
    font_size: float = 0.0
    leading: float = 0.0
    spaces: tuple[float, float, float] = (0.0, 0.0, 1.0)  # between letters, between words, stretch


class PathWalk:
    """Follows the matrices and collects what is painted along paths; one method per operator."""

    def __init__(self, matrix: Matrix) -> None:
        self.outlines: list[Outline] = []
        self.oddities: list[str] = []
        self._state = State(matrix)
        self._stack: list[State] = []
        self._chains: list[tuple[list[Piece], bool]] = []
        self._first: Point = (0.0, 0.0)
        self._here: Point = (0.0, 0.0)
        self._resources: list[Any] = []
        self._pens: dict[tuple[object, ...], Pen] = {}

    def _resource(self, kind: str, name: str) -> Any:
        return self._resources[-1].get(kind, {}).get(f"/{name}")

    # graphics state
    def _on_save(self) -> None:
        self._stack.append(replace(self._state))

    def _on_restore(self) -> None:
        self._state = self._stack.pop()

    def _on_matrix(self, a: float, b: float, c: float, d: float, e: float, f: float) -> None:
        self._state.matrix = times((a, b, c, d, e, f), self._state.matrix)

    def _on_width(self, width: float) -> None:
        self._state.width = float(width)

    def _on_dash(self, parts: list[float], phase: float) -> None:
        if phase and parts:
            self.oddities.append(f"dashes that begin {phase:g} pt on")
        self._state.dash = tuple(float(part) for part in parts)

    def _on_cap(self, cap: float) -> None:
        self._state.cap = _CAPS.get(cap, "other")

    def _on_stroke_ink(self, *values: object) -> None:
        self._state.stroke_ink = _ink(values)

    def _on_fill_ink(self, *values: object) -> None:
        self._state.fill_ink = _ink(values)

    def _on_graphics_state(self, name: str) -> None:
        state = self._resource("/ExtGState", name)
        if state is None:
            return
        for key in ("/CA", "/ca"):
            if float(state.get(key, 1)) != 1.0:
                self.oddities.append(f"an opacity of {float(state[key]):g}")
        if str(state.get("/SMask", "/None")) != "/None":
            self.oddities.append("a soft mask")
        for key, what in _OTHERWISE_SET.items():
            if key in state:
                self.oddities.append(f"{what} set by the graphics state {name}")

    # paths
    def _at(self, x: float, y: float) -> Point:
        return apply(self._state.matrix, (x, y))

    def _on_move(self, x: float, y: float) -> None:
        self._first = self._here = self._at(x, y)
        self._chains.append(([], False))

    def _on_line(self, x: float, y: float) -> None:
        self._piece(Straight(self._here, self._at(x, y)))

    def _on_curve(self, a: float, b: float, c: float, d: float, e: float, f: float) -> None:
        self._piece(Bezier(self._here, self._at(a, b), self._at(c, d), self._at(e, f)))

    def _on_curve_from_here(self, c: float, d: float, e: float, f: float) -> None:
        self._piece(Bezier(self._here, self._here, self._at(c, d), self._at(e, f)))

    def _on_curve_to_end(self, a: float, b: float, e: float, f: float) -> None:
        end = self._at(e, f)
        self._piece(Bezier(self._here, self._at(a, b), end, end))

    def _on_rectangle(self, x: float, y: float, wide: float, high: float) -> None:
        self._on_move(x, y)
        for corner in ((x + wide, y), (x + wide, y + high), (x, y + high)):
            self._on_line(*corner)
        self._on_close()

    def _piece(self, piece: Piece) -> None:
        if self._chains[-1][1]:  # after `h` a new chain begins where the last one did
            self._chains.append(([], False))
        self._chains[-1][0].append(piece)
        self._here = piece.end

    def _on_close(self) -> None:
        pieces, _ = self._chains[-1]
        if math.dist(self._here, self._first) > 1e-9:
            pieces.append(Straight(self._here, self._first))
        self._chains[-1] = (pieces, True)
        self._here = self._first

    def _on_no_paint(self) -> None:
        self._chains = []

    def _on_clip(self) -> None:
        self.oddities.append("a clip path")

    def _on_stroke(self) -> None:
        self._paint(drawn=True, filled=False)

    def _on_close_stroke(self) -> None:
        self._on_close()
        self._on_stroke()

    def _on_fill(self) -> None:
        self._paint(drawn=False, filled=True)

    def _on_both(self) -> None:
        self._paint(drawn=True, filled=True)

    def _on_close_both(self) -> None:
        self._on_close()
        self._on_both()

    def _paint(self, *, drawn: bool, filled: bool) -> None:
        pen = self._pen(drawn, filled)
        for pieces, closed in self._chains:
            if pieces:
                self.outlines.append(Outline(tuple(pieces), closed, pen))
        self._chains = []

    def _pen(self, drawn: bool, filled: bool) -> Pen:
        state, size = self._state, size_of(self._state.matrix)
        ink = state.stroke_ink if drawn else state.fill_ink
        key = (state.width, state.dash, state.cap, ink, size, drawn, filled)
        pen = self._pens.get(key)
        if pen is None:
            dash = tuple(part * size for part in state.dash) if drawn else ()
            width = state.width * size if drawn else None
            pen = self._pens[key] = Pen(width, dash, filled, ink, state.cap if drawn else "butt")
        return pen


def _ink(values: tuple[object, ...]) -> str:
    """Return a colour as #rrggbb: grey, red-green-blue, or the plain reading of four inks (10.3.5)."""
    parts = [value for value in values if isinstance(value, float)]
    if len(parts) != len(values) or len(parts) not in (1, 3, 4):
        return " ".join(str(value) for value in values)
    if len(parts) == 4:
        parts = [1.0 - min(1.0, part + parts[3]) for part in parts[:3]]
    levels = [round(255 * part) for part in (parts * 3 if len(parts) == 1 else parts)]
    return "#" + "".join(f"{level:02x}" for level in levels)
